//! The topics of proof and energy with odd input: no panic, nothing answered that is not listed.

use calc::figure::{self, Takes, Want};
use proptest::prelude::*;
use serde_json::{Map, Value, json};

const NAMES: [&str; 9] = [
    "proof",
    "vibration",
    "unbalance",
    "debris",
    "energy",
    "payback",
    "efficiency",
    "part_load",
    "power_rating",
];

fn number() -> impl Strategy<Value = Value> {
    prop_oneof![
        4 => (0.01f64..4000.0).prop_map(|n| json!(n)),
        1 => prop::sample::select(vec![
            json!(0), json!(-1), json!(1e300), json!(1e-300), json!(1), json!(3), json!(4), json!(6),
            json!("1/3"), json!("7 1/2"), json!("x"), json!(true), json!(0.5), json!(90.5),
        ]),
    ]
}

fn of(want: &'static Want) -> BoxedStrategy<Value> {
    match want.takes {
        Takes::Number => number().boxed(),
        Takes::Whole => prop::sample::select(vec![
            json!(1),
            json!(3),
            json!(4),
            json!(2),
            json!(1.5),
            json!(1e9),
        ])
        .boxed(),
        Takes::Flag => any::<bool>().prop_map(Value::from).boxed(),
        Takes::Text => prop::sample::select(vec![
            json!("G6.3"),
            json!("1/3"),
            json!(""),
            json!("ü"),
            json!(5),
        ])
        .boxed(),
        Takes::Choice(words) => prop::sample::select(words.to_vec())
            .prop_map(|(word, _)| json!(word))
            .boxed(),
        Takes::Date => {
            prop::sample::select(vec![json!("2026-11-25"), json!("2026-13-01"), json!(7)]).boxed()
        }
        Takes::Numbers => prop::collection::vec(number(), 0..4)
            .prop_map(Value::from)
            .boxed(),
        Takes::Rows(wants) => prop::collection::vec(object(wants), 0..3)
            .prop_map(Value::from)
            .boxed(),
        Takes::Group(wants) => object(wants).boxed(),
        _ => Just(Value::Null).boxed(),
    }
}

/// An object of these fields, each there three times of four.
fn object(wants: &'static [Want]) -> BoxedStrategy<Value> {
    let fields: Vec<_> = wants
        .iter()
        .map(|want| prop::option::weighted(0.75, of(want)).prop_map(|value| (want.name, value)))
        .collect();
    fields
        .prop_map(|fields| {
            let given = fields
                .into_iter()
                .filter_map(|(name, value)| Some((name.to_owned(), value?)));
            Value::Object(given.collect::<Map<_, _>>())
        })
        .boxed()
}

fn question() -> impl Strategy<Value = (&'static str, Value)> {
    prop::sample::select(NAMES.to_vec()).prop_flat_map(|name| {
        let topic = figure::find(name).expect("a topic");
        (Just(name), object(topic.wants))
    })
}

/// No infinity and no NaN: JSON has none, and serde makes them null.
fn finite(value: &Value) -> bool {
    match value {
        Value::Null => false,
        Value::Object(fields) => fields.values().all(finite),
        Value::Array(items) => items.iter().all(finite),
        _ => true,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]
    #[test]
    fn odd_input_gives_trouble_or_listed_answers((name, input) in question()) {
        let topic = figure::find(name).expect("a topic");
        match figure::run(topic, &input) {
            Err(trouble) => prop_assert!(!trouble.message.is_empty()),
            Ok(out) => {
                let out = out.as_object().expect("an object");
                for (answer, value) in out.iter().filter(|(key, _)| *key != "working") {
                    let listed = topic.answers.iter().any(|known| known.name == answer);
                    prop_assert!(listed, "{name} answers {answer}, which is not listed");
                    prop_assert!(finite(value), "{name} answers {answer}: {value}");
                }
            }
        }
    }
}

#[test]
fn what_is_required_is_asked_for_by_its_label() {
    let asked = |name, input: Value| {
        let topic = figure::find(name).expect("a topic");
        figure::run(topic, &input).map_err(|trouble| (trouble.field, trouble.message))
    };
    let err = asked(
        "payback",
        json!({"power_hp": 5, "old_efficiency_percent": 80}),
    )
    .unwrap_err();
    assert_eq!(
        err,
        (Some("load_fraction".into()), "Not given: Load".into())
    );
    let err = asked("unbalance", json!({"rotor_mass_kg": 5})).unwrap_err();
    assert_eq!(err.1, "Not given: Balance grade");
    let err = asked("energy", json!({"phase": 2, "volts_V": 230, "amps_A": 3})).unwrap_err();
    assert_eq!(err.0.as_deref(), Some("phase"));
    let err = asked(
        "energy",
        json!({"phase": 1, "volts_V": 230, "amps_A": 3, "power_factor": 1.07}),
    );
    assert_eq!(err.unwrap_err().0.as_deref(), Some("power_factor"));
    let err = asked(
        "payback",
        json!({"power_hp": 5, "load_fraction": 1, "old_speed_rpm": 1700,
        "old_efficiency_percent": 80, "new_efficiency_percent": 90}),
    );
    assert_eq!(err.unwrap_err().0.as_deref(), Some("new_speed_rpm"));
}

fn proof(input: &Value) -> Value {
    let topic = figure::find("proof").expect("the topic");
    figure::run(topic, input).expect("an answer")
}

fn asked() -> Value {
    json!({
        "date": "2026-11-25", "phases": 3, "plate_volts": [230, 460], "plate_amps": [6, 3],
        "plate_speeds_rpm": [1725], "plate_frequency_hz": 60, "insulation_class": "F",
        "motor_type": "three_phase_induction", "service_factor": 1.15,
        "direction_seen": "clockwise", "direction_right": "clockwise", "flow": "right_way",
        "amps": [2.6, 2.7, 2.65], "volts": [478, 480, 479], "speed_rpm": 862, "speed_wanted_rpm": 850,
        "vibration": {"velocity": 2.1, "unit": "mm_s", "measure": "rms", "application": "building",
            "power_hp": 2, "support": "rigid"},
        "motor_temperature_c": 62, "bearing_temperatures_c": [41, 44],
        "guard_complete": true, "first_symptom_gone": true, "minutes_run": 20,
        "instruments": [
            {"reads": "amps", "name": "C2", "kind": "true_rms_clamp", "calibration_due": "2027-01-31"},
            {"reads": "volts", "name": "C2", "kind": "true_rms_clamp"},
            {"reads": "speed", "kind": "tachometer"},
            {"reads": "vibration", "kind": "vibration_meter"},
            {"reads": "temperature", "kind": "infrared_thermometer"},
        ],
    })
}

#[test]
fn the_topic_proves_a_whole_test() {
    let got = proof(&asked());
    assert_eq!(got["verdict"], "within", "{got:#}");
    assert_eq!(got["proved"], true);
    assert_eq!(got["missing"], json!([]));
    let percent = got["amps_unbalance_percent"].as_f64().expect("percent");
    assert!((percent - 100.0 * 0.05 / 2.65).abs() < 1e-9);
}

#[test]
fn the_topic_is_never_better_for_less() {
    let whole = asked();
    let fields = whole.as_object().expect("an object");
    let without: Vec<&str> = fields
        .keys()
        .map(String::as_str)
        // A factor nobody uses, facts that only widen the choice of limits, and the own bearings.
        .filter(|name| {
            !matches!(
                *name,
                "service_factor" | "plate_frequency_hz" | "motor_type"
            )
        })
        .collect();
    for name in without {
        let mut less = fields.clone();
        less.remove(name);
        let got = proof(&Value::Object(less));
        let unchanged = matches!(
            name,
            "plate_speeds_rpm" | "insulation_class" | "plate_volts"
        );
        assert!(got["proved"] == false || unchanged, "{name}: {got:#}");
    }
}
