//! The shop itself: its name, time zone, rule set and units, and the first run that sets them.

pub mod closed;
pub mod closed_queries;
pub mod overview;
pub mod places;
pub mod queries;
pub mod repeats;
pub mod response;
pub mod set_up;
pub mod sign_ins;

use calc::circuit::RuleSet;

/// Units people read and type; everything is computed in SI.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    Us,
    Si,
}

impl Units {
    pub fn word(self) -> &'static str {
        match self {
            Units::Us => "us",
            Units::Si => "si",
        }
    }

    pub fn named(word: &str) -> Option<Units> {
        match word {
            "us" => Some(Units::Us),
            "si" => Some(Units::Si),
            _ => None,
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    pub name: String,
    pub time_zone: String,
    /// The adopted edition: chosen at set-up, never assumed.
    pub rule_set: RuleSet,
    /// Local amendments, in the shop's words.
    pub rule_note: String,
    pub units: Units,
    pub currency: String,
}

/// Values and words of the rule-set field.
pub const RULE_SETS: &[(&str, &str)] = &[
    ("NEC 2023", "NEC 2023"),
    ("NEC 2020", "NEC 2020"),
    ("NEC 2017", "NEC 2017"),
    ("IEC 60364", "IEC 60364"),
];

/// Values and words of the units field.
pub const UNITS: &[(&str, &str)] = &[
    ("us", "US: horsepower, inches, feet"),
    ("si", "SI: kilowatts, millimetres, metres"),
];
