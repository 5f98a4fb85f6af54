//! The whole run test: every reading of a repair with its instrument, and what a missing one does.

use calc::plate::{Direction, Field, InsulationClass, MotorType, Plate, SeenFrom};
use calc::proof::{Flow, Instrument, ProofInput, Reading, SpeedRun, judge, prove};
use calc::units::{Amps, Hertz, MillimetresPerSecond, Rpm, Volts};
use calc::vibration::{Category, Support, Velocity, VibrationInput};
use calc::working::Verdict;
use proptest::prelude::*;
use time::macros::date;

fn by(kind: Instrument, value: f64) -> Reading {
    Reading {
        value: Some(value),
        instrument: Some("7".into()),
        calibration_due: Some(date!(2026 - 12 - 31)),
        kind: Some(kind),
    }
}

fn all(kind: Instrument, values: &[f64]) -> Option<Vec<Reading>> {
    Some(values.iter().map(|value| by(kind, *value)).collect())
}

fn shake(value: f64) -> VibrationInput {
    VibrationInput {
        reading: Some(Velocity::rms(MillimetresPerSecond(value))),
        category: Some(Category::Bv2),
        support: Some(Support::Rigid),
        ..VibrationInput::default()
    }
}

/// A three-phase belt-driven fan with everything read and in order.
fn whole() -> ProofInput {
    ProofInput {
        motor: Plate {
            volts: Field::read(vec![Volts(460.0)]),
            amps: Field::read(vec![Amps(3.0)]),
            phases: Field::read(3),
            frequency: Field::read(vec![Hertz(60.0)]),
            speeds: Field::read(vec![Rpm(1725.0)]),
            motor_type: Field::read(MotorType::ThreePhaseInduction),
            insulation: Field::read(InsulationClass::B),
            service_factor: Field::read(1.15),
            ..Plate::default()
        },
        date: Some(date!(2026 - 11 - 25)),
        direction_seen: Some(Direction::Clockwise),
        direction_right: Some(Direction::Clockwise),
        flow: Some(Flow::RightWay),
        amps: all(Instrument::TrueRmsClamp, &[2.6, 2.7, 2.65]),
        volts: all(Instrument::TrueRmsMeter, &[478.0, 480.0, 479.0]),
        vibration: Some(shake(2.1)),
        vibration_meter: Some(by(Instrument::VibrationMeter, 0.0)),
        speed: Some(by(Instrument::Tachometer, 862.0)),
        speed_wanted: Some(Rpm(850.0)),
        motor_speed: Some(by(Instrument::Tachometer, 1738.0)),
        motor_temperature: Some(by(Instrument::ContactThermometer, 62.0)),
        own_bearings: Some(true),
        bearing_temperatures: all(Instrument::ContactThermometer, &[41.0, 44.0]),
        guard_complete: Some(true),
        first_symptom_gone: Some(true),
        minutes_run: Some(20),
        ..ProofInput::default()
    }
}

#[test]
fn everything_read_and_in_order_is_proved() {
    let working = prove(&whole());
    assert_eq!(working.verdict(), Some(Verdict::Within), "{working:#?}");
    assert!(working.missing.is_empty());
    let text = serde_json::to_string(&whole()).expect("json");
    let back: ProofInput = serde_json::from_str(&text).expect("read back");
    assert_eq!(back, whole());
}

type Change = fn(&mut ProofInput);

#[track_caller]
fn gives(key: &str, verdict: Verdict, change: Change) {
    let mut input = whole();
    change(&mut input);
    let working = prove(&input);
    let found = working.line(key).and_then(|line| line.verdict);
    assert_eq!(found, Some(verdict), "{key}: {working:#?}");
    assert!(working.verdict().map(Verdict::severity) >= Some(verdict.severity()));
}

#[test]
fn the_service_factor_is_no_excuse() {
    let mut input = whole();
    input.amps = all(Instrument::TrueRmsClamp, &[3.2, 3.25, 3.22]);
    let working = prove(&input);
    let line = working.line("amps").expect("amps");
    assert_eq!(line.verdict, Some(Verdict::Beyond));
    assert!(line.note.contains("no excuse"), "{}", line.note);
}

#[test]
fn current_is_judged_leg_by_leg() {
    gives("amps", Verdict::Beyond, |p| {
        p.amps = all(Instrument::TrueRmsClamp, &[2.9, 2.9, 0.0])
    });
    gives("amps", Verdict::NotKnownYet, |p| {
        p.amps = all(Instrument::TrueRmsClamp, &[0.0; 3])
    });
    gives("amps", Verdict::NotKnownYet, |p| {
        p.amps = all(Instrument::TrueRmsClamp, &[2.9, 2.9])
    });
    gives("amps_unbalance", Verdict::WithinNote, |p| {
        p.amps = all(Instrument::TrueRmsClamp, &[2.0, 2.7, 2.7]);
    });
}

#[test]
fn an_instrument_that_cannot_read_it_is_not_accepted() {
    gives("amps_meter", Verdict::NotKnownYet, |p| {
        p.drive_fed = Some(true);
        p.amps = all(Instrument::AveragingClamp, &[2.6, 2.7, 2.65]);
    });
    gives("volts_meter", Verdict::NotKnownYet, |p| {
        p.volts = all(Instrument::NonContactTester, &[478.0, 480.0, 479.0]);
    });
    gives("vibration_meter", Verdict::NotKnownYet, |p| {
        p.vibration_meter = Some(by(Instrument::Senses, 0.0));
    });
    gives("temperature_meter", Verdict::NotKnownYet, |p| {
        p.motor_temperature = Some(by(Instrument::Senses, 60.0));
    });
    gives("amps_meter", Verdict::NotKnownYet, |p| {
        p.date = Some(date!(2027 - 01 - 01))
    });
    gives("speed_meter", Verdict::NotKnownYet, |p| {
        p.speed = Some(Reading {
            value: Some(860.0),
            ..Reading::default()
        });
    });
    // Off a drive an averaging clamp reads a sine, and is right.
    gives("amps", Verdict::Within, |p| {
        p.amps = all(Instrument::AveragingClamp, &[2.6, 2.7, 2.65]);
    });
}

#[test]
fn low_volts_on_a_high_impedance_meter_may_be_ghosts() {
    let cautions = |kind| {
        let mut input = whole();
        input.volts = all(kind, &[478.0, 300.0, 302.0]);
        prove(&input)
            .cautions
            .iter()
            .any(|caution| caution.contains("ghost"))
    };
    assert!(cautions(Instrument::TrueRmsMeter));
    assert!(!cautions(Instrument::LowImpedanceMeter));
}

#[test]
fn the_end_it_is_seen_from_turns_the_direction_round() {
    gives("direction", Verdict::Beyond, |p| {
        p.direction_seen_from = Some(SeenFrom::LeadEnd);
        p.direction_right_from = Some(SeenFrom::ShaftEnd);
    });
    gives("direction", Verdict::Within, |p| {
        p.direction_seen = Some(Direction::CounterClockwise);
        p.direction_seen_from = Some(SeenFrom::LeadEnd);
        p.direction_right_from = Some(SeenFrom::ShaftEnd);
    });
    // Seen from no named end is seen from the end from which the right direction is meant.
    gives("direction", Verdict::Within, |p| {
        p.direction_right_from = Some(SeenFrom::ShaftEnd)
    });
    gives("direction", Verdict::NotKnownYet, |p| {
        p.direction_seen_from = Some(SeenFrom::ShaftEnd)
    });
}

#[test]
fn one_plate_current_beside_several_voltages_is_asked_about() {
    gives("amps", Verdict::NotKnownYet, |p| {
        p.motor.volts = Field::read(vec![Volts(230.0), Volts(460.0)]);
    });
    gives("amps", Verdict::Within, |p| {
        p.motor.volts = Field::read(vec![Volts(230.0), Volts(460.0)]);
        p.motor.amps = Field::read(vec![Amps(6.0), Amps(3.0)]);
    });
}

#[test]
fn what_was_read_too_early_is_not_known_yet() {
    for key in ["amps", "motor_temperature", "bearing_temperature"] {
        gives(key, Verdict::NotKnownYet, |p| p.minutes_run = Some(14));
        gives(key, Verdict::Within, |p| p.minutes_run = Some(15));
    }
    gives("amps", Verdict::Beyond, |p| {
        p.minutes_run = Some(3);
        p.amps = all(Instrument::TrueRmsClamp, &[3.2, 3.2, 3.2]);
    });
}

#[test]
fn unbalanced_volts_leave_less_than_the_plate_current() {
    let unbalanced: Change = |p| p.volts = all(Instrument::TrueRmsMeter, &[480.0, 470.0, 455.0]);
    gives("amps_derated", Verdict::Within, unbalanced);
    gives("amps_derated", Verdict::Beyond, |p| {
        p.volts = all(Instrument::TrueRmsMeter, &[480.0, 470.0, 455.0]);
        p.amps = all(Instrument::TrueRmsClamp, &[2.9, 2.95, 2.9]);
    });
    assert!(prove(&whole()).line("amps_derated").is_none());
}

#[test]
fn the_motors_own_speed_is_not_the_driven_one() {
    gives("speed", Verdict::NotKnownYet, |p| p.speed = None);
    let mut input = whole();
    (input.speed, input.speed_wanted) = (None, None);
    assert!(prove(&input).line("speed").is_none());
}

#[test]
fn readings_that_can_hardly_be_are_doubted() {
    gives("motor_temperature", Verdict::NotKnownYet, |p| {
        p.ambient = Some(70.0);
    });
    gives("motor_temperature", Verdict::Within, |p| {
        p.ambient = Some(66.0);
    });
    gives("motor_temperature", Verdict::NotKnownYet, |p| {
        p.motor_temperature = Some(by(Instrument::ContactThermometer, -45.0));
    });
    gives("amps", Verdict::WithinNote, |p| {
        p.amps = all(Instrument::TrueRmsClamp, &[1.1; 3]);
    });
    gives("amps_unbalance", Verdict::WithinNote, |p| {
        p.amps = all(Instrument::TrueRmsClamp, &[2.4, 2.7, 2.55]);
    });
    gives("vibration", Verdict::NotKnownYet, |p| {
        p.vibration_meter = Some(Reading {
            calibration_due: Some(date!(2025 - 01 - 01)),
            ..by(Instrument::VibrationMeter, 0.0)
        });
    });
}

#[test]
fn warmth_is_held_against_class_and_bearing_limit() {
    gives("motor_temperature", Verdict::WithinNote, |p| {
        p.motor_temperature = Some(by(Instrument::ContactThermometer, 100.0));
    });
    gives("motor_temperature", Verdict::Beyond, |p| {
        p.motor_temperature = Some(by(Instrument::ContactThermometer, 121.0));
    });
    gives("motor_temperature", Verdict::NotKnownYet, |p| {
        p.motor.insulation = Field::Unknown;
        p.motor_temperature = Some(by(Instrument::ContactThermometer, 100.0));
    });
    gives("motor_temperature", Verdict::Within, |p| {
        p.motor.insulation = Field::Unknown
    });
    gives("bearing_temperature", Verdict::WithinNote, |p| {
        p.bearing_temperatures = all(Instrument::ContactThermometer, &[61.0, 30.0]);
    });
    gives("bearing_temperature", Verdict::Beyond, |p| {
        p.bearing_temperatures = all(Instrument::ContactThermometer, &[30.0, 90.0]);
    });
}

#[test]
fn the_motor_turns_between_full_load_and_its_field() {
    let at = |rpm| by(Instrument::Tachometer, rpm);
    let verdict = |rpm, change: Change| {
        let mut input = whole();
        input.motor_speed = Some(at(rpm));
        change(&mut input);
        let working = prove(&input);
        working.line("motor_speed").and_then(|line| line.verdict)
    };
    // Slip 75 rpm: 20 % of it below the plate is 1710 rpm.
    assert_eq!(verdict(1710.0, |_| ()), Some(Verdict::Within));
    assert_eq!(verdict(1705.0, |_| ()), Some(Verdict::Beyond));
    assert_eq!(verdict(1860.0, |_| ()), Some(Verdict::NotKnownYet));
    assert_eq!(verdict(900.0, |p| p.speed_controlled = Some(true)), None);
    let other: Change = |p| p.motor.motor_type = Field::Unknown;
    assert_eq!(verdict(1800.0, other), Some(Verdict::Within));
    assert_eq!(verdict(1830.0, other), Some(Verdict::Beyond));
}

#[test]
fn every_speed_of_the_motor_is_read() {
    let two: Change = |p| p.motor.speeds = Field::read(vec![Rpm(1725.0), Rpm(1140.0)]);
    gives("amps_speed", Verdict::NotKnownYet, two);
    let run = |amps: f64, plate_amps| {
        let mut input = whole();
        two(&mut input);
        input.amps_at_speeds = Some(vec![SpeedRun {
            speed: Some("low".into()),
            amps: all(Instrument::TrueRmsClamp, &[amps; 3]),
            plate_amps,
        }]);
        prove(&input)
            .line("amps_speed")
            .and_then(|line| line.verdict)
    };
    assert_eq!(run(1.4, Some(Amps(1.5))), Some(Verdict::Within));
    assert_eq!(run(1.6, Some(Amps(1.5))), Some(Verdict::Beyond));
    assert_eq!(run(1.6, None), Some(Verdict::WithinNote));
    assert_eq!(run(3.1, None), Some(Verdict::Beyond));
}

/// Each reading taken away, with what must then be named as missing.
const LEFT_OUT: [(&str, Change); 11] = [
    ("amperes", |p| p.amps = None),
    ("volts", |p| p.volts = None),
    ("vibration", |p| p.vibration = None),
    ("speed", |p| {
        p.speed = None;
        p.motor_speed = None;
    }),
    ("motor's body", |p| p.motor_temperature = None),
    ("each bearing", |p| p.bearing_temperatures = None),
    ("direction", |p| p.direction_seen = None),
    ("flow", |p| p.flow = None),
    ("guard", |p| p.guard_complete = None),
    ("symptom", |p| p.first_symptom_gone = None),
    ("minutes", |p| p.minutes_run = None),
];

#[test]
fn what_was_not_read_is_named() {
    for (what, leave_out) in LEFT_OUT {
        let mut input = whole();
        leave_out(&mut input);
        let working = prove(&input);
        assert_eq!(working.verdict(), Some(Verdict::NotKnownYet), "{what}");
        let named = working
            .missing
            .iter()
            .any(|missing| missing.what.contains(what));
        assert!(named, "{what}: {:?}", working.missing);
    }
    let nothing = prove(&ProofInput::default());
    assert_eq!(nothing.verdict(), Some(Verdict::NotKnownYet));
}

#[test]
fn the_shorter_test_asks_for_no_more_than_before() {
    let mut input = whole();
    input.vibration = None;
    input.speed = None;
    input.motor_speed = None;
    input.motor_temperature = None;
    input.bearing_temperatures = None;
    assert_eq!(judge(&input).verdict(), Some(Verdict::Within));
}

const DELETIONS: [Change; 16] = [
    |p| p.amps = None,
    |p| p.volts = None,
    |p| p.vibration = None,
    |p| p.vibration_meter = None,
    |p| p.speed = None,
    |p| p.speed_wanted = None,
    |p| p.motor_temperature = None,
    |p| p.bearing_temperatures = None,
    |p| p.direction_seen = None,
    |p| p.direction_right = None,
    |p| p.flow = None,
    |p| p.guard_complete = None,
    |p| p.minutes_run = None,
    |p| p.motor.insulation = Field::Unknown,
    |p| p.motor.amps = Field::Unreadable,
    |p| p.motor.phases = Field::Unknown,
];

fn any_kind() -> impl Strategy<Value = Instrument> {
    prop::sample::select(vec![
        Instrument::TrueRmsClamp,
        Instrument::AveragingClamp,
        Instrument::VoltageTester,
        Instrument::ContactThermometer,
        Instrument::Tachometer,
        Instrument::VibrationMeter,
    ])
}

proptest! {
    #[test]
    fn leaving_out_a_reading_is_never_better(
        amps in prop::collection::vec(prop_oneof![0.0f64..4.0, any::<f64>()], 0..4),
        volts in prop::collection::vec(prop_oneof![390.0f64..520.0, any::<f64>()], 0..4),
        warm in prop_oneof![20.0f64..200.0, any::<f64>()], bearing in prop_oneof![20.0f64..120.0, any::<f64>()],
        velocity in prop_oneof![0.0f64..20.0, any::<f64>()], speed in prop_oneof![700.0f64..1000.0, any::<f64>()],
        kind in any_kind(), drive_fed in prop::option::of(any::<bool>()), which in 0..DELETIONS.len(),
    ) {
        let mut input = whole();
        input.motor_speed = None;
        input.drive_fed = drive_fed;
        input.amps = all(if which % 2 == 0 { kind } else { Instrument::TrueRmsClamp }, &amps);
        input.volts = all(Instrument::TrueRmsClamp, &volts);
        input.motor_temperature = Some(by(Instrument::ContactThermometer, warm));
        input.bearing_temperatures = all(Instrument::ContactThermometer, &[bearing]);
        input.speed = Some(by(Instrument::Tachometer, speed));
        input.vibration = Some(shake(velocity));
        let before = prove(&input).verdict().expect("a verdict");
        DELETIONS[which](&mut input);
        let after = prove(&input).verdict().expect("a verdict");
        let fell_open = before == Verdict::Beyond && after == Verdict::NotKnownYet;
        prop_assert!(after.severity() >= before.severity() || fell_open, "{before:?} {after:?}");
    }

    #[test]
    fn a_hotter_or_heavier_machine_is_never_better(
        // Below 40 % of the plate current it is the light load that is looked into.
        amps in 1.2f64..5.0, more in 1.0f64..2.0, warm in 20.0f64..200.0, by_k in 0.0f64..50.0,
    ) {
        let at = |amps: f64, warm: f64| {
            let mut input = whole();
            input.amps = all(Instrument::TrueRmsClamp, &[amps; 3]);
            input.motor_temperature = Some(by(Instrument::ContactThermometer, warm));
            input.bearing_temperatures = all(Instrument::ContactThermometer, &[warm / 2.0]);
            prove(&input).verdict().map(Verdict::severity)
        };
        prop_assert!(at(amps * more, warm) >= at(amps, warm));
        prop_assert!(at(amps, warm + by_k) >= at(amps, warm));
    }
}
