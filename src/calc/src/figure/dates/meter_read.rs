//! Readings of meters as topics read them: where a meter returns to zero, and the running total.

use super::read::{self, CHANGE, READING};
use super::{Given, PRACTICE, Takes, Trouble, Want, want};
use crate::due::{self, MeterReading};
use crate::shown::{Fill, ask, figure, line};
use crate::working::Working;

pub(super) const READINGS: Want = want("readings", "Readings", Takes::Rows(READING))
    .note("oldest first, as [\"2024-05-01\", 5000] or {\"on\": \"2024-05-01\", \"value\": 5000}");
pub(super) const FULL: Want = want("rolls_over_at", "Returns to zero at", Takes::Number)
    .note("such as 100000 for five digits; blank where it does not");
pub(super) const ROLLOVER: Want = want("rollover", "Returns to zero at", Takes::Number)
    .note("another name of rolls_over_at; rollover_at and modulus too");
pub(super) const ROLLOVER_AT: Want =
    want("rollover_at", "Returns to zero at", Takes::Number).note("another name of rolls_over_at");
pub(super) const MODULUS: Want =
    want("modulus", "Returns to zero at", Takes::Number).note("another name of rolls_over_at");
pub(super) const MAX_READING: Want = want(
    "max_reading",
    "Highest reading the meter shows",
    Takes::Number,
)
.note("such as 99999; it returns to zero one later");
pub(super) const DIGITS: Want = want("digits", "Digits of the meter", Takes::Whole)
    .note("1 to 12, for a meter that returns to zero after all nines; blank where it does not");
pub(super) const CHANGED: Want = want("replaced", "Meter changed", Takes::Group(CHANGE))
    .note("date, old_final, new_start; blank where it was not");

pub(super) fn need_readings(given: &Given) -> Result<Vec<MeterReading>, Trouble> {
    given.need("readings", read::readings(given, "readings")?)
}

/// Where the meter returns to zero: said outright, by its highest reading, or by its digits.
pub(super) fn full(given: &Given) -> Result<Option<f64>, Trouble> {
    let mut found: Option<f64> = None;
    let mut take = |name: &str, value: Option<f64>| match (found, value) {
        (Some(before), Some(value)) if before != value => Err(Trouble::of(
            name,
            "This does not fit the other figure at which the meter returns to zero",
        )),
        (_, value) => {
            found = found.or(value);
            Ok(())
        }
    };
    for name in ["rolls_over_at", "rollover", "rollover_at", "modulus"] {
        take(name, given.positive(name)?)?;
    }
    let highest = given.positive("max_reading")?;
    take("max_reading", highest.map(|highest| highest + 1.0))?;
    let digits = match given.whole("digits")? {
        None => None,
        Some(digits @ 1..=12) => Some(10_f64.powi(digits as i32)),
        Some(_) => return Err(Trouble::of("digits", "Give 1 to 12 digits")),
    };
    take("digits", digits)?;
    Ok(found)
}

/// The readings as they were given, with what may be wrong about a return to zero.
pub(super) struct Read {
    pub readings: Vec<MeterReading>,
    pub total: Vec<MeterReading>,
    pub doubt: Option<MeterReading>,
}

/// The readings as one running total.
pub(super) fn total(given: &Given, then: Option<MeterReading>) -> Result<Read, Trouble> {
    let mut readings = need_readings(given)?;
    readings.extend(then);
    let changes = read::change(given, "replaced")?;
    let full = full(given)?;
    if due::beyond_rollover(&readings, full) {
        return Err(Trouble::of(
            "readings",
            "A reading is at or above the figure at which the meter returns to zero: it cannot show that",
        ));
    }
    let total = due::continuous(&readings, &changes, full).map_err(|_| {
        Trouble::of(
            "readings",
            "A reading is lower or earlier than the one before; say so where the meter was changed or has returned to zero",
        )
    })?;
    let doubt = match changes.is_empty() {
        true => due::doubtful_return(&readings, full),
        false => None,
    };
    Ok(Read {
        readings,
        total,
        doubt,
    })
}

/// A return to zero that would be more than half the meter's range is asked about.
pub(super) fn ask_return(working: &mut Working, doubt: Option<MeterReading>) {
    let Some(doubt) = doubt else { return };
    ask(
        working,
        line("return_to_zero", "Return to zero")
            .value(figure(doubt.value, 3), "")
            .rule(
                "a return that used less than half the meter's range",
                PRACTICE,
            ),
        format!("whether the meter returned to zero before {}", doubt.on),
        "more than half its range would have been used; a misread or changed meter looks the same",
        "ask who read it; say so where the meter was changed",
    );
}
