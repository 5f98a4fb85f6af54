//! The two exceptions from isolation that 29 CFR 1910.147 knows, each with its conditions.

use serde::{Deserialize, Serialize};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Exception {
    /// (a)(2)(iii)(A): unplugged, the plug in the hands of who works.
    CordAndPlug,
    /// (a)(2)(ii), note: minor servicing during normal production.
    MinorServicing,
}

/// A condition: its word, and what the person confirms.
pub type Condition = (&'static str, &'static str);

impl Exception {
    pub const ALL: [Exception; 2] = [Exception::CordAndPlug, Exception::MinorServicing];

    pub fn word(self) -> &'static str {
        match self {
            Exception::CordAndPlug => "cord_and_plug",
            Exception::MinorServicing => "minor_servicing",
        }
    }

    pub fn named(word: &str) -> Option<Exception> {
        Self::ALL.into_iter().find(|one| one.word() == word)
    }

    pub fn words(self) -> &'static str {
        match self {
            Exception::CordAndPlug => "cord and plug, unplugged",
            Exception::MinorServicing => "minor servicing during normal production",
        }
    }

    pub fn source(self) -> &'static str {
        match self {
            Exception::CordAndPlug => "29 CFR 1910.147(a)(2)(iii)(A)",
            Exception::MinorServicing => "29 CFR 1910.147(a)(2)(ii), note",
        }
    }

    /// Each is confirmed on its own; none stands for another.
    pub fn conditions(self) -> &'static [Condition] {
        match self {
            Exception::CordAndPlug => &[
                ("unplugged", "It is unplugged"),
                (
                    "control",
                    "The plug is under my exclusive control: in hand, or in reach and in sight",
                ),
                (
                    "only_electric",
                    "Electricity is its only energy: nothing stored, no air, water, gas or spring",
                ),
            ],
            Exception::MinorServicing => &[
                ("production", "It takes place during normal production"),
                ("routine", "It is routine"),
                ("repetitive", "It is repetitive"),
                ("integral", "It is integral to using the equipment"),
                (
                    "effective",
                    "Other measures protect effectively, and are named below",
                ),
            ],
        }
    }

    pub fn measures_label(self) -> &'static str {
        match self {
            Exception::CordAndPlug => "Where the plug is, and how it is kept",
            Exception::MinorServicing => "The measures that protect instead",
        }
    }
}
