//! Contacts: both currents, horsepower, and pilot duty for coils only.

use super::*;
use proptest::prelude::*;

const MOTOR: MotorLoad = MotorLoad {
    running: Some(5.0),
    locked_rotor: Some(30.0),
    horsepower: Some(0.25),
};

fn amps(running: f64, locked_rotor: f64) -> Rating {
    Rating {
        running: Some(running),
        locked_rotor: Some(locked_rotor),
        ..Rating::default()
    }
}

#[test]
fn both_currents_must_be_covered() {
    assert_eq!(fits(&MOTOR, &amps(5.8, 34.8)), Fits::Yes);
    assert_eq!(fits(&MOTOR, &amps(16.0, 29.0)), Fits::No);
    assert_eq!(fits(&MOTOR, &amps(3.0, 34.8)), Fits::No);
    let start_unknown = MotorLoad {
        locked_rotor: None,
        ..MOTOR
    };
    assert_eq!(fits(&start_unknown, &amps(16.0, 96.0)), Fits::AskMotor);
    assert_eq!(fits(&start_unknown, &amps(3.0, 96.0)), Fits::No);
    let only_running = Rating {
        running: Some(16.0),
        ..Rating::default()
    };
    assert_eq!(fits(&MOTOR, &only_running), Fits::AskContact);
}

#[test]
fn horsepower_is_the_other_way_and_pilot_duty_none() {
    let power = |hp| Rating {
        horsepower: Some(hp),
        ..Rating::default()
    };
    assert_eq!(fits(&MOTOR, &power(0.25)), Fits::Yes);
    assert_eq!(fits(&MOTOR, &power(1.0 / 6.0)), Fits::No);
    let pilot = Rating {
        pilot_duty: true,
        ..Rating::default()
    };
    assert_eq!(fits(&MOTOR, &pilot), Fits::No);
}

#[test]
fn a_pilot_code_by_voltage() {
    let code = contact_code("b300").expect("a code");
    let of = |volts: u32| pilot_amps(code, volts.into());
    assert_eq!(of(120), Some((30.into(), 3.into())));
    assert_eq!(of(240), Some((15.into(), Decimal::new(15, 1))));
    assert_eq!(of(24), of(120));
    assert_eq!(of(480), None);
    let fits = |volts: u32, inrush: u32| coil_fits(code, volts.into(), inrush.into(), 30.into());
    assert_eq!(fits(120, 3600), Some(true));
    assert_eq!(fits(120, 3601), Some(false));
    assert_eq!(fits(480, 10), Some(false));
    assert_eq!(fits(0, 10), None);
}

fn maybe() -> impl Strategy<Value = Option<f64>> {
    prop::option::of(prop_oneof![0.1f64..60.0, any::<f64>()])
}

proptest! {
    #[test]
    fn a_larger_motor_never_fits_better(run in maybe(), start in maybe(), hp in maybe(),
        r in maybe(), s in maybe(), h in maybe(), pilot: bool, factor in 1.0f64..9.0) {
        let load = MotorLoad { running: run, locked_rotor: start, horsepower: hp };
        let rated = Rating { running: r, locked_rotor: s, horsepower: h, pilot_duty: pilot };
        let before = fits(&load, &rated);
        let larger = MotorLoad {
            running: run.map(|a| a * factor),
            locked_rotor: start.map(|a| a * factor),
            horsepower: hp.map(|a| a * factor),
        };
        let usable = |v: Option<f64>| v.is_none_or(|v| positive(v * factor).is_some());
        prop_assume!(usable(run) && usable(start) && usable(hp));
        if before == Fits::No {
            prop_assert_eq!(fits(&larger, &rated), Fits::No);
        }
        if fits(&larger, &rated) == Fits::Yes {
            prop_assert_eq!(before, Fits::Yes);
        }
    }

    #[test]
    fn forgetting_a_rating_by_amperes_never_lets_a_motor_pass(run in maybe(), start in maybe(), r in maybe(), s in maybe()) {
        let load = MotorLoad { running: run, locked_rotor: start, horsepower: None };
        let all = Rating { running: r, locked_rotor: s, ..Rating::default() };
        if fits(&load, &all) != Fits::Yes {
            for rated in [Rating { running: None, ..all.clone() }, Rating { locked_rotor: None, ..all }] {
                prop_assert_ne!(fits(&load, &rated), Fits::Yes);
            }
        }
    }
}
