//! How long things last and how often they fail: rates, lives, trends, replacement and time lost.
//!
//! Two kinds of thing are kept apart. A *part* is replaced when it fails (belt, bearing, motor):
//! [`weibull`], [`weibull_fit`], [`survival`], [`age`]. A *unit* is repaired and runs on (fan, pump):
//! [`trend`], [`growth`], [`mcf`], [`repairable`]. [`rate`] serves both where nothing changes with
//! age. All times of one question are in one unit, which the answers share; operating hours are
//! meant unless the user says that calendar time stands in for them.
//!
//! A part that was replaced before it failed, or still runs, is a *removal*: neither a failure nor
//! nothing.

pub mod age;
pub mod availability;
pub mod compliance;
pub mod dist;
pub mod growth;
pub mod growth_full;
pub mod growth_limits;
pub mod mcf;
pub mod rate;
pub mod repairable;
pub mod restoration;
pub mod spells;
pub mod survival;
pub mod trend;
pub mod weibull;
pub mod weibull_fit;

use crate::shown::{Fill, ask, line};
use crate::working::Working;

/// Longest list of ages or events that is taken.
pub const MOST: usize = 20_000;
/// Below this count a figure carries a plain note. Source: common practice.
pub const FEW: u64 = 5;

/// Why a figure cannot be given, and which of the inputs it is about.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{why}")]
pub struct Refused {
    /// Name of the input.
    pub field: &'static str,
    /// One sentence.
    pub why: &'static str,
}

pub(crate) fn refuse<T>(field: &'static str, why: &'static str) -> Result<T, Refused> {
    Err(Refused { field, why })
}

/// Which limits are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sides {
    /// Both; each side leaves out half of what the confidence leaves.
    Two,
    /// The lower one alone.
    Lower,
    /// The upper one alone.
    Upper,
}

/// What ended the time watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// A time set beforehand, or the time of asking.
    Time,
    /// The last failure itself.
    Failure,
}

/// A confidence from 0.001 to 0.999999, such as 0.9 for 90 %.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Confidence(f64);

impl Confidence {
    /// # Errors
    /// A share outside 0.001 to 0.999999.
    pub fn new(share: f64) -> Result<Self, Refused> {
        if (0.001..=0.999_999).contains(&share) {
            Ok(Confidence(share))
        } else {
            refuse(
                "confidence",
                "Give a share between 0.001 and 0.999999, such as 0.9 for 90 %",
            )
        }
    }

    /// The share.
    pub fn share(self) -> f64 {
        self.0
    }

    /// What one tail leaves out: `1 - c`, halved where both limits are asked.
    pub fn tail(self, sides: Sides) -> f64 {
        match sides {
            Sides::Two => (1.0 - self.0) / 2.0,
            Sides::Lower | Sides::Upper => 1.0 - self.0,
        }
    }

    /// `90 % two-sided`.
    pub fn words(self, sides: Sides) -> String {
        let how = match sides {
            Sides::Two => "two-sided",
            Sides::Lower | Sides::Upper => "one-sided",
        };
        format!("{} % {how}", crate::shown::figure(self.0 * 100.0, 4))
    }
}

/// Limits about a figure; a side that was not asked or does not exist is `None`, never infinity.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// The lower one.
    pub lower: Option<f64>,
    /// The upper one.
    pub upper: Option<f64>,
}

impl Limits {
    /// `100 to 300`, `at least 100`, `at most 300` or `none`.
    pub fn words(&self) -> String {
        match (self.lower, self.upper) {
            (Some(lower), Some(upper)) => format!("{} to {}", sig(lower), sig(upper)),
            (Some(lower), None) => format!("at least {}", sig(lower)),
            (None, Some(upper)) => format!("at most {}", sig(upper)),
            (None, None) => "none".to_owned(),
        }
    }
}

/// Ages at failure and ages at removal of like parts, in one unit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ages {
    failed: Vec<f64>,
    removed: Vec<f64>,
}

impl Ages {
    /// # Errors
    /// No age at all, an age at failure that is not above zero, an age at removal below zero, or
    /// more than [`MOST`] ages.
    pub fn new(failed: &[f64], removed: &[f64]) -> Result<Self, Refused> {
        if failed.len() + removed.len() > MOST {
            return refuse("failures", "Give at most 20 000 ages");
        }
        if !failed.iter().all(|age| age.is_finite() && *age > 0.0) {
            return refuse(
                "failures",
                "Give ages at failure above zero; a part that never ran belongs in no life",
            );
        }
        if !removed.iter().all(|age| age.is_finite() && *age >= 0.0) {
            return refuse("censored", "Give ages at removal of zero or above");
        }
        let mut ages = Ages {
            failed: failed.to_vec(),
            removed: removed.to_vec(),
        };
        if ages.largest() <= 0.0 {
            return refuse("failures", "Give at least one age above zero");
        }
        ages.failed.sort_by(f64::total_cmp);
        ages.removed.sort_by(f64::total_cmp);
        Ok(ages)
    }

    /// Ages at failure, youngest first.
    pub fn failed(&self) -> &[f64] {
        &self.failed
    }
    /// Ages at removal, youngest first.
    pub fn removed(&self) -> &[f64] {
        &self.removed
    }
    /// All ages.
    pub fn all(&self) -> impl Iterator<Item = f64> + '_ {
        self.failed.iter().chain(&self.removed).copied()
    }
    /// The greatest age.
    pub fn largest(&self) -> f64 {
        self.all().fold(0.0, f64::max)
    }
    /// How many different ages at failure there are.
    pub fn distinct(&self) -> usize {
        let mut ages = self.failed.clone();
        ages.dedup();
        ages.len()
    }
}

/// A value that is a number; what overflowed is no figure.
pub(crate) fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// A figure to five significant digits, plain within reason; never infinity.
pub(crate) fn sig(value: f64) -> String {
    let size = value.abs();
    if !value.is_finite() {
        "no figure".to_owned()
    } else if size == 0.0 {
        "0".to_owned()
    } else if !(1e-4..1e9).contains(&size) {
        format!("{value:.4e}")
    } else {
        let places = (4 - size.log10().floor() as i32).clamp(0, 8);
        crate::shown::figure(value, places as usize)
    }
}

/// The counts behind a figure, with the plain note where they are few.
pub(crate) fn counts(working: &mut Working, failures: u64, removals: Option<u64>) {
    let mut shown = line("failures", "Failures").value(failures.to_string(), "");
    if let Some(removals) = removals {
        shown = shown.limit(format!("and {removals} removed unfailed"));
    }
    let note = match failures {
        0 => "Nothing has failed: only a lower limit can be given.",
        1..FEW => "Fewer than five failures: look at the limits, not at the figure between them.",
        _ => "",
    };
    working.lines.push(
        shown
            .rule(
                "a unit replaced before it failed, or still running, is a removal and not a failure",
                "NIST/SEMATECH e-Handbook 8.4.1",
            )
            .note(note),
    );
}

/// Limits were not asked with a confidence: says so and how to choose one.
pub(crate) fn ask_confidence(working: &mut Working) {
    ask(
        working,
        line("limits", "Confidence limits"),
        "the confidence wanted, such as 0.9",
        "a figure from few failures says little without its limits",
        "0.9 two-sided is usual for shop figures",
    );
}

/// The events of one unit, sorted, and the time at which watching ended.
///
/// # Errors
/// An event at or before zero or after the end, an end that is not above zero, an end beside the
/// last failure where the last failure is said to have ended it, or more than [`MOST`] events.
pub fn watched(events: &[f64], end: Option<f64>, ended: Ended) -> Result<(Vec<f64>, f64), Refused> {
    if events.len() > MOST {
        return refuse("events", "Give at most 20 000 events");
    }
    if !events.iter().all(|at| at.is_finite() && *at > 0.0) {
        return refuse(
            "events",
            "Give the age of the unit at each event, above zero",
        );
    }
    let mut events = events.to_vec();
    events.sort_by(f64::total_cmp);
    let last = events.last().copied();
    let end = end_of(last, end, ended)?;
    if !end.is_finite() || end <= 0.0 {
        return refuse("end", "Give an end above zero");
    }
    if last.is_some_and(|last| last > end) {
        return refuse("events", "An event lies after the end of the time watched");
    }
    Ok((events, end))
}

fn end_of(last: Option<f64>, end: Option<f64>, ended: Ended) -> Result<f64, Refused> {
    match (ended, end, last) {
        (Ended::Failure, _, None) => refuse(
            "events",
            "Time that ended with a failure holds at least one",
        ),
        (Ended::Failure, None, Some(last)) => Ok(last),
        (Ended::Failure, Some(end), Some(last)) if (end - last).abs() > 1e-9 * last => refuse(
            "end",
            "Where a failure ended the time, the end is the age at the last failure",
        ),
        (Ended::Failure, Some(_), Some(last)) => Ok(last),
        (Ended::Time, None, _) => refuse("end", "Give the age of the unit when watching ended"),
        (Ended::Time, Some(end), _) => Ok(end),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_said_plainly() {
        assert_eq!(sig(6022.5), "6022.5");
        assert_eq!(sig(0.012345678), "0.012346");
        assert_eq!(sig(1e12), "1.0000e12");
        assert_eq!(sig(f64::INFINITY), "no figure");
        assert_eq!(sig(0.0), "0");
    }

    #[test]
    fn what_cannot_have_happened_is_refused() {
        assert!(Ages::new(&[0.0], &[]).is_err());
        assert!(Ages::new(&[], &[0.0]).is_err());
        assert!(Ages::new(&[f64::NAN], &[]).is_err());
        assert!(watched(&[5.0], Some(4.0), Ended::Time).is_err());
        assert!(watched(&[], None, Ended::Failure).is_err());
        assert_eq!(
            watched(&[5.0, 2.0], None, Ended::Failure),
            Ok((vec![2.0, 5.0], 5.0))
        );
    }
}
