//! What the work of a plan needs beside its date: isolation, a procedure, people, parts, access, and the
//! day beyond which it counts as missed.

use crate::stores::amount::Amount;
use serde::{Deserialize, Serialize};
use time::{Date, Duration};

/// Kept as JSON beside the plan, so that a plan on a kind hands it on as it is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Needs {
    /// The machine has to be isolated; `None`: nobody has said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lock: Option<bool>,
    /// A procedure of the library; the job takes its newest revision.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub procedure: Option<i64>,
    /// Days after the due date beyond which it counts as missed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hard_days: Option<i64>,
    /// People at once; `None`: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crew: Option<i64>,
    /// Qualifications in the shop's words; whoever does it has them, or a partner who is there.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub skills: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<PartNeeded>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub access: String,
}

/// So many of one part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PartNeeded {
    pub part: i64,
    /// As the shelf calls it, for reading.
    pub name: String,
    pub amount: Amount,
}

/// Whether the work can be done on a round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lock {
    /// Looks and reads only, as somebody said.
    NotNeeded,
    NotSaid,
    /// Needs the machine isolated, and why that is known.
    Needed(&'static str),
}

impl Lock {
    pub fn needed(self) -> bool {
        matches!(self, Lock::Needed(_))
    }

    pub fn words(self) -> &'static str {
        match self {
            Lock::NotNeeded => "no: it looks and reads only",
            Lock::NotSaid => "nobody has said",
            Lock::Needed(why) => why,
        }
    }
}

/// Words in steps that nobody writes about work on a running machine.
const SPEAKS: &[&str] = &[
    "[locked]",
    "isolate",
    "lock out",
    "lock off",
    "locked out",
    "locked off",
    "prove dead",
    "proved dead",
];

impl Needs {
    pub fn read(json: &str) -> sqlx::Result<Needs> {
        serde_json::from_str(json).map_err(|e| sqlx::Error::Decode(e.into()))
    }

    pub fn written(&self) -> sqlx::Result<String> {
        serde_json::to_string(self).map_err(|e| sqlx::Error::Encode(e.into()))
    }

    /// `locking` holds the procedures with a step that waits for isolation. What is known to need it is
    /// never talked away by a tick.
    pub fn isolation(&self, steps: &str, locking: &[i64]) -> Lock {
        let steps = steps.to_lowercase();
        if self.procedure.is_some_and(|id| locking.contains(&id)) {
            return Lock::Needed("yes: its procedure has steps that wait for isolation");
        }
        match self.lock {
            Some(true) => Lock::Needed("yes: the plan says so"),
            _ if SPEAKS.iter().any(|words| steps.contains(words)) => {
                Lock::Needed("yes: its steps speak of isolation")
            }
            Some(false) => Lock::NotNeeded,
            None => Lock::NotSaid,
        }
    }

    /// The last day that does not count as missed.
    pub fn hard_limit(&self, due_on: Date) -> Option<Date> {
        due_on.checked_add(Duration::days(self.hard_days?))
    }

    /// `2 piece of Belt A42, 1 piece of Filter`
    pub fn parts_words(&self) -> String {
        let words = |part: &PartNeeded| format!("{} × {}", part.amount.words(), part.name);
        let all: Vec<String> = self.parts.iter().map(words).collect();
        all.join(", ")
    }

    /// The lines beside the work on a sheet: who, with what, and how one gets there.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(crew) = self.crew.filter(|crew| *crew > 1) {
            lines.push(format!("People at once: {crew}"));
        }
        if !self.skills.is_empty() {
            lines.push(format!("Qualified for: {}", self.skills.join(", ")));
        }
        if !self.parts.is_empty() {
            lines.push(format!("Parts: {}", self.parts_words()));
        }
        if !self.access.is_empty() {
            lines.push(format!("Access: {}", self.access));
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn isolation_is_known_from_plan_procedure_or_steps_and_a_tick_does_not_undo_it() {
        let blank = Needs::default();
        let says = |lock| Needs {
            lock: Some(lock),
            ..Needs::default()
        };
        assert_eq!(blank.isolation("Look at it", &[]), Lock::NotSaid);
        assert_eq!(says(false).isolation("Look at it", &[]), Lock::NotNeeded);
        assert!(says(true).isolation("Look at it", &[]).needed());
        for steps in [
            "Tighten it [locked]",
            "Isolate and PROVE DEAD",
            "Lock out first",
        ] {
            assert!(says(false).isolation(steps, &[]).needed(), "{steps}");
        }
        assert!(
            !blank
                .isolation("See that the lock of the roof door works", &[])
                .needed()
        );
        let by_procedure = Needs {
            procedure: Some(7),
            ..says(false)
        };
        assert!(by_procedure.isolation("", &[7]).needed());
        assert!(!by_procedure.isolation("", &[8]).needed());
    }

    #[test]
    fn what_nobody_said_is_not_written_and_reads_back() {
        assert_eq!(Needs::default().written().expect("writes"), "{}");
        let needs = Needs {
            hard_days: Some(20),
            crew: Some(2),
            access: "Key 4".to_owned(),
            parts: vec![PartNeeded {
                part: 3,
                name: "Belt A42".to_owned(),
                amount: Amount(2000),
            }],
            ..Needs::default()
        };
        let text = needs.written().expect("writes");
        assert_eq!(Needs::read(&text).expect("reads"), needs);
        assert_eq!(
            needs.lines(),
            ["People at once: 2", "Parts: 2 × Belt A42", "Access: Key 4"]
        );
        assert_eq!(
            needs.hard_limit(date!(2026 - 11 - 25)),
            Some(date!(2026 - 12 - 15))
        );
        assert_eq!(Needs::default().hard_limit(date!(2026 - 11 - 25)), None);
    }
}
