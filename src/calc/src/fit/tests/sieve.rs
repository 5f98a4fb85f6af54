//! The sieve's promise: what it rules out does not fit by the rules. And it is worth having.

use super::invented::*;
use super::*;
use proptest::prelude::*;
use serde_json::Value;

/// Takes fields away, of a plate or a part of a machine.
fn thin(map: &mut Map, blank: &Value, d: &mut Dice) {
    for value in map.values_mut() {
        if d.one_in(12) {
            *value = blank.clone();
        }
    }
}

/// Moves figures a little, so that limits are met from both sides.
fn nudge(plate: &mut Plate, d: &mut Dice) {
    const BY: [f64; 11] = [
        1.0,
        0.995,
        1.005,
        0.96,
        0.95,
        1.05,
        0.9,
        1.1,
        0.999_999_5,
        1.000_000_5,
        1.06,
    ];
    let by = |d: &mut Dice| if d.one_in(6) { d.pick(&BY) } else { 1.0 };
    let lengths = [
        &mut plate.shaft_diameter,
        &mut plate.shaft_length,
        &mut plate.body_diameter,
        &mut plate.body_length,
    ];
    for length in lengths {
        let factor = by(d);
        *length = scaled(length, |l| Millimetres(l.0 * factor));
    }
    let [power, heat, volts, hertz, speed] = [by(d), by(d), by(d), by(d), by(d)];
    plate.power = scaled(&plate.power, |w| Watts(w.0 * power));
    plate.ambient = scaled(&plate.ambient, |t| Celsius(t.0 * heat));
    plate.volts = scaled(&plate.volts, |all| {
        all.iter().map(|v| Volts(v.0 * volts)).collect()
    });
    plate.frequency = scaled(&plate.frequency, |all| {
        all.iter().map(|v| Hertz(v.0 * hertz)).collect()
    });
    plate.speeds = scaled(&plate.speeds, |all| {
        all.iter().map(|v| Rpm(v.0 * speed)).collect()
    });
}

fn scaled<T>(field: &Field<T>, change: impl Fn(&T) -> T) -> Field<T> {
    field
        .value()
        .map_or(Field::Unknown, |value| read(change(value)))
}

fn thinned_plate(plate: &Plate, d: &mut Dice) -> Plate {
    let mut map = as_map(plate);
    thin(&mut map, &Value::from("unknown"), d);
    serde_json::from_value(Value::Object(map)).unwrap()
}

fn thinned_machine(machine: &Installation, d: &mut Dice) -> Installation {
    let mut map = as_map(machine);
    for part in ["driven", "site"] {
        if let Some(Value::Object(part)) = map.get_mut(part) {
            thin(part, &Value::Null, d);
        }
    }
    serde_json::from_value(Value::Object(map)).unwrap()
}

fn promise(need: &Need, new: &Plate) -> Result<bool, TestCaseError> {
    let sieve = Sieve::new(need);
    let out = sieve.rules_out(&Traits::of(new));
    if out {
        let working = explain(need, new);
        let verdict = judge(need, new).verdict;
        prop_assert!(
            verdict == Verdict::DoNotFit,
            "ruled out, but {:?}\nsieve: {:#?}\ntraits: {:?}\nworking: {:#?}",
            verdict,
            sieve,
            Traits::of(new),
            working.lines,
        );
    }
    Ok(out)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6000))]

    #[test]
    fn what_the_sieve_rules_out_does_not_fit(
        bytes in prop::collection::vec(any::<u8>(), 520), drop in any::<bool>(),
    ) {
        let mut d = Dice(bytes.iter());
        let mut old = plate(&mut d);
        let mut machine = machine(&mut d, &old);
        let mut new = candidate(&mut d, &old);
        nudge(&mut new, &mut d);
        promise(&Need { old: &old, installation: &machine }, &new)?;
        if drop {
            old = thinned_plate(&old, &mut d);
            machine = thinned_machine(&machine, &mut d);
            new = thinned_plate(&new, &mut d);
        }
        promise(&Need { old: &old, installation: &machine }, &new)?;
        promise(&Need { old: &old, installation: &Installation::default() }, &new)?;
        promise(&Need { old: &Plate::default(), installation: &machine }, &new)?;
    }

    #[test]
    fn two_plates_that_have_nothing_to_do_with_each_other_keep_it_too(
        bytes in prop::collection::vec(any::<u8>(), 520),
    ) {
        let mut d = Dice(bytes.iter());
        let old = plate(&mut d);
        let machine = machine(&mut d, &old);
        let new = plate(&mut d);
        promise(&Need { old: &old, installation: &machine }, &new)?;
        let new = thinned_plate(&new, &mut d);
        promise(&Need { old: &old, installation: &machine }, &new)?;
    }
}

#[test]
fn each_case_of_the_reference_passes_unless_it_does_not_fit() {
    let mut ruled_out = 0;
    for number in 1..=99 {
        let Some(case) = scenarios::build(&format!("S{number:02}")) else {
            continue;
        };
        let need = Need {
            old: &case.old,
            installation: &case.machine,
        };
        ruled_out += usize::from(promise(&need, &case.new).unwrap());
    }
    assert!(ruled_out >= 5, "only {ruled_out} cases are ruled out");
}

#[test]
fn an_unknown_plate_and_an_unknown_machine_rule_nothing_out() {
    let (old, machine) = (fan_motor(), fan_machine());
    let need = Need {
        old: &old,
        installation: &machine,
    };
    assert!(!Sieve::new(&need).rules_out(&Traits::of(&Plate::default())));
    let blank = Need {
        old: &Plate::default(),
        installation: &Installation::default(),
    };
    let out = Sieve::new(&blank);
    assert!(!out.rules_out(&Traits::of(&old)), "{out:?}");
}

#[test]
fn plain_misfits_are_ruled_out_one_by_one() {
    let (old, machine) = (fan_motor(), fan_machine());
    let need = Need {
        old: &old,
        installation: &machine,
    };
    let sieve = Sieve::new(&need);
    assert!(!sieve.rules_out(&Traits::of(&old)));
    type Change = fn(&mut Plate);
    let changes: [(&str, Change); 14] = [
        ("phases", |p| p.phases = read(3)),
        ("volts", |p| p.volts = read(vec![Volts(115.0)])),
        ("frequency", |p| p.frequency = read(vec![Hertz(50.0)])),
        ("power", |p| p.power = read(Watts(100.0))),
        ("speed", |p| p.speeds = read(vec![Rpm(1725.0)])),
        ("poles", |p| p.speeds = read(vec![Rpm(825.0)])),
        ("type", |p| p.motor_type = read(MotorType::ShadedPole)),
        ("turning", |p| {
            p.rotation = turning(Direction::CounterClockwise, SeenFrom::ShaftEnd, false);
        }),
        ("mount", |p| p.mount = read(Mount::Feet)),
        ("shaft", |p| p.shaft_diameter = inches(0.625)),
        ("shaft length", |p| p.shaft_length = inches(1.0)),
        ("body", |p| p.body_length = inches(12.0)),
        ("ambient", |p| p.ambient = read(Celsius(25.0))),
        ("duty", |p| p.duty = read(Duty::Intermittent)),
    ];
    for (what, change) in changes {
        let mut new = old.clone();
        change(&mut new);
        assert!(sieve.rules_out(&Traits::of(&new)), "{what}");
        assert_eq!(judge(&need, &new).verdict, Verdict::DoNotFit, "{what}");
    }
}
