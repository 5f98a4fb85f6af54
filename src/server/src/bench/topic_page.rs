//! A topic of calc as a form with its answers and working; its inputs stand in the address.

use super::asked::{self, Input};
use super::{quantity, typed_json};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::Typed;
use crate::shop::{Shop, Units};
use crate::state::AppState;
use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use calc::figure::{self, Topic};
use calc::working::Working;
use serde_json::Value;

/// One answer in words.
struct Told {
    /// Its name for programs.
    name: String,
    what: &'static str,
    value: String,
}

#[derive(Template)]
#[template(path = "bench/topic.html")]
struct TopicPage {
    layout: Layout,
    topic: &'static Topic,
    inputs: Vec<Input>,
    told: Vec<Told>,
    working: Option<Working>,
    errors: FieldErrors,
    at: String,
}

/// The form, and under it the answers once something was typed.
pub fn show(
    app: &AppState,
    user: &CurrentUser,
    shop: &Shop,
    topic: &'static Topic,
    fields: Vec<(String, String)>,
) -> Result<Response, AppError> {
    let asked = fields.iter().any(|(_, value)| !value.trim().is_empty());
    let mut typed = typed_json::closed_up(topic.wants, Typed::from_fields(&Fields(fields)));
    if !asked {
        offer_rule_set(topic, shop, &mut typed);
    }
    let worked = asked.then(|| work(topic, &typed, shop));
    let (told, working, errors) = match worked {
        None => (Vec::new(), None, FieldErrors::default()),
        Some(Ok((told, working))) => (told, Some(working), FieldErrors::default()),
        Some(Err(errors)) => (Vec::new(), None, errors),
    };
    let status = if errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let page = TopicPage {
        layout: Layout::new(app, &user.visitor, "Bench"),
        inputs: asked::inputs(topic.wants, &typed, shop.units, &errors),
        topic,
        told,
        working,
        errors,
        at: app.zone().minute_words(app.clock.now()),
    };
    Ok((status, Page(page)).into_response())
}

/// The shop's own rule set stands in the form; it can be changed there.
fn offer_rule_set(topic: &Topic, shop: &Shop, typed: &mut Typed) {
    let words = shop.rule_set.words();
    let offered = topic.wants.iter().any(|want| {
        want.name == "rule_set"
            && matches!(want.takes, figure::Takes::Choice(options)
                if options.iter().any(|(word, _)| *word == words))
    });
    if offered {
        typed.put("rule_set", words);
    }
}

fn work(
    topic: &'static Topic,
    typed: &Typed,
    shop: &Shop,
) -> Result<(Vec<Told>, Working), FieldErrors> {
    let input = typed_json::object(topic.wants, typed, shop.units)?;
    let answers = figure::answer(topic, &input).map_err(|trouble| {
        let field = trouble.field.as_deref().unwrap_or_default();
        match typed_json::field_of(topic.wants, field) {
            field if field.is_empty() => FieldErrors::of("form", trouble.message),
            field => FieldErrors::of(&field, trouble.message),
        }
    })?;
    // Of an answer in two systems the shop sees its own.
    let elsewhere = |name: &str| {
        answers.answers.keys().any(|other| match shop.units {
            Units::Us => quantity::are_twins(name, other),
            Units::Si => quantity::are_twins(other, name),
        })
    };
    let place = |name: &str| {
        topic
            .answers
            .iter()
            .position(|answer| name.starts_with(answer.name))
    };
    let mut mine: Vec<_> = answers
        .answers
        .iter()
        .filter(|(name, _)| !elsewhere(name))
        .collect();
    mine.sort_by_key(|(name, _)| place(name));
    let told = mine
        .into_iter()
        .map(|(name, value)| told(topic, name, value))
        .collect();
    Ok((told, answers.working))
}

fn told(topic: &'static Topic, name: &str, value: &Value) -> Told {
    let answer = topic
        .answers
        .iter()
        .filter(|answer| name == answer.name || name.starts_with(&format!("{}_20", answer.name)))
        .max_by_key(|answer| answer.name.len());
    let edition = answer.map_or("", |answer| &name[answer.name.len()..]);
    // What it is stands with its SI twin; the other is only `the same`.
    let told_as = topic
        .answers
        .iter()
        .find(|si| quantity::are_twins(si.name, name))
        .or(answer);
    let mut words = words(value);
    if let Some(unit) = answer
        .map(|answer| answer.unit)
        .filter(|unit| !unit.is_empty())
    {
        words = format!("{words} {unit}");
    }
    if !edition.is_empty() {
        let years = edition.trim_start_matches('_').replace('_', ", ");
        words = format!("{words} (edition {years})");
    }
    Told {
        name: name.to_owned(),
        what: told_as.map_or("Also", |answer| answer.what),
        value: words,
    }
}

/// A value as people read it: at most six figures, yes and no, lists with commas.
fn words(value: &Value) -> String {
    match value {
        Value::Null => "not known".to_owned(),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Value::Number(number) => number
            .as_f64()
            .map_or_else(|| number.to_string(), six_figures),
        Value::String(text) => text.clone(),
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(words).collect();
            if items.is_empty() {
                "none".to_owned()
            } else {
                items.join(", ")
            }
        }
        Value::Object(fields) => {
            let field = |(name, value): (&String, &Value)| {
                format!("{} {}", name.replace('_', " "), words(value))
            };
            fields.iter().map(field).collect::<Vec<_>>().join("; ")
        }
    }
}

fn six_figures(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    if value.fract() == 0.0 && value.abs() < 1e12 {
        return format!("{value:.0}");
    }
    let size = value.abs().log10().floor();
    if !(-5.0..9.0).contains(&size) {
        return format!("{value:.5e}");
    }
    let places = (5.0 - size).clamp(0.0, 10.0) as usize;
    crate::measure::figure(value, places)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn answers_read_as_words() {
        assert_eq!(words(&json!(20.875)), "20.875");
        assert_eq!(words(&json!(0.000_123_456_78)), "0.000123457");
        assert_eq!(words(&json!(12_345_678.9)), "12345679");
        assert_eq!(words(&json!(true)), "yes");
        assert_eq!(words(&json!([1, 2.5, "x"])), "1, 2.5, x");
        assert_eq!(words(&json!([])), "none");
        assert_eq!(
            words(&json!({"next_due": "2026-01-01"})),
            "next due 2026-01-01"
        );
    }
}
