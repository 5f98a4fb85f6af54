//! Properties of the circuit's topics and of the whole check over arbitrary figures.

use calc::circuit::{RuleSet, check, wire};
use calc::figure::{self, Subject, Takes, Want};
use calc::installation::{
    Circuit, Control, DeviceKind, Disconnect, DisconnectKind, Installation, Metal, Overload,
    OverloadKind,
};
use calc::plate::{Field, MotorType, Plate, Protection};
use calc::units::{Amps, Celsius, Metres, Rpm, Volts, Watts};
use calc::working::Working;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::{Map, Value, json};

fn ask(topic: &str, input: &Value) -> Result<Value, figure::Trouble> {
    figure::run(figure::find(topic).expect("a topic"), input)
}

fn number(topic: &str, input: &Value, name: &str) -> Option<f64> {
    ask(topic, input).ok()?[name].as_f64()
}

/// Powers that both alternating tables list.
const POWERS: [&str; 9] = ["1/2", "3/4", "1", "1 1/2", "2", "3", "5", "7 1/2", "10"];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_larger_motor_never_gets_less(
        small in 0usize..9, more in 0usize..9, phases in select(vec![1u8, 3]),
        volts in select(vec![208.0, 230.0, 240.0]),
    ) {
        let large = (small + more).min(8);
        for name in [
            "min_conductor_ampacity_a", "cu_ampacity_a", "inverse_time_breaker_max_a",
            "dual_element_fuse_max_a", "nontime_delay_fuse_max_a", "instantaneous_trip_breaker_max_a",
            "inverse_time_breaker_ceiling_calc_a", "disconnect_min_a", "table_lrc_a",
        ] {
            let of = |at: usize| {
                let input = json!({
                    "hp": POWERS[at], "phases": phases, "volts": volts, "terminal_c": 75,
                    "rule_set": "NEC 2023",
                });
                number("motor_branch", &input, name)
            };
            prop_assert!(of(small) <= of(large), "{name}: {:?} above {:?}", of(small), of(large));
        }
    }

    #[test]
    fn a_motor_more_never_asks_for_less(
        amps in prop::collection::vec(1u32..500, 1..8), one in 1u32..500, other in 0u32..100,
    ) {
        let of = |amps: &[u32]| {
            let input = json!({"motor_flc_a": amps, "other_continuous_a": other, "terminal_c": 75});
            number("several_motors", &input, "min_ampacity_a")
        };
        let mut more = amps.clone();
        more.push(one);
        prop_assert!(of(&amps).is_some() && of(&amps) <= of(&more));
        let sum: u32 = amps.iter().sum();
        prop_assert!(of(&amps) >= Some(f64::from(sum)));
    }

    /// The feeder's device is never above the sum from which it comes.
    #[test]
    fn a_feeder_device_is_rounded_down(powers in prop::collection::vec(0usize..9, 1..6)) {
        let motors: Vec<Value> = powers.iter().map(|at| json!({
            "hp": POWERS[*at], "phases": 3, "volts": 460, "device": "inverse_time_breaker",
        })).collect();
        let got = ask("feeder", &json!({"motors": motors, "rule_set": "NEC 2020"})).expect("an answer");
        prop_assert!(got["feeder_device_a"].as_f64() <= got["feeder_device_calc_a"].as_f64());
    }

    #[test]
    fn hot_air_and_company_never_raise_ampacity(
        size in any::<Index>(), air in -20.0f64..90.0, hotter in 0.0f64..40.0,
        count in 1u32..60, more in 0u32..40, insulation in select(vec![60, 75, 90]),
        metal in select(vec!["copper", "aluminium"]),
    ) {
        let names = ["14", "12", "10", "8", "6", "4", "1/0", "250", "1000"];
        let of = |air: f64, count: u32| {
            let input = json!({
                "size": names[size.index(names.len())], "metal": metal, "insulation_c": insulation,
                "ambient_c": air, "ccc": count,
            });
            number("ampacity", &input, "ampacity_a").unwrap_or(0.0)
        };
        prop_assert!(of(air + hotter, count) <= of(air, count));
        prop_assert!(of(air, count + more) <= of(air, count));
    }

    #[test]
    fn more_load_never_gets_a_smaller_conductor(
        amps in 1u32..900, more in 0u32..300, air in 0.0f64..60.0, count in 1u32..45,
        terminals in select(vec![60, 75, 90]),
    ) {
        let of = |amps: u32| {
            let input = json!({
                "amps": amps, "insulation_c": 90, "ambient_c": air, "ccc": count, "metal": "copper",
                "terminal_c": terminals,
            });
            let got = ask("conductor", &input).ok()?;
            wire::find_size(got["cu_size"].as_str()?).map(|size| size.cmil)
        };
        match (of(amps), of(amps + more)) {
            (Some(small), Some(large)) => prop_assert!(small <= large),
            (small, large) => prop_assert!(large.is_none(), "{small:?} {large:?}"),
        }
    }

    /// The same thing said in another unit is the same thing.
    #[test]
    fn units_round_trip(air in -10i32..80, feet in 1.0f64..2000.0, hp in 0.5f64..200.0) {
        let ampacity = |field: &str, value: f64| {
            let input = json!({"size": "4", "metal": "copper", "insulation_c": 90, field: value});
            number("ampacity", &input, "ampacity_a")
        };
        let air = f64::from(air);
        prop_assert_eq!(ampacity("ambient_c", air), ampacity("ambient_f", air * 1.8 + 32.0));
        let drop = |field: &str, value: f64| {
            let input = json!({"phases": 3, "amps": 10, "size": "10", "metal": "copper", field: value});
            number("voltage_drop", &input, "drop_v").expect("a drop")
        };
        prop_assert!((drop("one_way_ft", feet) / drop("one_way_m", feet * 0.3048) - 1.0).abs() < 1e-9);
        let stalled = |field: &str, value: f64| {
            let input = json!({"letter": "G", "phases": 3, "volts": 460, field: value});
            number("locked_rotor", &input, "lrc_a").expect("a current")
        };
        prop_assert!((stalled("hp", hp) / stalled("kw", hp * 0.746) - 1.0).abs() < 1e-9);
    }

    /// A run as long as the limit allows loses just the limit.
    #[test]
    fn the_longest_run_loses_the_limit(
        amps in 1.0f64..200.0, limit in 1.0f64..20.0, phases in select(vec![1, 3]),
    ) {
        let run = |more: Value| {
            let mut input = json!({"phases": phases, "amps": amps, "size": "8", "metal": "copper"});
            input.as_object_mut().expect("fields").extend(more.as_object().expect("fields").clone());
            ask("voltage_drop", &input).expect("an answer")
        };
        let longest = run(json!({"limit_v": limit}))["max_one_way_m"].as_f64().expect("a run");
        let lost = run(json!({"one_way_m": longest}))["drop_v"].as_f64().expect("a drop");
        prop_assert!((lost / limit - 1.0).abs() < 1e-9);
    }

    #[test]
    fn iec_capacity_falls_with_air_and_company(
        air in 0.0f64..60.0, hotter in 0.0f64..30.0, circuits in 1u32..20, more in 0u32..10,
        method in select(vec!["A1", "A2", "B1", "B2", "C"]), loaded in select(vec![2, 3]),
    ) {
        let of = |air: f64, circuits: u32| {
            let input = json!({
                "insulation": "pvc_70c", "loaded": loaded, "method": method, "ambient_c": air,
                "circuits": circuits,
            });
            number("iec_ampacity", &input, "2.5").unwrap_or(0.0)
        };
        prop_assert!(of(air + hotter, circuits) <= of(air, circuits));
        prop_assert!(of(air, circuits + more) <= of(air, circuits));
    }
}

/// Any value that somebody, or something, may put into a field.
fn any_value(want: &Want) -> BoxedStrategy<Value> {
    let numbers = || {
        prop_oneof![
            4 => (1u32..500).prop_map(|n| json!(f64::from(n) / 4.0)),
            2 => select(vec![json!(1), json!(3), json!(115), json!(460), json!("7 1/2"), json!(60)]),
            1 => select(vec![
                json!(0), json!(-1), json!(1e15), json!(1e-15), json!(100_000), json!(1e9), json!("x"),
                json!(""), json!(null), json!([]), json!({}), json!(true), json!(99_999.999_999),
            ]),
        ]
    };
    match want.takes {
        Takes::Choice(options) => {
            let words: Vec<Value> = options.iter().map(|(word, _)| json!(word)).collect();
            prop_oneof![6 => select(words), 1 => Just(json!("none of them"))].boxed()
        }
        Takes::Flag => any::<bool>().prop_map(|flag| json!(flag)).boxed(),
        Takes::Text => prop_oneof![
            6 => select(vec!["12", "1/0", "250", "14", "2.5", "G", "V", "10 solid"])
                .prop_map(|text| json!(text)),
            1 => ".{0,6}".prop_map(|text| json!(text)),
        ]
        .boxed(),
        Takes::Numbers => prop::collection::vec(numbers(), 0..4)
            .prop_map(Value::Array)
            .boxed(),
        Takes::Rows(wants) => prop::collection::vec(any_object(wants), 0..3)
            .prop_map(Value::Array)
            .boxed(),
        _ => numbers().boxed(),
    }
}

fn any_object(wants: &'static [Want]) -> BoxedStrategy<Value> {
    let fields: Vec<_> = wants
        .iter()
        .map(|want| prop::option::weighted(0.7, any_value(want)))
        .collect();
    fields
        .prop_map(move |values| {
            let given = wants
                .iter()
                .zip(values)
                .filter_map(|(want, value)| Some((want.name.to_owned(), value?)));
            Value::Object(given.collect::<Map<_, _>>())
        })
        .boxed()
}

/// The topics whose lists of answers are held to be whole.
const OWN: [&str; 21] = [
    "motor_branch",
    "motor_current",
    "overload",
    "locked_rotor",
    "duty_cycle",
    "several_motors",
    "feeder",
    "group",
    "ampacity",
    "conductor",
    "voltage_drop",
    "egc",
    "continuous_load",
    "permissible_load",
    "standard_rating",
    "switch",
    "drive_circuit",
    "iec_ampacity",
    "iec_circuit",
    "iec_drop",
    "circuit",
];

/// An answer is listed by its name, or without the editions and with any power for 25 hp.
fn is_listed(topic: &figure::Topic, name: &str) -> bool {
    let mut bare = name;
    for edition in ["_2023", "_2020", "_2017"] {
        bare = bare.strip_suffix(edition).unwrap_or(bare);
    }
    let of_power = bare.find("hp_").map(|at| {
        let start = bare[..at].find('_').map_or(0, |start| start + 1);
        format!("{}25{}", &bare[..start], &bare[at..]).replace("breaker", "fuse")
    });
    let names: Vec<&str> = topic.answers.iter().map(|answer| answer.name).collect();
    names.contains(&bare) || of_power.is_some_and(|of_power| names.contains(&of_power.as_str()))
}

/// No topic of the circuit panics, and each figure that it gives is a figure.
#[test]
fn no_topic_panics_on_any_figures() {
    let topics: Vec<_> = figure::topics()
        .filter(|topic| topic.subject == Subject::Circuit)
        .collect();
    for name in OWN {
        assert!(topics.iter().any(|topic| topic.name == name), "{name}");
    }
    for topic in topics {
        let config = ProptestConfig::with_cases(250);
        proptest!(config, |(input in any_object(topic.wants))| {
            match figure::run(topic, &input) {
                Ok(answers) => {
                    let text = answers["working"]["lines"].to_string();
                    for endless in ["\"inf", " inf ", "-inf", "NaN"] {
                        prop_assert!(!text.contains(endless), "{}: {input}: {text}", topic.name);
                    }
                    let answers = answers.as_object().expect("an object");
                    let empty = answers.iter().find(|(_, value)| value.is_null());
                    prop_assert!(empty.is_none(), "{}: {empty:?} of {input}", topic.name);
                    prop_assert!(answers["working"]["title"] != "", "{}", topic.name);
                    let listed = !OWN.contains(&topic.name)
                        || answers.keys().all(|name| name == "working" || is_listed(topic, name));
                    prop_assert!(listed, "{}: {:?}", topic.name, answers.keys());
                }
                Err(trouble) => prop_assert!(!trouble.message.is_empty()),
            }
        });
    }
}

/// A whole circuit in order, for one change at a time.
fn scene(hp: f64, size: usize, air: f64, run: f64, device: i64) -> (Plate, Installation, Circuit) {
    let motor = Plate {
        power: Field::read(Watts::from_hp(hp)),
        volts: Field::read(vec![Volts(230.0)]),
        amps: Field::read(vec![Amps(4.5 * hp + 1.0)]),
        phases: Field::read(1),
        speeds: Field::read(vec![Rpm(1725.0)]),
        motor_type: Field::read(MotorType::CapacitorStart),
        service_factor: Field::read(1.15),
        rise: Field::read(Celsius(40.0)),
        protection: Field::read(Protection::Manual),
        code_letter: Field::read('K'),
        ..Plate::default()
    };
    let mut installation = Installation {
        disconnect: Some(Disconnect {
            kind: DisconnectKind::MotorCircuitSwitch,
            rating: Some(30.into()),
            horsepower: Some(3.into()),
            in_sight: Some(true),
        }),
        overload: Some(Overload {
            kind: OverloadKind::InMotor,
            setting: None,
            range: None,
            manual_reset: Some(true),
        }),
        ..Installation::default()
    };
    installation.site.control = Some(Control::Contactor);
    installation.site.control_amps = Some(Amps(20.0));
    installation.site.control_locked_rotor = Some(Amps(120.0));
    installation.site.restart_can_hurt = Some(false);
    let circuit = Circuit {
        volts: Some(Volts(240.0)),
        phases: Some(1),
        device: Some(DeviceKind::InverseTimeBreaker),
        device_rating: Some(device.into()),
        size: Some(SIZES[size].into()),
        metal: Some(Metal::Copper),
        insulation: Some(Celsius(90.0)),
        terminals: Some(Celsius(75.0)),
        one_way: Some(Metres(run)),
        ambient: Some(Celsius(air)),
        conductors_in_raceway: Some(3),
        other_continuous: Some(0.into()),
        other_noncontinuous: Some(0.into()),
        other_motors: Some(vec![]),
        shares_outlets: Some(false),
        ..Circuit::default()
    };
    (motor, installation, circuit)
}

const SIZES: [&str; 10] = ["14", "12", "10", "8", "6", "4", "3", "700", "750", "1000"];

fn judge(set: RuleSet, scene: &(Plate, Installation, Circuit)) -> Working {
    check(set, &scene.0, &scene.1, &scene.2)
}

fn severity(working: &Working, key: &str) -> u8 {
    let line = working.line(key).and_then(|line| line.verdict);
    line.map_or(0, calc::working::Verdict::severity)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// A longer run, hotter air or a smaller wire never makes the whole verdict better.
    #[test]
    fn a_worse_circuit_never_looks_better(
        hp in select(vec![0.25, 0.5, 1.0, 2.0, 3.0, 5.0]), size in 0usize..10, smaller in 0usize..10,
        air in 10.0f64..80.0, hotter in 0.0f64..40.0, run in 1.0f64..300.0, longer in 0.0f64..300.0,
        device in select(vec![15, 20, 30, 40, 70]),
        set in select(vec![RuleSet::Nec2017, RuleSet::Nec2020, RuleSet::Nec2023]),
    ) {
        let whole = |size: usize, air: f64, run: f64| {
            let working = judge(set, &scene(hp, size, air, run, device));
            working.verdict().expect("a verdict").severity()
        };
        let before = whole(size, air, run);
        prop_assert!(whole(size, air, run + longer) >= before);
        prop_assert!(whole(size, air + hotter, run) >= before);
        prop_assert!(whole(size.saturating_sub(smaller), air, run) >= before);
    }

    /// A bigger motor may have a larger device; every other line of it grows no better.
    #[test]
    fn a_bigger_motor_never_looks_better_for_its_circuit(
        small in 0usize..8, more in 0usize..8, size in 0usize..10, run in 1.0f64..200.0,
        device in select(vec![15, 30, 70]),
    ) {
        let powers = [0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0];
        let of = |at: usize| judge(RuleSet::Nec2020, &scene(powers[at], size, 30.0, run, device));
        let (small, large) = (of(small), of((small + more).min(7)));
        for key in ["conductor", "drop", "motor_volts", "disconnect", "contact"] {
            prop_assert!(severity(&large, key) >= severity(&small, key), "{key}: {large:#?}");
        }
    }
}

/// The whole check is asked as JSON in the form in which the program keeps its objects.
#[test]
fn the_whole_check_is_asked_by_name() {
    let (plate, installation, circuit) = scene(0.5, 1, 30.0, 20.0, 20);
    let ask_set = |set: Option<&str>| {
        let input = json!({
            "plate": plate, "installation": installation, "circuit": circuit, "rule_set": set,
        });
        ask("circuit", &input).expect("an answer")
    };
    for set in RuleSet::ALL {
        let got = ask_set(Some(set.words()));
        let whole = check(set, &plate, &installation, &circuit);
        let verdict = whole.verdict().expect("a verdict").words();
        assert_eq!(got["verdict"], verdict, "{got}");
        assert_eq!(got["working"]["title"], whole.title.as_ref());
    }
    let all = ask_set(None);
    assert_eq!(all["lines"]["conductor"], "within", "{all}");
    assert_eq!(all["working"]["title"], "Circuit check");
    let broken = ask("circuit", &json!({"plate": {"power": "strong"}})).expect_err("no plate");
    assert_eq!(broken.field.as_deref(), Some("plate"));
}
