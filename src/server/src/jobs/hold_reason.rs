//! Why a job waits.

use serde::{Deserialize, Serialize};

/// Why a job waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HoldReason {
    Part,
    Access,
    Weather,
    OutsideFirm,
    /// The circuit check was not passed and nobody licensed has decided.
    Circuit,
    Other,
}

impl HoldReason {
    pub const CHOICES: &'static [(&'static str, &'static str)] = &[
        ("part", "waiting for a part"),
        ("access", "no access"),
        ("weather", "weather"),
        ("outside_firm", "waiting for an outside firm"),
        ("other", "other"),
    ];

    pub fn word(self) -> &'static str {
        match self {
            HoldReason::Part => "part",
            HoldReason::Access => "access",
            HoldReason::Weather => "weather",
            HoldReason::OutsideFirm => "outside_firm",
            HoldReason::Circuit => "circuit",
            HoldReason::Other => "other",
        }
    }

    /// The words on pages.
    pub fn words_of(word: &str) -> &'static str {
        match word {
            "circuit" => "the circuit check",
            _ => Self::CHOICES
                .iter()
                .find(|(w, _)| *w == word)
                .map_or("other", |(_, words)| words),
        }
    }
}
