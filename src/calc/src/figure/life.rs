//! Topics. Life, reliability and availability.

mod lost;
mod parts;
mod rates;
#[cfg(test)]
mod tests;
mod units;
mod upkeep;

use super::{Given, Takes, Topic, Trouble, Want, want};
use crate::life::{Confidence, Ended, Limits, Refused, Sides};
use serde_json::{Value, json};

pub(super) static TOPICS: &[Topic] = &[
    units::FAILURE_RATE,
    units::TREND_TESTS,
    rates::EXP_MTBF,
    rates::EXP_MTBF_POOLED,
    rates::EXP_RELIABILITY,
    parts::WEIBULL_MLE,
    parts::WEIBULL_ASSUMED,
    parts::WEIBULL_FUNCTIONS,
    parts::PRODUCT_LIMIT,
    parts::AGE_REPLACEMENT,
    parts::OVERHAUL_INTERVAL,
    units::POWER_LAW_MODIFIED,
    units::POWER_LAW_MLE,
    units::MEAN_CUMULATIVE,
    lost::AVAILABILITY,
    lost::INHERENT,
    lost::STEADY_STATES,
    lost::REPAIR_TIME_SPLIT,
    upkeep::PM_COMPLIANCE,
    upkeep::REPEAT_FAILURE,
    upkeep::BACKLOG_WEEKS,
];

impl From<Refused> for Trouble {
    fn from(refused: Refused) -> Trouble {
        Trouble::of(refused.field, refused.why)
    }
}

const CONFIDENCE: Want = want("confidence", "Confidence", Takes::Number)
    .note("share, such as 0.9 for 90 %; blank gives no limits");
const SIDES: Want = want(
    "sides",
    "Limits",
    Takes::Choice(&[
        ("two", "Both limits"),
        ("lower", "Lower limit alone"),
        ("upper", "Upper limit alone"),
    ]),
)
.note("blank is both");
const TERMINATION: Want = want(
    "termination",
    "What ended the time",
    Takes::Choice(&[
        ("time", "A set time, or the time of asking"),
        ("failure", "The last failure"),
    ]),
)
.note("blank is a set time");
const FAILURES: Want = want("failures", "Ages at failure", Takes::Numbers)
    .note("above zero, any one unit of time, such as hours");
const CENSORED: Want = want("censored", "Ages at removal", Takes::Numbers)
    .note("replaced unfailed or still running, same unit; blank or [] is none");
const EVENTS: Want = want("events", "Age of the unit at each failure", Takes::Numbers)
    .note("from the start of watching, above zero, any one unit of time");
const END: Want = want("end", "Age when watching ended", Takes::Number)
    .note("same unit; may stay blank where the last failure ended it");
const SYSTEMS: Want = want(
    "systems",
    "Ages at failure, unit by unit",
    Takes::NumberLists,
)
.note("one list for each unit, [] for one that never failed");
const ENDS: Want = want(
    "ends",
    "Age of each unit when watching ended",
    Takes::Numbers,
)
.note("as many as units, same unit of time");

fn confidence(given: &Given) -> Result<Option<Confidence>, Trouble> {
    let share = given.number("confidence")?;
    Ok(share.map(Confidence::new).transpose()?)
}

fn sides(given: &Given) -> Result<Sides, Trouble> {
    Ok(match given.choice("sides")? {
        Some("lower") => Sides::Lower,
        Some("upper") => Sides::Upper,
        _ => Sides::Two,
    })
}

fn ended(given: &Given) -> Result<Ended, Trouble> {
    Ok(match given.choice("termination")? {
        Some("failure") => Ended::Failure,
        _ => Ended::Time,
    })
}

/// Confidence and sides together, for figures that take both.
fn asked(given: &Given) -> Result<Option<(Confidence, Sides)>, Trouble> {
    let sides = sides(given)?;
    Ok(confidence(given)?.map(|confidence| (confidence, sides)))
}

/// One limit as it is answered: absent without a confidence, `null` where it does not exist.
fn limit(asked: bool, limit: Option<f64>) -> Option<Value> {
    asked.then(|| limit.map_or(Value::Null, Value::from))
}

fn limit_pair(asked: bool, limits: Limits) -> (Option<Value>, Option<Value>) {
    (limit(asked, limits.lower), limit(asked, limits.upper))
}

/// A list of figures; what is no figure stands as `null`.
fn list(values: impl Iterator<Item = Option<f64>>) -> Value {
    values
        .map(|value| value.map_or(Value::Null, whole))
        .collect::<Vec<Value>>()
        .into()
}

/// A figure; a whole one without a decimal point.
pub(super) fn whole(value: f64) -> Value {
    if value.fract() == 0.0 && value.abs() < 1e15 {
        json!(value as i64)
    } else {
        json!(value)
    }
}

/// The same trouble under the topic's own name of the field.
fn renamed(refused: Refused, names: &[(&str, &'static str)]) -> Trouble {
    let own = names.iter().find(|(name, _)| *name == refused.field);
    Trouble::of(own.map_or(refused.field, |(_, own)| *own), refused.why)
}
