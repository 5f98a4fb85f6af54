//! `/jobs/{id}/follow-up`: something found on the way becomes a job of its own, linked both ways.

use super::facts;
use super::{Detail, PartFound};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::step_page::{WORKERS, refused};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{JobId, queries};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct From {
    /// The step it was found at.
    step: String,
    /// The part it was found on.
    part: String,
    /// A tag as it was read, where the record says another.
    tag: String,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct FollowUpInput {
    #[serde(flatten)]
    pub keys: Keys,
    /// The id of the new job's report.
    pub report: String,
    pub from: String,
    pub words: String,
}

#[derive(Template)]
#[template(path = "jobs/follow_up.html")]
struct FollowUpPage {
    layout: Layout,
    view: JobView,
    input: FollowUpInput,
    errors: FieldErrors,
}

/// Where it was found, and what the new job's words begin with.
async fn prefill(
    app: &AppState,
    view: &JobView,
    from: &From,
) -> Result<(String, String), AppError> {
    let job = view.job.id;
    if let Ok(position) = from.step.trim().parse::<i64>() {
        let steps = queries::job_steps(&app.db, job).await?;
        let step = steps.into_iter().find(|step| step.position == position);
        let step = step.ok_or(AppError::NotFound)?.step;
        let answers = queries::answers(&app.db, job).await?;
        let newest = answers.iter().rev().find(|a| a.position == position);
        let found = newest.map_or_else(String::new, |answer| {
            let said = answer.answer().map_or("", super::Answer::words);
            let words = [said, answer.shown.as_str(), answer.why.as_str()];
            let words: Vec<&str> = words.into_iter().filter(|w| !w.is_empty()).collect();
            format!(": {}", words.join(", "))
        });
        return Ok((
            format!("step {position}"),
            format!("Found on job {}: {}{found}", job.0, step.text),
        ));
    }
    let read = from.tag.trim();
    if !read.is_empty() {
        let words = format!(
            "Found on job {}: the tag at the machine reads {read}, the record says {}. Put the tag \
             or the record right",
            job.0,
            view.tag()
        );
        return Ok(("its tag".to_owned(), words));
    }
    if let (false, Some(machine)) = (from.part.is_empty(), view.job.machine_id) {
        let rows = queries::parts_of_machine(&app.db, machine).await?;
        let row = rows
            .into_iter()
            .find(|row| row.part == from.part && row.job_id == job)
            .ok_or(AppError::NotFound)?;
        let found = facts::part(&PartFound {
            part: row.part.clone(),
            found: row.found,
            reason: row.reason,
            note: row.note,
        });
        return Ok((row.part, format!("Found on job {}: {found}", job.0)));
    }
    Ok((String::new(), format!("Found on job {}: ", job.0)))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    Query(from): Query<From>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let (from, words) = prefill(&app, &view, &from).await?;
    let now = app.clock.now();
    let input = FollowUpInput {
        keys: view.fresh_keys(now),
        report: record::new_id(now),
        from,
        words,
    };
    let page = FollowUpPage {
        layout: Layout::new(&app, &user.visitor, "Today"),
        view,
        input,
        errors: FieldErrors::default(),
    };
    Ok(Page(page).into_response())
}

/// The new job and the entry that names it, all or nothing; sent twice, it leads to the one job.
pub async fn make(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<FollowUpInput>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let refusal = match form::required(&input.words, "Say what is to be done") {
        Err(message) => FieldErrors::of("words", message),
        Ok(words) => match write(&app, &user, &view, &input, words).await? {
            Ok(job) => return Ok(steps::go(&app, job, "")),
            Err(errors) => errors,
        },
    };
    Ok(refused(FollowUpPage {
        layout: Layout::new(&app, &user.visitor, "Today"),
        view,
        input,
        errors: refusal,
    }))
}

async fn write(
    app: &AppState,
    user: &CurrentUser,
    view: &JobView,
    input: &FollowUpInput,
    words: String,
) -> Result<Result<JobId, FieldErrors>, AppError> {
    let entry = |id: &str, body| NewEntry {
        id: id.to_owned(),
        body,
        corrects: None,
        device_at: None,
        seen: None,
    };
    let mut tx = app.db.begin_write().await?;
    if let Some((job, ..)) = queries::entry_known(&mut tx, &input.report).await? {
        return Ok(Ok(job));
    }
    let reported = Body::Reported {
        place_id: view.place.as_ref().map(|place| place.id),
        machine_id: view.job.machine_id,
        due_item_id: None,
        words,
        reporter: user.person.name.clone(),
        contact: String::new(),
        urgency: Default::default(),
    };
    let reported = entry(&input.report, reported);
    let made =
        record::report_within(&mut tx, Some(&user.person), &reported, app.clock.now()).await?;
    let body = Body::Detail(Detail::FollowUpMade {
        job: made,
        from: input.from.trim().to_owned(),
    });
    let named = entry(&input.keys.entry, body);
    match record::add_within(app, &mut tx, view.job.id, &user.person, named).await? {
        Outcome::Added(_) => {
            tx.commit().await?;
            Ok(Ok(made))
        }
        // Dropping the transaction takes the report back too.
        Outcome::Already(_) => Err(AppError::Stale),
        Outcome::SetAside(_, refusal) | Outcome::Refused(refusal) => {
            Ok(Err(FieldErrors::of(refusal.field, refusal.message)))
        }
    }
}
