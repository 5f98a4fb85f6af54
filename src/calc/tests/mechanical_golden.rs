//! Motor figures against the computed reference tables.

use calc::motor::{self, FullLoad, Load};
use calc::plate::MotorType;
use calc::units::{Hertz, Rpm, Watts};
use std::collections::HashMap;

fn rows(name: &str) -> Vec<HashMap<String, String>> {
    let path = format!(
        "{}/../../tests/reference/mechanical/{name}",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut file = csv::Reader::from_path(path).expect("reference table");
    let rows: Vec<_> = file.deserialize().collect::<Result<_, _>>().expect("rows");
    assert!(!rows.is_empty());
    rows
}

fn number(row: &HashMap<String, String>, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|_| panic!("{column} of {row:?}"))
}

#[track_caller]
fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "got {got}, want {want}");
}

#[test]
fn synchronous_speeds() {
    for row in rows("synchronous_speed.csv") {
        let poles = number(&row, "poles") as u32;
        for (f, column) in [
            (60.0, "synchronous_speed_60Hz_rpm"),
            (50.0, "synchronous_speed_50Hz_rpm"),
        ] {
            let n = motor::synchronous_speed(Hertz(f), poles).unwrap();
            near(n.0, number(&row, column), 0.005);
        }
    }
}

#[test]
fn poles_and_slip_of_usual_plate_speeds() {
    for row in rows("full_load_speed_and_slip.csv") {
        if row["poles"] == "n/a" {
            continue;
        }
        let f = Hertz(number(&row, "frequency_Hz"));
        let n = Rpm(number(&row, "typical_full_load_speed_rpm"));
        let p = motor::poles_from_plate_speed(MotorType::SplitPhase, n, f).unwrap();
        assert_eq!(p, number(&row, "poles") as u32, "{row:?}");
        let ns = motor::synchronous_speed(f, p).unwrap();
        near(
            100.0 * motor::slip(ns, n).unwrap(),
            number(&row, "slip_percent"),
            0.006,
        );
    }
}

#[test]
fn shaft_torques() {
    for row in rows("shaft_torque_golden.csv") {
        let power = Watts::from_hp(number(&row, "power_hp"));
        let t = motor::shaft_torque(power, Rpm(number(&row, "speed_rpm"))).unwrap();
        near(t.0, number(&row, "torque_N_m"), 1e-5);
    }
}

#[test]
fn running_speeds_with_another_motor() {
    for row in rows("operating_speed_with_slip_golden.csv") {
        let hp = |column: &str| Watts::from_hp(number(&row, column));
        let motor = FullLoad {
            power: hp("candidate_rated_power_hp"),
            speed: Rpm(number(&row, "candidate_full_load_rpm")),
            synchronous: Rpm(number(&row, "candidate_synchronous_rpm")),
        };
        let at = Rpm(number(&row, "old_speed_rpm"));
        let load = Load {
            power: hp("fan_power_hp_at_old_speed"),
            at,
        };
        let run = motor::running_speed(motor, load).unwrap();
        near(run.speed.0, number(&row, "operating_speed_rpm"), 0.006);
        near(run.speed_ratio, number(&row, "flow_ratio"), 1e-5);
        near(run.power.hp(), number(&row, "shaft_power_hp"), 1e-5);
        near(
            run.load_fraction,
            number(&row, "load_fraction_of_candidate"),
            1e-4,
        );
        assert_eq!(run.valid, run.load_fraction <= 1.3);
        // The balance itself, to the accuracy asked of a search.
        let n = run.speed.0;
        let drive = motor.power.0 / motor.speed.0 * (motor.synchronous.0 - n)
            / (motor.synchronous.0 - motor.speed.0);
        let taken = load.power.0 / at.0 * (n / at.0).powi(2);
        near(drive / taken, 1.0, 1e-9);
    }
}

#[test]
fn impossible_inputs_are_errors() {
    for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
        assert!(motor::synchronous_speed(Hertz(bad), 4).is_err());
        assert!(motor::shaft_torque(Watts(bad), Rpm(1750.0)).is_err());
    }
    for poles in [0, 3, 50] {
        assert!(motor::synchronous_speed(Hertz(60.0), poles).is_err());
    }
}
