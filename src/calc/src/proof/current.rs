//! Running current at the run test, at every speed that was run, and its unbalance on three phases.

use super::{ProofInput, Quantity, SpeedRun, accepted};
use crate::shown::{Fill, ask, figure, line, positive};
use crate::supply::{derating, plate_at, unbalance};
use crate::units::{Amps, Volts};
use crate::working::{Line, Verdict, Working};

/// From here on the unbalance of three currents is looked into, percent. Source: common practice; one
/// percent of voltage unbalance makes six to ten of current (NEMA MG 1 14.36, from memory).
pub const UNBALANCE_NOTE: f64 = 5.0;
/// Below this share of the plate current a machine that should be loaded is looked at. Source: common
/// practice.
pub const LIGHT_SHARE: f64 = 0.4;

/// Unbalance of three currents: `100 x largest distance from the mean / mean`, percent.
///
/// `None` unless all three are above zero. Source: the definition NEMA MG 1 gives for voltage.
pub fn current_unbalance(amps: &[f64]) -> Option<f64> {
    let [a, b, c] = amps else { return None };
    let legs = [positive(*a)?, positive(*b)?, positive(*c)?];
    let mean = legs.iter().sum::<f64>() / 3.0;
    let largest = legs
        .iter()
        .map(|leg| (leg - mean).abs())
        .fold(0.0, f64::max);
    Some(100.0 * largest / mean)
}

/// Plate current: at the plate voltage nearest to the volts read, or the only one of a plate with no
/// more than one voltage. One current beside several voltages belongs to one of them, and to which is
/// not for guessing.
fn plate_amps(input: &ProofInput, volts: Option<&[f64]>) -> Option<Amps> {
    let several = input.motor.volts.value().is_some_and(|all| all.len() > 1);
    match input.motor.amps.value()?.as_slice() {
        [_] if several => None,
        [one] => Some(*one).filter(|amps| positive(amps.0).is_some()),
        _ => plate_at(&input.motor, Volts(*volts?.first()?))?.amps,
    }
}

fn shown() -> Line {
    line("amps", "Running current").rule(
        "each leg at or under the plate; the service factor is not used up",
        "common practice; NEMA MG 1 1.42",
    )
}

pub(super) fn judge(
    working: &mut Working,
    input: &ProofInput,
    phases: Option<u8>,
    volts: Option<&[f64]>,
) {
    let amps = accepted(working, input, input.amps.as_deref(), Quantity::Amps);
    let plate = plate_amps(input, volts);
    match (&amps, plate, phases) {
        (Some(amps), Some(plate), Some(phases)) => {
            let before = working.lines.len();
            against_plate(working, shown(), input, amps, plate, phases);
            note_light_load(working, before, amps, plate);
            derated(working, amps, plate, volts);
        }
        _ => {
            let what = lacks(amps.is_none(), plate.is_none(), phases.is_none());
            ask(
                working,
                shown(),
                what,
                "current is the motor's own word on its load",
                "clamp each leg with the machine closed up and running; read the plate",
            );
        }
    }
    if let Some(percent) = amps.as_deref().and_then(current_unbalance)
        && phases == Some(3)
    {
        working.lines.push(unbalance_line(percent));
    }
    for run in input.amps_at_speeds.iter().flatten() {
        at_speed(working, input, run, phases, plate);
    }
}

/// What the line of the amperes waits for, in words.
fn lacks(amps: bool, plate: bool, phases: bool) -> String {
    let words = [
        (amps, "running amperes of each leg"),
        (plate, "plate current at the volts that were read"),
        (phases, "number of phases of the motor"),
    ];
    let lacks: Vec<&str> = words
        .into_iter()
        .filter_map(|(lacks, words)| lacks.then_some(words))
        .collect();
    lacks.join(", ")
}

fn against_plate(
    working: &mut Working,
    shown: Line,
    input: &ProofInput,
    amps: &[f64],
    plate: Amps,
    phases: u8,
) {
    let highest = amps.iter().copied().fold(0.0, f64::max);
    let margin = 100.0 * (plate.0 - highest) / plate.0;
    let shown = shown
        .value(figure(highest, 2), "A")
        .limit(format!("{} A on the plate", figure(plate.0, 2)))
        .margin(format!("{} %", figure(margin, 1)));
    let legs = if phases == 3 { 3 } else { 1 };
    if highest > plate.0 * (1.0 + 1e-9) {
        let note = over(input, highest, plate.0);
        working.lines.push(shown.judge(Verdict::Beyond, note));
    } else if highest > 0.0 && phases == 3 && amps.contains(&0.0) {
        working.lines.push(shown.judge(Verdict::Beyond, TWO_LEGS));
    } else if amps.len() < legs {
        let why = "one open leg is seen only in the others";
        ask(
            working,
            shown,
            "running amperes of all three legs",
            why,
            "clamp each leg",
        );
    } else if highest == 0.0 {
        let why = "a running motor draws current; the clamp stood round two wires or the motor off";
        let how = "clamp one wire at a time with the motor running";
        ask(working, shown, "running amperes above zero", why, how);
    } else {
        let note = format!("{} % is left to the plate current.", figure(margin, 1));
        working.lines.push(shown.judge(Verdict::Within, note));
    }
}

/// A machine that draws far too little is not the machine that was meant to be tested.
fn note_light_load(working: &mut Working, at: usize, amps: &[f64], plate: Amps) {
    let highest = amps.iter().copied().fold(0.0, f64::max);
    if let Some(line) = working.lines.get_mut(at)
        && line.verdict == Some(Verdict::Within)
        && highest < LIGHT_SHARE * plate.0
    {
        line.verdict = Some(Verdict::WithinNote);
        line.note = format!(
            "Only {} % of the plate current: belt off, damper shut or no load?",
            figure(100.0 * highest / plate.0, 0)
        )
        .into();
    }
}

/// With unbalanced volts the motor may be loaded only in part, so that the plate current is too much.
/// Source: NEMA MG 1 14.36; the derating of the power is held against the current, common practice.
fn derated(working: &mut Working, amps: &[f64], plate: Amps, volts: Option<&[f64]>) {
    let Some([a, b, c]) = volts else { return };
    let found = unbalance([Volts(*a), Volts(*b), Volts(*c)]);
    let share = found.and_then(|(_, percent)| derating(percent));
    let Some(share) = share.filter(|share| *share < 1.0) else {
        return;
    };
    let highest = amps.iter().copied().fold(0.0, f64::max);
    let limit = share * plate.0;
    let shown = line("amps_derated", "Largest leg at the unbalanced volts")
        .value(figure(highest, 2), "A")
        .limit(format!("{} A", figure(limit, 2)))
        .margin(format!(
            "{} %",
            figure(100.0 * (limit - highest) / limit, 1)
        ))
        .rule(
            "plate current x derating for the voltage unbalance",
            "NEMA MG 1 14.36; held against current by common practice",
        );
    working.lines.push(if highest > limit * (1.0 + 1e-9) {
        shown.judge(
            Verdict::Beyond,
            "Too much for unbalanced volts, though it may be under the plate: correct the supply or take \
             load off.",
        )
    } else {
        shown.judge(Verdict::Within, "Under the plate current that the unbalance leaves.")
    });
}

const TWO_LEGS: &str = "Stop it: one leg carries nothing, the motor runs on two. Look for a blown \
     fuse, an open joint or contact.";

/// Over the plate current, the service factor is named and refused.
fn over(input: &ProofInput, highest: f64, plate: f64) -> String {
    let stop = "Stop it and find the load: speed, wheel, belt ratio, damper, low volts.";
    let factor = input.motor.service_factor.value().copied();
    match factor.filter(|factor| *factor > 1.0 && highest <= plate * factor) {
        Some(factor) => format!(
            "{stop} The service factor of {} is a reserve and no excuse: used all the time it shortens \
             the motor's life.",
            figure(factor, 2)
        ),
        None => stop.to_owned(),
    }
}

fn unbalance_line(percent: f64) -> Line {
    let shown = line("amps_unbalance", "Current unbalance")
        .value(figure(percent, 2), "%")
        .limit(format!("{} %", figure(UNBALANCE_NOTE, 0)))
        .rule(
            "100 x largest distance from the mean / mean",
            "common practice",
        );
    if percent >= UNBALANCE_NOTE - 1e-9 {
        shown.judge(
            Verdict::WithinNote,
            "Move all three leads one place on: what moves with the motor is the motor's, what stays is \
             the supply's.",
        )
    } else {
        shown.judge(Verdict::Within, "The legs share the load.")
    }
}

/// A lower speed: held against its own plate current, or else against that of full speed, which it must
/// not pass either.
fn at_speed(
    working: &mut Working,
    input: &ProofInput,
    run: &SpeedRun,
    phases: Option<u8>,
    full: Option<Amps>,
) {
    let mut shown = line("amps_speed", "Running current at another speed").rule(
        "each leg at or under the plate at this speed",
        "common practice; NEMA MG 1 1.42",
    );
    if let Some(speed) = run.speed.as_deref().filter(|speed| !speed.is_empty()) {
        shown.label = format!("Running current at {speed}").into();
    }
    let amps = accepted(working, input, run.amps.as_deref(), Quantity::Amps);
    let own = run.plate_amps.filter(|amps| positive(amps.0).is_some());
    let (Some(amps), Some(plate), Some(phases)) = (amps, own.or(full), phases) else {
        return ask(
            working,
            shown,
            "running amperes at each speed, with the plate current",
            "a low tap can be overloaded while the high one is not",
            "switch to the speed, let it settle, clamp each leg",
        );
    };
    let before = working.lines.len();
    against_plate(working, shown, input, &amps, plate, phases);
    if let Some(line) = working.lines.get_mut(before)
        && own.is_none()
        && line.verdict == Some(Verdict::Within)
    {
        line.verdict = Some(Verdict::WithinNote);
        line.note =
            "Under the plate current of full speed; the plate gives none for this speed.".into();
    }
}
