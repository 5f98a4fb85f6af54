//! Invented plates and dictations, each with what must be read of it; and what must hold
//! of these texts in any order and case.

mod plate_parts;

use calc::figure;
use calc::plate::{Field, How, More, Plate, read, write};
use calc::units::{Amps, Volts, Watts};
use plate_parts::covered;
use proptest::prelude::*;
use serde_json::{Map, Value, json};

struct Text {
    text: String,
    expected: Value,
    how: Value,
    not_understood: Value,
    doubts: Value,
}

fn texts() -> Vec<Text> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/plate_texts.csv");
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::None)
        .from_path(path)
        .expect("the corpus");
    let texts: Vec<Text> = reader
        .records()
        .map(|row| {
            let row = row.expect("a row");
            let json = |at: usize| serde_json::from_str(&row[at]).expect("JSON");
            Text {
                text: row[0].to_owned(),
                expected: json(1),
                how: json(2),
                not_understood: json(3),
                doubts: json(4),
            }
        })
        .collect();
    assert!(texts.len() >= 180, "{} texts", texts.len());
    texts
}

/// Answers that are not a value of the plate, or say another one over again.
const OVER: &[&str] = &[
    "plate",
    "plate_text",
    "understood",
    "not_understood",
    "doubts",
    "plausible",
    "working",
    "how",
    "power_hp",
    "power_words",
    "rotation_at_shaft_end",
    "ip_solids",
    "ip_water",
];

fn answers(text: &str) -> Map<String, Value> {
    let topic = figure::find("plate").expect("the topic");
    let answer = figure::run(topic, &json!({ "text": text })).expect("an answer");
    answer.as_object().cloned().unwrap_or_default()
}

fn same(want: &Value, got: &Value) -> bool {
    match (want, got) {
        (Value::Array(want), Value::Array(got)) => {
            want.len() == got.len() && want.iter().zip(got).all(|(want, got)| same(want, got))
        }
        (Value::Number(want), Value::Number(got)) => {
            let (want, got) = (
                want.as_f64().unwrap_or(f64::NAN),
                got.as_f64().unwrap_or(f64::NAN),
            );
            (want - got).abs() <= 0.000_51
        }
        _ => want == got,
    }
}

#[test]
fn every_text_is_read_as_written_beside_it() {
    let mut wrong = Vec::new();
    for text in texts() {
        let answers = answers(&text.text);
        let mut got: Map<String, Value> = answers.clone();
        got.retain(|name, _| !OVER.contains(&name.as_str()));
        let want = text.expected.as_object().expect("an object");
        let names: Vec<&String> = want.keys().collect();
        let values = want
            .iter()
            .all(|(name, want)| got.get(name).is_some_and(|got| same(want, got)));
        if got.keys().collect::<Vec<_>>() != names || !values {
            wrong.push(format!(
                "{}\n  want {}\n  got  {}",
                text.text,
                text.expected,
                Value::Object(got)
            ));
        }
        let mut how = answers["how"].as_object().cloned().unwrap_or_default();
        how.retain(|name, how| how != "read" && !OVER.contains(&name.as_str()));
        if Value::Object(how.clone()) != text.how {
            wrong.push(format!("{}\n  how {:?}", text.text, how));
        }
        parts_and_doubts(&text, &mut wrong);
    }
    assert!(
        wrong.is_empty(),
        "{} wrong:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

fn parts_and_doubts(text: &Text, wrong: &mut Vec<String>) {
    let reading = read(&text.text);
    let missed: Vec<&str> = reading
        .not_understood
        .iter()
        .map(|part| part.text.as_str())
        .collect();
    if json!(missed) != text.not_understood {
        wrong.push(format!("{}\n  not understood {missed:?}", text.text));
    }
    let mut doubts: Vec<&str> = reading.doubts.iter().map(|doubt| doubt.field).collect();
    doubts.sort_unstable();
    doubts.dedup();
    if json!(doubts) != text.doubts {
        wrong.push(format!("{}\n  doubts {doubts:?}", text.text));
    }
}

#[test]
fn case_does_not_change_a_plate() {
    for Text { text, .. } in texts() {
        let reading = read(&text);
        covered(&text, &reading);
        assert_eq!(read(&text.to_uppercase()).plate, reading.plate, "{text}");
        assert_eq!(read(&text.to_lowercase()).plate, reading.plate, "{text}");
    }
}

/// The parts of a text in another order, or none where it says how a value is known.
fn shuffled(text: &str, by: &[u32]) -> Option<String> {
    let reading = read(text);
    let how = |words: &str| words.starts_with("how a value is known");
    if reading.understood.iter().any(|part| how(&part.words)) {
        return None;
    }
    let understood = reading.understood.iter().map(|part| part.text.as_str());
    let missed = reading.not_understood.iter().map(|part| part.text.as_str());
    let mut parts: Vec<&str> = understood.chain(missed).collect();
    for at in (1..parts.len()).rev() {
        let with = by.get(at % by.len()).copied().unwrap_or(0) as usize % (at + 1);
        parts.swap(at, with);
    }
    Some(parts.join("; "))
}

#[test]
fn several_ratings_write_and_read_back() {
    let texts = [
        "HI/MED/LO 1.2/0.9/0.6 A 1075/1000/900 RPM 115 V",
        "3 speed 1/3-1/4-1/6 HP",
        "50/60 HZ 1425/1725 RPM 220/240V",
        "208-230/460 V 5.4/2.7 A",
        "CW LE REV measured",
    ];
    for text in texts {
        let plate = read(text).plate;
        assert_eq!(read(&write(&plate)).plate, plate, "{text}");
    }
}

#[test]
fn how_a_value_is_known_goes_with_its_value_in_any_order() {
    let one = read("1.3 A measured; 1/4 HP assumed; 115 V").plate;
    let other = read("115 V; 1/4 HP assumed; 1.3 A measured").plate;
    assert_eq!(one, other);
    assert_eq!(
        one.amps,
        Field::Known {
            value: vec![Amps(1.3)],
            how: How::Measured
        }
    );
    assert_eq!(one.volts, Field::read(vec![Volts(115.0)]));
    let before = read("1/4 HP, measured 1.3 A, 115 V").plate;
    assert_eq!(before.amps, one.amps);
    assert_eq!(before.power, Field::read(Watts::from_hp(0.25)));
    // What the plate says goes before what was measured beside it.
    let both = read("1.2 A, measured 1.3 A");
    assert_eq!(both.plate.amps, Field::read(vec![Amps(1.2)]));
    assert_eq!(both.doubts.len(), 1);
}

#[test]
fn stored_plates_load_and_new_marks_are_left_out_where_unknown() {
    let old = json!({"power": {"known": {"value": 186.4, "how": "read"}}, "amps": "unreadable"});
    let plate: Plate = serde_json::from_value(old).expect("an old plate");
    assert_eq!(plate.amps, Field::Unreadable);
    assert_eq!(plate.more, More::default());
    let stored = serde_json::to_value(&plate).expect("JSON");
    assert!(stored.get("more").is_none());
    let topic = figure::find("plate").expect("the topic");
    let answer = figure::run(topic, &json!({ "plate": stored })).expect("an answer");
    assert!(same(&json!(186.4), &answer["power_w"]));
    assert_eq!(answer["how"]["amps_a"], "unreadable");
    let asked = figure::run(topic, &json!({}));
    assert_eq!(asked.unwrap_err().message, "Not given: Plate text");
}

#[test]
fn a_text_too_long_for_a_plate_is_said_so() {
    let text = "1/4 HP ".repeat(5000);
    let reading = read(&text);
    covered(&text, &reading);
    assert_eq!(reading.not_understood.len(), 1);
    assert_eq!(reading.plate.power, Field::read(Watts::from_hp(0.25)));
}

/// More on a machine with time: `PROPTEST_CASES=20000`.
fn cases() -> u32 {
    let asked = std::env::var("PROPTEST_CASES").ok();
    asked.and_then(|cases| cases.parse().ok()).unwrap_or(512)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(cases()) })]

    #[test]
    fn the_order_of_the_parts_does_not_change_the_plate(
        at in any::<prop::sample::Index>(),
        by in prop::collection::vec(any::<u32>(), 1..40),
    ) {
        let texts = texts();
        let text = &texts[at.index(texts.len())].text;
        if let Some(other) = shuffled(text, &by) {
            prop_assert_eq!(read(&other).plate, read(text).plate, "{} / {}", text, other);
        }
    }
}
