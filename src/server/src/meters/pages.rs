//! The meters of one machine: read them, what they forecast, what they showed, and add one.

use super::ahead::{self, Forecast};
use super::lines::Lines;
use super::queries::{self, Noted};
use super::{Meter, sense::Known};
use crate::audit::audit;
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors, Fields};
use crate::machines::Machine;
use crate::machines::show::find_machine;
use crate::measure::figure;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::preventive::ahead_queries;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};

/// Everybody who works with plans.
pub(super) fn reads(user: &CurrentUser) -> Result<(), AppError> {
    user.require(&[
        Role::Technician,
        Role::Supervisor,
        Role::Auditor,
        Role::Keeper,
    ])
}

#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[serde(default)]
pub struct NewMeter {
    pub name: String,
    pub unit: String,
    /// `hours` or `other`.
    pub counts: String,
    pub full_at: String,
}

/// A meter's readings of one count, newest first.
pub struct Span {
    /// Empty for the count that runs now.
    pub ended: String,
    pub readings: Vec<Noted>,
}

#[derive(Template)]
#[template(path = "meters/machine.html")]
struct MachinePage {
    layout: Layout,
    machine: Machine,
    lines: Lines,
    forecasts: Vec<Forecast>,
    history: Vec<(Meter, Vec<Span>)>,
    new: NewMeter,
    errors: FieldErrors,
}

/// What was read before a change stands apart from what was read after it.
fn spans(meter: &Meter, known: &Known, noted: Vec<Noted>) -> Vec<Span> {
    let mut spans = vec![Span {
        ended: String::new(),
        readings: Vec::new(),
    }];
    let mut changes = known.changes.iter().rev().peekable();
    for reading in noted.into_iter().rev() {
        while let Some(change) = changes.next_if(|change| {
            reading.read_on < change.on
                || (reading.read_on == change.on && reading.value == change.old_final)
        }) {
            let (from, to) = (meter.shown(change.old_final), meter.shown(change.new_start));
            spans.push(Span {
                ended: format!("until {}: {from}, then {to} anew", date_words(change.on)),
                readings: Vec::new(),
            });
        }
        if let Some(span) = spans.last_mut() {
            span.readings.push(reading);
        }
    }
    spans
}

impl MachinePage {
    fn value(&self, value: &f64) -> String {
        figure(*value, 2)
    }

    /// What was missing when a reading was called wrong.
    fn wrong(&self, reading: &i64) -> Option<&str> {
        self.errors.get(&format!("why-{reading}"))
    }

    fn adds(&self) -> bool {
        !self.new.counts.is_empty() || !self.new.name.is_empty()
    }
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    machine: Machine,
    lines: Option<Lines>,
    new: NewMeter,
    mut errors: FieldErrors,
) -> Result<Page<MachinePage>, AppError> {
    let meters = queries::of_machine(&app.db, machine.id).await?;
    let mut history = Vec::new();
    for meter in &meters {
        let known = queries::known_of(&app.db, meter.id).await?;
        let noted = queries::noted(&app.db, meter.id).await?;
        history.push((meter.clone(), spans(meter, &known, noted)));
    }
    let unit = meters.first().map_or("h", |meter| meter.unit.as_str());
    let forecasts = ahead::forecasts(app, machine.id, unit).await?;
    let lines = lines.unwrap_or_else(|| Lines::blank(app, meters));
    errors.gather::<()>(Err(lines.errors()));
    Ok(Page(MachinePage {
        layout: Layout::new(app, &user.visitor, "Machines"),
        machine,
        lines,
        forecasts,
        history,
        new,
        errors,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    reads(&user)?;
    let machine = find_machine(&app, id).await?;
    let new = NewMeter::default();
    let page = page(&app, &user, machine, None, new, FieldErrors::default()).await?;
    Ok(page.into_response())
}

pub async fn take(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let meters = queries::of_machine(&app.db, machine.id).await?;
    let lines = Lines::take(&app, &user, &fields, meters).await?;
    if !lines.refused() {
        return Ok(Redirect::to(&app.url(&format!("/machines/{id}/meters"))).into_response());
    }
    let new = NewMeter::default();
    let errors = FieldErrors::default();
    let page = page(&app, &user, machine, Some(lines), new, errors).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

fn parse(input: &NewMeter) -> Result<(String, String, bool, Option<f64>), FieldErrors> {
    let mut errors = FieldErrors::default();
    let name = form::required(&input.name, "Enter what it counts, as Starts");
    let name = errors.take("name", name);
    let unit = form::required(&input.unit, "Enter its unit, as h, starts or kWh");
    let unit = errors.take("unit", unit);
    let hours = input.counts == "hours";
    if !hours && input.counts != "other" {
        errors.add("counts", "Choose run hours or something else");
    }
    let full = errors.take("full_at", form::optional_number(&input.full_at));
    if full.is_some_and(|full| full <= 0.0) {
        errors.add("full_at", "Enter the figure after its highest, as 100000");
    }
    errors.or((name, unit, hours, full))
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<NewMeter>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let (name, unit, hours, full) = match parse(&input) {
        Ok(new) => new,
        Err(errors) => {
            let page = page(&app, &user, machine, None, input, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let meter = queries::insert(&mut tx, machine.id, &name, &unit, hours, full).await?;
    let (at, by) = (app.clock.now(), Some(user.id()));
    audit(&mut tx, at, by, ("meters", meter), "added", &input).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}/meters"))).into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Wrong {
    pub why: String,
}

/// A reading that was wrong is shown struck through and counts no more.
pub async fn strike(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(reading): Path<i64>,
    CheckedForm(input): CheckedForm<Wrong>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let machine = queries::machine_of_reading(&app.db, reading)
        .await?
        .ok_or(AppError::NotFound)?;
    let why = match form::required(&input.why, "Say what is wrong with this reading") {
        Ok(why) => why,
        Err(message) => {
            let machine = find_machine(&app, machine.0).await?;
            let errors = FieldErrors::of(&format!("why-{reading}"), message);
            let page = page(&app, &user, machine, None, NewMeter::default(), errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    ahead_queries::alone(&mut tx).await?;
    if !queries::strike(&mut tx, reading, user.id(), &why, app.clock.now()).await? {
        return Err(AppError::Stale);
    }
    ahead::move_on(&mut tx, machine, app.today()).await?;
    tx.commit().await?;
    let to = format!("/machines/{}/meters", machine.0);
    Ok(Redirect::to(&app.url(&to)).into_response())
}
