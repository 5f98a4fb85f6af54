//! Old plate against a candidate, typed.

use super::{Calculation, Part, plate, taken};
use crate::form::FieldErrors;
use crate::machines::facts;
use crate::rows::{Ask, Typed};
use crate::shop::Shop;
use calc::fit::{Need, changes, explain};
use calc::working::Working;

pub static CALC: Calculation = Calculation {
    name: "fit",
    title: "Fit of a motor",
    what: "An old plate against a candidate's: verdict, work to fit it, what changes.",
    parts,
    work,
};

pub const OLD: &[&str] = &[
    "power",
    "volts",
    "amps",
    "phases",
    "frequency",
    "speeds",
    "motor_type",
    "rotation",
    "frame",
    "mount",
    "shaft_diameter",
    "shaft_length",
    "shaft_form",
    "double_shaft",
    "bolt_circle",
    "stud_count",
    "stud_length",
    "stud_thread",
    "stud_end",
    "body_diameter",
    "body_length",
    "enclosure",
    "ambient",
    "insulation",
    "duty",
    "service_factor",
    "protection",
    "bearing",
    "position",
    "speed_control",
    "capacitor",
    "capacitor_volts",
];

/// Questions about the machine that a fit needs.
pub const MACHINE: &[&str] = &[
    "drive",
    "wheel_limit",
    "turns",
    "hub_bore",
    "hub_length",
    "hub_keyway",
    "shaft_power",
    "shaft_power_at",
    "flow",
    "driven_speed",
    "nominal_volts",
    "measured_volts",
    "phases",
    "frequency",
    "restart_can_hurt",
    "hazardous",
    "ambient",
    "surroundings",
    "in_air_stream",
    "position",
    "free_length",
    "free_diameter",
    "control",
    "control_amps",
    "taps_used",
];

pub fn machine(names: &[&str]) -> Vec<Ask> {
    let all = facts::GROUPS.iter().flat_map(|(_, _, asks)| asks.iter());
    all.filter(|ask| names.contains(&ask.name))
        .copied()
        .collect()
}

fn parts() -> Vec<Part> {
    vec![
        Part::plate("Old motor", "old_", OLD),
        Part::plate("Candidate", "new_", OLD),
        Part::new("Machine and site", "", true, &machine(MACHINE)),
    ]
}

fn work(typed: &Typed, shop: &Shop) -> Result<Vec<Working>, FieldErrors> {
    let mut errors = FieldErrors::default();
    let old = plate(typed, "old_", shop.units, &mut errors);
    let new = plate(typed, "new_", shop.units, &mut errors);
    let installation = taken(facts::parse(typed, shop.units), "", &mut errors);
    let need = Need {
        old: &old,
        installation: &installation,
    };
    errors
        .or(())
        .map(|()| vec![changes(&need, &new), explain(&need, &new)])
}
