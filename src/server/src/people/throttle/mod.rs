//! Wrong tries at signing in make the next one wait, and never lock anybody out.
//!
//! Counted in the database, so for all processes together, by a hash of whom and from where:
//! - a browser in which this person has signed in before waits for its own wrong tries only: whoever
//!   tries names from elsewhere, or from the shop's one address, does not keep the shop out;
//! - everybody else waits by name and address together, by name, and by address.
//!
//! Names that do not exist are counted alike. What was quiet for an hour starts anew.

pub mod queries;

use crate::clock::{DAY, HOUR, MINUTE, Millis};
use crate::limits::network;
use crate::people::cookies::hash;
use crate::state::AppState;
use std::net::IpAddr;

const SECOND: Millis = 1_000;
/// Rows kept at most; the quietest go first.
const MOST_ROWS: i64 = 20_000;

/// So many are free; then each waits twice as long as the one before it.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    free: i64,
    first: Millis,
    longest: Millis,
}

const DEVICE: Pace = Pace {
    free: 10,
    first: 5 * SECOND,
    longest: 5 * MINUTE,
};
const PAIR: Pace = Pace {
    free: 5,
    first: 5 * SECOND,
    longest: 15 * MINUTE,
};
const NAME: Pace = Pace {
    free: 20,
    first: 5 * SECOND,
    longest: 5 * MINUTE,
};
const ADDRESS: Pace = Pace {
    free: 30,
    first: 2 * SECOND,
    longest: 30 * SECOND,
};

impl Pace {
    /// How long the try after so many misses waits.
    fn wait(self, misses: i64) -> Millis {
        if misses < self.free {
            return 0;
        }
        let doubled = u32::try_from(misses - self.free)
            .unwrap_or(u32::MAX)
            .min(20);
        (self.first << doubled).min(self.longest)
    }
}

/// A try that was counted as a miss before the password was looked at, so that many at once do not
/// slip through together.
#[derive(Debug)]
pub struct Try {
    keys: Vec<(String, Pace)>,
    /// Forgotten when the person is who they say; the others only get theirs back.
    own: String,
}

/// Who tries, and from where.
#[derive(Clone, Copy, Debug)]
pub struct Who<'a> {
    pub name: &'a str,
    pub address: IpAddr,
    /// The hash of the browser's token where this person has signed in with it before.
    pub device: Option<&'a str>,
}

impl Try {
    pub fn of(who: Who<'_>) -> Try {
        let name = who.name.trim().to_ascii_lowercase();
        let address = network(who.address);
        if let Some(device) = who.device {
            let own = hash("device", &format!("{device} {name}"));
            return Try {
                keys: vec![(own.clone(), DEVICE)],
                own,
            };
        }
        let own = hash("pair", &format!("{address} {name}"));
        let mut keys = vec![
            (own.clone(), PAIR),
            (hash("name", &name), NAME),
            (hash("address", &address.to_string()), ADDRESS),
        ];
        // Rows are locked in one order everywhere.
        keys.sort_by(|a, b| a.0.cmp(&b.0));
        Try { keys, own }
    }
}

/// Takes one try.
///
/// # Errors
/// How long to wait first.
pub async fn begin(app: &AppState, who: Who<'_>) -> sqlx::Result<Result<Try, Millis>> {
    let this = Try::of(who);
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let mut waits = 0;
    for (key, pace) in &this.keys {
        let (misses, next_at) = queries::miss(&mut tx, key, now, now - HOUR).await?;
        // A clock that was set back makes nobody wait longer than the rule says.
        waits = waits.max((next_at - now).min(pace.longest));
        queries::wait_until(&mut tx, key, now + pace.wait(misses)).await?;
    }
    if waits > 0 {
        // Nothing is written: the try was not one.
        drop(tx);
        return Ok(Err(waits));
    }
    queries::forget(&mut tx, now - DAY, MOST_ROWS).await?;
    tx.commit().await?;
    Ok(Ok(this))
}

impl Try {
    /// It was the right password.
    pub async fn give_back(&self, tx: &mut crate::db::Tx, now: Millis) -> sqlx::Result<()> {
        for (key, _) in &self.keys {
            if *key == self.own {
                queries::forgive(tx, key).await?;
            } else {
                queries::give_back(tx, key, now).await?;
            }
        }
        Ok(())
    }
}

/// `20 seconds`
pub fn words(wait: Millis) -> String {
    let seconds = (wait + SECOND - 1) / SECOND;
    match seconds {
        ..=1 => "1 second".to_owned(),
        2..=90 => format!("{seconds} seconds"),
        _ => format!("{} minutes", (seconds + 59) / 60),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_up_to_the_longest_and_never_end_in_a_lock() {
        assert_eq!(PAIR.wait(4), 0);
        assert_eq!(PAIR.wait(5), 5 * SECOND);
        assert_eq!(PAIR.wait(6), 10 * SECOND);
        for pace in [DEVICE, PAIR, NAME, ADDRESS] {
            assert_eq!(pace.wait(i64::MAX), pace.longest);
            assert!(pace.longest <= 15 * MINUTE);
        }
        assert_eq!(words(4_001), "5 seconds");
        assert_eq!(words(15 * MINUTE), "15 minutes");
    }
}
