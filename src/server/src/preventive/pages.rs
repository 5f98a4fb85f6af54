//! The preventive pages: what is due, the plans, one plan, and the forms that change them.

use super::form::PlanInput;
use super::{DueItem, Plan, ahead, make_ahead_in, queries, words};
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry};
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::due::{self, Due};
use serde::Deserialize;
use time::Date;

/// Who may read plans; only a supervisor changes them.
fn reads(user: &CurrentUser) -> Result<(), AppError> {
    user.require(&[
        Role::Technician,
        Role::Supervisor,
        Role::Auditor,
        Role::Keeper,
    ])
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    /// A machine's tag.
    pub machine: String,
}

#[derive(Template)]
#[template(path = "preventive/list.html")]
struct ListPage {
    layout: Layout,
    today: Date,
    machine: String,
    items: Vec<DueItem>,
    plans: Vec<Plan>,
    tags: Vec<String>,
}

impl ListPage {
    fn overdue(&self) -> usize {
        self.items
            .iter()
            .filter(|item| item.overdue(self.today))
            .count()
    }

    fn late(&self, item: &DueItem) -> bool {
        item.overdue(self.today)
    }

    fn days(&self, item: &DueItem) -> String {
        days_words(item, self.today)
    }

    fn plan_words(&self, plan: &Plan) -> String {
        words::rule(&plan.rule)
    }
}

/// `Wed 25 Nov 2026`; templates hand over references.
pub fn day(on: &Date) -> String {
    date_words(*on)
}

/// `due in 5 days`, `today`, `12 days late`
pub fn days_words(item: &DueItem, today: Date) -> String {
    match item.days_late(today) {
        0 => "today".to_owned(),
        1 => "1 day late".to_owned(),
        -1 => "in 1 day".to_owned(),
        late if late > 0 => format!("{late} days late"),
        early => format!("in {} days", -early),
    }
}

pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    reads(&user)?;
    let tag = filter.machine.trim().to_owned();
    let of = |other: &str| tag.is_empty() || other.eq_ignore_ascii_case(&tag);
    let mut items = queries::open_items(&app.db).await?;
    items.retain(|item| of(&item.tag));
    let mut plans = queries::plans(&app.db).await?;
    let mut tags: Vec<String> = plans.iter().map(|plan| plan.tag.clone()).collect();
    tags.dedup();
    plans.retain(|plan| of(&plan.tag));
    let layout = Layout::new(&app, &user.visitor, "Preventive");
    let page = ListPage {
        layout,
        today: app.today(),
        machine: tag,
        items,
        plans,
        tags,
    };
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "preventive/show.html")]
struct ShowPage {
    layout: Layout,
    today: Date,
    plan: Plan,
    items: Vec<DueItem>,
    upcoming: Vec<Due>,
    /// Why no date can be stated, where none can.
    no_date: String,
    errors: FieldErrors,
    note: String,
    entry_id: String,
}

impl ShowPage {
    fn late(&self, item: &DueItem) -> bool {
        item.overdue(self.today)
    }

    fn days(&self, item: &DueItem) -> String {
        days_words(item, self.today)
    }

    fn rule(&self) -> String {
        words::rule(&self.plan.rule)
    }

    fn open(&self) -> Option<&DueItem> {
        self.items.iter().find(|item| item.state == "open")
    }

    fn steps(&self) -> Vec<&str> {
        self.plan
            .steps
            .lines()
            .filter(|line| !line.trim().is_empty())
            .collect()
    }
}

async fn show_page(
    app: &AppState,
    user: &CurrentUser,
    id: i64,
    errors: FieldErrors,
    note: String,
) -> Result<Page<ShowPage>, AppError> {
    let plan = queries::plan(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let items = queries::items_of(&app.db, id).await?;
    let readings = queries::meter(&app.db, plan.machine_id).await?;
    let today = app.today();
    let past: Vec<(Date, String, Option<Date>)> = items
        .iter()
        .map(|item| (item.due_on, item.state.clone(), item.done_on))
        .collect();
    let (mut upcoming, mut no_date) = (Vec::new(), String::new());
    if plan.ended_on.is_none() {
        let open = items.iter().find(|item| item.state == "open");
        let done = ahead::last_done(&past);
        let meter = ahead::meter(readings.clone(), done);
        upcoming = ahead::shown(&plan, &past, readings, open, today, 10);
        let asked = due::next(&plan.rule, plan.anchor_on, done, today, &meter);
        if let (None, Err(why)) = (open, asked) {
            no_date = why.to_string();
        }
    }
    let layout = Layout::new(app, &user.visitor, "Preventive");
    let entry_id = record::new_id(app.clock.now());
    Ok(Page(ShowPage {
        layout,
        today,
        plan,
        items,
        upcoming,
        no_date,
        errors,
        note,
        entry_id,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    reads(&user)?;
    let page = show_page(&app, &user, id, FieldErrors::default(), String::new()).await?;
    Ok(page.into_response())
}

#[derive(Template)]
#[template(path = "preventive/edit.html")]
struct EditPage {
    layout: Layout,
    machine: Machine,
    /// `None`: a new plan.
    plan: Option<i64>,
    input: PlanInput,
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

pub async fn new(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = machine_of(&app, &filter.machine).await?;
    let layout = Layout::new(&app, &user.visitor, "Preventive");
    let input = PlanInput {
        machine: machine.tag.clone(),
        ..PlanInput::default()
    };
    let errors = FieldErrors::default();
    Ok(Page(EditPage {
        layout,
        machine,
        plan: None,
        input,
        errors,
    })
    .into_response())
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let machine = machine_of(&app, &input.machine).await?;
    let new = match input.parse(machine.id) {
        Ok(new) => new,
        Err(errors) => {
            let layout = Layout::new(&app, &user.visitor, "Preventive");
            let page = Page(EditPage {
                layout,
                machine,
                plan: None,
                input,
                errors,
            });
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let id = queries::insert_plan(&mut tx, &new, app.clock.now()).await?;
    make_ahead_in(&mut tx).await?;
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
    let layout = Layout::new(&app, &user.visitor, "Preventive");
    let input = PlanInput::of(&plan);
    let errors = FieldErrors::default();
    Ok(Page(EditPage {
        layout,
        machine,
        plan: Some(id),
        input,
        errors,
    })
    .into_response())
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
    let new = match input.parse(machine.id) {
        Ok(new) => new,
        Err(errors) => {
            let layout = Layout::new(&app, &user.visitor, "Preventive");
            let page = Page(EditPage {
                layout,
                machine,
                plan: Some(id),
                input,
                errors,
            });
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let seen = input.version.parse().unwrap_or(0);
    let ended_on = (!input.ended.is_empty()).then(|| plan.ended_on.unwrap_or(app.today()));
    let mut tx = app.db.begin_write().await?;
    if !queries::update_plan(&mut tx, id, seen, &new, ended_on).await? {
        return Err(AppError::Stale);
    }
    let moved = new.rule != plan.rule || new.anchor_on != plan.anchor_on;
    if moved || ended_on.is_some() {
        queries::drop_open_item(&mut tx, id).await?;
    }
    make_ahead_in(&mut tx).await?;
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
    let machine = machine_of(&app, &item.tag).await?;
    let body = Body::Reported {
        place_id: Some(machine.place_id),
        machine_id: Some(item.machine_id),
        due_item_id: Some(item.id),
        words: format!(
            "Planned work: {} (due {})",
            item.action,
            date_words(item.due_on)
        ),
        reporter: user.person.name.clone(),
        contact: String::new(),
    };
    let new = NewEntry {
        id: input.entry_id,
        body,
        corrects: None,
        device_at: None,
        seen: None,
    };
    let mut tx = app.db.begin_write().await?;
    let job = record::report_within(&mut tx, Some(&user.person), &new, app.clock.now()).await?;
    if !queries::link_job(&mut tx, item.id, job).await? {
        // Somebody closed it or made its job between our reading and our writing.
        return Err(AppError::Stale);
    }
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
    if !queries::could_not(&mut tx, item.id, app.today(), user.id(), &note).await? {
        return Err(AppError::Stale);
    }
    make_ahead_in(&mut tx).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/preventive/{}", item.plan_id))).into_response())
}
