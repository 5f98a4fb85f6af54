//! `/jobs/{id}/priority`: a supervisor puts a job at another level, with the reason.

use super::JobId;
use super::body::Body;
use super::priority::Level;
use super::queries;
use super::response_words::{self, ResponseShown};
use super::step_page::refused;
use super::steps::{self, JobView, Keys};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PriorityInput {
    #[serde(flatten)]
    pub keys: Keys,
    pub level: String,
    pub reason: String,
}

#[derive(Template)]
#[template(path = "jobs/priority.html")]
struct PriorityPage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    input: PriorityInput,
    errors: FieldErrors,
    response: ResponseShown,
    targets: Vec<(&'static str, String)>,
}

impl PriorityPage {
    async fn new(
        app: &AppState,
        user: &CurrentUser,
        id: JobId,
        input: PriorityInput,
        errors: FieldErrors,
    ) -> Result<PriorityPage, AppError> {
        let view = JobView::load(app, id).await?;
        let targets = queries::targets(&app.db).await?;
        Ok(PriorityPage {
            layout: Layout::new(app, &user.visitor, "Desk"),
            keys: Keys::fresh(app, &view.job),
            response: response_words::shown(&view.job, &targets, &app.zone(), app.clock.now()),
            targets: targets.in_words(),
            view,
            input,
            errors,
        })
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let (input, errors) = (PriorityInput::default(), FieldErrors::default());
    let page = PriorityPage::new(&app, &user, JobId(id), input, errors).await?;
    Ok(Page(page).into_response())
}

pub async fn set(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PriorityInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let id = JobId(id);
    let mut errors = FieldErrors::default();
    let reason = form::required(
        &input.reason,
        "Say why; it is kept beside what the rule found",
    );
    let reason = errors.take("reason", reason);
    let level = Level::named(input.level.trim());
    if level.is_none() {
        errors.add("level", "Choose how urgent it is");
    }
    let errors = match level {
        Some(level) if errors.is_empty() => {
            let body = Body::PrioritySet { level, reason };
            match steps::add(&app, &user, id, &input.keys, body).await? {
                Ok(()) => return Ok(steps::go(&app, id, "")),
                Err(errors) => errors,
            }
        }
        _ => errors,
    };
    let page = PriorityPage::new(&app, &user, id, input, errors).await?;
    Ok(refused(page))
}
