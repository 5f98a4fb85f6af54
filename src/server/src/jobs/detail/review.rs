//! Repeats in the shop's jobs, and the supervisor's review of why something fails again.

use super::Detail;
use super::repeats::{self, Failure, LARGE_DAYS, Repeats};
use crate::clock::{DAY, Millis};
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::step_page::{refused, typed};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{Job, JobId, queries};
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use calc::plate::Plate;

/// How far back the Desk looks for reviews owed.
const LOOK_BACK: Millis = 2 * LARGE_DAYS * DAY;

/// The failures reported since, with where they were and how strong the machine is.
async fn failures(app: &AppState, since: Millis) -> Result<Vec<Failure>, AppError> {
    let rows = queries::failures_since(&app.db, since).await?;
    let machines = machines::queries::list(&app.db).await?;
    let places = machines::queries::places(&app.db).await?;
    let plates = queries::plates(&app.db).await?;
    let above = |id: i64| {
        let parent = places.iter().find(|p| p.id == id)?.parent_id?;
        // Under the whole site everything stands together; that says nothing.
        let parent = places.iter().find(|p| p.id == parent)?;
        parent.parent_id.map(|_| parent.id)
    };
    let failure = |row: queries::FailureRow| {
        let machine = machines.iter().find(|m| Some(m.id) == row.machine_id);
        let place = machine.map(|m| m.place_id).or(row.place_id);
        let plate = plates.iter().find(|(id, _)| Some(*id) == row.machine_id);
        let power = plate
            .and_then(|(_, plate)| serde_json::from_str::<Plate>(plate).ok())
            .and_then(|plate| plate.power.value().map(|power| power.0));
        Failure {
            job: row.id,
            machine: row.machine_id,
            place,
            parent: place.and_then(above),
            watts: power,
            at: row.reported_at,
            mode: row.mode,
        }
    };
    Ok(rows.into_iter().map(failure).collect())
}

/// What a job's page says about repeats.
pub struct Again {
    pub repeats: Repeats,
    pub found_nothing_before: bool,
    pub review_owed: bool,
}

pub async fn of_job(app: &AppState, job: &Job) -> Result<Again, AppError> {
    let since = job.reported_at - LARGE_DAYS * DAY;
    let all = failures(app, since).await?;
    let found = all.iter().find(|failure| failure.job == job.id);
    let repeats = found.map_or_else(Repeats::default, |this| repeats::of(this, &all));
    let reviews = queries::reviews(&app.db, since).await?;
    let nothing = |failure: &&Failure| {
        failure.job != job.id
            && repeats.machine.contains(&failure.job)
            && failure.mode.starts_with("nothing")
    };
    Ok(Again {
        found_nothing_before: all.iter().any(|f| nothing(&f)),
        review_owed: repeats::owed(&all, &reviews)
            .iter()
            .any(|(owed, _)| *owed == job.id),
        repeats,
    })
}

/// A review owed, for the Desk.
pub struct Owed {
    pub job: i64,
    pub tag: String,
    pub words: Vec<String>,
}

pub async fn owed(app: &AppState) -> Result<Vec<Owed>, AppError> {
    let since = app.clock.now() - LOOK_BACK;
    let all = failures(app, since).await?;
    let reviews = queries::reviews(&app.db, since).await?;
    let machines = machines::queries::list(&app.db).await?;
    let tag = |job: JobId| {
        let machine = all.iter().find(|f| f.job == job).and_then(|f| f.machine);
        machine
            .and_then(|id| machines.iter().find(|m| m.id == id))
            .map_or_else(String::new, |m| m.tag.clone())
    };
    Ok(repeats::owed(&all, &reviews)
        .into_iter()
        .map(|(job, repeats)| Owed {
            job: job.0,
            tag: tag(job),
            words: repeats.said().into_iter().map(|(words, _)| words).collect(),
        })
        .collect())
}

#[derive(Template)]
#[template(path = "jobs/review.html")]
struct ReviewPage {
    layout: Layout,
    view: JobView,
    again: Again,
    /// The jobs that stand together, with what was recorded.
    jobs: Vec<Job>,
    fields: Fields,
    errors: FieldErrors,
    now: i64,
}

impl ReviewPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        id: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, id).await?;
        let again = of_job(app, &view.job).await?;
        let mut ids = again.repeats.machine.clone();
        ids.extend(&again.repeats.place);
        ids.extend(&again.repeats.parent);
        ids.sort_by_key(|job| job.0);
        ids.dedup();
        let mut jobs = Vec::new();
        for other in ids {
            jobs.extend(queries::find(&app.db, other).await?);
        }
        Ok(ReviewPage {
            layout: Layout::new(app, &user.visitor, "Desk"),
            now: app.clock.now(),
            view,
            again,
            jobs,
            fields,
            errors,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = ReviewPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

pub async fn record(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let job = JobId(id);
    let mut errors = FieldErrors::default();
    let finding = form::required(
        fields.get("finding"),
        "Say what lies behind it, or that it is not known yet",
    );
    let finding = errors.take("finding", finding);
    let action = form::required(fields.get("action"), "Say what is done about it");
    let action = errors.take("action", action);
    let detail = errors.or(Detail::CauseReviewed { finding, action });
    let errors = match detail {
        Ok(detail) => {
            let body = Body::Detail(detail);
            match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(&app, job, "")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = ReviewPage::load(&app, &user, job, fields, errors).await?;
    Ok(refused(page))
}
