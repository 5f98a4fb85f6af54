//! The emergency: one tap at the machine opens the job in the hands of whoever is there. The paper
//! follows and is listed as owed until it is there; isolation and proof are as on every job.

use super::body::Body;
use super::priority::{Level, Urgency};
use super::record::{self, NewEntry, Outcome};
use super::step_page::{WORKERS, refused};
use super::steps::{self, JobView, Keys};
use super::{Job, JobId};
use crate::db::{self, Tx};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::machines::{Machine, show::find_machine};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Person};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// What an emergency left out so far.
pub fn owed(job: &Job) -> Vec<&'static str> {
    if !job.response.emergency {
        return Vec::new();
    }
    let all = [
        (job.words.is_empty(), "what was seen, heard or smelt"),
        (job.reporter.is_empty(), "who noticed it"),
        (job.scope.is_empty(), "what is to be done"),
        (job.minutes_planned.is_none(), "hours of work"),
        (job.cause_at.is_none(), "the cause"),
    ];
    let missing = all.into_iter().filter(|(missing, _)| *missing);
    missing.map(|(_, what)| what).collect()
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct EmergencyInput {
    entry: String,
}

pub async fn open(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<EmergencyInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let machine = find_machine(&app, id).await?;
    let report = reported(&machine, input.entry);
    let mut tx = app.db.begin_write().await?;
    let outcome = match open_in(&app, &mut tx, &machine, &user.person, &report).await {
        // The same tap came twice at once: the other one was first.
        Err(AppError::Database(e)) if db::is_duplicate(&e) => {
            drop(tx);
            let mut tx = app.db.begin_write().await?;
            let (id, body) = record::checked(&report)?;
            let known = record::known(&mut tx, &id, Some(&user.person), &body).await?;
            known.ok_or(AppError::Stale)?
        }
        Ok(Outcome::Added(job)) => {
            tx.commit().await?;
            Outcome::Added(job)
        }
        other => other?,
    };
    match outcome {
        Outcome::Added(job) | Outcome::Already(job) | Outcome::SetAside(job, _) => {
            Ok(steps::go(&app, job, ""))
        }
        Outcome::Refused(refusal) => Err(AppError::BadRequest(refusal.message)),
    }
}

fn reported(machine: &Machine, entry: String) -> NewEntry {
    let urgency = Urgency {
        level: Some(Level::Danger),
        because: "it was opened at the machine as an emergency".to_owned(),
        ..Urgency::default()
    };
    NewEntry {
        id: entry,
        body: Body::Reported {
            place_id: Some(machine.place_id),
            machine_id: Some(machine.id),
            due_item_id: None,
            words: String::new(),
            reporter: String::new(),
            contact: String::new(),
            urgency,
        },
        corrects: None,
        device_at: None,
        seen: None,
    }
}

/// Reported, planned and handed out in one transaction.
async fn open_in(
    app: &AppState,
    tx: &mut Tx,
    machine: &Machine,
    person: &Person,
    report: &NewEntry,
) -> Result<Outcome, AppError> {
    let (id, body) = record::checked(report)?;
    if let Some(outcome) = record::known(tx, &id, Some(person), &body).await? {
        return Ok(outcome);
    }
    let now = app.clock.now();
    let job = record::report_within(tx, Some(person), report, now).await?;
    let taken = NewEntry {
        id: record::new_id(now),
        body: Body::EmergencyTaken {
            machine_id: machine.id,
            on: app.today(),
        },
        corrects: None,
        device_at: None,
        seen: None,
    };
    record::add_within(app, tx, job, person, taken).await
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PaperInput {
    #[serde(flatten)]
    pub keys: Keys,
    pub words: String,
    pub reporter: String,
    pub scope: String,
    pub hours: String,
}

impl PaperInput {
    fn parse(&self) -> Result<Body, FieldErrors> {
        let mut errors = FieldErrors::default();
        let hours = errors.take("hours", form::optional_number(&self.hours));
        if hours.is_some_and(|h| !(0.0..=1000.0).contains(&h)) {
            errors.add("hours", "Enter the hours of work, as 2.5");
        }
        let said = |text: &String| text.trim().to_owned();
        let (words, reporter, scope) = (said(&self.words), said(&self.reporter), said(&self.scope));
        if hours.is_none() && words.is_empty() && reporter.is_empty() && scope.is_empty() {
            errors.add("form", "Fill in what is known by now; the rest may follow");
        }
        errors.or(Body::PaperGiven {
            words,
            reporter,
            scope,
            minutes: hours.map(|h| (h * 60.0).round() as i64),
        })
    }
}

#[derive(Template)]
#[template(path = "jobs/paper.html")]
struct PaperPage {
    layout: Layout,
    owed: Vec<&'static str>,
    keys: Keys,
    input: PaperInput,
    errors: FieldErrors,
    view: JobView,
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    id: JobId,
    input: PaperInput,
    errors: FieldErrors,
) -> Result<PaperPage, AppError> {
    let view = JobView::load(app, id).await?;
    if !view.job.response.emergency {
        return Err(AppError::NotFound);
    }
    Ok(PaperPage {
        layout: Layout::new(app, &user.visitor, "Today"),
        owed: owed(&view.job),
        keys: Keys::fresh(app, &view.job),
        input,
        errors,
        view,
    })
}

pub async fn show_paper(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let (input, errors) = (PaperInput::default(), FieldErrors::default());
    Ok(Page(page(&app, &user, JobId(id), input, errors).await?).into_response())
}

pub async fn paper(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PaperInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let id = JobId(id);
    let errors = match input.parse() {
        Ok(body) => match steps::add(&app, &user, id, &input.keys, body).await? {
            Ok(()) => return Ok(steps::go(&app, id, "")),
            Err(errors) => errors,
        },
        Err(errors) => errors,
    };
    Ok(refused(page(&app, &user, id, input, errors).await?))
}
