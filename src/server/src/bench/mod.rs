//! The bench: each calculation on its own, without a job. Inputs stand in the address, so a working
//! can be kept, sent and printed.

mod asked;
pub mod circuit;
pub mod fit;
mod quantity;
pub mod speed;
mod topic_page;
mod typed_json;

use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::motors::plate_form::PlateInput;
use crate::motors::plate_words;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::{Ask, Row, Typed};
use crate::shop::{Shop, Units};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use calc::figure::{self, Subject, Topic};
use calc::plate::Plate;
use calc::working::{Line, Missing, Working};

/// One calculation of the bench.
pub struct Calculation {
    /// The last part of its address.
    pub name: &'static str,
    pub title: &'static str,
    pub what: &'static str,
    pub parts: fn() -> Vec<Part>,
    pub work: fn(&Typed, &Shop) -> Result<Vec<Working>, FieldErrors>,
}

pub static CALCULATIONS: &[&Calculation] = &[&fit::CALC, &circuit::CALC, &speed::CALC];

/// Fields under one heading; the prefix keeps two plates of one form apart.
pub struct Part {
    pub title: &'static str,
    pub prefix: &'static str,
    pub open: bool,
    pub asks: Vec<Ask>,
}

impl Part {
    pub fn new(title: &'static str, prefix: &'static str, open: bool, asks: &[Ask]) -> Part {
        Part {
            title,
            prefix,
            open,
            asks: asks.to_vec(),
        }
    }

    /// The named plate fields, in the order of plates.
    pub fn plate(title: &'static str, prefix: &'static str, names: &[&str]) -> Part {
        let all = plate_words::GROUPS.iter().flat_map(|(_, asks)| asks.iter());
        let asks = all
            .filter(|ask| names.contains(&ask.name))
            .copied()
            .collect();
        Part {
            title,
            prefix,
            open: true,
            asks,
        }
    }
}

/// The plate typed under a prefix.
pub fn plate(typed: &Typed, prefix: &str, units: Units, errors: &mut FieldErrors) -> Plate {
    PlateInput::from_typed(typed, prefix)
        .parse(units)
        .unwrap_or_else(|of_plate| {
            for (field, message) in of_plate.all() {
                errors.add(field, message);
            }
            Plate::default()
        })
}

/// What was typed under a prefix, without it, for a parser that knows no prefixes.
pub fn under(typed: &Typed, prefix: &str) -> Typed {
    let fields = typed
        .0
        .iter()
        .filter_map(|(name, value)| Some((name.strip_prefix(prefix)?.to_owned(), value.clone())));
    Typed(fields.collect())
}

/// A parsed part, its messages put back under the prefix.
pub fn taken<T: Default>(
    parsed: Result<T, FieldErrors>,
    prefix: &str,
    errors: &mut FieldErrors,
) -> T {
    parsed.unwrap_or_else(|of_part| {
        for (field, message) in of_part.all() {
            errors.add(&format!("{prefix}{field}"), message);
        }
        T::default()
    })
}

/// A shown figure that judges nothing.
pub fn line(
    label: &'static str,
    value: String,
    unit: &'static str,
    rule: &'static str,
    source: &'static str,
) -> Line {
    Line {
        label: label.into(),
        value: value.into(),
        unit: unit.into(),
        rule: rule.into(),
        source: source.into(),
        ..Line::default()
    }
}

pub fn missing(what: &'static str, why: &'static str, how: &'static str) -> Missing {
    Missing {
        what: what.into(),
        why: why.into(),
        how: how.into(),
    }
}

#[derive(Template)]
#[template(path = "bench/index.html")]
struct IndexPage {
    layout: Layout,
    calculations: &'static [&'static Calculation],
    subjects: Vec<(&'static str, Vec<&'static Topic>)>,
}

/// The topics under their headings, without those that have a form of their own.
fn subjects() -> Vec<(&'static str, Vec<&'static Topic>)> {
    let own = |topic: &&Topic| CALCULATIONS.iter().any(|own| own.name == topic.name);
    Subject::ALL
        .into_iter()
        .map(|subject| {
            let topics = figure::topics().filter(|topic| topic.subject == subject && !own(topic));
            (subject.words(), topics.collect())
        })
        .filter(|(_, topics): &(_, Vec<_>)| !topics.is_empty())
        .collect()
}

/// `/bench`
pub async fn index(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let layout = Layout::new(&app, &user.visitor, "Bench");
    Ok(Page(IndexPage {
        layout,
        calculations: CALCULATIONS,
        subjects: subjects(),
    })
    .into_response())
}

pub struct Group {
    pub title: &'static str,
    pub open: bool,
    pub rows: Vec<Row>,
}

#[derive(Template)]
#[template(path = "bench/calculation.html")]
struct CalculationPage {
    layout: Layout,
    calculation: &'static Calculation,
    groups: Vec<Group>,
    workings: Vec<Working>,
    errors: FieldErrors,
    at: String,
}

/// `/bench/{name}`: the form, and under it the working once something was typed.
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(name): Path<String>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let shop = app.shop().ok_or(AppError::NotFound)?;
    let found = CALCULATIONS
        .iter()
        .find(|calculation| calculation.name == name);
    let Some(calculation) = found.copied() else {
        let topic = figure::find(&name).ok_or(AppError::NotFound)?;
        return topic_page::show(&app, &user, &shop, topic, fields);
    };
    let asked = fields.iter().any(|(_, value)| !value.trim().is_empty());
    let mut typed = Typed::from_fields(&Fields(fields));
    if !asked {
        typed.put("rule_set", shop.rule_set.words());
    }
    let worked = if asked {
        (calculation.work)(&typed, &shop)
    } else {
        Ok(Vec::new())
    };
    let (workings, errors) = match worked {
        Ok(workings) => (workings, FieldErrors::default()),
        Err(errors) => (Vec::new(), errors),
    };
    let status = if errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let page = CalculationPage {
        layout: Layout::new(&app, &user.visitor, "Bench"),
        groups: groups((calculation.parts)(), &typed, shop.units, &errors),
        at: app.zone().minute_words(app.clock.now()),
        calculation,
        workings,
        errors,
    };
    Ok((status, Page(page)).into_response())
}

/// The parts as a form shows them.
pub fn groups(parts: Vec<Part>, typed: &Typed, units: Units, errors: &FieldErrors) -> Vec<Group> {
    let group = |part: Part| {
        let name = |ask: &Ask| format!("{}{}", part.prefix, ask.name);
        let rows: Vec<Row> = part
            .asks
            .iter()
            .map(|ask| typed.row(ask, name(ask), units, errors))
            .collect();
        let typed_in = rows
            .iter()
            .any(|row| !row.value.is_empty() || row.error.is_some());
        Group {
            title: part.title,
            open: part.open || typed_in,
            rows,
        }
    };
    parts.into_iter().map(group).collect()
}
