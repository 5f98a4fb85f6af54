//! At the machine: record as found, hold and take up again, add a note.

use super::body::{Body, HoldReason, LiveTest, Reading};
use super::steps::{self, JobView, Keys};
use super::{JobId, State};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors, Fields};
use crate::instruments::{self, Instrument, used};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, PersonId, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use time::Date;

const WORKERS: &[Role] = &[Role::Technician, Role::Supervisor];

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct AtMachineInput {
    #[serde(flatten)]
    pub keys: Keys,
    pub running: String,
    pub condition: String,
    pub guard: String,
    pub volts: String,
    pub amps: String,
    pub vibration: String,
    pub instrument: String,
    pub instrument_due: String,
    pub instrument_unknown: String,
    pub qualified_person: String,
    pub precautions: String,
    pub reason: String,
    pub note: String,
    pub text: String,
    pub of: String,
}

#[derive(Template)]
#[template(path = "jobs/as_found.html")]
struct AsFoundPage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    input: AtMachineInput,
    errors: FieldErrors,
    qualified: Vec<(String, String)>,
    instruments: Vec<Instrument>,
}

#[derive(Template)]
#[template(path = "jobs/hold.html")]
struct HoldPage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    input: AtMachineInput,
    errors: FieldErrors,
}

#[derive(Template)]
#[template(path = "jobs/note.html")]
struct NotePage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    input: AtMachineInput,
    errors: FieldErrors,
    entries: Vec<(String, String)>,
}

/// Values and words of how a machine was found.
pub const RUNNING: &[(&str, &str)] = &[
    ("stopped", "stopped"),
    ("running", "running"),
    ("limping", "running badly"),
    ("not_looked_at", "not looked at"),
];

/// Values and words of the guard's state.
pub const GUARD: &[(&str, &str)] = &[
    ("there and whole", "there and whole"),
    ("there, damaged", "there, damaged"),
    ("missing", "missing"),
    ("none by design", "none by design"),
    ("not looked at", "not looked at"),
];

/// Which of the pages here is shown.
#[derive(Clone, Copy)]
enum Step {
    AsFound,
    Hold,
    Note,
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    id: JobId,
    step: Step,
    input: AtMachineInput,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let view = JobView::load(app, id).await?;
    let keys = Keys::fresh(app, &view.job);
    let layout = Layout::new(app, &user.visitor, "Today");
    let status = if errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let shown = match step {
        Step::AsFound => {
            let qualified = people::queries::list(&app.db)
                .await?
                .into_iter()
                .filter(|p| !p.closed && p.qualified_on.is_some())
                .map(|p| (p.id.0.to_string(), p.name))
                .collect();
            Page(AsFoundPage {
                layout,
                view,
                keys,
                input,
                errors,
                qualified,
                instruments: instruments::queries::all(&app.db).await?,
            })
            .into_response()
        }
        Step::Hold => Page(HoldPage {
            layout,
            view,
            keys,
            input,
            errors,
        })
        .into_response(),
        Step::Note => {
            let zone = app.zone();
            let entries = super::queries::entries(&app.db, id)
                .await?
                .into_iter()
                .rev()
                .map(|e| {
                    let when = zone.minute_words(e.received_at);
                    (e.id, format!("{}: {}, {when}", e.number, e.body.title()))
                })
                .collect();
            Page(NotePage {
                layout,
                view,
                keys,
                input,
                errors,
                entries,
            })
            .into_response()
        }
    };
    Ok((status, shown).into_response())
}

async fn finish(
    app: &AppState,
    user: &CurrentUser,
    id: JobId,
    step: Step,
    input: AtMachineInput,
    body: Result<Body, FieldErrors>,
) -> Result<Response, AppError> {
    let refused = match body {
        Ok(body) => steps::add(app, user, id, &input.keys, body).await?,
        Err(errors) => Err(errors),
    };
    match refused {
        Ok(()) => Ok(steps::go(app, id, "")),
        Err(errors) => page(app, user, id, step, input, errors).await,
    }
}

macro_rules! shown {
    ($name:ident, $step:expr) => {
        pub async fn $name(
            user: CurrentUser,
            AppStateIn(app): AppStateIn<AppState>,
            Path(id): Path<i64>,
        ) -> Result<Response, AppError> {
            user.require(WORKERS)?;
            let input = AtMachineInput::default();
            page(&app, &user, JobId(id), $step, input, FieldErrors::default()).await
        }
    };
}

shown!(show_as_found, Step::AsFound);
shown!(show_hold, Step::Hold);
shown!(show_note, Step::Note);

/// A reading as typed; `None` where nothing was typed.
pub fn reading(point: &str, quantity: &str, typed: &str) -> Option<Reading> {
    let as_shown = typed.trim().to_owned();
    if as_shown.is_empty() {
        return None;
    }
    let value = form::optional_number(&as_shown).ok().flatten();
    Some(Reading {
        point: point.to_owned(),
        quantity: quantity.to_owned(),
        as_shown,
        value,
    })
}

impl AtMachineInput {
    pub(super) fn parse_as_found(
        &self,
        register: &[Instrument],
        day: Date,
    ) -> Result<Body, FieldErrors> {
        let mut errors = FieldErrors::default();
        let known = |list: &[(&str, &str)], value: &str| list.iter().any(|(v, _)| *v == value);
        if !known(RUNNING, &self.running) {
            errors.add(
                "running",
                "Say how you found it; not looked at is an answer",
            );
        }
        if !known(GUARD, &self.guard) {
            errors.add("guard", "Say how the guard is; not looked at is an answer");
        }
        let condition = errors.take(
            "condition",
            form::required(&self.condition, "Write what you see and hear"),
        );
        let readings: Vec<Reading> = [
            reading("supply", "volts", &self.volts),
            reading("running", "amps", &self.amps),
            reading("housing", "mm_s", &self.vibration),
        ]
        .into_iter()
        .flatten()
        .collect();
        let live = if self.volts.trim().is_empty() && self.amps.trim().is_empty() {
            None
        } else {
            self.live(register, day, &mut errors)
        };
        errors.or(Body::AsFound {
            running: self.running.clone(),
            condition,
            guard: self.guard.clone(),
            // Vibration is felt through the guard; only volts and amps are taken live.
            readings,
            live,
        })
    }

    fn live(
        &self,
        register: &[Instrument],
        day: Date,
        errors: &mut FieldErrors,
    ) -> Option<LiveTest> {
        let person = self.qualified_person.trim().parse::<i64>().ok();
        if person.is_none() {
            errors.add(
                "qualified_person",
                "Choose the qualified person who took the readings",
            );
        }
        let typed = [
            ("instrument", &self.instrument),
            ("instrument_due", &self.instrument_due),
            ("instrument_unknown", &self.instrument_unknown),
        ];
        let typed = typed.map(|(name, value)| (name.to_owned(), value.clone()));
        let used = used::read(&Fields(typed.into()), register, day, errors);
        if used.number.is_empty() {
            errors.add("instrument", "Name the instrument");
        }
        let precautions = errors.take(
            "precautions",
            form::required(
                &self.precautions,
                "Say which precautions were taken for live testing",
            ),
        );
        Some(LiveTest::new(PersonId(person?), precautions, used))
    }
}

pub async fn as_found(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<AtMachineInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let register = instruments::queries::all(&app.db).await?;
    let body = input.parse_as_found(&register, app.today());
    finish(&app, &user, JobId(id), Step::AsFound, input, body).await
}

pub async fn hold(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<AtMachineInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let reason = match input.reason.as_str() {
        "part" => Some(HoldReason::Part),
        "access" => Some(HoldReason::Access),
        "weather" => Some(HoldReason::Weather),
        "outside_firm" => Some(HoldReason::OutsideFirm),
        "other" => Some(HoldReason::Other),
        _ => None,
    };
    let body = match reason {
        Some(HoldReason::Other) if input.note.trim().is_empty() => {
            Err(FieldErrors::of("note", "Say what it waits for"))
        }
        Some(reason) => Ok(Body::Held {
            reason,
            note: input.note.trim().to_owned(),
        }),
        None => Err(FieldErrors::of("reason", "Choose what it waits for")),
    };
    finish(&app, &user, JobId(id), Step::Hold, input, body).await
}

pub async fn resume(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<AtMachineInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let body = Ok(Body::Resumed {
        note: input.note.trim().to_owned(),
    });
    finish(&app, &user, JobId(id), Step::Hold, input, body).await
}

pub async fn note(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<AtMachineInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let body = form::required(&input.text, "Write the note")
        .map_err(|message| FieldErrors::of("text", message))
        .map(|text| match input.of.trim() {
            "" => Body::Note { text },
            of => Body::Correction {
                of: of.to_owned(),
                text,
            },
        });
    finish(&app, &user, JobId(id), Step::Note, input, body).await
}

impl HoldPage {
    fn waits(&self) -> bool {
        self.view.job.state == State::Held
    }
}
