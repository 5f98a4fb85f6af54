//! Entries of the shelf.

use crate::stores::Item;
use crate::stores::amount::Amount;
use serde::{Deserialize, Serialize};

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
}

impl Stores {
    pub fn kind(&self) -> &'static str {
        match self {
            Stores::PartIssued { .. } => "part_issued",
            Stores::PartReturned { .. } => "part_returned",
            Stores::PartReserved { .. } => "part_reserved",
            Stores::PartReleased { .. } => "part_released",
            Stores::BuyingStep { .. } => "buying_step",
        }
    }

    pub fn title(&self) -> &'static str {
        match self {
            Stores::PartIssued { .. } => "Taken from the shelf",
            Stores::PartReturned { .. } => "Back on the shelf",
            Stores::PartReserved { .. } => "Kept on the shelf for it",
            Stores::PartReleased { .. } => "No longer kept for it",
            Stores::BuyingStep { .. } => "Buying",
        }
    }

    /// What moves, if anything does.
    pub fn moved(&self) -> Option<&Moved> {
        match self {
            Stores::PartIssued { moved }
            | Stores::PartReturned { moved, .. }
            | Stores::PartReserved { moved }
            | Stores::PartReleased { moved } => Some(moved),
            Stores::BuyingStep { .. } => None,
        }
    }
}
