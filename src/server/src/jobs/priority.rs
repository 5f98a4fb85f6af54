//! How urgent a report is: four levels by one rule, from what the reporter answered and the record.
//!
//! | what is known                                                        | level         |
//! |----------------------------------------------------------------------|---------------|
//! | somebody may be hurt or the building damaged; smoke, sparks, burning | danger        |
//! | else: water where it should not be                                   | damage        |
//! | else: what it serves is needed now                                   | service lost  |
//! | else: the machine's record says people or work stop without it       | service lost  |
//! | else: no danger, and not needed now                                  | when it suits |
//! | anything else: a question was left open that would decide            | not judged    |
//!
//! The first line that holds counts. A question left open is never taken for a no.

use crate::clock::{DAY, HOUR, Millis};
use serde::{Deserialize, Serialize};

/// How soon somebody goes; the most urgent first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    Danger,
    Damage,
    ServiceLost,
    WhenItSuits,
}

impl Level {
    pub const ALL: [Level; 4] = [
        Level::Danger,
        Level::Damage,
        Level::ServiceLost,
        Level::WhenItSuits,
    ];

    /// Values and words of a choice.
    pub const CHOICES: &'static [(&'static str, &'static str)] = &[
        (
            "danger",
            "danger: somebody may be hurt or the building damaged",
        ),
        ("damage", "damage: it goes on while nobody comes"),
        ("service_lost", "service lost: what it serves does not work"),
        ("when_it_suits", "when it suits"),
    ];

    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Level::Danger => "danger",
            Level::Damage => "damage",
            Level::ServiceLost => "service_lost",
            Level::WhenItSuits => "when_it_suits",
        }
    }

    pub fn named(word: &str) -> Option<Level> {
        Level::ALL.into_iter().find(|level| level.word() == word)
    }

    /// The words on pages.
    pub fn words(self) -> &'static str {
        match self {
            Level::Danger => "danger",
            Level::Damage => "damage",
            Level::ServiceLost => "service lost",
            Level::WhenItSuits => "when it suits",
        }
    }

    /// From report to first attendance, until the shop sets its own: one garrison's emergencies
    /// within 1 to 24 hours, urgent work in 7 days, routine work in 30.
    pub fn usual_target(self) -> Millis {
        match self {
            Level::Danger => HOUR,
            Level::Damage => DAY,
            Level::ServiceLost => 7 * DAY,
            Level::WhenItSuits => 30 * DAY,
        }
    }
}

/// What can be ticked on a report: value, words.
pub const SIGNS: &[(&str, &str)] = &[
    ("smoke", "smoke"),
    ("sparks", "sparks"),
    ("burning", "a smell of burning"),
    ("water", "water where it should not be"),
];

/// What the reporter answered, and what the rule made of it that day. It stands in the entry, so
/// that a later rule or a later record does not judge an old report anew.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Urgency {
    /// `None`: not answered.
    pub danger: Option<bool>,
    /// Of [`SIGNS`].
    pub signs: Vec<String>,
    pub needed_now: Option<bool>,
    /// `None`: not judged.
    pub level: Option<Level>,
    pub because: String,
}

impl Urgency {
    /// Judges the answers. `criticality` is the word in the machine's record, if a machine is named.
    pub fn judged(
        danger: Option<bool>,
        signs: Vec<String>,
        needed_now: Option<bool>,
        criticality: Option<&str>,
    ) -> Urgency {
        let (level, because) = judge(danger, &signs, needed_now, criticality);
        Urgency {
            danger,
            signs,
            needed_now,
            level,
            because,
        }
    }

    pub fn is_blank(&self) -> bool {
        *self == Urgency::default()
    }
}

fn judge(
    danger: Option<bool>,
    signs: &[String],
    needed_now: Option<bool>,
    criticality: Option<&str>,
) -> (Option<Level>, String) {
    let seen = |wanted: &[&str]| {
        let words: Vec<&str> = SIGNS
            .iter()
            .filter(|(sign, _)| wanted.contains(sign) && signs.iter().any(|s| s == sign))
            .map(|(_, words)| *words)
            .collect();
        words.join(", ")
    };
    let (fire, water) = (seen(&["smoke", "sparks", "burning"]), seen(&["water"]));
    if danger == Some(true) {
        let because = "the reporter says that somebody may be hurt or the building damaged";
        (Some(Level::Danger), because.to_owned())
    } else if !fire.is_empty() {
        (Some(Level::Danger), format!("the reporter noticed {fire}"))
    } else if !water.is_empty() {
        (Some(Level::Damage), format!("the reporter noticed {water}"))
    } else if needed_now == Some(true) {
        let because = "what it serves is needed now";
        (Some(Level::ServiceLost), because.to_owned())
    } else if criticality == Some("high") {
        let because = "people or work stop without this machine";
        (Some(Level::ServiceLost), because.to_owned())
    } else if danger == Some(false) && needed_now == Some(false) {
        let because = "no danger, and it is not needed now";
        (Some(Level::WhenItSuits), because.to_owned())
    } else {
        (None, String::new())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(danger: Option<bool>, signs: &[&str], needed: Option<bool>, record: &str) -> String {
        let signs = signs.iter().map(|s| (*s).to_owned()).collect();
        let found = Urgency::judged(danger, signs, needed, Some(record));
        assert_eq!(found.level.is_none(), found.because.is_empty());
        found.level.map_or("not judged", Level::words).to_owned()
    }

    #[test]
    fn the_first_line_of_the_rule_that_holds_counts() {
        let (yes, no) = (Some(true), Some(false));
        for (danger, signs, needed, record, wanted) in [
            (yes, &[][..], no, "low", "danger"),
            (no, &["sparks"], no, "low", "danger"),
            (None, &["water", "burning"], None, "ordinary", "danger"),
            (no, &["water"], yes, "high", "damage"),
            (no, &[], yes, "low", "service lost"),
            (None, &[], yes, "ordinary", "service lost"),
            (None, &[], no, "high", "service lost"),
            (no, &[], no, "ordinary", "when it suits"),
            (no, &["something else"], no, "ordinary", "when it suits"),
        ] {
            let found = level(danger, signs, needed, record);
            assert_eq!(found, wanted, "{danger:?} {signs:?} {needed:?} {record}");
        }
    }

    #[test]
    fn a_question_left_open_is_never_taken_for_a_no() {
        let no = Some(false);
        assert_eq!(level(None, &[], None, "ordinary"), "not judged");
        assert_eq!(level(no, &[], None, "low"), "not judged");
        assert_eq!(level(None, &[], no, "ordinary"), "not judged");
        assert!(Urgency::judged(None, Vec::new(), None, None).is_blank());
    }

    #[test]
    fn words_come_back_and_the_most_urgent_is_the_least() {
        for level in Level::ALL {
            assert_eq!(Level::named(level.word()), Some(level));
        }
        assert!(Level::Danger < Level::WhenItSuits);
        assert!(Level::Danger.usual_target() < Level::Damage.usual_target());
        assert_eq!(Level::named("urgent"), None);
    }
}
