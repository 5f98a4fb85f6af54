//! The topics of fan and drive as people and programs ask them: every answer is listed, what is not
//! given is asked for, and no input breaks them.

use calc::figure::{self, Takes, Topic};
use proptest::prelude::*;
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

fn topic(name: &str) -> &'static Topic {
    figure::find(name).expect("it is listed")
}

fn ask(name: &str, input: &Value) -> Value {
    figure::run(topic(name), input).unwrap_or_else(|trouble| panic!("{name}: {trouble}"))
}

#[track_caller]
fn refused(name: &str, input: &Value) -> (Option<String>, String) {
    let trouble = figure::run(topic(name), input).expect_err("it is refused");
    (trouble.field, trouble.message)
}

const NAMES: [&str; 11] = [
    "fan_speed",
    "fan_law",
    "air_density",
    "system_curve",
    "air_power",
    "screen",
    "guard",
    "belt",
    "bearing",
    "regrease",
    "tightening",
];

/// Questions that between them bring out every listed answer.
fn questions() -> Vec<(&'static str, Value)> {
    vec![
        (
            "fan_speed",
            json!({
                "speed_rpm": 1075, "new_speed_rpm": 1140, "flow_m3_s": 0.6, "pressure_pa": 60,
                "power_w": 180, "diameter_mm": 400, "motor_power_w": 250, "wheel_limit_rpm": 1200,
            }),
        ),
        (
            "fan_law",
            json!({"speed_rpm": 900, "new_speed_rpm": 1000, "flow_m3_s": 1, "pressure_pa": 250, "power_w": 400}),
        ),
        (
            "air_density",
            json!({"temperature_c": 30, "altitude_m": 1600, "relative_humidity_percent": 60}),
        ),
        (
            "system_curve",
            json!({
                "flow_m3_s": 2, "pressure_pa": 500, "fixed_pressure_pa": 100, "new_flow_m3_s": 1,
                "new_pressure_pa": 300,
            }),
        ),
        (
            "air_power",
            json!({
                "flow_m3_s": 2, "pressure_pa": 500, "shaft_power_w": 1600, "efficiency_percent": 62.5,
                "velocity_m_s": 8, "density_kg_m3": 1.2,
            }),
        ),
        (
            "screen",
            json!({
                "pitch_mm": 12.7, "wire_mm": 1.04, "velocity_m_s": 4, "density_kg_m3": 1.2,
                "temperature_c": 20, "blocked_percent": 40, "system_pressure_pa": 80,
            }),
        ),
        (
            "guard",
            json!({"blade_height_m": 2, "opening_mm": 6, "distance_mm": 60}),
        ),
        (
            "belt",
            json!({
                "motor_speed_rpm": 1750, "motor_sheave_pitch_in": 3.4, "driven_sheave_pitch_in": 8.4,
                "centres_in": 18, "belt": "A50", "wanted_speed_rpm": 650, "force_lb": 4.5,
            }),
        ),
        (
            "belt",
            json!({"motor_sheave_pitch_mm": 90, "driven_sheave_pitch_mm": 210, "belt_length_mm": 1400}),
        ),
        (
            "bearing",
            json!({
                "rolling": "ball", "rating_kn": 14, "radial_kn": 0.5, "axial_kn": 0.1, "x": 0.56,
                "y": 1.6, "speed_rpm": 1725, "reliability_percent": 98, "wanted_hours": 40000,
                "bearing_kind": "ball",
            }),
        ),
        (
            "regrease",
            json!({
                "bore_mm": 25, "outside_mm": 52, "width_mm": 15, "speed_rpm": 1750,
                "housing_temperature_c": 60, "contamination": "light", "moisture": "below_80",
                "vibration_peak_mm_s": 3, "shaft_position": "horizontal", "design": "ball",
            }),
        ),
        ("regrease", json!({"sealed": true})),
        (
            "tightening",
            json!({"fastener": "set_screw", "size": "#10-32"}),
        ),
        ("tightening", json!({"fastener": "bushing", "size": "SF"})),
    ]
}

#[test]
fn every_answer_is_listed_and_every_listed_answer_is_given() {
    for name in NAMES {
        let listed: BTreeSet<&str> = topic(name).answers.iter().map(|a| a.name).collect();
        let mut given = BTreeSet::new();
        for (_, question) in questions().iter().filter(|(of, _)| *of == name) {
            let got = ask(name, question);
            let fields = got.as_object().expect("an object");
            given.extend(fields.keys().filter(|key| *key != "working").cloned());
        }
        let given: BTreeSet<&str> = given.iter().map(String::as_str).collect();
        assert_eq!(given, listed, "{name}");
    }
}

#[test]
fn every_line_has_a_rule_with_its_source() {
    for (name, question) in questions() {
        let got = ask(name, &question);
        for line in got["working"]["lines"].as_array().expect("lines") {
            for part in ["key", "label", "rule", "source"] {
                assert!(
                    line[part].as_str().is_some_and(|text| !text.is_empty()),
                    "{name}: {line}"
                );
            }
        }
        let asked = question
            .as_object()
            .is_some_and(|fields| fields.contains_key("sealed"));
        let cautions = got["working"]["cautions"].as_array().expect("cautions");
        assert!(
            asked || name == "air_power" || !cautions.is_empty(),
            "{name}"
        );
    }
}

#[test]
fn one_quantity_in_two_units_is_refused() {
    let both = json!({"speed_rpm": 900, "new_speed_rpm": 800, "flow_m3_s": 1, "flow_cfm": 2000});
    let (field, message) = refused("fan_speed", &both);
    assert_eq!(field.as_deref(), Some("flow_cfm"));
    assert_eq!(message, "Give flow_m3_s or flow_cfm, not both");
}

#[test]
fn units_of_the_trade_give_the_same() {
    let metric = ask(
        "fan_speed",
        &json!({"speed_rpm": 900, "new_speed_rpm": 800, "flow_m3_s": 0.471_947_443_2}),
    );
    let trade = ask(
        "fan_speed",
        &json!({"speed_rpm": 900, "new_speed_rpm": 800, "flow_cfm": 1000}),
    );
    let near = |a: &Value, b: &Value| (a.as_f64().unwrap() - b.as_f64().unwrap()).abs() < 1e-9;
    assert!(near(&metric["new_flow_m3_s"], &trade["new_flow_m3_s"]));
    assert!((trade["new_flow_cfm"].as_f64().unwrap() - 1000.0 * 8.0 / 9.0).abs() < 1e-6);
}

#[test]
fn what_is_not_given_is_asked_for() {
    for (name, input, field) in [
        ("fan_speed", json!({}), "speed_rpm"),
        ("fan_speed", json!({"speed_rpm": 900}), "new_speed_rpm"),
        ("fan_law", json!({"diameter_mm": 300}), "new_diameter_mm"),
        ("fan_law", json!({"new_density_kg_m3": 1}), "density_kg_m3"),
        ("air_density", json!({"temperature_c": 20}), "altitude_m"),
        ("system_curve", json!({"flow_m3_s": 1}), "pressure_pa"),
        ("air_power", json!({}), "flow_m3_s"),
        ("screen", json!({"velocity_m_s": 2}), "open_area_fraction"),
        ("bearing", json!({}), "load_kn"),
        ("tightening", json!({"size": "M6"}), "fastener"),
        (
            "tightening",
            json!({"size": "1/4-20", "fastener": "bolt"}),
            "sae_grade",
        ),
    ] {
        let (at, message) = refused(name, &input);
        assert_eq!(at.as_deref(), Some(field), "{name}: {message}");
        assert!(message.starts_with("Not given: "), "{name}: {message}");
    }
}

fn missing(got: &Value) -> String {
    got["working"]["missing"].to_string()
}

#[test]
fn an_unknown_that_blocks_a_part_is_named_beside_the_rest() {
    let got = ask("guard", &json!({"opening_in": 0.25}));
    assert!(missing(&got).contains("height of the blades"));
    assert_eq!(got["working"]["verdict"], "not known yet");
    let got = ask(
        "screen",
        &json!({"open_area_fraction": 0.6, "velocity_m_s": 3}),
    );
    assert!(got["pressure_loss_pa"].is_null() && missing(&got).contains("air density"));
    let got = ask(
        "fan_speed",
        &json!({"speed_rpm": 900, "new_speed_rpm": 1000}),
    );
    assert!(missing(&got).contains("highest speed of the wheel"));
    assert_eq!(got["working"]["verdict"], "not known yet");
    let got = ask("regrease", &json!({"bore_mm": 25, "speed_rpm": 1750}));
    assert!(got["interval_h"].is_null() && missing(&got).contains("dirt"));
    let outside = json!({"motor_speed_rpm": 1750, "motor_sheave_outside_in": 3.65, "driven_sheave_pitch_in": 8.4});
    let got = ask("belt", &outside);
    assert!(got["driven_speed_rpm"].is_null() && missing(&got).contains("pitch diameter"));
}

#[test]
fn without_a_chosen_correlation_the_span_is_told() {
    let got = ask(
        "screen",
        &json!({"open_area_fraction": 0.5, "reynolds": 400}),
    );
    assert_eq!(got["correlation"], "handbook_wire_mesh");
    assert_eq!(got["highest_coefficient"], 4.0);
    assert_eq!(got["coefficients"].as_object().map(Map::len), Some(5));
    let lines = got["working"]["lines"].to_string();
    assert!(lines.contains("square-edge grill 4"), "{lines}");
}

#[test]
fn a_direct_drive_that_overloads_its_motor_is_beyond() {
    let question = |new: u32| {
        json!({
            "speed_rpm": 1140, "new_speed_rpm": new, "power_w": 180, "motor_power_w": 200,
            "wheel_limit_rpm": 2000,
        })
    };
    assert_eq!(
        ask("fan_speed", &question(1150))["working"]["verdict"],
        "within"
    );
    assert_eq!(
        ask("fan_speed", &question(1725))["working"]["verdict"],
        "beyond"
    );
}

/// Something for a field: mostly of its kind, at times nonsense.
fn value_for(takes: Takes) -> BoxedStrategy<Value> {
    let number = prop_oneof![
        4 => (0.01..100.0f64).prop_map(|x| json!(x)),
        2 => (1.0..4000.0f64).prop_map(|x| json!(x)),
        1 => any::<f64>().prop_map(|x| json!(x)),
        1 => prop_oneof![Just(json!(0)), Just(json!(-1)), Just(json!("1/2")), Just(json!(1e15))],
    ];
    match takes {
        Takes::Number | Takes::Whole => number.boxed(),
        Takes::Flag => any::<bool>().prop_map(|flag| json!(flag)).boxed(),
        Takes::Choice(words) => {
            let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            proptest::sample::select(words)
                .prop_map(|word| json!(word))
                .boxed()
        }
        _ => proptest::sample::select(vec![
            "A42", "BX55", "4L420", "3V", "AX", "1/4-20", "M6", "SK", "é",
        ])
        .prop_map(|text| json!(text))
        .boxed(),
    }
}

/// One of the questions above, or nothing, with some fields put over it and some taken away.
fn input_for(name: &'static str) -> BoxedStrategy<Value> {
    let mut bases = vec![json!({})];
    bases.extend(
        questions()
            .into_iter()
            .filter(|(of, _)| *of == name)
            .map(|(_, question)| question),
    );
    let fields: Vec<_> = topic(name)
        .wants
        .iter()
        .map(|want| {
            let value = prop_oneof![5 => value_for(want.takes), 1 => Just(Value::Null)];
            proptest::option::weighted(0.15, value)
        })
        .collect();
    (proptest::sample::select(bases), fields)
        .prop_map(move |(mut input, values)| {
            for (want, value) in topic(name).wants.iter().zip(values) {
                if let Some(value) = value {
                    input[want.name] = value;
                }
            }
            input
        })
        .boxed()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]
    #[test]
    fn no_input_breaks_a_topic(
        (name, input) in proptest::sample::select(&NAMES[..])
            .prop_flat_map(|name| (Just(name), input_for(name)))
    ) {
        match figure::run(topic(name), &input) {
            Ok(got) => {
                for (key, value) in got.as_object().expect("an object") {
                    let listed = topic(name).answers.iter().any(|answer| answer.name == key);
                    prop_assert!(listed || key == "working", "{name}: {key}");
                    prop_assert!(!value.is_null(), "{name}: {key} of {input}");
                }
            }
            Err(trouble) => prop_assert!(!trouble.message.is_empty()),
        }
    }
}
