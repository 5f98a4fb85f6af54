//! The stores: parts, their movements and lists, what is to be bought, warranties, alternates.
//!
//! Read in this order: [`amount`] (exact quantities), [`queries`] (a balance is the sum of its
//! movements), [`parts`] (the register's pages), then `jobs/stores` (issue and return on a job).

pub mod alternates;
pub mod amount;
pub mod buying;
mod buying_step;
pub mod form;
pub mod lists;
pub mod machine_list;
pub mod moves;
pub mod parts;
pub mod queries;
pub mod reorder;

use crate::motors::MotorId;
use crate::people::Role;
use amount::Amount;
use serde::{Deserialize, Serialize};

/// Who keeps the stores.
pub const KEEPERS: &[Role] = &[Role::Storekeeper, Role::Supervisor];

/// Who counts, issues and returns.
pub const HANDS: &[Role] = &[Role::Technician, Role::Storekeeper, Role::Supervisor];

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct PartId(pub i64);

/// What lies on the shelf: parts and whole motors share one idea of balance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Item {
    Part(PartId),
    Motor(MotorId),
}

impl Item {
    /// `part-3`, `motor-5`: as forms send it.
    pub fn value(self) -> String {
        match self {
            Item::Part(id) => format!("part-{}", id.0),
            Item::Motor(id) => format!("motor-{}", id.0),
        }
    }

    pub fn named(text: &str) -> Option<Item> {
        let (kind, id) = text.trim().split_once('-')?;
        let id = id.parse().ok()?;
        match kind {
            "part" => Some(Item::Part(PartId(id))),
            "motor" => Some(Item::Motor(MotorId(id))),
            _ => None,
        }
    }

    /// Its own page.
    pub fn page(self) -> String {
        match self {
            Item::Part(id) => format!("/shelf/parts/{}", id.0),
            Item::Motor(id) => format!("/shelf/motors/{}", id.0),
        }
    }

    pub fn part(self) -> Option<PartId> {
        match self {
            Item::Part(id) => Some(id),
            Item::Motor(_) => None,
        }
    }

    pub fn motor(self) -> Option<MotorId> {
        match self {
            Item::Motor(id) => Some(id),
            Item::Part(_) => None,
        }
    }
}

/// Kinds of part and their words.
pub const KINDS: &[(&str, &str)] = &[
    ("bearing", "bearing"),
    ("belt", "belt"),
    ("capacitor", "capacitor"),
    ("filter", "filter"),
    ("thermostat", "thermostat"),
    ("seal", "seal"),
    ("contactor", "contactor or relay"),
    ("other", "other"),
];

/// Whether the shop keeps it.
pub const STANDINGS: &[(&str, &str)] = &[
    ("held", "held on the shelf"),
    ("to_buy", "bought when needed"),
    ("ended", "no longer made"),
];

/// Why a count was not what the list said.
pub const COUNT_WHYS: &[(&str, &str)] = &[
    ("not_booked", "taken or brought, and not booked"),
    ("miscounted", "counted wrongly before"),
    ("found", "found in another place"),
    ("unexplained", "nobody knows"),
];

/// A part as the register holds it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Part {
    pub id: PartId,
    pub name: String,
    pub kind: String,
    pub description: String,
    pub maker_number: String,
    pub unit: String,
    pub bins: String,
    pub standing: String,
    pub last_buy: String,
    pub lead_days: Option<i64>,
    pub price_minor: Option<i64>,
    pub order_at: Option<Amount>,
    pub critical: bool,
    pub on_hand: Amount,
    pub reserved: Amount,
    pub version: i64,
}

impl Part {
    /// On the shelf and not kept for a job.
    pub fn free(&self) -> Amount {
        Amount(self.on_hand.0 - self.reserved.0)
    }

    pub fn item(&self) -> Item {
        Item::Part(self.id)
    }

    pub fn ended(&self) -> bool {
        self.standing == "ended"
    }

    /// `3 pieces, 1 of them kept for jobs`
    pub fn balance_words(&self) -> String {
        let held = self.on_hand.with_unit(&self.unit);
        match self.reserved.0 {
            0 => held,
            _ => format!("{held}, {} of it kept for jobs", self.reserved.words()),
        }
    }
}
