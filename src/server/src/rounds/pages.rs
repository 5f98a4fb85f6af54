//! What is due by place, made into rounds, and a round typed in on one page.

use super::form::RoundForm;
use super::{Item, Round, queries};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::preventive::{self, Needs};
use crate::shop;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::due::Closed;
use serde::Deserialize;
use time::{Date, Duration};

/// More than one round can hold.
const MOST: i64 = 200;

/// Who may read rounds; technicians and supervisors make and close them.
pub(super) fn reads(user: &CurrentUser) -> Result<(), AppError> {
    user.require(&[
        Role::Technician,
        Role::Supervisor,
        Role::Auditor,
        Role::Keeper,
    ])
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Narrow {
    pub place: String,
    pub days: String,
}

impl Narrow {
    fn place(&self) -> i64 {
        self.place.parse().unwrap_or(0)
    }

    fn days(&self) -> i64 {
        self.days.parse().unwrap_or(14).clamp(0, 400)
    }
}

/// Items of one place, in walking order.
pub struct Group {
    pub place: String,
    pub access: String,
    pub items: Vec<Item>,
}

#[derive(Template)]
#[template(path = "rounds/list.html")]
struct ListPage {
    layout: Layout,
    today: Date,
    place: i64,
    days: i64,
    places: Vec<(i64, String)>,
    groups: Vec<Group>,
    title: String,
    rounds: Vec<Round>,
    closed: Closed,
    more: bool,
    /// Procedures with steps that wait for isolation.
    locking: Vec<i64>,
    errors: FieldErrors,
}

impl ListPage {
    fn needs_job(&self, item: &Item) -> bool {
        Needs::read(&item.needs)
            .is_ok_and(|needs| needs.isolation(&item.steps, &self.locking).needed())
    }

    fn planned(&self, on: &Date) -> String {
        shop::closed::planned_words(*on, &self.closed)
    }
}

/// Walking order: the way through the places, then by tag.
fn walk(items: Vec<Item>, places: &[machines::queries::Place]) -> Vec<Group> {
    let mut items: Vec<(usize, Item)> = items
        .into_iter()
        .map(|item| {
            let at = places.iter().position(|place| place.id == item.place_id);
            (at.unwrap_or(usize::MAX), item)
        })
        .collect();
    items.sort_by(|(a, one), (b, other)| {
        (a, &one.tag, one.due_on, one.id).cmp(&(b, &other.tag, other.due_on, other.id))
    });
    let mut groups: Vec<(usize, Group)> = Vec::new();
    for (at, item) in items {
        match groups.last_mut() {
            Some((last, group)) if *last == at => group.items.push(item),
            _ => {
                let place = places.get(at);
                groups.push((
                    at,
                    Group {
                        place: place.map(|p| p.path.clone()).unwrap_or_default(),
                        access: place.map(|p| p.access_note.clone()).unwrap_or_default(),
                        items: vec![item],
                    },
                ));
            }
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

async fn list_page(
    app: &AppState,
    user: &CurrentUser,
    narrow: &Narrow,
    title: String,
    errors: FieldErrors,
) -> Result<Page<ListPage>, AppError> {
    let (place, days, today) = (narrow.place(), narrow.days(), app.today());
    let places = machines::queries::places(&app.db).await?;
    let until = today.checked_add(Duration::days(days)).unwrap_or(today);
    let items = queries::due_within(&app.db, place, until, MOST).await?;
    Ok(Page(ListPage {
        layout: Layout::new(app, &user.visitor, "Preventive"),
        today,
        place,
        days,
        more: items.len() >= usize::try_from(MOST).unwrap_or(usize::MAX),
        groups: walk(items, &places),
        places: places.into_iter().map(|p| (p.id, p.path)).collect(),
        title,
        rounds: queries::newest(&app.db, 12).await?,
        locking: preventive::queries::locking_procedures(&app.db).await?,
        closed: shop::closed_queries::closed(&app.db).await?,
        errors,
    }))
}

pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(narrow): Query<Narrow>,
) -> Result<Response, AppError> {
    reads(&user)?;
    let errors = FieldErrors::default();
    let page = list_page(&app, &user, &narrow, String::new(), errors).await?;
    Ok(page.into_response())
}

/// Makes a round of what was ticked.
pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let narrow = Narrow {
        place: fields.get("place").to_owned(),
        days: fields.get("days").to_owned(),
    };
    let places = machines::queries::places(&app.db).await?;
    let today = app.today();
    let until = today
        .checked_add(Duration::days(narrow.days()))
        .unwrap_or(today);
    let due = queries::due_within(&app.db, narrow.place(), until, MOST).await?;
    let items: Vec<i64> = walk(due, &places)
        .into_iter()
        .flat_map(|group| group.items)
        .map(|item| item.id)
        .filter(|id| fields.ticked(&format!("item-{id}")))
        .collect();
    let title = fields.get("title").to_owned();
    if items.is_empty() {
        let errors = FieldErrors::of("items", "Tick what belongs to the round");
        let page = list_page(&app, &user, &narrow, title, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let place = places.iter().find(|place| place.id == narrow.place());
    let title = match (title.as_str(), place) {
        ("", Some(place)) => place.path.clone(),
        ("", None) => "Whole shop".to_owned(),
        _ => title,
    };
    let mut tx = app.db.begin_write().await?;
    let at = app.clock.now();
    let round = queries::insert(&mut tx, &title, &items, user.id(), at).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/rounds/{round}"))).into_response())
}

#[derive(Template)]
#[template(path = "rounds/show.html")]
struct ShowPage {
    layout: Layout,
    today: Date,
    round: Round,
    form: RoundForm,
    errors: FieldErrors,
}

async fn find(app: &AppState, id: i64) -> Result<Round, AppError> {
    queries::find(&app.db, id).await?.ok_or(AppError::NotFound)
}

fn show_page(app: &AppState, user: &CurrentUser, round: Round, form: RoundForm) -> Page<ShowPage> {
    Page(ShowPage {
        layout: Layout::new(app, &user.visitor, "Preventive"),
        today: app.today(),
        round,
        errors: form.errors(),
        form,
    })
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    reads(&user)?;
    let round = find(&app, id).await?;
    let form = RoundForm::load(&app, id).await?;
    Ok(show_page(&app, &user, round, form).into_response())
}

/// Keeps each line that it can and shows the others again as they were typed.
pub async fn take(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    find(&app, id).await?;
    let mut form = RoundForm::load(&app, id).await?;
    form.take(&app, &user, &fields).await?;
    let status = match form.errors().is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let round = find(&app, id).await?;
    Ok((status, show_page(&app, &user, round, form)).into_response())
}
