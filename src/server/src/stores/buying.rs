//! Buying: needed, approved by a supervisor, ordered, arrived; or cancelled with a reason.
//!
//! What is bought for a job is told there: each step is an entry of the job, in the transaction
//! that takes it.

use super::amount;
use super::buying_step::{step, words};
use super::parts::currency;
use super::queries::{self, Move, NewPurchase, Purchase, Step};
use super::{HANDS, Item, KEEPERS, PartId};
use crate::audit::audit;
use crate::clock::{Millis, date_words};
use crate::db::Tx;
use crate::error::AppError;
use crate::fit::candidates::price_words;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::stores::Stores;
use crate::jobs::stores::body::Moved;
use crate::jobs::stores::warranty::Warranties;
use crate::jobs::{self, JobId};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use time::Date;

#[derive(Template)]
#[template(path = "stores/buying.html")]
struct BuyingPage {
    layout: Layout,
    open: Vec<Purchase>,
    over: Vec<Purchase>,
    owed: Vec<queries::Removed>,
    asks: bool,
    fields: Fields,
    errors: FieldErrors,
    today: Date,
}

impl BuyingPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        Ok(BuyingPage {
            layout: Layout::new(app, &user.visitor, "Shelf"),
            open: queries::open_purchases(&app.db).await?,
            over: queries::purchases_over(&app.db, 30).await?,
            owed: queries::owed_back(&app.db).await?,
            asks: HANDS.contains(&user.person.role),
            today: app.today(),
            fields,
            errors,
        })
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }

    fn stands(&self, one: &Purchase) -> String {
        stands(one, self.today)
    }
}

/// `ordered, expected Mon 30 Nov 2026`, `late: was promised for …`
pub fn stands(one: &Purchase, today: Date) -> String {
    match (one.state.as_str(), one.expected_on) {
        ("needed", _) => "needed; waits for a supervisor's approval".to_owned(),
        ("approved", _) => format!("approved by {}; to be ordered", one.approved),
        ("ordered", Some(day)) if day < today => {
            format!("late: was promised for {}", date_words(day))
        }
        ("ordered", Some(day)) => format!("ordered, expected {}", date_words(day)),
        ("cancelled", _) => format!("cancelled: {}", one.cancelled_why),
        (other, _) => other.to_owned(),
    }
}

/// Everything bought for a job that waits for a part is here, or will not come.
pub fn may_go_on(job: &jobs::Job, all: &[Purchase]) -> bool {
    job.held_for.as_deref() == Some("part") && all.iter().all(Purchase::over)
}

/// The job for which something is to be bought, as its own page links here.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct BuyingQuery {
    job: Option<i64>,
}

/// `/buying`
pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(query): Query<BuyingQuery>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let job = query.job.map_or_else(String::new, |job| job.to_string());
    let fields = Fields(vec![("job".to_owned(), job)]);
    let errors = FieldErrors::default();
    let page = BuyingPage::load(&app, &user, fields, errors).await?;
    Ok(Page(page).into_response())
}

/// What is asked for; a part of the register brings its own name.
async fn wanted(
    app: &AppState,
    fields: &Fields,
) -> Result<Result<NewPurchase, FieldErrors>, AppError> {
    let mut errors = FieldErrors::default();
    let part = match fields.get("part").parse().map(PartId) {
        Ok(id) => queries::part(&app.db, id).await?,
        Err(_) => None,
    };
    let what = match &part {
        Some(part) => part.name.clone(),
        None => errors.take(
            "what",
            form::required(fields.get("what"), "Say what is to be bought"),
        ),
    };
    let amount = amount::moved(fields.get("amount"), "Enter how many");
    let amount = errors.take("amount", amount);
    let job = match fields.get("job") {
        "" => None,
        typed => match typed.parse().map(JobId) {
            Ok(id) if jobs::queries::find(&app.db, id).await?.is_some() => Some(id),
            _ => {
                errors.add("job", "There is no job of this number");
                None
            }
        },
    };
    Ok(errors.or(NewPurchase {
        job,
        part: part.map(|part| part.id),
        what,
        amount,
        why: fields.get("why").to_owned(),
    }))
}

/// Asks for something to be bought.
pub async fn ask(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(HANDS)?;
    let new = match wanted(&app, &fields).await? {
        Ok(new) => new,
        Err(errors) => {
            let page = BuyingPage::load(&app, &user, fields, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response());
        }
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let id = queries::insert_purchase(&mut tx, &new, user.id(), now).await?;
    let by = Some(user.id());
    audit(&mut tx, now, by, ("purchases", id), "needed", &new).await?;
    if let Some(job) = new.job {
        let words = format!("{} x {}", new.amount.words(), new.what);
        tell(&app, &mut tx, &user, job, now, (id, "needed", words)).await?;
    }
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/buying/{id}"))).into_response())
}

/// The job's own entry of a step.
async fn tell(
    app: &AppState,
    tx: &mut Tx,
    user: &CurrentUser,
    job: JobId,
    now: Millis,
    (purchase_id, step, words): (i64, &str, String),
) -> Result<(), AppError> {
    let body = Stores::BuyingStep {
        purchase_id,
        step: step.to_owned(),
        words,
    };
    add(app, tx, user, job, now, body).await.map(|_| ())
}

async fn add(
    app: &AppState,
    tx: &mut Tx,
    user: &CurrentUser,
    job: JobId,
    now: Millis,
    body: Stores,
) -> Result<bool, AppError> {
    let new = NewEntry {
        id: record::new_id(now),
        body: Body::Stores(body),
        corrects: None,
        device_at: None,
        seen: None,
    };
    let outcome = record::add_within(app, tx, job, &user.person, new).await?;
    Ok(matches!(outcome, Outcome::Added(_)))
}

#[derive(Template)]
#[template(path = "stores/purchase.html")]
struct PurchasePage {
    layout: Layout,
    one: Purchase,
    when: String,
    cost: String,
    stands: String,
    /// Of the job's machine, to be asked about before buying.
    warranties: Warranties,
    approves: bool,
    keeps: bool,
    fields: Fields,
    errors: FieldErrors,
}

impl PurchasePage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        id: i64,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let one = queries::purchase(&app.db, id)
            .await?
            .ok_or(AppError::NotFound)?;
        let job = match one.job_id {
            Some(job) => jobs::queries::find(&app.db, job).await?,
            None => None,
        };
        let warranties = match &job {
            Some(job) if !one.over() => Warranties::load(app, job).await?,
            _ => Warranties::default(),
        };
        Ok(PurchasePage {
            warranties,
            layout: Layout::new(app, &user.visitor, "Shelf"),
            when: app.zone().minute_words(one.needed_at),
            cost: price_words(one.cost_minor, &currency(app)),
            stands: stands(&one, app.today()),
            approves: user.person.role == Role::Supervisor,
            keeps: KEEPERS.contains(&user.person.role),
            one,
            fields,
            errors,
        })
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }
}

/// `/buying/{id}`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = PurchasePage::load(&app, &user, id, fields, errors).await?;
    Ok(Page(page).into_response())
}

/// What arrived lies on the shelf; what came for a job is kept for it.
async fn shelve(
    app: &AppState,
    tx: &mut Tx,
    user: &CurrentUser,
    one: &Purchase,
    now: Millis,
) -> Result<(), AppError> {
    let Some(part) = one.part_id else {
        return Ok(());
    };
    let item = Item::Part(part);
    let Some(balance) = queries::lock_balance(tx, item).await? else {
        return Ok(());
    };
    let mut new = Move::new(item, "received", one.amount, now);
    new.cost_minor = one.cost_minor.or(one.amount.cost(balance.price_minor));
    new.purchase_id = Some(one.id);
    new.person = Some(user.id());
    queries::insert_move(tx, &new).await?;
    if let Some(job) = one.job_id {
        let moved = Moved {
            item,
            name: balance.name,
            amount: one.amount,
            unit: balance.unit,
            cost_minor: one.amount.cost(balance.price_minor),
        };
        // A job that is over takes nothing more: then it lies free on the shelf.
        add(app, tx, user, job, now, Stores::PartReserved { moved }).await?;
    }
    Ok(())
}

/// Takes it one step on.
pub async fn take_step(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    match fields.get("to") {
        "approved" => user.require(&[Role::Supervisor])?,
        _ => user.require(KEEPERS)?,
    }
    let one = queries::purchase(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let step = match step(&fields, &one.state) {
        Ok(step) => step,
        Err(errors) => {
            let page = PurchasePage::load(&app, &user, id, fields, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response());
        }
    };
    let now = app.clock.now();
    let version = fields.get("version").parse().unwrap_or(0);
    let mut tx = app.db.begin_write().await?;
    if !queries::step_purchase(&mut tx, id, version, &step, user.id(), now).await? {
        return Err(AppError::Stale);
    }
    let (word, said) = words(&one, &step);
    let by = Some(user.id());
    audit(&mut tx, now, by, ("purchases", id), word, &step).await?;
    if let Some(job) = one.job_id {
        tell(&app, &mut tx, &user, job, now, (id, word, said)).await?;
    }
    if step == Step::Arrived {
        shelve(&app, &mut tx, &user, &one, now).await?;
    }
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/buying/{id}"))).into_response())
}
