//! What each topic asks and answers, for people (`--list`) and for programs (`/api/figure`).

use calc::figure::{Takes, Topic, Want, topics};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// What a field takes, in a few words.
fn takes(takes: Takes) -> String {
    match takes {
        Takes::Number => "number".to_owned(),
        Takes::Whole => "whole number".to_owned(),
        Takes::Flag => "true or false".to_owned(),
        Takes::Text => "text".to_owned(),
        Takes::Choice(options) => {
            let words: Vec<&str> = options.iter().map(|(word, _)| *word).collect();
            format!("one of {}", words.join(", "))
        }
        Takes::Date => "date, 2026-11-25".to_owned(),
        Takes::Moment => "local time, 2026-11-25T09:00".to_owned(),
        Takes::Numbers => "list of numbers".to_owned(),
        Takes::NumberLists => "list of lists of numbers".to_owned(),
        Takes::Dates => "list of dates".to_owned(),
        Takes::Texts => "list of texts".to_owned(),
        Takes::NumbersByName(names) => format!("object of numbers by {names}"),
        Takes::Rows(_) => "list of objects".to_owned(),
        Takes::Group(_) => "object".to_owned(),
        Takes::Json => "JSON, as the note says".to_owned(),
    }
}

/// Every topic with its fields, answers and units, as text.
pub fn list() -> String {
    let mut out = String::from(
        "Each topic reads one JSON object a line on standard input and answers one a line.\n\
         Fields left out or null are not known. A number may also be written as a text, \"7 1/2\".\n\
         Beside its answers every line has `working`: the shown calculation; and `not_understood`,\n\
         where fields were given that the topic does not read. A bare list or word stands under\n\
         `result`. Trouble is {\"error\": sentence, \"field\": name or null}.\n",
    );
    for topic in topics() {
        let _ = writeln!(out, "\n{}\n  {}. {}", topic.name, topic.title, topic.what);
        let _ = writeln!(out, "  asks:");
        fields(&mut out, topic.wants, 4);
        let _ = writeln!(out, "  answers:");
        for answer in topic.answers {
            let unit = bracketed(answer.unit);
            let _ = writeln!(out, "    {}{unit}: {}", answer.name, answer.what);
        }
    }
    out
}

fn bracketed(unit: &str) -> String {
    if unit.is_empty() {
        String::new()
    } else {
        format!(" [{unit}]")
    }
}

fn fields(out: &mut String, wants: &[Want], indent: usize) {
    for want in wants {
        let unit = bracketed(want.unit);
        let note = if want.note.is_empty() {
            String::new()
        } else {
            format!(" ({})", want.note)
        };
        let kind = takes(want.takes);
        let _ = writeln!(
            out,
            "{:indent$}{}{unit}: {}; {kind}{note}",
            "", want.name, want.label
        );
        if let Takes::Rows(within) | Takes::Group(within) = want.takes {
            fields(out, within, indent + 2);
        }
    }
}

/// The same for programs.
pub fn json() -> Value {
    topics().map(topic_json).collect()
}

fn topic_json(topic: &Topic) -> Value {
    let answers: Vec<Value> = topic
        .answers
        .iter()
        .map(|answer| json!({"name": answer.name, "unit": answer.unit, "what": answer.what}))
        .collect();
    json!({
        "topic": topic.name,
        "title": topic.title,
        "what": topic.what,
        "subject": topic.subject.words(),
        "asks": wants_json(topic.wants),
        "answers": answers,
    })
}

fn wants_json(wants: &[Want]) -> Vec<Value> {
    wants
        .iter()
        .map(|want| {
            let mut field = json!({
                "name": want.name,
                "label": want.label,
                "takes": takes(want.takes),
                "unit": want.unit,
                "note": want.note,
            });
            if let Takes::Rows(within) | Takes::Group(within) = want.takes {
                field["fields"] = wants_json(within).into();
            }
            field
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_topic_is_described_once_and_whole() {
        let mut names = BTreeSet::new();
        for topic in topics() {
            assert!(names.insert(topic.name), "{} twice", topic.name);
            assert!(
                topic.title.len() > 3 && topic.what.len() > 15,
                "{}",
                topic.name
            );
            assert!(
                !topic.wants.is_empty() && !topic.answers.is_empty(),
                "{}",
                topic.name
            );
            let fields: BTreeSet<&str> = topic.wants.iter().map(|want| want.name).collect();
            assert_eq!(
                fields.len(),
                topic.wants.len(),
                "{}: a field twice",
                topic.name
            );
        }
        assert_eq!(json().as_array().map(Vec::len), Some(names.len()));
        let list = list();
        for name in names {
            assert!(list.contains(&format!("\n{name}\n")), "{name}");
        }
    }
}
