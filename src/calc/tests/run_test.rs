//! The run test and the supply check.

use calc::plate::{Direction, Field, Plate};
use calc::proof::{Flow, ProofInput, Reading, judge};
use calc::supply::{SupplyInput, check, derating, nameplate_for};
use calc::units::{Amps, Hertz, MillimetresPerSecond, Rpm, Volts, Watts};
use calc::vibration::{Support, VibrationInput};
use calc::working::Verdict;
use proptest::prelude::*;
use time::macros::date;

fn readings(values: &[f64]) -> Option<Vec<Reading>> {
    let reading = |value: &f64| Reading {
        value: Some(*value),
        instrument: Some("M-7".into()),
        calibration_due: Some(date!(2026 - 12 - 31)),
        kind: None,
    };
    Some(values.iter().map(reading).collect())
}

/// A three-phase fan that passes.
fn passed() -> ProofInput {
    ProofInput {
        motor: Plate {
            volts: Field::read(vec![Volts(230.0), Volts(460.0)]),
            amps: Field::read(vec![Amps(6.0), Amps(3.0)]),
            phases: Field::read(3),
            frequency: Field::read(vec![Hertz(60.0)]),
            ..Plate::default()
        },
        date: Some(date!(2026 - 11 - 25)),
        direction_seen: Some(Direction::Clockwise),
        direction_right: Some(Direction::Clockwise),
        flow: Some(Flow::RightWay),
        amps: readings(&[2.6, 2.7, 2.65]),
        volts: readings(&[478.0, 480.0, 479.0]),
        vibration: Some(VibrationInput {
            velocity: Some(MillimetresPerSecond(2.1)),
            power: Some(Watts::from_hp(2.0)),
            support: Some(Support::Rigid),
            ..VibrationInput::default()
        }),
        speed: readings(&[862.0]).and_then(|mut list| list.pop()),
        speed_wanted: Some(Rpm(850.0)),
        guard_complete: Some(true),
        first_symptom_gone: Some(true),
        minutes_run: Some(20),
        ..ProofInput::default()
    }
}

#[test]
fn a_whole_run_test_passes_with_its_margin() {
    let working = judge(&passed());
    assert_eq!(working.verdict(), Some(Verdict::Within), "{working:#?}");
    assert_eq!(
        working.line("amps").map(|l| l.margin.as_ref()),
        Some("10 %")
    );
    let text = serde_json::to_string(&passed()).expect("json");
    assert!(text.contains("2026-12-31"));
    assert_eq!(
        serde_json::from_str::<ProofInput>(&text).expect("read back"),
        passed()
    );
}

#[test]
fn one_thing_wrong_rules() {
    type Change = fn(&mut ProofInput);
    let wrong: [(&str, Change, Verdict); 9] = [
        (
            "direction",
            |p| p.direction_seen = Some(Direction::CounterClockwise),
            Verdict::Beyond,
        ),
        ("flow", |p| p.flow = Some(Flow::WrongWay), Verdict::Beyond),
        (
            "flow",
            |p| p.flow = Some(Flow::NotLooked),
            Verdict::NotKnownYet,
        ),
        (
            "amps",
            |p| p.amps = readings(&[2.6, 3.01, 2.6]),
            Verdict::Beyond,
        ),
        (
            "amps",
            |p| p.amps = readings(&[2.6, 2.7]),
            Verdict::NotKnownYet,
        ),
        (
            "volts",
            |p| p.volts = readings(&[405.0, 412.0, 412.0]),
            Verdict::Beyond,
        ),
        (
            "unbalance",
            |p| p.volts = readings(&[480.0, 470.0, 455.0]),
            Verdict::WithinNote,
        ),
        ("minutes", |p| p.minutes_run = Some(3), Verdict::WithinNote),
        (
            "amps_meter",
            |p| p.date = Some(date!(2027 - 01 - 01)),
            Verdict::NotKnownYet,
        ),
    ];
    for (key, change, verdict) in wrong {
        let mut input = passed();
        change(&mut input);
        let working = judge(&input);
        let found = working.line(key).and_then(|line| line.verdict);
        assert_eq!(found, Some(verdict), "{key}: {working:#?}");
    }
}

#[test]
fn supply_against_the_plate() {
    let motor = passed().motor;
    let at = |volts: &[f64], hertz| {
        let volts = Some(volts.iter().copied().map(Volts).collect());
        let input = SupplyInput {
            phases: Some(3),
            volts,
            frequency: Some(Hertz(hertz)),
        };
        check(&motor, &input).verdict()
    };
    assert_eq!(at(&[480.0, 480.0, 480.0], 60.0), Some(Verdict::Within));
    assert_eq!(at(&[500.0, 500.0, 500.0], 58.0), Some(Verdict::Beyond));
    assert_eq!(at(&[480.0, 480.0, 430.0], 60.0), Some(Verdict::Beyond));
    assert_eq!(
        check(&motor, &SupplyInput::default()).verdict(),
        Some(Verdict::NotKnownYet)
    );
    assert_eq!(nameplate_for(3, Volts(208.0)), Some(Volts(200.0)));
    assert_eq!(
        [0.4, 1.0, 2.0, 5.0, 5.1].map(derating),
        [Some(1.0), Some(1.0), Some(0.95), Some(0.76), None]
    );
    // Halfway between the printed 0.78 and 0.76.
    let between = derating(4.75).expect("a factor");
    assert!((between - 0.77).abs() < 1e-9);
}

const DELETIONS: [fn(&mut ProofInput); 11] = [
    |p| p.date = None,
    |p| p.direction_seen = None,
    |p| p.direction_right = None,
    |p| p.flow = None,
    |p| p.amps = None,
    |p| p.volts = None,
    |p| p.guard_complete = None,
    |p| p.first_symptom_gone = None,
    |p| p.minutes_run = None,
    |p| p.motor.phases = Field::Unknown,
    |p| p.motor.amps = Field::Unreadable,
];

proptest! {
    /// Vibration and speed are optional and so left out: only what was measured of them is judged.
    #[test]
    fn deleting_an_input_never_improves(
        amps in prop::collection::vec(prop_oneof![0.1f64..4.0, any::<f64>()], 0..4),
        volts in prop::collection::vec(prop_oneof![390.0f64..520.0, any::<f64>()], 0..4),
        flow in prop::sample::select(vec![Flow::RightWay, Flow::WrongWay, Flow::NotLooked]),
        yes in prop::collection::vec(prop::bool::weighted(0.8), 4),
        minutes in 0u32..40, phases in 0u8..5, which in 0..DELETIONS.len(),
    ) {
        let mut input = passed();
        input.amps = readings(&amps);
        input.volts = readings(&volts);
        input.flow = Some(flow);
        input.guard_complete = Some(yes[0]);
        input.first_symptom_gone = Some(yes[1]);
        input.minutes_run = Some(minutes);
        if !yes[2] { input.motor.phases = Field::read(phases); }
        if !yes[3] { input.date = Some(date!(2027 - 02 - 01)); }
        let before = judge(&input).verdict().expect("a verdict");
        DELETIONS[which](&mut input);
        let after = judge(&input).verdict().expect("a verdict");
        let fell_open = before == Verdict::Beyond && after == Verdict::NotKnownYet;
        prop_assert!(after.severity() >= before.severity() || fell_open, "{before:?} {after:?}");
    }
}
