//! The limits that readings of a machine are drawn against; none where it is not known.

use super::queries::StepLimit;
use crate::charts::{Limit, figure};
use crate::machines::Machine;
use calc::circuit::current::plate_amps;
use calc::plate::Plate;
use calc::vibration::{self, Stage, VibrationInput};
use rust_decimal::prelude::ToPrimitive;

/// What limits are taken from.
pub struct Known<'a> {
    pub machine: &'a Machine,
    pub fitted: Option<&'a Plate>,
    /// Of the last run test: it says how the machine stands.
    pub vibration: Option<&'a VibrationInput>,
    pub steps: &'a [StepLimit],
}

/// Limits of one quantity at these points, each once.
pub fn limits(known: &Known<'_>, quantity: &str, points: &[&str], unit: &str) -> Vec<Limit> {
    let mut found = match quantity {
        "mm_s" => velocity(known),
        "amps" => amps(known).into_iter().collect(),
        _ => Vec::new(),
    };
    for point in points {
        let newest = known
            .steps
            .iter()
            .find(|step| step.quantity == quantity && step.point == *point);
        let Some(step) = newest else { continue };
        let ends = [("at least", step.low), ("at most", step.high)];
        for (word, value) in ends {
            if let Some(value) = value {
                let label = format!("step: {word} {} {unit}", figure(value));
                found.push(Limit { label, value });
            }
        }
    }
    found.dedup_by(|a, b| a.label == b.label);
    found
}

/// ISO 14694, by the category and support of the last run test.
fn velocity(known: &Known<'_>) -> Vec<Limit> {
    let found = known
        .vibration
        .and_then(|input| Some((input.fan_category()?, input.support?)));
    let Some((category, support)) = found else {
        return Vec::new();
    };
    let stages = [(Stage::StartUp, "start-up"), (Stage::Alarm, "alarm")];
    let limit = |(stage, word): (Stage, &str)| {
        let value = vibration::limit(stage, category, support)?.rms.0;
        Some(Limit {
            label: format!("{word} {} mm/s r.m.s. (ISO 14694)", figure(value)),
            value,
        })
    };
    stages.into_iter().filter_map(limit).collect()
}

/// The plate of the motor that is on it now, at the machine's nominal voltage.
fn amps(known: &Known<'_>) -> Option<Limit> {
    let volts = known.machine.facts.site.nominal_volts?;
    let value = plate_amps(known.fitted?, volts)?.to_f64()?;
    Some(Limit {
        label: format!("plate {} A at {} V", figure(value), figure(volts.0)),
        value,
    })
}
