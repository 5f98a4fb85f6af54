//! A machine's reading against the zones of its class, and a bare motor's against its limit.

use super::{
    HOW, MEASURE, MotorLimit, NoLimit, Outside, Velocity, VelocityUnit, VibrationInput, Zone,
    Zones, motor_limit, shown,
};
use crate::shown::{Fill, ask, figure};
use crate::units::MillimetresPerSecond;
use crate::working::{Line, Verdict, Working};

pub(super) fn judge(working: &mut Working, input: &VibrationInput) {
    let shown = shown(input).rule("zones A to D of the machine's class", "ISO 10816");
    let zones = match input.machine_zones() {
        Ok(zones) => zones,
        Err(Outside::Power) => {
            let why = "the class of a machine follows from its power";
            return ask(working, shown, "driver power", why, "read it on the plate");
        }
        Err(Outside::Support) => {
            let why = "rigid and flexible machines have zones of their own";
            return ask(working, shown, "rigid or flexible support", why, HOW);
        }
        Err(outside) => {
            return ask(
                working,
                shown.limit(outside.to_string()),
                "a standard that covers this machine",
                format!("{outside}"),
                "judge it by ISO 10816-1 class I, or as a fan by ISO 14694",
            );
        }
    };
    let Some(rms) = rms_only(working, &shown, input, "ISO 10816") else {
        return;
    };
    working.lines.push(in_zone(shown, zones, rms));
}

/// The reading in mm/s r.m.s.; anything else is asked for and judged by nothing.
fn rms_only(
    working: &mut Working,
    shown: &Line,
    input: &VibrationInput,
    standard: &str,
) -> Option<f64> {
    let read = input.read();
    if let Some(rms) = read.and_then(|read| read.rms_mm_s()) {
        return Some(rms);
    }
    let (what, why, how): (_, String, _) = match read {
        Some(Velocity { measure: None, .. }) => (MEASURE.0, MEASURE.1.into(), MEASURE.2),
        Some(_) => (
            "vibration velocity, r.m.s.",
            format!(
                "{standard} has r.m.s. limits only, and a peak reading is not made into r.m.s."
            ),
            "set the instrument to r.m.s. and read again",
        ),
        None => (
            "highest vibration velocity, mm/s r.m.s.",
            "it is held against the limit".into(),
            HOW,
        ),
    };
    ask(working, shown.clone(), what, why, how);
    None
}

fn in_zone(shown: Line, zones: &Zones, rms: f64) -> Line {
    let [ab, bc, cd] = zones.bounds.map(|bound| figure(bound.0, 2));
    let mut shown = shown
        .value(figure(rms, 3), "mm/s")
        .limit(format!("A to {ab}, B to {bc}, C to {cd}, D above"));
    shown.source = format!("{}, {}", zones.name, zones.confidence).into();
    match zones.zone(MillimetresPerSecond(rms)) {
        Some(Zone::A) => shown.judge(Verdict::Within, "Zone A: as a new machine."),
        Some(Zone::B) => shown.judge(Verdict::Within, "Zone B: fit for long running."),
        Some(Zone::C) => shown.judge(
            Verdict::WithinNote,
            "Zone C: not for long; find the cause and plan the repair.",
        ),
        _ => shown.judge(
            Verdict::Beyond,
            "Zone D: enough to do damage; stop it soon.",
        ),
    }
}

/// A bare motor: not coupled, half a key, inside the shaft heights or speeds of the limit.
pub(super) fn judge_motor(working: &mut Working, input: &VibrationInput) {
    let shown = shown(input).rule(
        "limit of a motor that runs by itself",
        "IEC 60034-14, NEMA MG 1 Part 7",
    );
    let Some(basis) = input.motor_basis else {
        let why = "grade and mounting have limits of their own";
        let how = "look how the motor hangs or stands on the test stand, and at its grade";
        return ask(
            working,
            shown,
            "which limit of a bare motor holds",
            why,
            how,
        );
    };
    let held = match motor_limit(basis, input.shaft_height, input.speed) {
        Ok(held) => held,
        Err(lacks) => return ask_motor(working, shown, lacks),
    };
    let read = input.read();
    match read.and_then(|read| Some((read, read.against(held.rms, held.peak)?))) {
        Some((read, limit)) => {
            let line = against_motor_limit(shown, &held, read.value, read.unit, limit);
            working.lines.push(line);
        }
        None if held.rms.is_some() => {
            rms_only(working, &shown, input, "IEC 60034-14");
        }
        None => ask(
            working,
            shown,
            "highest vibration velocity, peak",
            "NEMA MG 1 has peak limits only, and an r.m.s. reading is not made into peak",
            "set the instrument to peak and read again",
        ),
    }
}

fn ask_motor(working: &mut Working, shown: Line, lacks: NoLimit) {
    let (what, how) = match lacks {
        NoLimit::Height => ("shaft height of the motor", "read the frame size"),
        NoLimit::Speed => ("speed of the motor", "read it on the plate"),
        NoLimit::Outside => (
            "a standard that covers this motor",
            "ask the motor's maker for its limit",
        ),
    };
    ask(working, shown, what, lacks.to_string(), how);
}

fn against_motor_limit(
    shown: Line,
    held: &MotorLimit,
    value: f64,
    unit: VelocityUnit,
    limit: f64,
) -> Line {
    let mut shown = shown
        .value(figure(value, 3), unit.words())
        .limit(figure(limit, 3))
        .margin(figure(limit - value, 3));
    shown.source = format!("{}, {}", held.name, held.confidence).into();
    if value > limit + 1e-9 {
        shown.judge(
            Verdict::Beyond,
            "Above the limit of a new motor: bearings, rotor balance, bent shaft, soft foot.",
        )
    } else {
        shown.judge(
            Verdict::Within,
            "Inside the limit of the motor by itself; coupled to its machine it is judged anew.",
        )
    }
}
