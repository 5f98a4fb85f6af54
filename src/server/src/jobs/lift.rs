//! Lifting the isolation for the run test, in the order of 29 CFR 1910.147(f)(1).

use super::body::Body;
use super::gate::Lock;
use super::step_page::{WORKERS, refused, typed, works};
use super::steps::{self, JobView, Keys};
use super::{JobId, State, queries};
use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, PersonId};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "jobs/lift.html")]
struct LiftPage {
    layout: Layout,
    view: JobView,
    fields: Fields,
    errors: FieldErrors,
    me: PersonId,
    works: bool,
    now: Millis,
    zone: Zone,
}

impl LiftPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        Ok(LiftPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            view: JobView::load(app, job).await?,
            fields,
            errors,
            me: user.id(),
            works: works(&user.person),
            now: app.clock.now(),
            zone: app.zone(),
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn isolated(&self) -> bool {
        self.view.job.state == State::Isolated
    }

    fn on_test(&self) -> bool {
        self.view.job.state == State::OnTest
    }

    fn may_clear(&self) -> bool {
        self.ahead() || self.works && self.isolated() && !self.view.job.lifting
    }

    fn ahead(&self) -> bool {
        self.works && self.layout.ahead
    }

    fn may_energise(&self) -> bool {
        self.ahead() || self.works && self.isolated() && self.view.job.lifting
    }

    fn mine(&self, lock: &Lock) -> bool {
        self.works && lock.person_id == self.me && lock.job_id == self.view.job.id
    }

    fn since(&self, lock: &Lock) -> String {
        self.zone.minute_words(lock.on_at)
    }
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = LiftPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

/// Writes the entry and goes on to `next`, or shows the page again.
async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    body: Body,
    next: &str,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    match steps::add(app, user, job, &Keys::of(&fields), body).await? {
        Ok(()) => Ok(steps::go(app, job, next)),
        Err(errors) => {
            let page = LiftPage::load(app, user, job, fields, errors).await?;
            Ok(refused(page))
        }
    }
}

/// Tools clear and guards on, then people clear and told; the gate says which is missing.
pub async fn ready(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    let body = Body::ReadyToLift {
        tools_clear: fields.ticked("tools_clear"),
        guards_on: fields.ticked("guards_on"),
        people_clear: fields.get("people_clear").to_owned(),
        people_told: fields.get("people_told").to_owned(),
    };
    add(&app, &user, JobId(id), fields, body, "/lift").await
}

pub async fn off(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    let body = Body::LockOff {
        lock: fields.get("lock").to_owned(),
    };
    add(&app, &user, JobId(id), fields, body, "/lift").await
}

pub async fn energise(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let found = queries::find(&app.db, JobId(id)).await?;
    let job = found.ok_or(AppError::NotFound)?;
    let body = Body::Energised {
        machine_id: job
            .machine_id
            .ok_or_else(|| AppError::BadRequest("This job names no machine yet.".to_owned()))?,
        note: fields.get("note").to_owned(),
    };
    add(&app, &user, job.id, fields, body, "/proof").await
}
