//! Every calculation by name: what it asks, what it answers, and one function that runs it on JSON.
//! The command line, the address for programs and the bench all open onto this list.
//!
//! A topic is a thin reading of its fields around a calculation that lives in its own subject;
//! nothing is computed here.

mod circuit;
mod dates;
mod drive;
mod editions;
mod energy;
mod equipment;
mod fan;
mod fit;
mod given;
mod life;
mod motors;
mod plate;
mod proof;
mod sheet;
mod stock;
mod supply;
mod topic;

pub use given::Given;
pub(crate) use given::fraction;
pub use topic::{Answer, Figure, Subject, Takes, Topic, Trouble, Want, want};

use crate::working::Working;
use serde_json::{Map, Value};

/// Every topic, subject by subject, in the order in which they are offered.
pub fn topics() -> impl Iterator<Item = &'static Topic> {
    SUBJECTS.iter().flat_map(|list| list.iter())
}

/// One list a file, in the order of the bench.
static SUBJECTS: &[&[Topic]] = &[
    fit::TOPICS,
    plate::TOPICS,
    motors::TOPICS,
    circuit::TOPICS,
    equipment::TOPICS,
    supply::TOPICS,
    fan::TOPICS,
    drive::TOPICS,
    proof::TOPICS,
    dates::TOPICS,
    life::TOPICS,
    stock::TOPICS,
    energy::TOPICS,
];

/// The topic of this name.
pub fn find(name: &str) -> Option<&'static Topic> {
    topics().find(|topic| topic.name == name)
}

/// Answers one question; the working stays a working.
/// # Errors
/// [`Trouble`] with the field and one sentence: a field that is missing, cannot be read or is out
/// of range.
pub fn answer(topic: &Topic, fields: &Map<String, Value>) -> Result<Figure, Trouble> {
    (topic.run)(&Given::new(fields, topic.wants))
}

/// Runs one topic on one JSON object and gives the answers with their working.
///
/// The answers stand beside `working`; an answer that is a bare list or word stands under `result`.
/// Fields the topic does not know are listed under `not_understood` and in the working's cautions, so
/// that a mistyped name is never taken for a value that was not given.
/// # Errors
/// As [`answer`], and when the input is no object.
pub fn run(topic: &Topic, input: &Value) -> Result<Value, Trouble> {
    let Value::Object(fields) = input else {
        return Err(Trouble::new("Give one JSON object with the topic's fields"));
    };
    let mut figure = answer(topic, fields)?;
    let mut names = Vec::new();
    unknown(fields, topic.wants, "", &mut names);
    if !names.is_empty() {
        let told = format!("Not read: {}.", names.join(", "));
        figure.working.cautions.push(told.into());
    }
    let unknown: Vec<Value> = names.into_iter().map(Value::from).collect();
    let mut out = figure.answers;
    if !unknown.is_empty() {
        // A topic that reads text lists there what it could not read of it.
        match out.get_mut("not_understood") {
            Some(Value::Array(parts)) => parts.extend(unknown),
            _ => {
                out.insert("not_understood".into(), unknown.into());
            }
        }
    }
    out.insert("working".into(), shown(&figure.working));
    Ok(Value::Object(out))
}

/// Names that no want lists, those inside lists and objects by their place: `motors.0.ocpd`.
fn unknown(fields: &Map<String, Value>, wants: &[Want], place: &str, names: &mut Vec<String>) {
    for (name, value) in fields {
        let Some(want) = wants.iter().find(|want| want.name == name) else {
            names.push(format!("{place}{name}"));
            continue;
        };
        match (&want.takes, value) {
            (Takes::Rows(wants), Value::Array(rows)) => {
                for (at, row) in rows.iter().enumerate() {
                    if let Value::Object(row) = row {
                        unknown(row, wants, &format!("{place}{name}.{at}."), names);
                    }
                }
            }
            (Takes::Group(wants), Value::Object(group)) => {
                unknown(group, wants, &format!("{place}{name}."), names);
            }
            _ => {}
        }
    }
}

/// A working as JSON, its verdict in words beside its lines.
fn shown(working: &Working) -> Value {
    let mut out = serde_json::to_value(working).unwrap_or_default();
    if let Value::Object(fields) = &mut out {
        let verdict = working.verdict().map(|verdict| verdict.words());
        fields.insert("verdict".into(), verdict.into());
    }
    out
}

/// An error as the command line and the address for programs give it.
pub fn trouble(trouble: &Trouble) -> Value {
    let mut out = Map::new();
    out.insert("error".into(), trouble.message.clone().into());
    out.insert(
        "field".into(),
        trouble.field.clone().map_or(Value::Null, Value::from),
    );
    Value::Object(out)
}
