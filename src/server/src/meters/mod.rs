//! Meters of machines: read by hand, judged before they are kept, changed for new ones, and what they
//! say about the next service.

pub mod ahead;
pub mod change;
pub mod lines;
pub mod many;
pub mod pages;
pub mod queries;
pub mod record;
pub mod sense;

use crate::clock::date_words;
use crate::machines::MachineId;
use crate::measure;
use time::Date;

/// One meter with its machine and what it showed last.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Meter {
    pub id: i64,
    pub machine_id: MachineId,
    pub tag: String,
    pub machine: String,
    pub place_id: i64,
    pub name: String,
    pub unit: String,
    /// Counts run hours, of which a day has 24.
    pub hours: bool,
    /// Where it goes back to zero.
    pub full_at: Option<f64>,
    pub last_on: Option<Date>,
    pub last_value: Option<f64>,
    pub last_person: Option<String>,
}

impl Meter {
    /// A figure of this meter with its unit.
    pub fn shown(&self, value: f64) -> String {
        format!("{} {}", measure::figure(value, 2), self.unit)
    }

    /// `7330 h on Fri 13 Nov 2026, Tobin`
    pub fn last_words(&self) -> String {
        let (Some(value), Some(on)) = (self.last_value, self.last_on) else {
            return "never read".to_owned();
        };
        let by = match &self.last_person {
            Some(person) => format!(", {person}"),
            None => String::new(),
        };
        format!("{} on {}{by}", self.shown(value), date_words(on))
    }
}
