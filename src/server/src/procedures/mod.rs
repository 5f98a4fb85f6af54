//! Procedures: written steps with the readings they take, kept by revision. A job takes a copy of
//! one revision and keeps it whatever is written later.

pub mod edit;
pub mod notation;
pub mod pages;
pub mod queries;
pub mod starter;

use crate::clock::Millis;
use crate::rows::Options;
use serde::{Deserialize, Serialize};

/// What the answer to a step is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Takes {
    /// Done, and nothing more.
    #[default]
    Tick,
    /// A reading of an instrument, with limits where there are any.
    Reading,
    /// One of the step's words.
    Choice,
}

impl Takes {
    pub fn word(self) -> &'static str {
        match self {
            Takes::Tick => "tick",
            Takes::Reading => "reading",
            Takes::Choice => "choice",
        }
    }

    pub fn named(word: &str) -> Option<Takes> {
        [Takes::Tick, Takes::Reading, Takes::Choice]
            .into_iter()
            .find(|takes| takes.word() == word)
    }
}

/// One step of a procedure.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Step {
    pub text: String,
    pub takes: Takes,
    /// What is measured: one of the words of [`QUANTITIES`].
    pub quantity: String,
    /// Its unit as printed.
    pub unit: String,
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub choices: Vec<String>,
    /// Where the step or its limit comes from.
    pub source: String,
    pub caution: String,
    /// Work on the machine itself: it waits until every source is locked and proved dead.
    pub locked: bool,
}

/// What can be measured: the word in a step, the unit printed, and other ways to write it.
pub const QUANTITIES: &[(&str, &str, &[&str])] = &[
    ("volts", "V", &["volt", "v"]),
    ("amps", "A", &["amp", "a"]),
    ("ohm", "Ω", &["ohms"]),
    ("megohm", "MΩ", &["megohms", "mohm"]),
    ("microfarad", "µF", &["microfarads", "uf"]),
    ("mm_s", "mm/s", &["mm/s"]),
    ("rpm", "rpm", &["turns"]),
    ("celsius", "°C", &["c", "degrees"]),
    ("percent", "%", &["%"]),
    ("mm", "mm", &["millimetres"]),
    ("newton", "N", &["n", "newtons"]),
    ("newton_metre", "Nm", &["nm"]),
    ("bar", "bar", &[]),
    ("pascal", "Pa", &["pa"]),
    ("ppm", "ppm", &[]),
    ("minutes", "min", &["minute", "min"]),
    ("drops_a_minute", "drops/min", &["drops/min", "drops"]),
    ("shots", "shots", &["shot"]),
    ("kilogram", "kg", &["kg"]),
];

/// The quantity and printed unit behind a word of a step.
pub fn quantity(word: &str) -> Option<(&'static str, &'static str)> {
    let word = word.trim().to_lowercase();
    QUANTITIES
        .iter()
        .find(|(name, unit, others)| {
            *name == word || unit.to_lowercase() == word || others.contains(&word.as_str())
        })
        .map(|(name, unit, _)| (*name, *unit))
}

/// How a reading stands to the limits of its step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judged {
    /// The step has no limits.
    NoLimit,
    Within,
    Outside,
    /// What was shown is no figure that the limits can judge, such as `OL`.
    NotJudged,
}

impl Step {
    /// Volts and amps are read on live parts.
    pub fn live(&self) -> bool {
        self.takes == Takes::Reading && matches!(self.quantity.as_str(), "volts" | "amps")
    }

    /// The number in a reading as typed, with the step's own unit behind it or none.
    pub fn figure(&self, shown: &str) -> Option<f64> {
        let others = QUANTITIES
            .iter()
            .find(|(name, ..)| *name == self.quantity)
            .map_or(&[][..], |(.., others)| others);
        let unit = self.unit.to_lowercase();
        let words: Vec<&str> = others
            .iter()
            .copied()
            .chain([self.quantity.as_str(), unit.as_str()])
            .collect();
        crate::jobs::step_page::shown_number(shown, &words)
    }

    /// `>2000` is a reading beyond the instrument's range: it is at least that.
    pub fn judge(&self, shown: &str) -> Judged {
        if self.low.is_none() && self.high.is_none() {
            return Judged::NoLimit;
        }
        if let Some(beyond) = shown.trim().strip_prefix('>') {
            return match (self.figure(beyond), self.low, self.high) {
                (Some(value), _, Some(high)) if value >= high => Judged::Outside,
                (Some(value), Some(low), None) if value >= low => Judged::Within,
                _ => Judged::NotJudged,
            };
        }
        match self.figure(shown) {
            None => Judged::NotJudged,
            Some(value)
                if self.low.is_some_and(|low| value < low)
                    || self.high.is_some_and(|high| value > high) =>
            {
                Judged::Outside
            }
            Some(_) => Judged::Within,
        }
    }

    /// `5 MΩ or more`, `198 to 242 V`; empty where there is no limit.
    pub fn limit_words(&self) -> String {
        let unit = &self.unit;
        match (self.low, self.high) {
            (None, None) => String::new(),
            (Some(low), None) => format!("{low} {unit} or more"),
            (None, Some(high)) => format!("{high} {unit} or less"),
            (Some(low), Some(high)) => format!("{low} to {high} {unit}"),
        }
    }
}

/// A procedure as the list shows it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Procedure {
    pub id: i64,
    pub name: String,
    pub for_kind: String,
    pub revision: i64,
    pub version: i64,
}

/// One revision of a procedure.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Revision {
    pub revision: i64,
    pub made_at: Millis,
    /// Empty: it came with the program.
    pub made_by: String,
}

/// The words for the kind of machine a procedure is for.
pub fn kind_words(kind: &str) -> String {
    if kind.is_empty() {
        return "any machine".to_owned();
    }
    let kinds: Options = crate::machines::KINDS;
    crate::rows::words_of(kinds, kind)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn insulation() -> Step {
        Step {
            takes: Takes::Reading,
            quantity: "megohm".to_owned(),
            unit: "MΩ".to_owned(),
            low: Some(5.0),
            ..Step::default()
        }
    }

    #[test]
    fn a_reading_is_judged_by_its_limits_only_where_it_is_a_figure() {
        let step = insulation();
        for (shown, judged) in [
            ("5", Judged::Within),
            ("4.9", Judged::Outside),
            ("1200 MΩ", Judged::Within),
            ("12 megohm", Judged::Within),
            (">2000", Judged::Within),
            (">2", Judged::NotJudged),
            ("OL", Judged::NotJudged),
            ("0.5 kΩ", Judged::NotJudged),
        ] {
            assert_eq!(step.judge(shown), judged, "{shown}");
        }
        let range = Step {
            low: Some(198.0),
            high: Some(242.0),
            unit: "V".to_owned(),
            quantity: "volts".to_owned(),
            ..insulation()
        };
        assert_eq!(range.judge("242"), Judged::Within);
        assert_eq!(range.judge("243"), Judged::Outside);
        assert_eq!(range.judge(">1000"), Judged::Outside);
        assert_eq!(range.limit_words(), "198 to 242 V");
        assert!(range.live() && !step.live());
        let free = Step {
            low: None,
            ..insulation()
        };
        assert_eq!(free.judge("OL"), Judged::NoLimit);
    }

    #[test]
    fn each_unit_is_found_by_each_of_its_words_and_none_twice() {
        let mut words: Vec<String> = Vec::new();
        for (name, unit, others) in QUANTITIES {
            assert_eq!(quantity(unit).map(|q| q.0), Some(*name), "{unit}");
            words.push((*name).to_owned());
            words.extend(others.iter().map(|w| (*w).to_owned()));
        }
        let count = words.len();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), count);
        assert_eq!(quantity("furlong"), None);
    }
}
