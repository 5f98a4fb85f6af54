//! What a supervisor or keeper does with somebody's sign-in: a new password, sessions and the second
//! factor taken away, closing.

use super::edit::{find_person, hash, refused};
use super::me::queries as sessions;
use super::password::{self, Around};
use super::{CurrentUser, PersonId, factor, links, queries};
use crate::audit::audit;
use crate::clock::Millis;
use crate::db::Tx;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::jobs;
use crate::shop::overview::EDITORS;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct PasswordInput {
    pub new_password: String,
}

pub async fn new_password(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PasswordInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = find_person(&app, id).await?;
    let shop = app.shop_name();
    let names = [&*shop, &*person.name, &*person.sign_in_name];
    let around = Around {
        names: &names,
        second_factor: factor::queries::in_use(&app.db, person.id).await?,
    };
    if let Err(message) = password::check_new(&input.new_password, around) {
        return refused(
            &app,
            &user,
            person,
            FieldErrors::of("new_password", message),
        )
        .await;
    }
    let hash = hash(&app, &input.new_password).await?;
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    queries::set_password(&mut tx, person.id, &hash, now).await?;
    let thing = ("people", id);
    audit(
        &mut tx,
        now,
        Some(user.id()),
        thing,
        "new password",
        &json!({}),
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop")).into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct SessionInput {
    /// A session's handle; blank for all of them.
    pub session: String,
}

/// `POST /shop/people/{id}/sessions`
pub async fn end_sessions(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<SessionInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = find_person(&app, id).await?;
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    // Nothing begins with a blank: all others than none.
    let ended = match input.session.as_str() {
        "" => sessions::end_others(&mut tx, person.id, "").await?,
        handle => sessions::end(&mut tx, person.id, handle).await?,
    };
    if ended > 0 {
        let thing = ("people", id);
        let detail = json!({ "sessions": ended });
        audit(
            &mut tx,
            now,
            Some(user.id()),
            thing,
            "sessions ended",
            &detail,
        )
        .await?;
    }
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shop/people/{id}"))).into_response())
}

/// Takes the second factor away. It stood for half of the sign-in, so the password goes as well and
/// a link sets a new one.
pub async fn reset_factor(
    tx: &mut Tx,
    person: PersonId,
    by: Option<PersonId>,
    now: Millis,
) -> sqlx::Result<String> {
    factor::queries::drop(tx, person).await?;
    queries::set_password(tx, person, "", now).await?;
    let thing = ("people", person.0);
    audit(tx, now, by, thing, "second factor reset", &json!({})).await?;
    links::make(tx, person, by, now).await
}

#[derive(Debug, Deserialize)]
pub struct NoInput {}

/// `POST /shop/people/{id}/second-factor`
pub async fn reset(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(_input): CheckedForm<NoInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = find_person(&app, id).await?;
    let message = if person.id == user.id() {
        Some("Switch your own off on the page of your sign-in")
    } else if !factor::queries::in_use(&app.db, person.id).await? || person.closed {
        Some("This person is asked for no code")
    } else {
        None
    };
    if let Some(message) = message {
        let errors = FieldErrors::of("second_factor", message);
        return refused(&app, &user, person, errors).await;
    }
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let link = reset_factor(&mut tx, person.id, Some(user.id()), now).await?;
    tx.commit().await?;
    Ok(links::pages::shown(&app, &user, person, &link))
}

/// `POST /shop/people/{id}/close`: the page shows the open work that is left to hand over.
pub async fn close(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(_input): CheckedForm<NoInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = find_person(&app, id).await?;
    let locks = jobs::queries::all_locks(&app.db).await?;
    let refusal = if person.id == user.id() {
        Some("Your own sign-in cannot be closed by you. Ask somebody else.".to_owned())
    } else {
        let lock = locks.iter().find(|lock| lock.person_id == person.id);
        lock.map(|lock| format!("Lock {} of {} still stands.", lock.lock_number, lock.person))
    };
    if let Some(message) = refusal {
        return refused(&app, &user, person, FieldErrors::of("close", message)).await;
    }
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    queries::close(&mut tx, person.id, now).await?;
    // A lock may have gone on since the page was made; the person's row is held now.
    if jobs::queries::standing_of_person(&mut tx, person.id).await? > 0 {
        return Err(AppError::Stale);
    }
    let thing = ("people", id);
    audit(&mut tx, now, Some(user.id()), thing, "close", &json!({})).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shop/people/{id}"))).into_response())
}
