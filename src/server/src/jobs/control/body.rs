//! Entries beyond the one person's lock: the lock of somebody absent, lock boxes, a change of
//! person, permits.

use crate::clock::Millis;
use crate::people::PersonId;
use serde::{Deserialize, Serialize};

/// Which permit a job may need, and the words on pages.
pub const PERMITS: &[(&str, &str)] = &[
    ("hot_work", "hot work"),
    ("confined_space", "confined space"),
    ("asbestos", "asbestos"),
    ("energised_work", "energised work"),
    ("roof", "roof"),
    ("other", "other"),
];

/// The words of a kind of permit.
pub fn permit_words(kind: &str) -> &str {
    PERMITS
        .iter()
        .find(|(word, _)| *word == kind)
        .map_or(kind, |(_, words)| words)
}

/// One interlock, as the sheet names it, and what was said about it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Restored {
    pub interlock: String,
    pub words: String,
}

/// One thing that happened; the tag in JSON is `kind`, as for every entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Control {
    /// The owner is absent and the lock had to go (29 CFR 1910.147(e)(3), exception).
    LockRemovedForOwner {
        /// The entry that put it on: a lock on a source or on a box.
        lock: String,
        owner_not_on_site: String,
        tried_to_reach: String,
        directed_by: String,
        procedure_ref: String,
        device_checked: String,
    },
    /// The owner knows that their lock was taken off ((e)(3)(iii)).
    OwnerTold {
        /// The entry that had put the lock on.
        lock: String,
        how: String,
    },
    /// The keys of source locks are in the box ((f)(3)).
    BoxLocked {
        box_name: String,
        /// Who has the primary responsibility for the people on this box.
        coordinator: PersonId,
        /// The lock entries whose keys are in it.
        keys_of: Vec<String>,
    },
    BoxLockOn {
        /// The entry that locked the box.
        #[serde(rename = "box")]
        of: String,
        lock_number: String,
    },
    BoxLockOff {
        /// The entry that put it on.
        lock: String,
    },
    /// Change of shift or person ((f)(4)): the incoming locks stand before the outgoing come off.
    HandedOver {
        from: PersonId,
        to: PersonId,
        note: String,
    },
    /// Which permits the work needs; the whole list each time.
    PermitsNeeded { kinds: Vec<String> },
    PermitOpened {
        permit_kind: String,
        number: String,
        issued_by: String,
        issued_to: String,
        valid_from: Millis,
        valid_to: Millis,
        conditions: String,
    },
    /// Each interlock of the isolation sheet put back before the machine serves again.
    InterlocksRestored { said: Vec<Restored> },
    PermitClosed {
        /// The entry that opened it.
        of: String,
        by: String,
        note: String,
    },
}

impl Control {
    /// The kind's word, as stored beside the JSON.
    pub fn kind(&self) -> &'static str {
        match self {
            Control::LockRemovedForOwner { .. } => "lock_removed_for_owner",
            Control::OwnerTold { .. } => "owner_told",
            Control::BoxLocked { .. } => "box_locked",
            Control::BoxLockOn { .. } => "box_lock_on",
            Control::BoxLockOff { .. } => "box_lock_off",
            Control::HandedOver { .. } => "handed_over",
            Control::PermitsNeeded { .. } => "permits_needed",
            Control::PermitOpened { .. } => "permit_opened",
            Control::PermitClosed { .. } => "permit_closed",
            Control::InterlocksRestored { .. } => "interlocks_restored",
        }
    }

    /// What people read in the timeline.
    pub fn title(&self) -> &'static str {
        match self {
            Control::LockRemovedForOwner { .. } => "Lock taken off for its absent owner",
            Control::OwnerTold { .. } => "Owner told of the lock taken off",
            Control::BoxLocked { .. } => "Keys in the lock box",
            Control::BoxLockOn { .. } => "Own lock on the box",
            Control::BoxLockOff { .. } => "Own lock off the box",
            Control::HandedOver { .. } => "Handed over",
            Control::PermitsNeeded { .. } => "Permits needed",
            Control::PermitOpened { .. } => "Permit opened",
            Control::PermitClosed { .. } => "Permit closed",
            Control::InterlocksRestored { .. } => "Interlocks restored",
        }
    }
}
