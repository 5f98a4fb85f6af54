//! Promises that hold for any motor and machine.

use super::invented::*;
use super::*;
use proptest::prelude::*;
use serde_json::Value;

/// Puts `blank` into each field for which the dice say so; returns the names.
fn blank(map: &mut Map, blank: &Value, keep: &[&str], d: &mut Dice) -> Vec<String> {
    let mut gone = Vec::new();
    for (name, value) in map.iter_mut() {
        if d.one_in(16) && !keep.contains(&name.as_str()) {
            *value = blank.clone();
            gone.push(name.clone());
        }
    }
    gone
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn taking_a_value_away_never_improves_a_verdict(
        bytes in prop::collection::vec(any::<u8>(), 420)
    ) {
        let mut d = Dice(bytes.iter());
        let old = plate(&mut d);
        let machine = machine(&mut d, &old);
        let new = candidate(&mut d, &old);
        let before = judge(&Need { old: &old, installation: &machine }, &new);

        let unknown = Value::from("unknown");
        let (mut old_map, mut new_map) = (as_map(&old), as_map(&new));
        let mut gone = blank(&mut old_map, &unknown, &[], &mut d);
        gone.extend(blank(&mut new_map, &unknown, &[], &mut d));
        let mut machine_map = as_map(&machine);
        for part in ["driven", "site"] {
            if let Some(Value::Object(part)) = machine_map.get_mut(part) {
                // The two exceptions of the module's text: the site's classification, and a wheel
                // limit that a motor of the same poles could reach.
                let limit = machine.driven.wheel_limit.unwrap().0;
                let near = limit < 1.3 * old.speeds.value().unwrap()[0].0;
                let keep: &[&str] = if near {
                    &["hazardous", "wheel_limit"]
                } else {
                    &["hazardous"]
                };
                gone.extend(blank(part, &Value::Null, keep, &mut d));
            }
        }
        if d.yes() {
            machine_map.insert("overload".into(), Value::Null);
        }
        let old2: Plate = serde_json::from_value(Value::Object(old_map)).unwrap();
        let new2: Plate = serde_json::from_value(Value::Object(new_map)).unwrap();
        let machine2: Installation = serde_json::from_value(Value::Object(machine_map)).unwrap();
        let need = Need { old: &old2, installation: &machine2 };
        let after = judge(&need, &new2);
        let allowed = before.verdict.severity().min(Verdict::NotKnownYet.severity());
        prop_assert!(
            after.verdict.severity() >= allowed,
            "{:?} became {:?} without {:?}\nbefore: {:#?}\nafter: {:#?}",
            before.verdict, after.verdict, gone,
            bad(&explain(&Need { old: &old, installation: &machine }, &new)),
            bad(&explain(&need, &new2)),
        );
        two_doors_agree(&need, &new2)?;
    }

    #[test]
    fn a_worse_input_never_improves_a_verdict(
        bytes in prop::collection::vec(any::<u8>(), 420), which in 0..10,
    ) {
        let mut d = Dice(bytes.iter());
        let old = plate(&mut d);
        let machine = machine(&mut d, &old);
        let new = candidate(&mut d, &old);
        let (mut worse, mut place) = (new.clone(), machine.clone());
        match which {
            0 => worse.power = read(Watts(1.0)),
            1 => worse.ambient = less(&worse.ambient, |t| Celsius(t.0 - 15.0)),
            2 => worse.insulation = read(InsulationClass::A),
            3 => worse.duty = read(Duty::Intermittent),
            4 => worse.service_factor = less(&worse.service_factor, |sf| sf * 0.9),
            5 => place.site.ambient = place.site.ambient.map(|t| Celsius(t.0 + 20.0)),
            6 => place.site.free_length = place.site.free_length.map(|l| Millimetres(l.0 * 0.7)),
            7 => place.site.restart_can_hurt = Some(true),
            8 => place.driven.shaft_power = place.driven.shaft_power.map(|w| Watts(w.0 * 1.5)),
            _ => place.driven.wheel_limit = place.driven.wheel_limit.map(|n| Rpm(n.0 * 0.7)),
        }
        let before = judge(&Need { old: &old, installation: &machine }, &new).verdict;
        let after = judge(&Need { old: &old, installation: &place }, &worse).verdict;
        // The class or duty of the old motor is the same again, though the lower: `Same` and `Suits`
        // tell likeness, not quality. More load also slows a wheel that a strong motor would turn too fast.
        let slowed = which == 8 && before == Verdict::DoNotFit;
        prop_assert!(
            slowed || after.severity() >= before.severity() || before == Verdict::Suits,
            "change {}: {:?} became {:?}", which, before, after,
        );
        prop_assert!(which != 0 || after == Verdict::DoNotFit);
    }

    #[test]
    fn ranking_is_a_permutation_and_a_total_order(
        bytes in prop::collection::vec(any::<u8>(), 900), turn in 0_usize..6,
    ) {
        let mut d = Dice(bytes.iter());
        let old = plate(&mut d);
        let machine = machine(&mut d, &old);
        let plates: Vec<Plate> = (0..6).map(|_| candidate(&mut d, &old)).collect();
        let need = Need { old: &old, installation: &machine };
        let ranked = rank(&need, plates.iter().enumerate());
        let mut ids: Vec<usize> = ranked.iter().map(|(id, _)| *id).collect();
        let key = |judged: &Judgement| (judged.verdict.severity(), judged.order);
        prop_assert!(ranked.windows(2).all(|two| key(&two[0].1) <= key(&two[1].1)));
        // Equal ones keep the order given.
        let kept = ranked
            .windows(2)
            .all(|two| key(&two[0].1) != key(&two[1].1) || two[0].0 < two[1].0);
        prop_assert!(kept);
        // Another order of input gives the same judgements in the same order.
        let mut turned: Vec<(usize, &Plate)> = plates.iter().enumerate().collect();
        turned.rotate_left(turn);
        let again = rank(&need, turned);
        let judgements = |list: &[(usize, Judgement)]| -> Vec<Judgement> {
            list.iter().map(|(_, judged)| *judged).collect()
        };
        prop_assert_eq!(judgements(&again), judgements(&ranked));
        ids.sort_unstable();
        prop_assert_eq!(ids, (0..6).collect::<Vec<_>>());
        for plate in &plates {
            two_doors_agree(&need, plate)?;
        }
    }

    #[test]
    fn any_figures_at_all_are_judged_without_a_panic(
        bytes in prop::collection::vec(any::<u8>(), 200),
        wild in prop::collection::vec(
            prop_oneof![
                any::<f64>(),
                Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY),
                Just(0.0), Just(-1.0), Just(f64::MIN_POSITIVE), Just(f64::MAX),
            ],
            30,
        ),
    ) {
        let mut d = Dice(bytes.iter());
        let mut old = plate(&mut d);
        let mut machine = machine(&mut d, &old);
        let mut new = candidate(&mut d, &old);
        let mut wild = wild.into_iter().cycle();
        let mut next = || wild.next().unwrap();
        for plate in [&mut old, &mut new] {
            plate.power = read(Watts(next()));
            plate.volts = read(vec![Volts(next()), Volts(next())]);
            plate.amps = read(vec![Amps(next())]);
            plate.frequency = read(vec![Hertz(next())]);
            plate.speeds = read(vec![Rpm(next())]);
            plate.shaft_diameter = read(Millimetres(next()));
            plate.shaft_length = read(Millimetres(next()));
            plate.ambient = read(Celsius(next()));
            plate.service_factor = read(next());
            plate.capacitor = read(Microfarads(next()));
            plate.efficiency = read(next());
        }
        machine.driven.shaft_power = Some(Watts(next()));
        machine.driven.shaft_power_at = Some(Rpm(next()));
        machine.driven.hub_bore = Some(Millimetres(next()));
        machine.site.measured_volts = Some(Volts(next()));
        machine.site.shaft_clearance = Some(Millimetres(next()));
        machine.site.ambient = Some(Celsius(next()));
        let need = Need { old: &old, installation: &machine };
        two_doors_agree(&need, &new)?;
        changes(&need, &new);
    }
}

fn less<T>(field: &Field<T>, change: impl Fn(&T) -> T) -> Field<T> {
    field
        .value()
        .map_or(Field::Unknown, |value| read(change(value)))
}

fn bad(working: &Working) -> Vec<(String, Option<Verdict>, String)> {
    let judged = working
        .lines
        .iter()
        .filter(|line| line.verdict != Some(Verdict::Same));
    judged
        .map(|line| (line.key.to_string(), line.verdict, line.note.to_string()))
        .collect()
}

fn two_doors_agree(need: &Need, new: &Plate) -> Result<(), TestCaseError> {
    let judged = judge(need, new);
    let shown = explain(need, new);
    prop_assert_eq!(Some(judged.verdict), shown.verdict());
    prop_assert_eq!(usize::from(judged.order.work), shown.work().count());
    prop_assert_eq!(shown.lines.len(), 29);
    for line in &shown.lines {
        let unknown = line.verdict == Some(Verdict::NotKnownYet);
        prop_assert!(
            !unknown || !shown.missing.is_empty(),
            "{} asks nothing",
            line.key
        );
        let work = line.verdict == Some(Verdict::SuitsAfterWork);
        prop_assert_eq!(work, !line.work.is_empty(), "{} names its work", &line.key);
    }
    Ok(())
}
