//! Back in service after a passed proof, or the test noted as owed.

use super::body::{Body, Control};
use super::control::body::Restored;
use super::step_page::{WORKERS, refused, typed, works};
use super::steps::{self, JobView, Keys};
use super::{JobId, State};
use crate::clock::Millis;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "jobs/return.html")]
struct ReturnPage {
    layout: Layout,
    view: JobView,
    fields: Fields,
    errors: FieldErrors,
    works: bool,
    now: Millis,
}

impl ReturnPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        Ok(ReturnPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            view: JobView::load(app, job).await?,
            fields,
            errors,
            works: works(&user.person),
            now: app.clock.now(),
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    /// The name of a field of the interlock at this place.
    fn numbered(&self, name: &str, at: &usize) -> String {
        format!("{name}_{at}")
    }

    fn interlocks_open(&self) -> Vec<&str> {
        self.view.control.interlocks_open(&self.view.job)
    }

    fn running(&self) -> bool {
        matches!(self.view.job.state, State::OnTest | State::TestOwed)
    }

    fn may_return(&self) -> bool {
        let open = self.running() && self.view.job.proved();
        self.works && (open || self.layout.ahead)
    }

    fn may_restore(&self) -> bool {
        self.works && (self.running() || self.layout.ahead)
    }

    /// Only where nothing was proved either way.
    fn may_owe(&self) -> bool {
        let job = &self.view.job;
        let open = job.state == State::OnTest && !job.proved() && !job.must_isolate_again();
        self.works && (open || self.layout.ahead)
    }
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = ReturnPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    body: Result<Body, FieldErrors>,
) -> Result<Response, AppError> {
    let errors = match body {
        Ok(body) => match steps::add(app, user, job, &Keys::of(&fields), body).await? {
            Ok(()) => return Ok(steps::go(app, job, "")),
            Err(errors) => errors,
        },
        Err(errors) => errors,
    };
    let page = ReturnPage::load(app, user, job, fields, errors).await?;
    Ok(refused(page))
}

pub(super) fn back(fields: &Fields) -> Result<Body, FieldErrors> {
    let mut errors = FieldErrors::default();
    let told = form::required(
        fields.get("people_told"),
        "Say who was told that it is back in service",
    );
    let accepted = form::required(fields.get("accepted_by"), "Say who accepted it back");
    let people_told = errors.take("people_told", told);
    let accepted_by = errors.take("accepted_by", accepted);
    errors.or(Body::BackInService {
        guards_on: fields.ticked("guards_on"),
        people_told,
        accepted_by,
    })
}

/// Each interlock of the sheet ticked and said; what is missing stands beside its field.
pub(super) fn restored(fields: &Fields, interlocks: &[String]) -> Result<Body, FieldErrors> {
    let mut errors = FieldErrors::default();
    let mut said = Vec::new();
    for (at, interlock) in interlocks.iter().enumerate() {
        let (tick, field) = (format!("restored_{at}"), format!("words_{at}"));
        if !fields.ticked(&tick) {
            errors.add(&tick, "Restore it before the machine serves again");
        }
        let words = form::required(fields.get(&field), "Say who restored it, and what was seen");
        said.push(Restored {
            interlock: interlock.clone(),
            words: errors.take(&field, words),
        });
    }
    errors.or(Body::Control(Control::InterlocksRestored { said }))
}

pub async fn restore(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let body = restored(&fields, &view.control.interlocks);
    let keys = Keys::of(&fields);
    let errors = match body {
        Ok(body) => match steps::add(&app, &user, view.job.id, &keys, body).await? {
            Ok(()) => return Ok(steps::go(&app, view.job.id, "/return")),
            Err(errors) => errors,
        },
        Err(errors) => errors,
    };
    let page = ReturnPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(refused(page))
}

pub async fn put_back(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let body = back(&fields);
    add(&app, &user, JobId(id), fields, body).await
}

pub async fn owe(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let mut errors = FieldErrors::default();
    let due = form::date(fields.get("due_on"), "Say by which day it is tested");
    let due = due.and_then(|due| {
        if due < app.today() {
            Err("This day is over. Choose today or a later one".to_owned())
        } else {
            Ok(Some(due))
        }
    });
    let due_on = errors.take("due_on", due);
    let why = form::required(fields.get("why"), "Say why it cannot be tested now");
    let why = errors.take("why", why);
    let body = match due_on {
        Some(due_on) => errors.or(Body::TestOwed { due_on, why }),
        None => Err(errors),
    };
    add(&app, &user, JobId(id), fields, body).await
}
