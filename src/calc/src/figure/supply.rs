//! Topics. Volts, insulation and windings.

mod capacitor;
mod insulation;
mod thermal;
mod voltage;
mod windings;

use super::{Answer, Given, Takes, Topic, Trouble};
use crate::installation::Metal;
use crate::units::Volts;
use crate::winding::{Standard, constant};

pub(super) static TOPICS: &[Topic] = &[
    voltage::UNBALANCE,
    voltage::TOLERANCE,
    voltage::SUPPLY,
    voltage::NOMINAL,
    insulation::INSULATION_RESISTANCE,
    windings::WINDING_RESISTANCE,
    windings::WINDING_TEMPERATURE,
    windings::PHASE_BALANCE,
    thermal::INSULATION_CLASS,
    thermal::INSULATION_LIFE,
    thermal::AMBIENT_ALTITUDE,
    capacitor::CAPACITOR,
];

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

const METAL: Takes = Takes::Choice(&[("copper", "Copper"), ("aluminium", "Aluminium")]);
const STANDARD: Takes = Takes::Choice(&[
    ("NEMA MG 1", "NEMA MG 1 (copper 234.5)"),
    ("IEC 60034-1", "IEC 60034-1 (copper 235)"),
]);
const CLASS: Takes = Takes::Choice(&[
    ("A", "A, 105 °C"),
    ("E", "E, 120 °C"),
    ("B", "B, 130 °C"),
    ("F", "F, 155 °C"),
    ("H", "H, 180 °C"),
    ("N", "N, 200 °C"),
]);

/// The constant of the winding's metal; the standard only matters for copper.
fn constant_of(given: &Given) -> Result<f64, Trouble> {
    let standard = match given.choice("standard")? {
        Some("NEMA MG 1") => Some(Standard::MgOne),
        Some(_) => Some(Standard::Iec60034),
        None => None,
    };
    match given.need_choice("metal")? {
        "copper" => {
            let standard = given.need("standard", standard)?;
            Ok(constant(Metal::Copper, standard))
        }
        _ => Ok(constant(Metal::Aluminium, Standard::MgOne)),
    }
}

/// Three figures above zero.
fn three(given: &Given, name: &'static str) -> Result<[f64; 3], Trouble> {
    let values = given.need_numbers(name)?;
    match <[f64; 3]>::try_from(values) {
        Ok(values) if values.iter().all(|value| *value > 0.0) => Ok(values),
        _ => Err(Trouble::of(name, "Give three numbers above zero")),
    }
}

fn volts(values: &[f64]) -> Vec<Volts> {
    values.iter().copied().map(Volts).collect()
}
