//! Temporary fixes: each with the day it is to be ended by, listed until an entry ends it.

use super::Detail;
use super::beside::FixShown;
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::step_page::{WORKERS, refused, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{JobId, queries};
use crate::machines::MachineId;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "jobs/temporary_all.html")]
struct AllPage {
    layout: Layout,
    fixes: Vec<FixShown>,
    printed: String,
}

/// Every fix that stands, to print.
pub async fn all(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let page = AllPage {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        fixes: open(&app).await?,
        printed: app.zone().minute_words(app.clock.now()),
    };
    Ok(Page(page).into_response())
}

pub async fn open(app: &AppState) -> Result<Vec<FixShown>, AppError> {
    let today = app.today();
    Ok(queries::open_fixes(&app.db)
        .await?
        .into_iter()
        .map(|fix| FixShown::of(fix, today))
        .collect())
}

/// The fixes that stand on one machine.
pub async fn on_machine(app: &AppState, machine: MachineId) -> Result<Vec<FixShown>, AppError> {
    let today = app.today();
    let fixes = queries::fixes_on(&app.db, machine).await?.into_iter();
    Ok(fixes.map(|fix| FixShown::of(fix, today)).collect())
}

#[derive(Template)]
#[template(path = "jobs/temporary.html")]
struct TemporaryPage {
    layout: Layout,
    view: JobView,
    fixes: Vec<FixShown>,
    works: bool,
    fields: Fields,
    errors: FieldErrors,
    now: i64,
}

impl TemporaryPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let mut fixes = open(app).await?;
        fixes.retain(|shown| shown.fix.job_id == job);
        Ok(TemporaryPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            works: works(&user.person),
            now: app.clock.now(),
            view,
            fixes,
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
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = TemporaryPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    detail: Result<Detail, FieldErrors>,
) -> Result<Response, AppError> {
    let errors = match detail {
        Ok(detail) => {
            let body = Body::Detail(detail);
            match steps::add(app, user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(app, job, "/temporary")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = TemporaryPage::load(app, user, job, fields, errors).await?;
    Ok(refused(page))
}

pub async fn make(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let mut errors = FieldErrors::default();
    let what = form::required(fields.get("what"), "Say what was rigged, and where");
    let what = errors.take("what", what);
    let until = form::date(
        fields.get("until"),
        "A temporary fix needs the day it is to be ended by",
    );
    let today = app.today();
    let until = until.and_then(|until| {
        if until < today {
            Err(format!(
                "This day has passed; give one from {} on",
                date_value(today)
            ))
        } else {
            Ok(Some(until))
        }
    });
    let detail = match errors.take("until", until) {
        Some(until) => errors.or(Detail::Temporary { what, until }),
        None => Err(errors),
    };
    add(&app, &user, JobId(id), fields, detail).await
}

pub async fn end(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let detail = form::required(fields.get("how"), "Say how it was ended")
        .map(|how| Detail::TemporaryEnded {
            of: fields.get("of").to_owned(),
            how,
        })
        .map_err(|message| FieldErrors::of("how", message));
    add(&app, &user, JobId(id), fields, detail).await
}
