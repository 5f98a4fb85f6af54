//! A meter that was changed for another: the new count starts, the old one is kept with it.

use super::{Meter, ahead, queries, record};
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::preventive::ahead_queries;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::due::{MeterReading, Replacement};
use serde::Deserialize;
use time::Date;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Input {
    pub changed_on: String,
    pub old_final: String,
    pub new_start: String,
}

#[derive(Template)]
#[template(path = "meters/change.html")]
struct ChangePage {
    layout: Layout,
    meter: Meter,
    input: Input,
    errors: FieldErrors,
}

async fn meter(app: &AppState, id: i64) -> Result<Meter, AppError> {
    queries::find(&app.db, id).await?.ok_or(AppError::NotFound)
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    Query(mut input): Query<Input>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let meter = meter(&app, id).await?;
    if input.changed_on.is_empty() {
        input.changed_on = date_value(app.today());
    }
    Ok(Page(ChangePage {
        layout: Layout::new(&app, &user.visitor, "Machines"),
        meter,
        input,
        errors: FieldErrors::default(),
    })
    .into_response())
}

fn parse(input: &Input, today: Date) -> Result<Replacement, FieldErrors> {
    let mut errors = FieldErrors::default();
    let on = form::date(&input.changed_on, "Enter the day of the change").map(Some);
    let on = errors.take("changed_on", on).unwrap_or(today);
    if let Some(why) = record::not_yet(on, today) {
        errors.add("changed_on", why);
    }
    let mut figure = |field: &str, text: &str, ask: &str| {
        let value = errors.take(field, form::optional_number(text));
        let value = value.filter(|value| *value >= 0.0);
        if value.is_none() {
            errors.add(field, ask);
        }
        value.unwrap_or_default()
    };
    let old_final = figure(
        "old_final",
        &input.old_final,
        "Enter what the old meter showed at the end",
    );
    let new_start = figure(
        "new_start",
        &input.new_start,
        "Enter what the new meter showed at first, 0 for a new one",
    );
    errors.or(Replacement {
        on,
        old_final,
        new_start,
    })
}

pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<Input>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let meter = meter(&app, id).await?;
    let mut errors = FieldErrors::default();
    if let Some(change) = errors.gather(parse(&input, app.today())) {
        let mut tx = app.db.begin_write().await?;
        ahead_queries::alone(&mut tx).await?;
        let known = queries::known_in(&mut tx, id).await?;
        let later = known.readings.iter().any(|reading| reading.on > change.on)
            || known.changes.iter().any(|other| other.on >= change.on);
        let end = MeterReading {
            on: change.on,
            value: change.old_final,
        };
        match known.judge(end) {
            _ if later => errors.add("changed_on", "It was read or changed after this day"),
            super::sense::Sense::Fine | super::sense::Sense::SameAsLast(_) => {}
            super::sense::Sense::Refused(why) => errors.add("old_final", why),
            super::sense::Sense::Lower(_) => {
                let message = format!("Lower than it was read: {}", meter.last_words());
                errors.add("old_final", message);
            }
        }
        if errors.is_empty() {
            queries::add_change(&mut tx, id, &change, user.id(), app.clock.now()).await?;
            ahead::move_on(&mut tx, meter.machine_id, app.today()).await?;
            tx.commit().await?;
            let to = format!("/machines/{}/meters", meter.machine_id.0);
            return Ok(Redirect::to(&app.url(&to)).into_response());
        }
    }
    let page = Page(ChangePage {
        layout: Layout::new(&app, &user.visitor, "Machines"),
        meter,
        input,
        errors,
    });
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}
