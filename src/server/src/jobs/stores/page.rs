//! `/jobs/{id}/stores`: what the job takes from the shelf, keeps on it and gives back.

use super::body::{Moved, Stores};
use crate::error::AppError;
use crate::fit::candidates::price_words;
use crate::form::{FieldErrors, Fields};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::step_page::refused;
use crate::jobs::steps::{self, JobView, Keys};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::shelf;
use crate::state::AppState;
use crate::stores::amount::{self, Amount};
use crate::stores::queries::{self, OnJob};
use crate::stores::{HANDS, Item, Part, form, moves};
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

/// Parts found by their words that one page shows.
const FOUND: i64 = 20;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct StoresQuery {
    q: String,
}

/// One thing that could be taken.
struct Row {
    item: String,
    page: String,
    name: String,
    /// Where in the machine it sits, or why it is shown.
    place: String,
    facts: String,
    shelf: String,
    /// How many the machine takes, as the form proposes.
    needs: String,
    any: bool,
    part: bool,
}

fn row(part: &Part, place: &str, needs: Amount) -> Row {
    let bins = match part.bins.as_str() {
        "" => String::new(),
        bins => format!(", bin {bins}"),
    };
    Row {
        item: part.item().value(),
        page: part.item().page(),
        name: part.name.clone(),
        place: place.to_owned(),
        facts: part.description.clone(),
        shelf: format!("{}{bins}", part.balance_words()),
        needs: needs.words(),
        any: part.on_hand > Amount(0),
        part: true,
    }
}

#[derive(Template)]
#[template(path = "stores/job.html")]
struct StoresPage {
    layout: Layout,
    view: JobView,
    rows: Vec<Row>,
    found: Vec<Row>,
    q: String,
    on_job: Vec<OnJob>,
    cost: String,
    works: bool,
    fields: Fields,
    errors: FieldErrors,
    now: i64,
}

impl StoresPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        q: String,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let mut rows = Vec::new();
        if let Some(motor) = &view.chosen
            && let Some(held) = shelf::queries::held_one(&app.db, motor.id).await?
        {
            rows.push(motor_row(motor.id, &held));
        }
        if let Some(machine) = &view.machine {
            let list = queries::machine_list(&app.db, machine.id).await?;
            rows.extend(list.iter().map(|l| row(&l.part, &l.place, l.needs)));
        }
        let found = match q.trim() {
            "" => Vec::new(),
            words => {
                let words = format!("%{}%", words.to_lowercase());
                queries::parts(&app.db, &words, "", FOUND).await?
            }
        };
        let on_job = queries::on_job(&app.db, job).await?;
        Ok(StoresPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            works: HANDS.contains(&user.person.role),
            found: found.iter().map(|p| row(p, "", Amount::ONE)).collect(),
            cost: cost(app, &on_job),
            now: app.clock.now(),
            on_job,
            rows,
            q,
            view,
            fields,
            errors,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }

    /// Whether the form that was refused is this row's.
    fn of(&self, item: &str) -> bool {
        self.fields.get("item") == item
    }

    /// The amount of a row's form: as typed where it was refused.
    fn amount(&self, item: &str, proposed: &str) -> String {
        match self.fields.get("amount") {
            typed if self.of(item) && !typed.is_empty() => typed.to_owned(),
            _ => proposed.to_owned(),
        }
    }

    /// More is asked for than the list says: count what is really there.
    fn count_first(&self) -> Option<String> {
        let counting = self.fields.0.iter().any(|(name, _)| name == "counted");
        let short = self
            .errors
            .get("amount")
            .is_some_and(|m| m.contains("count first"));
        let part = Item::named(self.fields.get("item")).and_then(Item::part);
        (part.is_some() && (short || counting)).then(|| self.typed("item"))
    }
}

fn motor_row(id: crate::motors::MotorId, held: &shelf::queries::Held) -> Row {
    let item = Item::Motor(id);
    Row {
        item: item.value(),
        page: item.page(),
        name: held.name.clone(),
        place: "motor chosen for this job".to_owned(),
        facts: String::new(),
        shelf: format!(
            "{}, bin {}",
            Amount(held.held * 1000).with_unit("piece"),
            held.bin
        ),
        needs: "1".to_owned(),
        any: held.held > 0,
        part: false,
    }
}

/// What is out with the job in money; what has no price is said.
fn cost(app: &AppState, on_job: &[OnJob]) -> String {
    let out = || on_job.iter().filter(|row| row.out > Amount(0));
    let known: i64 = out().filter_map(|row| row.cost_minor).sum();
    let unknown = out().filter(|row| row.cost_minor.is_none()).count();
    let sum = price_words(Some(known), &crate::stores::parts::currency(app));
    match (out().count(), unknown) {
        (0, _) => String::new(),
        (_, 0) => sum,
        (_, n) => format!("{sum} and {n} without a known price"),
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    Query(query): Query<StoresQuery>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = StoresPage::load(&app, &user, JobId(id), query.q, fields, errors).await?;
    Ok(axum::response::IntoResponse::into_response(Page(page)))
}

/// What the form moves, with its words and its cost as the register has them now.
async fn moved(
    app: &AppState,
    job: JobId,
    fields: &Fields,
) -> Result<Result<Moved, FieldErrors>, AppError> {
    let Some(item) = Item::named(fields.get("item")) else {
        return Ok(Err(FieldErrors::of("item", "Choose what moves")));
    };
    let amount = match amount::moved(fields.get("amount"), "Enter how many") {
        Ok(amount) => amount,
        Err(message) => return Ok(Err(FieldErrors::of("amount", message))),
    };
    let known = match item {
        Item::Part(id) => queries::part(&app.db, id)
            .await?
            .map(|part| (part.name, part.unit, part.price_minor)),
        Item::Motor(id) => shelf::queries::held_one(&app.db, id)
            .await?
            .map(|held| (held.name, "piece".to_owned(), held.price_minor)),
    };
    let Some((name, unit, price)) = known else {
        return Err(AppError::NotFound);
    };
    // What comes back does so at what it went out for.
    let out = queries::on_job(&app.db, job).await?;
    let out = out.iter().find(|row| row.item() == Some(item));
    let cost_minor = match out.filter(|row| row.out == amount) {
        Some(row) if fields.get("act") == "return" => row.cost_minor,
        _ => amount.cost(price),
    };
    Ok(Ok(Moved {
        item,
        name,
        amount,
        unit,
        cost_minor,
    }))
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    id: i64,
    fields: Fields,
    body: impl Fn(Moved) -> Stores,
) -> Result<Response, AppError> {
    user.require(HANDS)?;
    let job = JobId(id);
    let errors = match moved(app, job, &fields).await? {
        Ok(moved) => {
            let body = Body::Stores(body(moved));
            match steps::add(app, user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(app, job, "/stores")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = StoresPage::load(app, user, job, String::new(), fields, errors).await?;
    Ok(refused(page))
}

pub async fn issue(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    let body = |moved| Stores::PartIssued { moved };
    add(&app, &user, id, fields, body).await
}

pub async fn give_back(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    mut fields: Fields,
) -> Result<Response, AppError> {
    fields.0.push(("act".to_owned(), "return".to_owned()));
    let note = fields.get("return_note").to_owned();
    let body = |moved| Stores::PartReturned {
        moved,
        note: note.clone(),
    };
    add(&app, &user, id, fields, body).await
}

pub async fn keep(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    let body = |moved| Stores::PartReserved { moved };
    add(&app, &user, id, fields, body).await
}

pub async fn release(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    let body = |moved| Stores::PartReleased { moved };
    add(&app, &user, id, fields, body).await
}

/// Before the shelf, with more or less there than the list says: the count is a line of its own.
pub async fn count(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(HANDS)?;
    let job = JobId(id);
    let item = Item::named(fields.get("item")).ok_or(AppError::NotFound)?;
    let errors = match form::counted(&fields) {
        Ok(counted) => {
            let mut tx = app.db.begin_write().await?;
            let now = app.clock.now();
            match moves::book(&mut tx, item, &counted, user.id(), now).await? {
                Ok(()) => {
                    tx.commit().await?;
                    return Ok(steps::go(&app, job, "/stores"));
                }
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = StoresPage::load(&app, &user, job, String::new(), fields, errors).await?;
    Ok(refused(page))
}
