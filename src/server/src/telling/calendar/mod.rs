//! Calendar feeds (RFC 5545, RFC 7986): handed-out jobs and due work under a secret address.
//!
//! Nothing private is in them: no names, no reporter's words, no scope or note; tag, kind of work and
//! place only where the shop allows each. The secret is kept as its hash only and shown once, when the
//! address is made: a calendar program needs it once, and whoever has lost it makes another one, which
//! closes the old one. A copy of the database then opens nobody's calendar.

pub mod events;
pub mod queries;
pub mod serve;
mod write;

use crate::people::{PersonId, Role, session};
use sha2::{Digest, Sha256};

/// Whose work a feed shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Jobs handed to the person.
    Own,
    /// What falls due in the shop.
    Due,
    /// Everything handed out and everything due.
    Shop,
}

impl Kind {
    pub const ALL: [Kind; 3] = [Kind::Own, Kind::Due, Kind::Shop];

    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Own => "own",
            Kind::Due => "due",
            Kind::Shop => "shop",
        }
    }

    pub fn named(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.word() == word)
    }

    pub fn words(self) -> &'static str {
        match self {
            Kind::Own => "My jobs",
            Kind::Due => "Due work of the shop",
            Kind::Shop => "Everything handed out and due",
        }
    }

    pub fn what(self) -> &'static str {
        match self {
            Kind::Own => "Jobs handed to you, on the day they are planned for.",
            Kind::Due => "What preventive plans make due, on its due date.",
            Kind::Shop => {
                "All jobs handed out, whoever has them, and all that is due. No names are in it."
            }
        }
    }

    pub fn open_to(self, role: Role) -> bool {
        match self {
            Kind::Own => matches!(role, Role::Technician | Role::Supervisor),
            Kind::Due => role != Role::Reporter,
            Kind::Shop => role == Role::Supervisor,
        }
    }
}

/// A feed somebody made.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    pub id: i64,
    pub person_id: PersonId,
    pub kind: Kind,
    pub made_at: i64,
    pub asked_at: Option<i64>,
}

/// What the shop lets calendars show.
#[derive(Clone, Debug, Default, PartialEq, sqlx::FromRow)]
pub struct Shown {
    pub uid: String,
    pub shows_tag: bool,
    pub shows_work: bool,
    pub shows_place: bool,
    pub version: i64,
}

/// A new secret: 256 random bits, in letters that an address may hold.
pub fn new_secret() -> String {
    session::new_token()
}

/// What is kept of it.
pub fn hash(secret: &str) -> String {
    let digest = Sha256::new_with_prefix("calendar")
        .chain_update(secret)
        .finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}
