//! `/status/{number}`: where a report stands, for anybody with its number; what became of their own
//! words, for whoever has the code as well.

use super::body::Body;
use super::{Job, JobId, State, queries, report_code};
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::FieldErrors;
use crate::limits::Client;
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::session::Visitor;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State as AppStateIn};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct StatusQuery {
    number: String,
    code: String,
    new: String,
}

#[derive(Template)]
#[template(path = "jobs/status.html")]
struct StatusPage {
    layout: Layout,
    number: String,
    errors: FieldErrors,
    found: Option<Standing>,
    told: Option<Told>,
    /// Too many wrong codes from this address.
    paused: String,
    new: bool,
}

/// What anybody with the number may know: where the job stands, never who said what.
struct Standing {
    number: i64,
    sentence: String,
    reported: String,
    what: String,
}

/// What whoever has the code sees as well.
struct Told {
    code: String,
    words: String,
    reported: String,
    became: Vec<String>,
}

pub async fn ask(
    visitor: Visitor,
    AppStateIn(app): AppStateIn<AppState>,
    Query(query): Query<StatusQuery>,
) -> Result<Response, AppError> {
    let number = query.number.trim().to_owned();
    if let Ok(id) = number.parse::<i64>() {
        let code = report_code::typed(&query.code);
        let code = if code.is_empty() {
            code
        } else {
            format!("?code={code}")
        };
        return Ok(Redirect::to(&app.url(&format!("/status/{id}{code}"))).into_response());
    }
    let mut errors = FieldErrors::default();
    if !number.is_empty() {
        errors.add("number", "Enter the number you were given, as 118");
    }
    let page = not_found(&app, &visitor, number, errors);
    Ok(page.into_response())
}

fn not_found(
    app: &AppState,
    visitor: &Visitor,
    number: String,
    errors: FieldErrors,
) -> Page<StatusPage> {
    Page(StatusPage {
        layout: Layout::new(app, visitor, "Report"),
        number,
        errors,
        found: None,
        told: None,
        paused: String::new(),
        new: false,
    })
}

pub async fn show(
    visitor: Visitor,
    client: Client,
    AppStateIn(app): AppStateIn<AppState>,
    Path(number): Path<String>,
    Query(query): Query<StatusQuery>,
) -> Result<Response, AppError> {
    let job = match number.parse::<i64>() {
        Ok(id) => queries::find(&app.db, JobId(id)).await?,
        Err(_) => None,
    };
    let typed = report_code::typed(&query.code);
    let (told, paused) = match told(&app, client, job.as_ref(), &typed).await? {
        Ok(told) => (told, String::new()),
        Err(until) => (None, app.zone().minute_words(until)),
    };
    let Some(job) = job else {
        let errors = FieldErrors::of("number", "No report has this number");
        let page = not_found(&app, &visitor, number, errors);
        return Ok((StatusCode::NOT_FOUND, page).into_response());
    };
    let found = Standing {
        number: job.id.0,
        sentence: sentence(&job),
        reported: app.zone().minute_words(job.reported_at),
        what: what(&app, &job).await?,
    };
    let page = StatusPage {
        layout: Layout::new(&app, &visitor, "Report"),
        number,
        errors: FieldErrors::default(),
        found: Some(found),
        new: query.new == "yes",
        told,
        paused,
    };
    Ok(Page(page).into_response())
}

async fn what(app: &AppState, job: &Job) -> Result<String, AppError> {
    if let Some(id) = job.machine_id
        && let Some(machine) = machines::queries::find(&app.db, id).await?
    {
        return Ok(format!("{}, {}", machine.tag, machine.name));
    }
    let place = match job.place_id {
        Some(id) => machines::queries::place(&app.db, id).await?,
        None => None,
    };
    Ok(place.map_or_else(String::new, |p| p.path))
}

/// What the code opens. A wrong one opens nothing and counts; the error says when this address may
/// try again. A number that does not exist counts too, so that numbers cannot be told apart by it.
async fn told(
    app: &AppState,
    client: Client,
    job: Option<&Job>,
    typed: &str,
) -> Result<Result<Option<Told>, i64>, AppError> {
    if typed.is_empty() {
        return Ok(Ok(None));
    }
    if let Err(until) = app.limits.codes.take(client.0, app.clock.now()) {
        return Ok(Err(until));
    }
    let Some(job) = job else { return Ok(Ok(None)) };
    let codes = queries::codes(&app.db, job.id).await?;
    let Some(entry_id) = report_code::matching(codes, typed) else {
        return Ok(Ok(None));
    };
    app.limits.codes.give_back(client.0);
    let entries = queries::entries(&app.db, job.id).await?;
    let own = entries.into_iter().find(|entry| entry.id == entry_id);
    let (words, at) = match own.map(|entry| (entry.body, entry.received_at)) {
        Some((Body::Reported { words, .. } | Body::ReportedAgain { words, .. }, at)) => (words, at),
        _ => return Ok(Ok(None)),
    };
    Ok(Ok(Some(Told {
        code: typed.to_owned(),
        words,
        reported: app.zone().minute_words(at),
        became: became(app, job).await?,
    })))
}

/// What became of a report, through every job it was joined to. No names.
async fn became(app: &AppState, job: &Job) -> Result<Vec<String>, AppError> {
    let (first, mut said) = (job.id, Vec::new());
    let mut job = job.clone();
    // A chain of joins ends: only open jobs are joined to, and a job that was joined is not open.
    while let Some(other) = job.joined_to {
        said.push(format!(
            "Joined to number {}, the same fault. What becomes of that one:",
            other.0
        ));
        job = queries::find(&app.db, other)
            .await?
            .ok_or(AppError::NotFound)?;
    }
    let zone = app.zone();
    match job.state {
        State::TurnedDown | State::Reported => {}
        _ => said.push("Accepted.".to_owned()),
    }
    if let (Some(day), None) = (job.planned_on, job.back_at)
        && !job.state.ended()
    {
        said.push(format!("Visit planned for {}.", date_words(day)));
    }
    if job.id != first {
        said.push(sentence(&job));
    }
    if let Some(at) = job.back_at {
        let at = zone.minute_words(at);
        said.push(format!("Back in service since {at}."));
    }
    if job.cause_at.is_some() {
        said.push(format!("What was found: {}, {}.", job.component, job.mode));
    }
    Ok(said)
}

fn sentence(job: &Job) -> String {
    match job.state {
        State::Reported => "Reported. The supervisor has not looked at it yet.".to_owned(),
        State::Planned => "Accepted and planned. It will be handed to a technician.".to_owned(),
        State::HandedOut => match job.planned_on {
            Some(day) => format!("Handed to a technician for {}.", date_words(day)),
            None => "Handed to a technician.".to_owned(),
        },
        State::Isolated => {
            "Being worked on now. The machine is switched off and locked.".to_owned()
        }
        State::OnTest => "Repaired and being tested. Keep clear of the machine.".to_owned(),
        State::BackInService | State::SignedOff if job.way.finished => {
            "Done, and checked.".to_owned()
        }
        State::BackInService | State::SignedOff => {
            "Done. The machine is back in service.".to_owned()
        }
        State::Held => "Waiting. The work goes on when the reason is gone.".to_owned(),
        State::TestOwed => "Running, but a test of the repair is still owed.".to_owned(),
        State::TurnedDown => format!("Turned down: {}", job.turned_down_why),
        State::Joined => match job.joined_to {
            Some(other) => format!(
                "The same fault was reported before: see number {}.",
                other.0
            ),
            None => "The same fault was reported before.".to_owned(),
        },
    }
}
