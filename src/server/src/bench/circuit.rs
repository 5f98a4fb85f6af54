//! A motor against a circuit, typed.

use super::fit::machine;
use super::{Calculation, Part, plate, taken, under};
use crate::form::FieldErrors;
use crate::machines::facts;
use crate::panels::form::{ASKS, circuit};
use crate::rows::{Ask, Reader, Takes, Typed, YES_NO, hinted};
use crate::shop::{RULE_SETS, Shop};
use calc::circuit::{RuleSet, check};
use calc::working::Working;
use std::str::FromStr;

pub static CALC: Calculation = Calculation {
    name: "circuit",
    title: "Circuit check",
    what: "A motor's plate against a circuit: conductor, device, overload, disconnect, voltage drop.",
    parts,
    work,
};

const PLATE: &[&str] = &[
    "power",
    "volts",
    "amps",
    "phases",
    "frequency",
    "motor_type",
    "service_factor",
    "rise",
    "protection",
    "code_letter",
    "efficiency",
    "power_factor",
];
const MACHINE: &[&str] = &[
    "control",
    "control_amps",
    "control_locked_rotor",
    "restart_can_hurt",
    "disconnect_kind",
    "disconnect_rating",
    "disconnect_hp",
    "in_sight",
    "overload_kind",
    "overload_setting",
    "overload_low",
    "overload_high",
    "manual_reset",
];
const RULES: &[Ask] = &[hinted(
    "rule_set",
    "Rules",
    Takes::Choice(RULE_SETS),
    "The adopted edition; a blank form starts with the shop's",
)];

const AIR_MOVER: Ask = hinted(
    "air_mover",
    "Drives a fan or blower",
    Takes::Choice(YES_NO),
    "Shaded-pole and split-capacitor motors count with another current then",
);

fn parts() -> Vec<Part> {
    let mut installed = vec![AIR_MOVER];
    installed.extend(machine(MACHINE));
    vec![
        Part::new("Rules", "", true, RULES),
        Part::plate("Motor", "motor_", PLATE),
        Part::new("Circuit", "circuit_", true, ASKS),
        Part::new(
            "Load, control, disconnect and overload",
            "",
            true,
            &installed,
        ),
    ]
}

fn work(typed: &Typed, shop: &Shop) -> Result<Vec<Working>, FieldErrors> {
    let mut errors = FieldErrors::default();
    let rules = RuleSet::from_str(typed.get("rule_set"));
    if rules.is_err() {
        errors.add("rule_set", "Choose the rules; none are assumed");
    }
    let motor = plate(typed, "motor_", shop.units, &mut errors);
    let feed = under(typed, "circuit_");
    let feed = taken(circuit(&feed, shop.units), "circuit_", &mut errors);
    let mut installation = taken(facts::parse(typed, shop.units), "", &mut errors);
    let mut reader = Reader::new(typed);
    installation.driven.air_mover = reader.yes_no("air_mover");
    taken(Err::<(), _>(reader.errors), "", &mut errors);
    let Ok(rules) = rules else { return Err(errors) };
    errors.or(vec![check(rules, &motor, &installation, &feed)])
}
