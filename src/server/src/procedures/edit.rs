//! Writing a procedure: plain text, a step a line; saving makes a new revision.

use super::notation::{self, HELP, Problem};
use super::{QUANTITIES, Step, queries};
use crate::audit::audit;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use crate::{db, machines};
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct ProcedureInput {
    pub name: String,
    pub for_kind: String,
    pub text: String,
    pub version: i64,
    /// `look`: show the steps as they read, save nothing.
    pub act: String,
}

#[derive(Template)]
#[template(path = "procedures/edit.html")]
struct EditPage {
    layout: Layout,
    id: Option<i64>,
    input: ProcedureInput,
    errors: FieldErrors,
    problems: Vec<Problem>,
    /// The steps as they read, shown back.
    steps: Vec<Step>,
}

impl EditPage {
    fn action(&self) -> String {
        self.layout.url(&match self.id {
            Some(id) => format!("/procedures/{id}/edit"),
            None => "/procedures/new".to_owned(),
        })
    }

    fn help(&self) -> &'static [(&'static str, &'static str)] {
        HELP
    }

    fn units(&self) -> String {
        let words: Vec<&str> = QUANTITIES.iter().map(|(name, ..)| *name).collect();
        words.join(", ")
    }
}

/// A procedure that reads whole.
struct Written {
    name: String,
    for_kind: String,
    steps: Vec<Step>,
}

impl ProcedureInput {
    fn parse(&self) -> Result<Written, (FieldErrors, Vec<Problem>)> {
        let mut errors = FieldErrors::default();
        let name = form::required(&self.name, "Name the procedure");
        let name = errors.take("name", name);
        let for_kind = self.for_kind.trim().to_owned();
        if !for_kind.is_empty() && machines::KINDS.iter().all(|(kind, _)| *kind != for_kind) {
            errors.add("for_kind", "Choose one of the list");
        }
        let (steps, problems) = match notation::parse(&self.text) {
            Ok(steps) => (steps, Vec::new()),
            Err(problems) => (Vec::new(), problems),
        };
        if let Some(first) = problems.first() {
            let message = format!("Line {}: {}", first.line, first.message);
            errors.add("text", message);
        }
        if errors.is_empty() {
            Ok(Written {
                name,
                for_kind,
                steps,
            })
        } else {
            Err((errors, problems))
        }
    }
}

fn page(
    app: &AppState,
    user: &CurrentUser,
    id: Option<i64>,
    input: ProcedureInput,
    (errors, problems): (FieldErrors, Vec<Problem>),
) -> Response {
    let status = if errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let page = EditPage {
        layout: Layout::new(app, &user.visitor, "Preventive"),
        steps: notation::parse(&input.text).unwrap_or_default(),
        id,
        input,
        errors,
        problems,
    };
    (status, Page(page)).into_response()
}

pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let input = ProcedureInput::default();
    Ok(page(&app, &user, None, input, Default::default()))
}

pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let found = queries::find(&app.db, id).await?;
    let procedure = found.ok_or(AppError::NotFound)?;
    let steps = queries::steps(&app.db, id, procedure.revision).await?;
    let input = ProcedureInput {
        name: procedure.name,
        for_kind: procedure.for_kind,
        text: notation::write(&steps),
        version: procedure.version,
        act: String::new(),
    };
    Ok(page(&app, &user, Some(id), input, Default::default()))
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<ProcedureInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    save(&app, &user, None, input).await
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<ProcedureInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    if queries::find(&app.db, id).await?.is_none() {
        return Err(AppError::NotFound);
    }
    save(&app, &user, Some(id), input).await
}

async fn save(
    app: &AppState,
    user: &CurrentUser,
    id: Option<i64>,
    input: ProcedureInput,
) -> Result<Response, AppError> {
    let written = match input.parse() {
        Ok(written) => written,
        Err(refused) => return Ok(page(app, user, id, input, refused)),
    };
    if input.act == "look" {
        return Ok(page(app, user, id, input, Default::default()));
    }
    match write(app, user, id, input.version, &written).await {
        Err(AppError::Database(e)) if db::is_duplicate(&e) => {
            let errors = FieldErrors::of("name", "Another procedure has this name");
            Ok(page(app, user, id, input, (errors, Vec::new())))
        }
        saved => {
            let id = saved?;
            Ok(Redirect::to(&app.url(&format!("/procedures/{id}"))).into_response())
        }
    }
}

/// A new procedure, or the next revision of one; answers with its id.
async fn write(
    app: &AppState,
    user: &CurrentUser,
    id: Option<i64>,
    version: i64,
    written: &Written,
) -> Result<i64, AppError> {
    let now = app.clock.now();
    let (name, kind) = (written.name.as_str(), written.for_kind.as_str());
    let mut tx = app.db.begin_write().await?;
    let (id, revision) = match id {
        None => (queries::insert(&mut tx, name, kind, now).await?, 1),
        Some(id) => {
            let revision = queries::revise(&mut tx, id, version, name, kind).await?;
            (id, revision.ok_or(AppError::Stale)?)
        }
    };
    let by = Some(user.id());
    queries::insert_revision(&mut tx, id, revision, &written.steps, by, now).await?;
    let detail = serde_json::json!({ "name": name, "revision": revision });
    audit(&mut tx, now, by, ("procedures", id), "revise", &detail).await?;
    tx.commit().await?;
    Ok(id)
}
