//! Receiving, counting and scrapping at the shelf. What goes out to jobs is an entry of the job.

use super::form::{self, Moving};
use super::parts::PartPage;
use super::queries::{self, Balance, Move};
use super::{COUNT_WHYS, HANDS, Item, KEEPERS, PartId, amount::Amount};
use crate::clock::Millis;
use crate::db::Tx;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::people::{CurrentUser, PersonId};
use crate::rows::words_of;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

/// Books what was moved, or says what is wrong with it.
pub(crate) async fn book(
    tx: &mut Tx,
    item: Item,
    moving: &Moving,
    by: PersonId,
    at: Millis,
) -> Result<Result<(), FieldErrors>, AppError> {
    let Some(balance) = queries::lock_balance(tx, item).await? else {
        return Err(AppError::NotFound);
    };
    let mut new = match moving {
        Moving::Received {
            amount,
            cost_minor,
            expires_on,
        } => {
            let mut new = Move::new(item, "received", *amount, at);
            new.cost_minor = cost_minor.or(amount.cost(balance.price_minor));
            new.expires_on = *expires_on;
            new
        }
        Moving::Counted { counted, why, .. } => {
            if let Err(errors) = count_gate(&balance, *counted, why) {
                return Ok(Err(errors));
            }
            let difference = Amount(counted.0 - balance.on_hand.0);
            let mut new = Move::new(item, "counted", difference, at);
            new.cost_minor = match difference.0 {
                0 => None,
                _ => difference.cost(balance.price_minor),
            };
            new
        }
        Moving::Scrapped { amount, .. } => {
            if *amount > Amount(balance.on_hand.0 - balance.reserved.0) {
                let message = format!(
                    "{} free on the shelf. Count what is there first",
                    Amount(balance.on_hand.0 - balance.reserved.0).with_unit(&balance.unit)
                );
                return Ok(Err(FieldErrors::of("scrapped", message)));
            }
            let mut new = Move::new(item, "scrapped", Amount(-amount.0), at);
            new.cost_minor = amount.cost(balance.price_minor);
            new
        }
    };
    let why = words(moving);
    new.why = &why;
    new.person = Some(by);
    queries::insert_move(tx, &new).await?;
    Ok(Ok(()))
}

/// A count that says something else than the list says why; what is kept for jobs must be there.
fn count_gate(balance: &Balance, counted: Amount, why: &str) -> Result<(), FieldErrors> {
    if counted != balance.on_hand && why.is_empty() {
        let message = format!(
            "The list says {}. Choose why; nobody knows is an answer",
            balance.on_hand.with_unit(&balance.unit)
        );
        return Err(FieldErrors::of("count_why", message));
    }
    if counted < balance.reserved {
        let message = format!(
            "{} of it is kept for jobs. Release that on the job first",
            balance.reserved.words()
        );
        return Err(FieldErrors::of("counted", message));
    }
    Ok(())
}

fn words(moving: &Moving) -> String {
    match moving {
        Moving::Received { .. } => String::new(),
        Moving::Counted { why, note, .. } => {
            let why = words_of(COUNT_WHYS, why);
            match (why.is_empty(), note.is_empty()) {
                (true, _) => note.clone(),
                (false, true) => why,
                (false, false) => format!("{why}: {note}"),
            }
        }
        Moving::Scrapped { why, .. } => why.clone(),
    }
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    id: i64,
    fields: Fields,
    moving: Result<Moving, FieldErrors>,
) -> Result<Response, AppError> {
    let id = PartId(id);
    let errors = match moving {
        Ok(moving) => {
            let mut tx = app.db.begin_write().await?;
            let now = app.clock.now();
            match book(&mut tx, Item::Part(id), &moving, user.id(), now).await? {
                Ok(()) => {
                    tx.commit().await?;
                    let page = app.url(&format!("/shelf/parts/{}", id.0));
                    return Ok(Redirect::to(&page).into_response());
                }
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    PartPage::refused(app, user, id, fields, errors).await
}

pub async fn receive(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let moving = form::received(&fields);
    add(&app, &user, id, fields, moving).await
}

pub async fn count(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(HANDS)?;
    let moving = form::counted(&fields);
    add(&app, &user, id, fields, moving).await
}

pub async fn scrap(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let moving = form::scrapped(&fields);
    add(&app, &user, id, fields, moving).await
}
