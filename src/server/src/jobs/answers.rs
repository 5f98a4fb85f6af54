//! The questions on a report that decide how urgent it is, as typed.

use super::priority::{SIGNS, Urgency};
use crate::form::Fields;
use serde::Deserialize;

/// Values and words; an open question stays open.
pub const YES_NO: &[(&str, &str)] = &[("yes", "yes"), ("no", "no")];

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Answers {
    pub danger: String,
    pub needed: String,
    pub smoke: String,
    pub sparks: String,
    pub burning: String,
    pub water: String,
}

impl Answers {
    /// As they came in the fields of a form.
    pub fn of(fields: &Fields) -> Self {
        let get = |name| fields.get(name).to_owned();
        Answers {
            danger: get("danger"),
            needed: get("needed"),
            smoke: get("smoke"),
            sparks: get("sparks"),
            burning: get("burning"),
            water: get("water"),
        }
    }

    fn ticked(&self, sign: &str) -> bool {
        let field = match sign {
            "smoke" => &self.smoke,
            "sparks" => &self.sparks,
            "burning" => &self.burning,
            "water" => &self.water,
            _ => return false,
        };
        !field.trim().is_empty()
    }

    /// Each sign with its words and whether it is ticked.
    pub fn signs(&self) -> Vec<(&'static str, &'static str, bool)> {
        SIGNS
            .iter()
            .map(|(sign, words)| (*sign, *words, self.ticked(sign)))
            .collect()
    }

    /// `criticality` is the word in the machine's record, if the report names a machine.
    pub fn judged(&self, criticality: Option<&str>) -> Urgency {
        let said = |answer: &str| match answer.trim() {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        };
        let signs = self.signs().into_iter().filter(|(.., ticked)| *ticked);
        let signs = signs.map(|(sign, ..)| sign.to_owned()).collect();
        Urgency::judged(said(&self.danger), signs, said(&self.needed), criticality)
    }
}
