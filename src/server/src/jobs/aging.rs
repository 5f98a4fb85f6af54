//! `/desk/old`: jobs open for longer than so many days, oldest first, with what each waits for.

use super::State;
use super::body::HoldReason;
use super::queries::{self, OldJob};
use crate::clock::{DAY, date_words};
use crate::desk::board;
use crate::error::AppError;
use crate::form::{FieldErrors, optional_count};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State as AppStateIn};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// Open longer than this is old, unless the page is asked for another number.
pub const USUAL_DAYS: i64 = 30;
/// Lines at most; the count says how many there are.
const SHOWN: i64 = 200;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    days: String,
}

struct Line {
    id: i64,
    tag: String,
    what: String,
    words: String,
    reported: String,
    age: String,
    state: &'static str,
    waits: String,
    page: &'static str,
}

#[derive(Template)]
#[template(path = "jobs/aging.html")]
struct AgingPage {
    layout: Layout,
    days: String,
    count: i64,
    lines: Vec<Line>,
    errors: FieldErrors,
}

/// What the job waits for, and the page that goes on with it.
fn waits(job: &OldJob, state: State) -> (String, &'static str) {
    let with = || match (job.person.as_str(), job.planned_on) {
        ("", _) => "somebody to take it".to_owned(),
        (name, Some(day)) => format!("{name}, for {}", date_words(day)),
        (name, None) => name.to_owned(),
    };
    match state {
        State::Reported => (
            "to be planned, joined, or turned down with a reason".into(),
            "/plan",
        ),
        State::Planned => ("to be handed out".into(), "/plan#hand-out"),
        State::Held => {
            let why = HoldReason::words_of(job.held_for.as_deref().unwrap_or("other"));
            let note = Some(job.held_note.as_str()).filter(|note| !note.is_empty());
            (
                note.map_or_else(|| why.to_owned(), |note| format!("{why}: {note}")),
                if job.untouched { "/plan#not-own" } else { "" },
            )
        }
        State::TestOwed => match job.test_owed_on {
            Some(day) => (format!("the test owed by {}", date_words(day)), ""),
            None => ("the test owed".into(), ""),
        },
        State::BackInService if job.finished => ("a signature".into(), "/sign-off"),
        State::BackInService if job.cause_at.is_none() => {
            ("its cause, acceptance and signature".into(), "/sign-off")
        }
        State::BackInService => ("acceptance and signature".into(), "/sign-off"),
        State::HandedOut if job.untouched => (with(), "/plan#hand-out"),
        _ => (with(), ""),
    }
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor, Role::Auditor])?;
    let mut errors = FieldErrors::default();
    let typed = errors.take("days", optional_count(&asked.days));
    if typed.is_some_and(|days| days > 36_500) {
        errors.add("days", "Enter at most 36500 days");
    }
    let days = typed.filter(|_| errors.is_empty()).unwrap_or(USUAL_DAYS);
    let (now, zone) = (app.clock.now(), app.zone());
    let before = now - days * DAY;
    let mut lines = Vec::new();
    for job in queries::open_since_before(&app.db, before, SHOWN).await? {
        let state = State::named(&job.state)
            .ok_or_else(|| AppError::Broken(format!("job {} is {}", job.id.0, job.state)))?;
        let (waits, page) = waits(&job, state);
        lines.push(Line {
            id: job.id.0,
            tag: job.tag,
            what: job.what,
            words: job.words,
            reported: date_words(zone.date(job.reported_at)),
            age: board::age(job.reported_at, now),
            state: state.words(),
            waits,
            page,
        });
    }
    let page = AgingPage {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        count: queries::count_open_before(&app.db, before).await?,
        days: if errors.is_empty() {
            days.to_string()
        } else {
            asked.days
        },
        lines,
        errors,
    };
    let status = if page.errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    Ok((status, Page(page)).into_response())
}
