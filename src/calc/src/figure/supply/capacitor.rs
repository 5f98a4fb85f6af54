//! Topic `capacitor`.

use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::answer;
use crate::capacitor::{self, Capacitor, Tolerance};
use crate::units::{Amps, Hertz, Microfarads, Volts};

const WANTS: &[Want] = &[
    want(
        "current_a",
        "Current in the capacitor's lead",
        Takes::Number,
    )
    .unit("A"),
    want("voltage_v", "Volts across the capacitor", Takes::Number)
        .unit("V")
        .note("not the supply"),
    want("frequency_hz", "Frequency", Takes::Number).unit("Hz"),
    want("measured_uf", "Measured capacitance", Takes::Number)
        .unit("uF")
        .note("by a meter, discharged and parted; instead of current and volts"),
    want("rated_uf", "Capacitance of the label", Takes::Number).unit("uF"),
    want("tolerance_percent", "Tolerance of the label", Takes::Number)
        .unit("%")
        .note("both ways; 5, 6 and 10 occur, none is assumed"),
    want("tolerance_below_percent", "Tolerance below", Takes::Number)
        .unit("%")
        .note("where the two differ"),
    want("tolerance_above_percent", "Tolerance above", Takes::Number)
        .unit("%")
        .note("where the two differ"),
    want("rated_v", "Voltage of the label", Takes::Number).unit("V"),
];

pub(super) const CAPACITOR: Topic = Topic {
    name: "capacitor",
    title: "Capacitor",
    what: "Tells a capacitor's capacitance from current and volts, and judges it by its label.",
    subject: Subject::Motor,
    wants: WANTS,
    answers: &[
        answer(
            "capacitance_uf",
            "uF",
            "from current and volts, 10^6 I / (2 pi f V)",
        ),
        answer("low_limit_uf", "uF", "lowest of the label"),
        answer("high_limit_uf", "uF", "highest of the label"),
        answer("judgement", "", "low, pass or high"),
        answer("deviation_percent", "%", "measured against the label"),
        answer("voltage_covered", "", "volts across it not above the label"),
    ],
    run,
};

fn run(given: &Given) -> Result<Figure, Trouble> {
    let across = given.positive("voltage_v")?.map(Volts);
    let current = given.positive("current_a")?.map(Amps);
    let metered = given.positive("measured_uf")?.map(Microfarads);
    if current.is_some() && metered.is_some() {
        let both = "Give the measured capacitance or current and volts, not both";
        return Err(Trouble::of("measured_uf", both));
    }
    let computed = match current {
        Some(current) => {
            let across = given.need("voltage_v", across)?;
            let hertz = Hertz(given.need_positive("frequency_hz")?);
            capacitor::capacitance(current, across, hertz)
        }
        None => None,
    };
    let capacitor = Capacitor {
        measured: metered.or(computed),
        rated: given.positive("rated_uf")?.map(Microfarads),
        tolerance: tolerance(given)?,
        across,
        rated_volts: given.positive("rated_v")?.map(Volts),
    };
    if capacitor.measured.is_none() && capacitor.rated.is_none() {
        let label = "Not given: Current in the capacitor's lead";
        return Err(Trouble::of("current_a", label));
    }
    Ok(against_label(&capacitor).with_some("capacitance_uf", computed.map(|c| c.0)))
}

fn against_label(capacitor: &Capacitor) -> Figure {
    let label = capacitor.rated.zip(capacitor.tolerance);
    let limits = label.and_then(|(rated, tolerance)| capacitor::limits(rated, tolerance));
    let stands = label
        .zip(capacitor.measured)
        .and_then(|((rated, tolerance), measured)| capacitor::stands(rated, tolerance, measured));
    let both = capacitor.measured.zip(capacitor.rated);
    let off = both.map(|(measured, rated)| 100.0 * (measured.0 / rated.0 - 1.0));
    let off = off.filter(|off| off.is_finite());
    let volts = capacitor.across.zip(capacitor.rated_volts);
    let covered = volts.map(|(across, rated)| across.0 <= rated.0 * (1.0 + 1e-9));
    Figure::new(capacitor::check(capacitor))
        .with_some("low_limit_uf", limits.map(|(low, _)| low.0))
        .with_some("high_limit_uf", limits.map(|(_, high)| high.0))
        .with_some("judgement", stands.map(capacitor::Stands::words))
        .with_some("deviation_percent", off)
        .with_some("voltage_covered", covered)
}

fn tolerance(given: &Given) -> Result<Option<Tolerance>, Trouble> {
    let both = given.not_negative("tolerance_percent")?;
    let below = given.not_negative("tolerance_below_percent")?.or(both);
    let above = given.not_negative("tolerance_above_percent")?.or(both);
    if below.is_some_and(|below| below >= 100.0) {
        return Err(Trouble::of(
            "tolerance_percent",
            "Give a tolerance below 100 %",
        ));
    }
    Ok(below
        .zip(above)
        .map(|(below, above)| Tolerance { below, above }))
}
