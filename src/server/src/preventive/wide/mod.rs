//! Wide plans: on a kind of machine, or on a place with everything below it. Each machine there has a plan
//! of its own from it, also one that comes later, so that its dates and its past are its own.

pub mod queries;

use super::form::PlanInput;
use super::{NewPlan, ahead, make_ahead_in, needs_form};
use crate::db::Tx;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::jobs::JobId;
use crate::machines::{self, MachineId};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::due::{Due, Rule};
use queries::Scope;
use time::Date;

#[derive(Clone, Debug, PartialEq)]
pub struct WidePlan {
    pub id: i64,
    pub machine_kind: Option<String>,
    pub place_id: Option<i64>,
    pub action: String,
    pub why: String,
    pub rule: Rule,
    pub anchor_on: Date,
    pub window_days: i64,
    pub minutes: Option<i64>,
    pub steps: String,
    pub ended_on: Option<Date>,
    pub version: i64,
    pub needs: super::Needs,
    /// How many machines have their plan from it.
    pub machines: i64,
}

impl WidePlan {
    /// The form reads a plan of one machine; this is the same without one.
    fn as_plan(&self) -> super::Plan {
        super::Plan {
            id: self.id,
            machine_id: MachineId(0),
            tag: String::new(),
            machine: String::new(),
            action: self.action.clone(),
            why: self.why.clone(),
            rule: self.rule.clone(),
            anchor_on: self.anchor_on,
            window_days: self.window_days,
            minutes: self.minutes,
            steps: self.steps.clone(),
            made_from_job: None::<JobId>,
            ended_on: self.ended_on,
            version: self.version,
            wide_id: None,
            since_on: None,
            included_in: None,
            needs: self.needs.clone(),
        }
    }
}

#[derive(Template)]
#[template(path = "preventive/wide.html")]
struct WidePage {
    layout: Layout,
    plan: Option<i64>,
    kinds: Vec<(String, String)>,
    places: Vec<(String, String)>,
    siblings: Vec<(i64, String)>,
    procedures: Vec<(String, String)>,
    input: PlanInput,
    dates: Option<Vec<Due>>,
    errors: FieldErrors,
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    plan: Option<i64>,
    input: PlanInput,
    errors: FieldErrors,
    dates: Option<Vec<Due>>,
) -> Result<Page<WidePage>, AppError> {
    let places = machines::queries::places(&app.db).await?;
    Ok(Page(WidePage {
        layout: Layout::new(app, &user.visitor, "Preventive"),
        plan,
        kinds: machines::KINDS
            .iter()
            .map(|(word, words)| ((*word).to_owned(), (*words).to_owned()))
            .collect(),
        places: places
            .into_iter()
            .map(|place| (place.id.to_string(), place.path))
            .collect(),
        siblings: Vec::new(),
        procedures: needs_form::procedures(app).await?,
        input,
        dates,
        errors,
    }))
}

pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let (input, errors) = (PlanInput::default(), FieldErrors::default());
    let page = page(&app, &user, None, input, errors, None).await?;
    Ok(page.into_response())
}

async fn scope(app: &AppState, input: &PlanInput) -> Result<Result<Scope, FieldErrors>, AppError> {
    let (kind, place) = (input.on_kind.as_str(), input.on_place.as_str());
    Ok(match (kind, place) {
        ("", "") => Err(FieldErrors::of("on_kind", "Choose a kind or a place")),
        ("", place) => match place.parse() {
            Ok(id) if machines::queries::place(&app.db, id).await?.is_some() => {
                Ok(Scope::Place(id))
            }
            _ => Err(FieldErrors::of("on_place", "Choose one of the places")),
        },
        (kind, "") if machines::KINDS.iter().any(|(word, _)| *word == kind) => {
            Ok(Scope::Kind(kind.to_owned()))
        }
        (_, "") => Err(FieldErrors::of("on_kind", "Choose one of the kinds")),
        _ => Err(FieldErrors::of(
            "on_kind",
            "Choose a kind or a place, not both",
        )),
    })
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let mut errors = FieldErrors::default();
    let scope = errors.gather(scope(&app, &input).await?);
    let mut new = errors.gather(input.parse(MachineId(0)));
    if let Some(new) = &mut new {
        needs_form::check(&app, new, &mut errors).await?;
    }
    let (Some(scope), Some(mut new), true) = (scope, new, errors.is_empty()) else {
        let page = page(&app, &user, None, input, errors, None).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    if !input.preview.is_empty() {
        let dates = ahead::preview(&new, app.today(), Vec::new());
        let page = page(&app, &user, None, input, errors, Some(dates)).await?;
        return Ok(page.into_response());
    }
    let today = app.today();
    new.since_on = Some(today);
    let mut tx = app.db.begin_write().await?;
    queries::insert(&mut tx, &scope, &new, app.clock.now()).await?;
    make_ahead_in(&mut tx, today).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/preventive#wide")).into_response())
}

fn input_of(plan: &WidePlan) -> PlanInput {
    let mut input = PlanInput::of(&plan.as_plan());
    input.on_kind = plan.machine_kind.clone().unwrap_or_default();
    input.on_place = plan.place_id.map(|id| id.to_string()).unwrap_or_default();
    input
}

pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let plan = queries::find(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let (input, errors) = (input_of(&plan), FieldErrors::default());
    let page = page(&app, &user, Some(id), input, errors, None).await?;
    Ok(page.into_response())
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let plan = queries::find(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let today = app.today();
    let mut errors = FieldErrors::default();
    let mut new = errors.gather(input.parse(MachineId(0)));
    if let Some(new) = &mut new {
        needs_form::check(&app, new, &mut errors).await?;
    }
    let (Some(mut new), true) = (new, errors.is_empty()) else {
        let page = page(&app, &user, Some(id), input, errors, None).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    if !input.preview.is_empty() {
        let dates = ahead::preview(&new, today, Vec::new());
        let errors = FieldErrors::default();
        let page = page(&app, &user, Some(id), input, errors, Some(dates)).await?;
        return Ok(page.into_response());
    }
    let ended = (!input.ended.is_empty()).then(|| plan.ended_on.unwrap_or(today));
    let moved = new.rule != plan.rule || new.anchor_on != plan.anchor_on;
    new.since_on = moved.then_some(today);
    let mut tx = app.db.begin_write().await?;
    super::ahead_queries::alone(&mut tx).await?;
    if !queries::update(&mut tx, id, input.version.parse().unwrap_or(0), &new, ended).await? {
        return Err(AppError::Stale);
    }
    for plan in queries::plans_of(&mut tx, id).await? {
        let why = input.changed_because.trim();
        queries::keep_revision(&mut tx, plan, app.clock.now(), user.id(), why).await?;
        hand_on(&mut tx, plan, &new, ended, today).await?;
    }
    make_ahead_in(&mut tx, today).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/preventive#wide")).into_response())
}

async fn hand_on(
    tx: &mut Tx,
    plan: i64,
    new: &NewPlan,
    ended: Option<Date>,
    today: Date,
) -> Result<(), AppError> {
    queries::hand_on(tx, plan, new, ended).await?;
    // Set where the rule changed.
    if new.since_on.is_some() || ended.is_some() {
        super::queries::drop_coming_item(tx, plan, today).await?;
    }
    Ok(())
}
