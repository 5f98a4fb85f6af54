//! `/machines/{id}/motors/another`: another motor is on the machine and no job of this shop put it
//! there. The plate of the motor that is on record is put right on the machine's own form.

use super::{STATES, UnitId, begin, put_on, queries, take_off};
use crate::audit::audit;
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors, required};
use crate::jobs;
use crate::machines::form::NewMotor;
use crate::machines::show::{find_machine, motor};
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;
use time::Date;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct AnotherInput {
    /// A unit the shop has, or empty for one that no record holds.
    pub unit: String,
    pub name: String,
    pub plate_text: String,
    pub on: String,
    /// Where the old one went.
    pub old: String,
    pub version: i64,
}

struct Another {
    unit: Option<UnitId>,
    new: Option<NewMotor>,
    on: Date,
    old: &'static str,
}

impl AnotherInput {
    fn parse(
        &self,
        units: &[(String, String)],
        has_old: bool,
        today: Date,
    ) -> Result<Another, FieldErrors> {
        let mut errors = FieldErrors::default();
        let unit = units.iter().find(|(id, _)| *id == self.unit);
        let unit = unit.and_then(|(id, _)| id.parse().ok()).map(UnitId);
        if unit.is_none() && !self.unit.is_empty() {
            errors.add("unit", "Choose one of the list");
        }
        let mut new = None;
        if unit.is_none() {
            let name = required(&self.name, "Enter the shop's name for it");
            new = Some(NewMotor {
                name: errors.take("name", name),
                plate: calc::plate::read(&self.plate_text).plate,
                plate_text: self.plate_text.trim().to_owned(),
            });
        } else if !self.name.trim().is_empty() || !self.plate_text.trim().is_empty() {
            errors.add(
                "unit",
                "Choose a motor the shop has, or describe another: not both",
            );
        }
        let on = form::date(&self.on, "Enter the day on which it was fitted");
        let on = match on {
            Ok(on) => Some(on),
            Err(message) => {
                errors.add("on", message);
                None
            }
        };
        if on.is_some_and(|on| on > today) {
            errors.add("on", "This day has not come yet");
        }
        let old = STATES.iter().find(|(word, _)| *word == self.old);
        if old.is_none() && has_old {
            errors.add("old", "Choose where the old motor went");
        }
        errors.or(Another {
            unit,
            new,
            on: on.unwrap_or(today),
            old: old.map_or("removed", |(word, _)| word),
        })
    }
}

#[derive(Template)]
#[template(path = "motors/another.html")]
struct AnotherPage {
    layout: Layout,
    machine: Machine,
    /// The name of the motor that is on record now.
    old: Option<String>,
    units: Vec<(String, String)>,
    input: AnotherInput,
    errors: FieldErrors,
}

async fn units(app: &AppState) -> Result<Vec<(String, String)>, AppError> {
    let units = queries::to_hand(&app.db).await?;
    Ok(units
        .into_iter()
        .map(|unit| {
            let words = format!("unit {}: {}, {}", unit.id.0, unit.motor, unit.state_words());
            (unit.id.0.to_string(), words)
        })
        .collect())
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    machine: Machine,
    input: AnotherInput,
    errors: FieldErrors,
) -> Result<Page<AnotherPage>, AppError> {
    let old = motor(app, machine.fitted_motor_id).await?;
    Ok(Page(AnotherPage {
        layout: Layout::new(app, &user.visitor, "Machines"),
        old: old.map(|motor| motor.name),
        units: units(app).await?,
        machine,
        input,
        errors,
    }))
}

pub async fn ask(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let input = AnotherInput {
        on: date_value(app.today()),
        version: machine.version,
        ..AnotherInput::default()
    };
    Ok(page(&app, &user, machine, input, FieldErrors::default())
        .await?
        .into_response())
}

pub async fn record(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<AnotherInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = find_machine(&app, id).await?;
    let has_old = machine.fitted_motor_id.is_some();
    let mut parsed = input.parse(&units(&app).await?, has_old, app.today());
    let locks = jobs::queries::locks_shown(&app.db, machine.id).await?;
    if let Some(lock) = locks.first() {
        let message = format!(
            "Job {} has a lock on this machine: fit the motor in the job, not here",
            lock.job_id.0
        );
        parsed = Err(FieldErrors::of("form", message));
    }
    let another = match parsed {
        Ok(another) => another,
        Err(errors) => {
            let page = page(&app, &user, machine, input, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    write(&app, &user, &machine, another, input.version).await?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}"))).into_response())
}

async fn write(
    app: &AppState,
    user: &CurrentUser,
    machine: &Machine,
    another: Another,
    version: i64,
) -> Result<(), AppError> {
    let at = app.zone().instant(another.on, 12, 0).unwrap_or_default();
    let mut tx = app.db.begin_write().await?;
    let motor = match (&another.new, another.unit) {
        (Some(new), _) => machines::queries::insert_motor(&mut tx, new).await?,
        (None, Some(unit)) => {
            let unit = queries::find(&app.db, unit).await?;
            unit.ok_or(AppError::NotFound)?.motor_id
        }
        (None, None) => return Err(AppError::NotFound),
    };
    let off = take_off(&mut tx, machine.id, None, at).await?;
    if let Some(off) = off {
        queries::set_state(&mut tx, off, another.old).await?;
    }
    if !queries::set_fitted(&mut tx, machine.id, version, motor).await? {
        return Err(AppError::Stale);
    }
    match another.unit {
        Some(unit) => put_on(&mut tx, unit, machine.id, None, Some(at)).await?,
        None => begin(&mut tx, machine.id, motor, None, at).await?,
    }
    let detail = json!({
        "was": { "fitted": machine.fitted_motor_id },
        "is": { "fitted": motor, "fitted on": date_value(another.on) },
    });
    let thing = ("machines", machine.id.0);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "another motor fitted",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(())
}
