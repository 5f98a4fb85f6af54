//! Jobs, their entries, and what is due, for programs.

use super::asked::{Number, Wanted};
use super::caller::Caller;
use super::entries::EntryShown;
use super::machines::PageWanted;
use super::problem::Problem;
use super::scopes::Scope;
use super::shapes::{DueShown, JobShown, Page};
use super::{etag, paging};
use crate::clock::date_value;
use crate::form;
use crate::jobs::queries::{self, Entry};
use crate::jobs::{Job, JobId, State as JobState};
use crate::people;
use crate::preventive::{self, DueItem};
use crate::state::AppState;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;
use time::Date;
use utoipa::IntoParams;

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct JobsWanted {
    /// Rows on a page.
    #[param(minimum = 1, maximum = 200, default = 50)]
    limit: Option<i64>,
    /// `next_cursor` of the page before.
    #[param(max_length = 200)]
    cursor: Option<String>,
    /// Only those of this machine.
    machine_id: Option<i64>,
    /// Only those that stand here, such as `reported`.
    #[param(max_length = 20)]
    state: Option<String>,
}

/// Jobs, by number.
#[utoipa::path(get, path = "/jobs", tag = "jobs", params(JobsWanted),
    responses((status = 200, description = "A page of jobs", body = Page<JobShown>)))]
pub async fn list_jobs(
    caller: Caller,
    State(app): State<AppState>,
    Wanted(wanted): Wanted<JobsWanted>,
) -> Result<Response, Problem> {
    let limit = paging::limit(wanted.limit)?;
    let after = paging::after_number("jobs", wanted.cursor.as_deref())?;
    let state = wanted.state.as_deref();
    if state.is_some_and(|state| JobState::named(state).is_none()) {
        return Err(Problem::bad("A job never stands there."));
    }
    let machine = wanted.machine_id;
    let rows = queries::page(&app.db, after, machine, state, limit + 1).await?;
    let mut query = Vec::new();
    if let Some(machine) = machine {
        query.push(("machine_id", machine.to_string()));
    }
    if let Some(state) = state {
        query.push(("state", state.to_owned()));
    }
    let at = |job: &Job| paging::cursor("jobs", &job.id.0.to_string());
    let shown = |job| JobShown::of(job, caller.may(Scope::ReportersRead));
    Ok(paging::page(
        &app,
        ("/jobs", &query),
        rows,
        limit,
        at,
        shown,
    ))
}

pub async fn found(app: &AppState, id: i64) -> Result<Job, Problem> {
    let job = queries::find(&app.db, JobId(id)).await?;
    job.ok_or_else(Problem::not_found)
}

pub fn tag_of(job: &Job) -> String {
    etag::of("job", job.id.0, job.version)
}

/// One job.
#[utoipa::path(get, path = "/jobs/{id}", tag = "jobs",
    params(("id" = i64, Path, minimum = 1, description = "The job's number")),
    responses((status = 200, description = "The job", body = JobShown)))]
pub async fn show_job(
    caller: Caller,
    State(app): State<AppState>,
    Number(id): Number,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let job = found(&app, id).await?;
    let tag = tag_of(&job);
    let shown = JobShown::of(job, caller.may(Scope::ReportersRead));
    Ok(etag::answer(&headers, &tag, shown))
}

/// What happened in a job, first entry first. Entries are only ever added.
#[utoipa::path(get, path = "/jobs/{id}/entries", tag = "jobs",
    params(("id" = i64, Path, minimum = 1, description = "The job's number"), PageWanted),
    responses((status = 200, description = "A page of entries", body = Page<EntryShown>)))]
pub async fn list_entries(
    caller: Caller,
    State(app): State<AppState>,
    Number(id): Number,
    Wanted(wanted): Wanted<PageWanted>,
) -> Result<Response, Problem> {
    let limit = paging::limit(wanted.limit)?;
    let after = paging::after_number("entries", wanted.cursor.as_deref())?;
    let job = found(&app, id).await?;
    let rows = queries::entries_after(&app.db, job.id, after, limit + 1).await?;
    let people = people::queries::list(&app.db).await?;
    let (zone, reporters) = (app.zone(), caller.may(Scope::ReportersRead));
    let at = |entry: &Entry| paging::cursor("entries", &entry.number.to_string());
    let shown = |entry| EntryShown::of(entry, reporters, &people, &zone);
    let path = format!("/jobs/{id}/entries");
    Ok(paging::page(&app, (&path, &[]), rows, limit, at, shown))
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct DueWanted {
    /// Rows on a page.
    #[param(minimum = 1, maximum = 200, default = 50)]
    limit: Option<i64>,
    /// `next_cursor` of the page before.
    #[param(max_length = 200)]
    cursor: Option<String>,
    /// open, done, could_not, missed or waived; open where it is left out.
    #[param(max_length = 20)]
    state: Option<String>,
    /// Only what is due on this day or before.
    #[param(format = "date")]
    until: Option<String>,
}

/// No plan is older or reaches further.
const FIRST_DAY: Date = time::macros::date!(1000 - 01 - 01);
const LAST_DAY: Date = time::macros::date!(9999 - 12 - 31);
const STATES: [&str; 5] = ["open", "done", "could_not", "missed", "waived"];

/// What is due by the preventive plans, by date.
#[utoipa::path(get, path = "/due", tag = "due", params(DueWanted),
    responses((status = 200, description = "A page of due items", body = Page<DueShown>)))]
pub async fn list_due(
    _caller: Caller,
    State(app): State<AppState>,
    Wanted(wanted): Wanted<DueWanted>,
) -> Result<Response, Problem> {
    let limit = paging::limit(wanted.limit)?;
    let behind = behind(paging::after("due", wanted.cursor.as_deref())?)?;
    let state = wanted.state.unwrap_or_else(|| "open".to_owned());
    if !STATES.contains(&state.as_str()) {
        return Err(Problem::bad(
            "state is one of open, done, could_not, missed, waived.",
        ));
    }
    let until = match &wanted.until {
        None => None,
        Some(text) => Some(
            form::date(text, "")
                .map_err(|_| Problem::bad("until is a date that exists, as 2026-11-25."))?,
        ),
    };
    let last = until.unwrap_or(LAST_DAY);
    let rows = preventive::queries::page(&app.db, &state, behind, last, limit + 1).await?;
    let mut query = vec![("state", state)];
    if let Some(until) = until {
        query.push(("until", date_value(until)));
    }
    let at =
        |item: &DueItem| paging::cursor("due", &format!("{} {}", date_value(item.due_on), item.id));
    let today = app.today();
    let shown = |item| DueShown::of(item, today);
    Ok(paging::page(&app, ("/due", &query), rows, limit, at, shown))
}

/// Day and number of the row that a list goes on behind.
fn behind(after: Option<String>) -> Result<(Date, i64), Problem> {
    let Some(after) = after else {
        return Ok((FIRST_DAY, 0));
    };
    let (day, id) = after.split_once(' ').ok_or_else(paging::cannot)?;
    let day = form::date(day, "").map_err(|_| paging::cannot())?;
    let id = id.parse().map_err(|_| paging::cannot())?;
    Ok((day, id))
}
