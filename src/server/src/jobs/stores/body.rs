//! Entries of the shelf.

use crate::stores::Item;
use crate::stores::amount::Amount;
use serde::{Deserialize, Serialize};
use time::Date;

/// What people say about a warranty before they open what it covers.
pub const ANSWERS: &[(&str, &str)] = &[
    ("claim", "Claimed: whoever gave it is called first"),
    ("go_on", "Opened under warranty all the same, because"),
    ("not_covered", "It does not cover this"),
];

/// Where a unit taken off goes.
pub const GOES: &[(&str, &str)] = &[
    ("kept", "kept here"),
    ("core", "back for its deposit (core)"),
    ("warranty", "back under warranty"),
    ("scrap", "scrapped"),
];

/// What moved, with its words and cost as they were then.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Moved {
    pub item: Item,
    pub name: String,
    pub amount: Amount,
    pub unit: String,
    /// Of the whole amount, in hundredths; `None`: not known.
    #[serde(default)]
    pub cost_minor: Option<i64>,
}

/// One thing that happened; the tag in JSON is `kind`, as for every entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Stores {
    PartIssued {
        moved: Moved,
    },
    PartReturned {
        moved: Moved,
        #[serde(default)]
        note: String,
    },
    /// Kept on the shelf for this job.
    PartReserved {
        moved: Moved,
    },
    PartReleased {
        moved: Moved,
    },
    /// Something bought for it came one step on.
    BuyingStep {
        purchase_id: i64,
        step: String,
        words: String,
    },
    /// Asked before opening what somebody still answers for.
    WarrantyAnswered {
        warranty_id: i64,
        /// Its words as they were then.
        covers: String,
        /// One of [`ANSWERS`].
        answer: String,
        #[serde(default)]
        why: String,
    },
    UnitRemoved {
        what: String,
        /// One of [`GOES`].
        goes: String,
        #[serde(default)]
        sent_to: String,
        #[serde(default)]
        back_by: Option<Date>,
    },
    /// A unit that was to go back did, or will not.
    UnitSettled {
        /// The entry that took it off.
        of: String,
        how: String,
    },
}

impl Stores {
    pub fn kind(&self) -> &'static str {
        match self {
            Stores::PartIssued { .. } => "part_issued",
            Stores::PartReturned { .. } => "part_returned",
            Stores::PartReserved { .. } => "part_reserved",
            Stores::PartReleased { .. } => "part_released",
            Stores::BuyingStep { .. } => "buying_step",
            Stores::WarrantyAnswered { .. } => "warranty_answered",
            Stores::UnitRemoved { .. } => "unit_removed",
            Stores::UnitSettled { .. } => "unit_settled",
        }
    }

    pub fn title(&self) -> &'static str {
        match self {
            Stores::PartIssued { .. } => "Taken from the shelf",
            Stores::PartReturned { .. } => "Back on the shelf",
            Stores::PartReserved { .. } => "Kept on the shelf for it",
            Stores::PartReleased { .. } => "No longer kept for it",
            Stores::BuyingStep { .. } => "Buying",
            Stores::WarrantyAnswered { .. } => "Warranty",
            Stores::UnitRemoved { .. } => "Unit taken off",
            Stores::UnitSettled { .. } => "Unit settled",
        }
    }

    /// What moves, if anything does.
    pub fn moved(&self) -> Option<&Moved> {
        match self {
            Stores::PartIssued { moved }
            | Stores::PartReturned { moved, .. }
            | Stores::PartReserved { moved }
            | Stores::PartReleased { moved } => Some(moved),
            _ => None,
        }
    }
}
