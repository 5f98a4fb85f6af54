//! Whether the values of one plate can be true together.

mod build;
mod capacitor;
mod electric;
mod limits;
mod speed;

use super::{Enclosure, MotorType, Plate};
use crate::working::Working;

/// A plate held against itself: poles and slip, power against volts and amperes, input watts, dual
/// ratings, capacitor, service factor, frame, insulation and code letter.
///
/// `within` agrees with its type; `within, note` is unusual and says why; `beyond` cannot be true as
/// it stands, so that something was misread or the plate is wrong; `not known yet` names what the
/// check lacks. A plate that passes may still be the plate of another motor.
/// Formulas: `ns = 120 f/p`, slip `(ns - n)/ns`; efficiency times power factor `P/(k V A)` with `k`
/// the root of three on three phases and 1 on one; power factor `W/(k V A)`; capacitor current
/// `2 pi f C V`; locked-rotor kVA per horsepower `k V A_LR/(1000 hp)`.
/// Valid for: motors up to 500 hp on sinusoidal supply. No error: what is missing is asked for.
/// Source: the tables named in each line.
pub fn plausible(plate: &Plate) -> Working {
    let mut working = Working::new("Plate held against itself");
    electric::phases_and_type(plate, &mut working);
    speed::poles(plate, &mut working);
    electric::power(plate, &mut working);
    electric::input(plate, &mut working);
    electric::marked(plate, &mut working);
    electric::dual(plate, &mut working);
    capacitor::capacitor(plate, &mut working);
    build::service_factor(plate, &mut working);
    build::frame(plate, &mut working);
    build::rise(plate, &mut working);
    build::code_letter(plate, &mut working);
    if matches!(
        plate.enclosure.value(),
        Some(Enclosure::OpenAirOver | Enclosure::TotallyEnclosedAirOver)
    ) {
        working.cautions.push(
            "An air-over motor is cooled by the stream of the fan it drives: never run it in still air."
                .into(),
        );
    }
    working.cautions.push(
        "A plate that agrees with itself may belong to another motor: measure before work depends on it."
            .into(),
    );
    working
}

/// A figure that is known, finite and above zero.
fn above_zero(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite() && *v > 0.0 && *v < 1e12)
}

/// Phases as marked, or as the type has them.
fn phases(plate: &Plate) -> Option<u8> {
    let marked = plate.phases.value().copied().filter(|p| matches!(p, 1 | 3));
    marked.or_else(|| match plate.motor_type.value()? {
        MotorType::ThreePhaseInduction => Some(3),
        MotorType::ElectronicallyCommutated => None,
        _ => Some(1),
    })
}

/// What stands before `V A`: the root of three on three phases.
fn root(phases: u8) -> f64 {
    if phases == 3 { 3f64.sqrt() } else { 1.0 }
}

/// Volts with the amperes of each; one current over several voltages goes with each of them.
fn pairs(plate: &Plate) -> Vec<(f64, f64)> {
    let volts = plate.volts.value().map_or(&[][..], Vec::as_slice);
    let amps = plate.amps.value().map_or(&[][..], Vec::as_slice);
    let amps_at = |at: usize| {
        if amps.len() == 1 {
            amps.first()
        } else {
            amps.get(at)
        }
    };
    let pair = |(at, volts): (usize, &crate::units::Volts)| {
        Some((
            above_zero(Some(volts.0))?,
            above_zero(Some(amps_at(at)?.0))?,
        ))
    };
    volts.iter().enumerate().filter_map(pair).collect()
}

fn kind_words(kind: MotorType) -> &'static str {
    match kind {
        MotorType::ShadedPole => "shaded-pole",
        MotorType::SplitPhase => "split-phase",
        MotorType::PermanentSplitCapacitor => "permanent-split-capacitor",
        MotorType::CapacitorStart => "capacitor-start",
        MotorType::CapacitorStartCapacitorRun => "capacitor-start, capacitor-run",
        MotorType::ThreePhaseInduction => "three-phase induction",
        MotorType::ElectronicallyCommutated => "electronically commutated",
        MotorType::DirectCurrent => "direct-current",
    }
}

#[cfg(test)]
mod tests;
