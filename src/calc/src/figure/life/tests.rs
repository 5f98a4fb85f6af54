//! Every topic of life and of stock, asked anything: no panic, no infinity, no answer unheard of.

use crate::figure::{self, Takes, Topic, Want};
use proptest::collection::vec;
use proptest::prelude::*;
use serde_json::{Map, Value, json};

/// Plain figures and the ugliest that a field lets through.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => prop::sample::select(vec![0.5, 0.9, 1.0, 2.0, 2.5, 5.0, 30.0, 300.0, 1000.0, 1500.0]),
        2 => 0.0f64..1.0,
        2 => 0.0f64..2000.0,
        1 => prop::sample::select(vec![
            0.0, -1.0, 5e-324, 1e-300, 1e-9, 0.999999, 1.0000001, 1e6, 1e9, 1e15, -1e15,
        ]),
    ]
}

fn value(takes: Takes) -> BoxedStrategy<Value> {
    match takes {
        Takes::Whole => prop_oneof![0u64..40, Just(1_000_000_000)]
            .prop_map(Value::from)
            .boxed(),
        Takes::Choice(options) => prop::sample::select(options)
            .prop_map(|(word, _)| json!(word))
            .boxed(),
        Takes::Moment => (0u32..28, 0u32..24)
            .prop_map(|(day, hour)| json!(format!("2026-11-{:02}T{hour:02}:00", day + 1)))
            .boxed(),
        Takes::Numbers => vec(number(), 0..8).prop_map(|list| json!(list)).boxed(),
        Takes::NumberLists => vec(vec(number(), 0..4), 0..4)
            .prop_map(|list| json!(list))
            .boxed(),
        Takes::Dates => vec(1u32..29, 0..5)
            .prop_map(|days| {
                days.iter()
                    .map(|day| json!(format!("2026-02-{day:02}")))
                    .collect()
            })
            .boxed(),
        Takes::Group(wants) => fields(wants).boxed(),
        Takes::Rows(wants) => vec(fields(wants), 0..6).prop_map(Value::from).boxed(),
        Takes::Text => prop::sample::select(vec!["A", "B"])
            .prop_map(Value::from)
            .boxed(),
        _ => number().prop_map(Value::from).boxed(),
    }
}

/// An object in which each field is there nine times in ten.
fn fields(wants: &'static [Want]) -> BoxedStrategy<Value> {
    wants
        .iter()
        .map(|want| prop::option::weighted(0.9, value(want.takes)))
        .collect::<Vec<_>>()
        .prop_map(move |values| {
            let given = wants.iter().zip(values);
            let given = given.filter_map(|(want, value)| Some((want.name.to_owned(), value?)));
            Value::Object(given.collect::<Map<_, _>>())
        })
        .boxed()
}

fn question() -> impl Strategy<Value = (&'static str, Value)> {
    let topics: Vec<&'static Topic> = super::TOPICS.iter().chain(figure::stock::TOPICS).collect();
    prop::sample::select(topics).prop_flat_map(|topic| (Just(topic.name), fields(topic.wants)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn whatever_is_asked_no_answer_is_infinite_or_unheard_of((name, input) in question()) {
        let topic = figure::find(name).expect("a topic");
        let Ok(Value::Object(got)) = figure::run(topic, &input) else {
            return Ok(());
        };
        for name in got.keys().filter(|name| *name != "working") {
            let listed = topic.answers.iter().any(|answer| answer.name == name);
            prop_assert!(listed || name.starts_with("mtbf_at_"), "{}: {name} is not listed", topic.name);
        }
        for line in got["working"]["lines"].as_array().expect("lines") {
            for part in ["value", "limit", "margin", "note"] {
                let text = line[part].as_str().expect("a text");
                let odd = text.split([' ', '%']).any(|word| ["inf", "-inf", "NaN"].contains(&word));
                prop_assert!(!odd && (part == "note" || !text.contains("no figure")), "{}: {text}", topic.name);
            }
        }
    }
}

#[test]
fn a_name_that_is_not_known_is_told() {
    let topic = figure::find("exp_reliability").expect("a topic");
    let got = figure::run(topic, &json!({"mtbf": 400, "t": 720, "T": 1})).expect("an answer");
    assert_eq!(got["not_understood"], json!(["T"]));
}

#[test]
fn what_blocks_one_answer_leaves_the_others() {
    let topic = figure::find("exp_mtbf").expect("a topic");
    let got = figure::run(topic, &json!({"total_time": 800, "failures": 2})).expect("an answer");
    assert_eq!(got["mtbf"], json!(400.0));
    assert!(got.get("lower").is_none());
    assert_eq!(got["working"]["missing"].as_array().map(Vec::len), Some(1));
}
