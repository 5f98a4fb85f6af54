//! The whole run test: every reading of the procedure is owed, and one that lacks is named.

use super::{ProofInput, Quantity, Reading, judge};
use crate::shown::{Fill, ask, line};
use crate::working::Working;

/// As [`judge`], and nothing is left out: speed, vibration, temperatures, the current at every speed of
/// the motor, and the instrument of each reading. What was not read is not known yet, so that
/// leaving a reading out never makes the result better than reading it within its limit.
/// Source: run test of the repair procedures, common practice; DOE-STD-1065-94 for the instruments.
pub fn prove(input: &ProofInput) -> Working {
    let mut working = judge(input);
    speed(&mut working, input);
    if input.vibration.is_none() {
        let shown = line("vibration", "Vibration velocity")
            .rule("limits of its category or class", "ISO 14694, ISO 10816");
        let how = "read at the bearings in three directions, mm/s r.m.s.";
        let why = "balance, bearings and looseness show in it before they are heard";
        ask(&mut working, shown, "highest vibration velocity", why, how);
    }
    temperatures(&mut working, input);
    every_speed(&mut working, input);
    instruments(&mut working, input);
    working
}

fn speed(working: &mut Working, input: &ProofInput) {
    let wanted = input.speed_wanted.is_some();
    if input.speed.is_none() && (wanted || input.motor_speed.is_none()) {
        let what = if wanted {
            "measured speed of the driven shaft; the motor's own is not it"
        } else {
            "measured speed"
        };
        ask(
            working,
            line("speed", "Speed").rule("within 5 % of the wanted speed", "common practice"),
            what,
            "power rises with the cube of a fan's speed",
            "measure at the driven shaft or at the motor",
        );
    }
}

fn temperatures(working: &mut Working, input: &ProofInput) {
    if input.motor_temperature.is_none() {
        ask(
            working,
            line("motor_temperature", "Motor body")
                .rule("below the class of the insulation", "IEC 60085 classes"),
            "temperature of the motor's body",
            "a motor that runs hot fails early",
            "read it on the body near the winding when it has settled",
        );
    }
    if input.bearing_temperatures.is_none() && input.own_bearings != Some(false) {
        ask(
            working,
            line("bearing_temperature", "Hottest bearing").rule("under 60 °C", "Navy MO-114"),
            "temperature of each bearing, or that there are none but the motor's",
            "a bearing that is tight, dry or overfilled shows it by its warmth",
            "read each housing when it has settled",
        );
    }
}

/// A motor with several speeds is read at each of them.
fn every_speed(working: &mut Working, input: &ProofInput) {
    let speeds = input.motor.speeds.value().map_or(1, Vec::len);
    let run = 1 + input.amps_at_speeds.as_ref().map_or(0, Vec::len);
    if run < speeds {
        ask(
            working,
            line("amps_speed", "Running current at the other speeds")
                .value(run.to_string(), "speeds")
                .limit(format!("{speeds} speeds on the plate"))
                .rule("current at each speed against the plate", "common practice"),
            "running amperes at each speed, with the plate current",
            "a low tap can be overloaded while the high one is not",
            "switch to the speed, let it settle, clamp each leg",
        );
    }
}

fn instruments(working: &mut Working, input: &ProofInput) {
    let nameless = |reading: &Reading| reading.instrument.is_none() && reading.kind.is_none();
    let any = |readings: &Option<Vec<Reading>>| readings.iter().flatten().any(nameless);
    let one = |reading: &Option<Reading>| reading.as_ref().is_some_and(nameless);
    let at_speeds = input
        .amps_at_speeds
        .iter()
        .flatten()
        .any(|run| any(&run.amps));
    let vibration = input.vibration.is_some()
        && (input.vibration_meter.is_none() || one(&input.vibration_meter));
    let lacks = [
        (Quantity::Amps, any(&input.amps) || at_speeds),
        (Quantity::Volts, any(&input.volts)),
        (
            Quantity::Speed,
            one(&input.speed) || one(&input.motor_speed),
        ),
        (Quantity::Vibration, vibration),
        (
            Quantity::Temperature,
            one(&input.motor_temperature) || any(&input.bearing_temperatures),
        ),
    ];
    for (what, lacks) in lacks {
        if lacks {
            ask(
                working,
                line(what.meter_key(), what.meter()).rule(
                    "the instrument and its calibration are noted",
                    "DOE-STD-1065-94",
                ),
                format!("instrument of the reading: {}", what.meter().to_lowercase()),
                "a figure is worth what its instrument is worth",
                "its number or kind, and the last day of its calibration",
            );
        }
    }
}
