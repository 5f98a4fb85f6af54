//! Wild fields in the topics of equipment and supply: an answer or a sentence, never a panic, and
//! never a test through electronics.

use calc::figure::{self, Takes, Want};
use proptest::prelude::*;
use serde_json::{Map, Value, json};

const TOPICS: [&str; 18] = [
    "box_fill",
    "contact",
    "compressor",
    "motor_kind",
    "service_factor",
    "thermal_protector",
    "voltage_unbalance",
    "voltage_tolerance",
    "supply",
    "nominal_voltage",
    "insulation_resistance",
    "winding_resistance",
    "winding_temperature",
    "phase_balance",
    "insulation_class",
    "insulation_life",
    "ambient_altitude",
    "capacitor",
];

fn number() -> BoxedStrategy<Value> {
    prop_oneof![
        4 => (0.1f64..500.0).prop_map(Value::from),
        2 => (0u32..20).prop_map(Value::from),
        1 => any::<f64>().prop_map(Value::from),
        1 => any::<i64>().prop_map(Value::from),
        1 => Just(json!("1/0")),
    ]
    .boxed()
}

fn list(of: BoxedStrategy<Value>) -> BoxedStrategy<Value> {
    prop::collection::vec(of, 0..5)
        .prop_map(Value::from)
        .boxed()
}

fn value(takes: &Takes) -> BoxedStrategy<Value> {
    let sizes = prop::sample::select(vec!["18", "14", "12", "10", "6", "4", "1/0", "x"]);
    match takes {
        Takes::Number => number(),
        Takes::Whole => prop_oneof![4 => (0u32..9).prop_map(Value::from), 1 => number()].boxed(),
        Takes::Flag => any::<bool>().prop_map(Value::from).boxed(),
        Takes::Choice(words) => {
            let words: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            prop::sample::select(words).prop_map(Value::from).boxed()
        }
        Takes::Numbers => list(number()),
        Takes::Texts => list(sizes.prop_map(Value::from).boxed()),
        Takes::NumbersByName(_) => {
            let counts = prop_oneof![6 => (0u32..9).prop_map(Value::from), 1 => number()];
            prop::collection::btree_map(sizes, counts, 0..4)
                .prop_map(|of| of.into_iter().map(|(k, v)| (k.to_owned(), v)).collect())
                .prop_map(Value::Object)
                .boxed()
        }
        Takes::Rows(wants) => list(fields(wants)),
        _ => prop_oneof![
            Just(json!("4 x 1-1/2 square")),
            Just(json!("FD - multiple")),
            Just(json!("B300")),
            Just(json!("K")),
            Just(json!("12")),
            "\\PC{0,8}".prop_map(Value::from),
        ]
        .boxed(),
    }
}

fn fields(wants: &'static [Want]) -> BoxedStrategy<Value> {
    let each: Vec<BoxedStrategy<Option<(String, Value)>>> = wants
        .iter()
        .map(|want| {
            let name = want.name.to_owned();
            prop::option::of(value(&want.takes).prop_map(move |value| (name.clone(), value)))
                .boxed()
        })
        .collect();
    each.prop_map(|fields| Value::Object(fields.into_iter().flatten().collect::<Map<_, _>>()))
        .boxed()
}

fn question() -> BoxedStrategy<(&'static str, Value)> {
    prop::sample::select(TOPICS.to_vec())
        .prop_flat_map(|name| {
            let topic = figure::find(name).expect("a topic");
            fields(topic.wants).prop_map(move |fields| (name, fields))
        })
        .boxed()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]
    #[test]
    fn wild_fields_get_an_answer_or_a_sentence((name, input) in question()) {
        let topic = figure::find(name).expect("a topic");
        let run = figure::run(topic, &input);
        if name == "insulation_resistance" && input["electronics_connected"] == true {
            prop_assert!(run.is_err());
        }
        match run {
            Ok(answers) => {
                let text = answers["working"]["lines"].to_string();
                for endless in ["\"inf", " inf ", "-inf", "NaN"] {
                    prop_assert!(!text.contains(endless), "{name}: {input}: {text}");
                }
                let bare = |answer: &str| {
                    let years = ["_2017", "_2020", "_2023"];
                    years.iter().fold(answer.to_owned(), |name, year| name.replace(year, ""))
                };
                for (answer, value) in answers.as_object().expect("an object") {
                    let listed = topic.answers.iter().any(|known| known.name == bare(answer));
                    prop_assert!(listed || answer == "working", "{name}: {answer} is not listed");
                    prop_assert!(!value.is_null(), "{name}: {answer} is null: {input}");
                }
            }
            Err(trouble) => prop_assert!(!trouble.message.is_empty()),
        }
    }
}
