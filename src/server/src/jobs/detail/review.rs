//! Repeats in the shop's jobs, and the supervisor's review of why something fails again.

use super::Detail;
use super::repeats::{self, Failure, Repeats, Windows};
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

/// Reviews shown on the Desk at most, and failures looked at for them.
const SHOWN: usize = 20;
const LOOKED_AT: i64 = 200;

fn of_row(row: &queries::FailureRow) -> Failure {
    let plate = row.plate.as_deref();
    let plate = plate.and_then(|plate| serde_json::from_str::<Plate>(plate).ok());
    Failure {
        job: row.id,
        machine: row.machine_id,
        place: row.place_id,
        parent: row.above_id,
        watts: plate.and_then(|plate| plate.power.value().map(|power| power.0)),
        critical: row.criticality.as_deref() == Some("high"),
        at: row.reported_at,
        mode: row.mode.clone(),
    }
}

/// The failure of this job and those near it from its window on until `until`; `None`: it is none.
async fn near(
    app: &AppState,
    job: JobId,
    windows: Windows,
    until: Millis,
) -> Result<Option<(Failure, Vec<Failure>)>, AppError> {
    let Some(this) = queries::failure(&app.db, job).await? else {
        return Ok(None);
    };
    let since = this.reported_at - windows.longest() * DAY;
    let rows = queries::failures_near(&app.db, &this, (since, until.max(this.reported_at))).await?;
    Ok(Some((of_row(&this), rows.iter().map(of_row).collect())))
}

/// What a job's page says about repeats.
#[derive(Default)]
pub struct Again {
    pub repeats: Repeats,
    /// When it was reported before and nothing was found, oldest first.
    pub nothing_before: Vec<Millis>,
    pub review_owed: bool,
}

pub async fn of_job(app: &AppState, job: &Job) -> Result<Again, AppError> {
    let windows = queries::windows(&app.db).await?;
    let back = windows.longest() * DAY;
    // What is older than the Desk looks back owes nothing any more.
    let recent = job.reported_at >= app.clock.now() - 2 * back;
    let until = if recent {
        app.clock.now()
    } else {
        job.reported_at
    };
    let Some((this, all)) = near(app, job.id, windows, until).await? else {
        return Ok(Again::default());
    };
    let repeats = repeats::of(&this, &all, windows);
    let reviews = if recent {
        queries::reviews(&app.db, job.reported_at - back).await?
    } else {
        Vec::new()
    };
    let nothing = |failure: &&Failure| {
        failure.job != job.id
            && repeats.machine.contains(&failure.job)
            && failure.mode.starts_with("nothing")
    };
    let mut nothing_before: Vec<Millis> = all.iter().filter(nothing).map(|f| f.at).collect();
    nothing_before.sort_unstable();
    Ok(Again {
        nothing_before,
        review_owed: recent
            && repeats::owed(&all, &reviews, windows)
                .iter()
                .any(|(owed, _)| owed.job == job.id),
        repeats,
    })
}

/// A fault that was not found and is back is looked for at its own hour, or with a logger.
pub fn no_fault(app: &AppState, again: &Again, job: &Job) -> String {
    if again.nothing_before.is_empty() {
        return String::new();
    }
    let zone = app.zone();
    let mut hours: Vec<String> = again
        .nothing_before
        .iter()
        .chain([&job.reported_at])
        .map(|at| zone.minute_words(*at))
        .collect();
    hours.dedup();
    format!(
        "Nothing was found before, and it is back. Leave a logger on it, or come at the time of day \
         at which it is reported: {}.",
        hours.join("; ")
    )
}

/// A review owed, for the Desk.
pub struct Owed {
    pub job: i64,
    pub tag: String,
    pub words: Vec<String>,
}

/// The newest reviews owed. Each failure that may owe one is judged with those near it alone.
pub async fn owed(app: &AppState) -> Result<Vec<Owed>, AppError> {
    let windows = queries::windows(&app.db).await?;
    let (now, back) = (app.clock.now(), windows.longest() * DAY);
    let reviews = queries::reviews(&app.db, now - 2 * back).await?;
    let mut found: Vec<(Failure, Repeats)> = Vec::new();
    for job in queries::perhaps_owed(&app.db, now - 2 * back, LOOKED_AT).await? {
        if found.len() == SHOWN {
            break;
        }
        let Some((this, all)) = near(app, job, windows, 0).await? else {
            continue;
        };
        let repeats = repeats::of(&this, &all, windows);
        if repeats.review_owed()
            && !repeats::held(&this, &found)
            && !repeats::reviewed(&this, &repeats, &all, &reviews)
        {
            found.push((this, repeats));
        }
    }
    let mut owed = Vec::new();
    for (failure, repeats) in found {
        let machine = match failure.machine {
            Some(id) => machines::queries::find(&app.db, id).await?,
            None => None,
        };
        owed.push(Owed {
            job: failure.job.0,
            tag: machine.map_or_else(String::new, |m| m.tag),
            words: repeats.said().into_iter().map(|(words, _)| words).collect(),
        });
    }
    Ok(owed)
}

#[derive(Template)]
#[template(path = "jobs/review.html")]
struct ReviewPage {
    layout: Layout,
    view: JobView,
    again: Again,
    no_fault: String,
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
            no_fault: no_fault(app, &again, &view.job),
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
