//! What a supervisor does with plans and due items: write, change, make a job, close with a reason.

use super::form::PlanInput;
use super::pages::{Filter, show_page};
use super::wide::queries as past;
use super::{NewPlan, ahead, ahead_queries, make_ahead_of, needs_form, queries, to_job};
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::due::Due;
use serde::Deserialize;

#[derive(Template)]
#[template(path = "preventive/edit.html")]
struct EditPage {
    layout: Layout,
    machine: Machine,
    /// `None`: a new plan.
    plan: Option<i64>,
    /// The machine's other plans, which may include this one.
    siblings: Vec<(i64, String)>,
    procedures: Vec<(String, String)>,
    input: PlanInput,
    /// The next dates, where they were asked for.
    dates: Option<Vec<Due>>,
    errors: FieldErrors,
}

impl EditPage {
    fn action(&self) -> String {
        match self.plan {
            Some(id) => self.layout.url(&format!("/preventive/{id}/edit")),
            None => self.layout.url("/preventive/new"),
        }
    }
}

async fn machine_of(app: &AppState, tag: &str) -> Result<Machine, AppError> {
    machines::queries::find_by_tag(&app.db, tag)
        .await?
        .ok_or(AppError::NotFound)
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    machine: Machine,
    plan: Option<i64>,
    input: PlanInput,
    errors: FieldErrors,
) -> Result<Page<EditPage>, AppError> {
    let mut siblings = queries::plans_of_machine(&app.db, machine.id).await?;
    siblings.retain(|(id, _)| Some(*id) != plan);
    let mut dates = None;
    if !input.preview.is_empty()
        && let Ok(new) = input.parse(machine.id)
    {
        let readings = queries::meter(&app.db, machine.id).await?;
        dates = Some(ahead::preview(&new, app.today(), readings));
    }
    Ok(Page(EditPage {
        layout: Layout::new(app, &user.visitor, "Preventive"),
        machine,
        plan,
        siblings,
        procedures: needs_form::procedures(app).await?,
        input,
        dates,
        errors,
    }))
}

pub async fn new(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = machine_of(&app, &filter.machine).await?;
    let input = PlanInput {
        machine: machine.tag.clone(),
        ..PlanInput::default()
    };
    let page = page(&app, &user, machine, None, input, FieldErrors::default()).await?;
    Ok(page.into_response())
}

/// The plan as typed; or the page again, with its refusals or with the dates that were asked for.
async fn read(
    app: &AppState,
    user: &CurrentUser,
    machine: Machine,
    plan: Option<i64>,
    input: &PlanInput,
) -> Result<Result<NewPlan, Response>, AppError> {
    let mut errors = FieldErrors::default();
    let mut new = errors.gather(input.parse(machine.id));
    if let Some(new) = &mut new {
        needs_form::check(app, new, &mut errors).await?;
    }
    if let Some(longer) = new.as_ref().and_then(|new| new.included_in) {
        let of_machine = queries::plans_of_machine(&app.db, machine.id).await?;
        let known = of_machine.iter().any(|(id, _)| *id == longer);
        if !known || Some(longer) == plan || queries::included(&app.db, longer).await?.is_some() {
            let message = "Choose a longer plan of this machine that no other plan includes";
            errors.add("included_in", message);
        }
    }
    let status = match errors.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    match new {
        Some(new) if errors.is_empty() && input.preview.is_empty() => Ok(Ok(new)),
        _ => {
            let page = page(app, user, machine, plan, input.clone(), errors).await?;
            Ok(Err((status, page).into_response()))
        }
    }
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = machine_of(&app, &input.machine).await?;
    let mut new = match read(&app, &user, machine, None, &input).await? {
        Ok(new) => new,
        Err(page) => return Ok(page),
    };
    let today = app.today();
    // Dates before the plan was written were nobody's to serve.
    new.since_on = Some(today);
    let mut tx = app.db.begin_write().await?;
    let id = queries::insert_plan(&mut tx, &new, app.clock.now()).await?;
    make_ahead_of(&mut tx, id, today).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/preventive/{id}"))).into_response())
}

pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let plan = queries::plan(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let machine = machine_of(&app, &plan.tag).await?;
    let (input, errors) = (PlanInput::of(&plan), FieldErrors::default());
    let page = page(&app, &user, machine, Some(id), input, errors).await?;
    Ok(page.into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let plan = queries::plan(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let machine = machine_of(&app, &plan.tag).await?;
    let mut new = match read(&app, &user, machine, Some(id), &input).await? {
        Ok(new) => new,
        Err(page) => return Ok(page),
    };
    let today = app.today();
    let seen = input.version.parse().unwrap_or(0);
    let ended_on = (!input.ended.is_empty()).then(|| plan.ended_on.unwrap_or(today));
    let moved = new.rule != plan.rule || new.anchor_on != plan.anchor_on;
    new.since_on = moved.then_some(today);
    let mut tx = app.db.begin_write().await?;
    ahead_queries::alone(&mut tx).await?;
    let why = input.changed_because.trim();
    past::keep_revision(&mut tx, id, app.clock.now(), user.id(), why).await?;
    if !queries::update_plan(&mut tx, id, seen, &new, ended_on).await? {
        return Err(AppError::Stale);
    }
    if moved || ended_on.is_some() {
        queries::drop_coming_item(&mut tx, id, today).await?;
    }
    make_ahead_of(&mut tx, id, today).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/preventive/{id}"))).into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct ItemInput {
    pub entry_id: String,
    pub note: String,
}

/// Makes a job of a due item; sent twice, it leads to the one job.
pub async fn make_job(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(item): Path<i64>,
    CheckedForm(input): CheckedForm<ItemInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let item = queries::item(&app.db, item)
        .await?
        .ok_or(AppError::NotFound)?;
    let to = |job: i64| Redirect::to(&app.url(&format!("/jobs/{job}"))).into_response();
    if let Some(job) = item.job_id {
        return Ok(to(job.0));
    }
    let mut tx = app.db.begin_write().await?;
    let job = to_job::make(&app, &mut tx, &user.person, &item, input.entry_id).await?;
    tx.commit().await?;
    Ok(to(job.0))
}

/// Closes a due item that could not be done, with the reason.
pub async fn could_not(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(item): Path<i64>,
    CheckedForm(input): CheckedForm<ItemInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let item = queries::item(&app.db, item)
        .await?
        .ok_or(AppError::NotFound)?;
    let note = match form::required(&input.note, "Say why it could not be done") {
        Ok(note) => note,
        Err(message) => {
            let errors = FieldErrors::of("note", message);
            let page = show_page(&app, &user, item.plan_id, errors, input.note).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    ahead_queries::alone(&mut tx).await?;
    if !queries::could_not(&mut tx, item.id, app.today(), user.id(), &note).await? {
        return Err(AppError::Stale);
    }
    make_ahead_of(&mut tx, item.plan_id, app.today()).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/preventive/{}", item.plan_id))).into_response())
}
