//! `/machines/{id}/timeline`: everything that happened in the jobs of one machine, the newest job first.

use super::timeline::{self, Line};
use super::{Job, JobId, queries};
use crate::error::AppError;
use crate::machines::Machine;
use crate::machines::show::find_machine;
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// Whole jobs on one page, so that a correction stands beside what it corrects.
const SHOWN: usize = 12;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// Jobs older than this one.
    before: Option<i64>,
}

struct OfJob {
    job: Job,
    lines: Vec<Line>,
}

#[derive(Template)]
#[template(path = "jobs/of_machine.html")]
struct TimelinePage {
    layout: Layout,
    machine: Machine,
    jobs: Vec<OfJob>,
    /// The page goes on behind this job.
    more: Option<i64>,
    older: bool,
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machine = find_machine(&app, id).await?;
    let before = JobId(asked.before.unwrap_or(i64::MAX));
    let limit = i64::try_from(SHOWN + 1).unwrap_or(0);
    let mut found = queries::of_machine_before(&app.db, machine.id, before, limit).await?;
    let more = found.len() > SHOWN;
    found.truncate(SHOWN);
    let people = people::queries::list(&app.db).await?;
    let zone = app.zone();
    let mut jobs = Vec::new();
    for job in found {
        let entries = queries::entries(&app.db, job.id).await?;
        jobs.push(OfJob {
            lines: timeline::lines(&entries, &people, &zone),
            job,
        });
    }
    let page = TimelinePage {
        layout: Layout::new(&app, &user.visitor, "Machines"),
        machine,
        more: jobs.last().filter(|_| more).map(|last| last.job.id.0),
        older: asked.before.is_some(),
        jobs,
    };
    Ok(Page(page).into_response())
}
