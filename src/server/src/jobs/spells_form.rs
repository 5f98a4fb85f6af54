//! What time on a job goes on, how a stretch of it is typed, and which stretches are taken.

use super::body::Body;
use super::gate;
use super::step_page::WORKERS;
use super::steps::Keys;
use crate::clock::{Millis, Zone};
use crate::form::{self, FieldErrors};
use crate::people::PersonId;
use calc::life::restoration::Kind;
use serde::Deserialize;

/// What time goes on: the word in the entry, the words people read, the standard's kind, and
/// whether it is somebody's time.
pub const KINDS: &[(&str, &str, Kind, bool)] = &[
    ("travel", "travel and fetching", Kind::Logistic, true),
    (
        "making_dead",
        "shutting down, locks, dead test",
        Kind::Technical,
        true,
    ),
    (
        "locating",
        "finding where the fault is",
        Kind::Localization,
        true,
    ),
    (
        "diagnosing",
        "finding what failed and why",
        Kind::Diagnosis,
        true,
    ),
    ("repair", "repair", Kind::Correction, true),
    ("testing", "run test and handing back", Kind::Checkout, true),
    ("part", "waiting for a part", Kind::Logistic, false),
    (
        "people_or_tools",
        "waiting for a person, a lift or a tool",
        Kind::Logistic,
        false,
    ),
    ("weather", "waiting for weather", Kind::Logistic, false),
    ("access", "waiting for access", Kind::Administrative, false),
    (
        "decision",
        "waiting for an approval or a decision",
        Kind::Administrative,
        false,
    ),
];

/// The words of a kind.
pub fn words_of(word: &str) -> &str {
    KINDS
        .iter()
        .find(|(known, ..)| *known == word)
        .map_or(word, |(_, words, ..)| words)
}

/// `1 h 45 min`
pub fn hours(from: Millis, to: Millis) -> String {
    let minutes = (to - from).max(0) / 60_000;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// What was typed.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct TimeInput {
    #[serde(flatten)]
    pub(super) keys: Keys,
    pub(super) person: String,
    pub(super) spent: String,
    pub(super) day: String,
    pub(super) from: String,
    pub(super) to: String,
    pub(super) note: String,
    pub(super) of: String,
    pub(super) why: String,
}

impl TimeInput {
    /// The entry, or what is wrong beside each field.
    pub(super) fn parse(&self, zone: &Zone, now: Millis) -> Result<Body, FieldErrors> {
        let mut errors = FieldErrors::default();
        let kind = KINDS.iter().find(|(word, ..)| *word == self.spent);
        if kind.is_none() {
            errors.add("spent", "Choose what the time went on");
        }
        let of_somebody = kind.is_none_or(|(.., of_somebody)| *of_somebody);
        let person = self.person.parse().ok().map(PersonId);
        if of_somebody && person.is_none() {
            errors.add("person", "Choose whose time it was");
        }
        let day = errors.take("day", form::optional_date(&self.day));
        if day.is_none() {
            errors.add("day", "Enter the day, as 2026-11-25");
        }
        let mut instant = |name: &str, typed: &str| {
            let Some((hour, minute)) = clock_time(typed) else {
                errors.add(name, "Enter a time of day, as 08:30");
                return None;
            };
            zone.instant(day?, hour, minute)
        };
        let (from, to) = (instant("from", &self.from), instant("to", &self.to));
        if let (Some(from), Some(to)) = (from, to) {
            if to <= from {
                errors.add(
                    "to",
                    "It must end after it starts. Enter work over midnight in two parts",
                );
            } else if to > now + 60_000 {
                errors.add("to", "This time is still to come");
            }
        }
        match (from, to) {
            (Some(from), Some(to)) => errors.or(Body::TimeSpent {
                person: person.filter(|_| of_somebody),
                spent: self.spent.clone(),
                from,
                to,
                note: self.note.trim().to_owned(),
            }),
            _ => Err(errors),
        }
    }
}

/// `8:30`, `08:30` or `0830`
pub fn clock_time(text: &str) -> Option<(u8, u8)> {
    let text = text.trim();
    let (hour, minute) = match text.split_once([':', '.']) {
        Some(parts) => parts,
        None if text.len() == 4 && text.is_ascii() => text.split_at(2),
        None => return None,
    };
    let (hour, minute) = (hour.parse().ok()?, minute.parse().ok()?);
    (hour < 24 && minute < 60).then_some((hour, minute))
}

/// Whose time may be written down, and what may be withdrawn.
pub(super) fn gate(body: &Body, around: &gate::Surroundings) -> Result<(), gate::Refusal> {
    match body {
        Body::TimeSpent {
            person: Some(_),
            from,
            to,
            ..
        } => {
            let works = around
                .handed_to
                .as_ref()
                .is_some_and(|person| WORKERS.contains(&person.role));
            if !works {
                return gate::refuse("person", "Choose one of the shop's technicians");
            }
            forward(*from, *to)
        }
        Body::TimeSpent { from, to, .. } => forward(*from, *to),
        Body::TimeWithdrawn { .. } if !around.spell_counts => {
            gate::refuse("of", "That stretch of time no longer counts on this job")
        }
        _ => Ok(()),
    }
}

fn forward(from: Millis, to: Millis) -> Result<(), gate::Refusal> {
    if from < to {
        Ok(())
    } else {
        gate::refuse("to", "It must end after it starts")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_as_people_write_them() {
        assert_eq!(clock_time("8:30"), Some((8, 30)));
        assert_eq!(clock_time("0830"), Some((8, 30)));
        assert_eq!(clock_time("23.59"), Some((23, 59)));
        for wrong in ["24:00", "8", "half nine", "08:60", "é30"] {
            assert_eq!(clock_time(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn lengths_read_as_hours_and_minutes() {
        assert_eq!(hours(0, 6_300_000), "1 h 45 min");
        assert_eq!(hours(0, 7_200_000), "2 h");
        assert_eq!(hours(0, 300_000), "5 min");
    }
}
