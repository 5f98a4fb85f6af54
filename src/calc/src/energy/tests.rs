use super::*;
use crate::units::Rpm;
use crate::working::Verdict;
use proptest::prelude::*;

fn five_hp() -> Swap {
    Swap {
        hp: 5.0,
        load: 0.8,
        old_percent: 80.0,
        new_percent: 89.5,
        speeds: None,
    }
}

#[test]
fn a_faster_motor_can_eat_its_saving() {
    let slow = saved_kw(&five_hp()).expect("a saving");
    assert!(slow > 0.0);
    let fast = Swap {
        speeds: Some((Rpm(1725.0), Rpm(1800.0))),
        ..five_hp()
    };
    assert!(saved_kw(&fast).expect("a figure") < 0.0);
    let working = swap(&fast, None, None, None).expect("a saving").working;
    let payback = working.line("payback").expect("its line");
    assert_eq!(payback.value, "does not pay back");
}

#[test]
fn a_payback_that_lacks_a_figure_names_it() {
    let missing = |hours, price, cost| {
        let working = swap(&five_hp(), hours, price, cost)
            .expect("a saving")
            .working;
        working
            .missing
            .first()
            .map(|missing| missing.what.to_string())
    };
    assert_eq!(
        missing(None, Some(0.1), Some(50.0)).as_deref(),
        Some("hours a year")
    );
    assert_eq!(
        missing(Some(4000.0), None, Some(50.0)).as_deref(),
        Some("price of a kWh")
    );
    assert_eq!(missing(Some(4000.0), Some(0.1), Some(50.0)), None);
    assert_eq!(payback(10.0, 0.0), Ok(Payback::Never));
    assert_eq!(payback(0.0, 5.0), Ok(Payback::Years(0.0)));
}

#[test]
fn without_a_power_factor_only_the_bound_is_known() {
    let mut working = Working::new("");
    let read = Metered {
        volts: Volts(115.0),
        amps: Amps(3.4),
        phases: 1,
        power_factor: None,
    };
    assert_eq!(
        metered(&mut working, &read),
        Ok(Input::AtMost(Watts(391.0)))
    );
    assert_eq!(working.verdict(), Some(Verdict::NotKnownYet));
    assert!(input_power(Volts(115.0), Amps(3.4), 1.07, 1).is_err());
    assert_eq!(
        apparent(Volts(115.0), Amps(1.0), 2),
        Err(EnergyError::Phases(2))
    );
}

#[test]
fn a_year_from_the_meter() {
    let read = Metered {
        volts: Volts(230.0),
        amps: Amps(4.2),
        phases: 3,
        power_factor: Some(0.76),
    };
    let mut asked = YearInput {
        read: Some(read),
        hours: Some(8760.0),
        price: Some(0.1),
        rated: Some(Watts::from_hp(1.5)),
        full_load_percent: Some(84.0),
        ..YearInput::default()
    };
    let known = year(&asked).expect("a year");
    assert!(known.load.is_some_and(|load| (load - 0.955).abs() < 0.001));
    assert_eq!(known.working.verdict(), None);
    asked.read = Some(Metered {
        power_factor: None,
        ..read
    });
    let bound = year(&asked).expect("a year");
    assert!(matches!(bound.input, Some(Input::AtMost(_))));
    assert!(bound.cost > known.cost && bound.load.is_none());
    let nothing = year(&YearInput::default()).expect("a year");
    assert_eq!(nothing.working.verdict(), Some(Verdict::NotKnownYet));
}

proptest! {
    #[test]
    fn current_and_power_come_back(
        volts in 24.0..600.0f64, amps in 0.1..300.0f64, pf in 0.05..1.0f64, three in any::<bool>(),
    ) {
        let phases = if three { 3 } else { 1 };
        let power = input_power(Volts(volts), Amps(amps), pf, phases).expect("power");
        let back = current(power, Volts(volts), pf, phases).expect("amps");
        prop_assert!((back.0 - amps).abs() < 1e-9 * amps);
        prop_assert!(power.0 <= apparent(Volts(volts), Amps(amps), phases).expect("VA") * (1.0 + 1e-12));
    }

    #[test]
    fn a_better_new_motor_never_saves_less(a in 30.0..99.0f64, b in 30.0..99.0f64, r in 0.8..1.2f64) {
        let at = |new_percent| saved_kw(&Swap {
            new_percent,
            speeds: Some((Rpm(1000.0), Rpm(1000.0 * r))),
            ..five_hp()
        });
        prop_assert!(at(a.max(b)).expect("kW") >= at(a.min(b)).expect("kW"));
    }

    #[test]
    fn nothing_panics_and_no_payback_is_infinite(
        a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>(), phases in any::<u8>(),
    ) {
        let read = Metered { volts: Volts(a), amps: Amps(b), phases, power_factor: Some(c) };
        let _ = metered(&mut Working::new(""), &read);
        let _ = load_share(Watts(a), Watts(b), c);
        let odd = Swap { hp: a, load: b, old_percent: c, new_percent: d, speeds: Some((Rpm(a), Rpm(d))) };
        let _ = swap(&odd, Some(a), Some(b), Some(c));
        if let Ok(Payback::Years(years)) = payback(a, b) {
            prop_assert!(years.is_finite() && years >= 0.0);
        }
    }
}
