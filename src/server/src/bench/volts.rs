//! A measured supply against a plate: tolerance, frequency and unbalance.

use super::{Calculation, Part, plate};
use crate::form::FieldErrors;
use crate::measure;
use crate::rows::{Ask, Reader, Takes, Typed, ask, hinted, small_count};
use crate::shop::Shop;
use calc::supply::{SupplyInput, check};
use calc::units::{Hertz, Volts};
use calc::working::Working;

pub static CALC: Calculation = Calculation {
    name: "volts",
    title: "Volts and unbalance",
    what: "Measured volts and frequency against a plate, and the unbalance of three phases.",
    parts,
    work,
};

const MEASURED: &[Ask] = &[
    ask(
        "phases",
        "Phases",
        Takes::Choice(&[("1", "single-phase"), ("3", "three-phase")]),
    ),
    hinted(
        "l1_l2",
        "L1-L2",
        Takes::Number("V"),
        "Single-phase: the one voltage",
    ),
    ask("l2_l3", "L2-L3", Takes::Number("V")),
    ask("l3_l1", "L3-L1", Takes::Number("V")),
    ask("hertz", "Frequency", Takes::Number("Hz")),
];

fn parts() -> Vec<Part> {
    vec![
        Part::plate("Plate", "plate_", &["volts", "frequency"]),
        Part::new("Measured at the motor, running", "", true, MEASURED),
    ]
}

fn work(typed: &Typed, shop: &Shop) -> Result<Vec<Working>, FieldErrors> {
    let mut errors = FieldErrors::default();
    let motor = plate(typed, "plate_", shop.units, &mut errors);
    let mut r = Reader { typed, errors };
    let number = |text: &str| measure::amount(text, &["v", "hz"], "Enter a reading, as 231.5");
    let phases = r.known("phases", small_count);
    let names = ["l1_l2", "l2_l3", "l3_l1"];
    let read: Vec<Volts> = names
        .iter()
        .filter_map(|name| r.known(name, number).map(Volts))
        .collect();
    if phases == Some(1) && read.len() > 1 {
        r.errors.add(
            "phases",
            "Single-phase has one voltage; leave the others blank",
        );
    }
    let frequency = r.known("hertz", number).map(Hertz);
    let volts = Some(read).filter(|read| !read.is_empty());
    r.errors.or(())?;
    Ok(vec![check(
        &motor,
        &SupplyInput {
            phases,
            volts,
            frequency,
        },
    )])
}
