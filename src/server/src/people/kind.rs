//! Kinds of sessions: how long each lasts, and what it may not do.

use crate::clock::{DAY, HOUR, MINUTE, Millis};
use crate::error::AppError;
use crate::state::AppState;

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    /// Signed in with the password, and the code where one is asked for.
    #[default]
    Full,
    /// The second factor is to be set up before anything else.
    Factor,
    /// Signed in with a PIN on a shared tablet.
    Pin,
}

/// Where a PIN does not reach: people, settings, tokens, backups, files in and out, one's own sign-in.
const BEYOND_A_PIN: &[&str] = &["/shop/", "/exchange", "/me", "/set-up"];

/// `path` is `room` or lies below it.
fn within(path: &str, room: &str) -> bool {
    path.strip_prefix(room)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with('/') || room.ends_with('/'))
}

impl Kind {
    pub fn word(self) -> &'static str {
        match self {
            Kind::Full => "full",
            Kind::Factor => "factor",
            Kind::Pin => "pin",
        }
    }

    pub fn named(word: &str) -> Kind {
        match word {
            "full" => Kind::Full,
            "pin" => Kind::Pin,
            // The one that opens least.
            _ => Kind::Factor,
        }
    }

    /// Not used for this long, it ends: a shift and the way home, or a tablet laid down.
    pub fn idle(self) -> Millis {
        match self {
            Kind::Full => 14 * HOUR,
            Kind::Factor => HOUR,
            Kind::Pin => 15 * MINUTE,
        }
    }

    pub fn longest(self) -> Millis {
        match self {
            Kind::Full => 14 * DAY,
            Kind::Factor => HOUR,
            Kind::Pin => 10 * HOUR,
        }
    }

    /// How exactly the last use is noted.
    pub fn touch_after(self) -> Millis {
        match self {
            Kind::Full => 10 * MINUTE,
            Kind::Factor | Kind::Pin => MINUTE,
        }
    }

    /// # Errors
    /// Where this kind of session may not go.
    pub fn may_go(self, app: &AppState, path: &str) -> Result<(), AppError> {
        match self {
            Kind::Pin if BEYOND_A_PIN.iter().any(|room| within(path, room)) => {
                Err(AppError::Forbidden(
                    "A PIN does not reach this. Sign out and sign in with your password.",
                ))
            }
            Kind::Factor if !within(path, "/me/second-factor") && path != "/sign-out" => {
                Err(AppError::GoTo(app.url("/me/second-factor")))
            }
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_room_is_itself_and_what_lies_below() {
        assert!(within("/me", "/me") && within("/me/password", "/me"));
        assert!(!within("/meters", "/me") && !within("/shop", "/shop/"));
        assert!(within("/shop/people/1", "/shop/"));
    }

    #[test]
    fn an_unknown_word_opens_least() {
        for kind in [Kind::Full, Kind::Factor, Kind::Pin] {
            assert_eq!(Kind::named(kind.word()), kind);
        }
        assert_eq!(Kind::named("else"), Kind::Factor);
    }
}
