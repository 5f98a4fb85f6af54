//! What the demo's instruments showed: dead tests and run tests that agree with the calculations.

use crate::instruments::used::Used;
use crate::jobs::body::{Body, Reading};
use crate::machines::MachineId;
use crate::state::AppState;
use calc::deadtest::{self, Conductors, DeadReading, DeadTest, EFFECTIVELY_ZERO, LiveProof};
use calc::installation::{Drive, Installation};
use calc::plate::{Direction, Plate};
use calc::proof::{self, Flow, ProofInput};
use calc::units::{MillimetresPerSecond, Volts};
use calc::vibration::{Support, VibrationInput};
use calc::working::Verdict;
use time::{Date, OffsetDateTime};

fn conductors(word: &str) -> Conductors {
    match word {
        "split_phase" => Conductors::SplitPhase { neutral: false },
        "three_phase" => Conductors::ThreePhase { neutral: false },
        _ => Conductors::SinglePhase,
    }
}

/// Live, dead, live: every pair at the figure a good tester shows on a dead wire.
pub fn dead(kind: &str, machine: MachineId, app: &AppState, with: Used) -> Body {
    let conductors = conductors(kind);
    let now = app.clock.now();
    let live = Some(LiveProof {
        volts: Some(Volts(120.4)),
        source: Some("outlet beside the panel".to_owned()),
        at: OffsetDateTime::from_unix_timestamp(now / 1000).ok(),
    });
    let test = DeadTest {
        conductors: Some(conductors),
        tester: Some(with.number.clone()),
        proved_before: live.clone(),
        readings: deadtest::pairs(conductors)
            .iter()
            .map(|pair| DeadReading {
                pair: (*pair).to_owned(),
                volts: Some(Volts(0.1)),
            })
            .collect(),
        proved_after: live,
    };
    let working = deadtest::judge(&test, EFFECTIVELY_ZERO);
    Body::DeadTest {
        machine_id: machine,
        instrument: with.number,
        instrument_due: with.due,
        instrument_id: with.id,
        did_not_start: true,
        live_before: "120.4".to_owned(),
        live_after: "120.4".to_owned(),
        pairs: test
            .readings
            .iter()
            .map(|r| Reading {
                point: r.pair.clone(),
                quantity: "volts".to_owned(),
                as_shown: "0.1".to_owned(),
                value: Some(0.1),
            })
            .collect(),
        verdict: working.verdict().unwrap_or(Verdict::NotKnownYet),
        working,
    }
}

/// A run test: amps at four fifths of the plate, volts a little off the nominal, a quiet bearing.
/// `None` where the plate gives no amps at this supply.
pub fn run(facts: &Installation, motor: Plate, on: Date) -> Option<ProofInput> {
    let nominal = facts.site.measured_volts.or(facts.site.nominal_volts)?;
    let phases = *motor.phases.value()?;
    let volts_of = motor.volts.value()?;
    let at = (0..volts_of.len()).min_by(|a, b| {
        let off = |i: &usize| (nominal.0 / volts_of[*i].0 - 1.0).abs();
        off(a).total_cmp(&off(b))
    })?;
    let plate = motor.amps.value()?.get(at)?.0;
    let spread: &[f64] = if phases == 3 {
        &[1.0, 1.01, 0.995]
    } else {
        &[1.0]
    };
    let reading = |value: f64, name: &str, places: f64| proof::Reading {
        value: Some((value * places).round() / places),
        instrument: Some(name.to_owned()),
        calibration_due: Some(on + time::Duration::days(120)),
        ..proof::Reading::default()
    };
    let amps = spread
        .iter()
        .map(|s| reading(plate * 0.8 * s, "CM-2", 100.0))
        .collect();
    let volts = spread
        .iter()
        .map(|s| reading(nominal.0 * (1.0 + (s - 1.0) / 3.0), "CM-2", 10.0))
        .collect();
    let right = facts.driven.rotation.unwrap_or(Direction::Clockwise);
    let moves_air = facts.driven.drive != Some(Drive::Coupled);
    Some(ProofInput {
        date: Some(on),
        direction_seen: Some(right),
        direction_right: Some(right),
        flow: Some(Flow::RightWay),
        amps: Some(amps),
        volts: Some(volts),
        vibration: moves_air.then(|| VibrationInput {
            velocity: Some(MillimetresPerSecond(1.6)),
            support: Some(Support::Rigid),
            power: motor.power.value().copied(),
            ..VibrationInput::default()
        }),
        guard_complete: Some(true),
        first_symptom_gone: Some(true),
        minutes_run: Some(20),
        motor,
        ..ProofInput::default()
    })
}

/// The same figures as rows.
pub fn readings(input: &ProofInput) -> Vec<Reading> {
    let three = input.amps.as_ref().is_some_and(|amps| amps.len() == 3);
    let points: &[&str] = if three { &["L1", "L2", "L3"] } else { &["L"] };
    let pairs: &[&str] = if three {
        &["L1-L2", "L2-L3", "L3-L1"]
    } else {
        &["L-N"]
    };
    let row = |point: &str, quantity: &str, value: Option<f64>| Reading {
        point: point.to_owned(),
        quantity: quantity.to_owned(),
        as_shown: value.map(|v| v.to_string()).unwrap_or_default(),
        value,
    };
    let mut rows = Vec::new();
    for (point, amps) in points.iter().zip(input.amps.iter().flatten()) {
        rows.push(row(point, "amps", amps.value));
    }
    for (pair, volts) in pairs.iter().zip(input.volts.iter().flatten()) {
        rows.push(row(pair, "volts", volts.value));
    }
    if let Some(vibration) = input.vibration.as_ref().and_then(|v| v.velocity) {
        rows.push(row("drive end", "mm_s", Some(vibration.0)));
    }
    rows
}
