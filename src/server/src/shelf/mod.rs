//! The shelf: motors the shop holds, and the suppliers' lists of motors it could buy.

pub mod form;
pub mod lists;
pub mod pages;
pub mod queries;

use crate::audit::audit;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, Fields};
use crate::motors::{self, MotorId, plate_read};
use crate::people::{CurrentUser, Role};
use crate::search;
use crate::state::AppState;
use crate::stores;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use form::{CountInput, Goes, MotorChange};
use pages::{EditPage, MotorPage, ShelfPage};
use serde::Deserialize;
use serde_json::json;

/// Who keeps the shelf.
const KEEPERS: &[Role] = &[Role::Storekeeper, Role::Supervisor];

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct ShelfQuery {
    q: String,
}

/// `/shelf`
pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(query): Query<ShelfQuery>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let held = queries::held(&app.db).await?;
    let lists = queries::lists(&app.db).await?;
    let listed = listed(&app, &query.q).await?;
    Ok(ShelfPage::new(&app, &user, query.q, held, listed, lists).into_response())
}

/// The motors on lists that have all these words: the lists are long, so the search finds them.
async fn listed(app: &AppState, q: &str) -> Result<Vec<queries::Listed>, AppError> {
    let terms = search::terms::Terms::of(q);
    let limit = pages::FOUND as i64 + 1;
    let mut listed = Vec::new();
    for id in search::queries::ids(&app.db, search::queries::MOTORS, &terms, limit).await? {
        listed.extend(queries::listed_where(&app.db, MotorId(id)).await?);
    }
    Ok(listed)
}

/// `/shelf/motors/{id}`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let page = MotorPage::load(&app, &user, MotorId(id), CountInput::default());
    Ok(page.await?.with(FieldErrors::default()).into_response())
}

/// `/shelf/motors/new`
pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let fields = Fields(vec![("made".to_owned(), "made".to_owned())]);
    Ok(EditPage::new(
        &app,
        &user,
        None,
        Goes::Shelf,
        fields,
        FieldErrors::default(),
    )
    .into_response())
}

fn written(change: &MotorChange) -> Result<String, AppError> {
    serde_json::to_string(&change.plate).map_err(|e| AppError::Broken(e.to_string()))
}

/// Puts a new motor on the shelf.
pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    if let Some(fields) = plate_read::pressed_fields(&fields, app.units()) {
        let errors = FieldErrors::default();
        let page = EditPage::new(&app, &user, None, Goes::Shelf, fields, errors);
        return Ok(page.into_response());
    }
    let change = match form::motor(&fields, app.units(), Goes::Shelf) {
        Ok(change) => change,
        Err(errors) => {
            let page = EditPage::new(&app, &user, None, Goes::Shelf, fields, errors);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let id = queries::insert_motor(&mut tx, &change, &written(&change)?).await?;
    let bin = change.bin.as_deref().unwrap_or("");
    queries::shelve(&mut tx, id, bin, change.held, change.price).await?;
    let now = app.clock.now();
    stores::queries::note_first_count(&mut tx, id, change.held, Some(user.id()), now).await?;
    let detail = json!({ "name": change.name, "bin": bin, "held": change.held });
    let thing = ("motors", id.0);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "added to the shelf",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shelf/motors/{}", id.0))).into_response())
}

/// `/shelf/motors/{id}/edit`
pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let motor = motors::queries::find(&app.db, MotorId(id))
        .await?
        .ok_or(AppError::NotFound)?;
    let held = queries::held_one(&app.db, motor.id).await?;
    let mut typed = form::of_motor(&motor);
    if let Some(held) = &held {
        typed.push(("bin".to_owned(), held.bin.clone()));
        typed.push(("price".to_owned(), form::price_typed(held.price_minor)));
    }
    let goes = Goes::Changed {
        on_shelf: held.is_some(),
    };
    let page = EditPage::of_motor(&app, &user, &motor, goes, Fields(typed));
    Ok(page.into_response())
}

/// Changes a motor and its place on the shelf; the count has its own form.
pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let motor = motors::queries::find(&app.db, MotorId(id))
        .await?
        .ok_or(AppError::NotFound)?;
    let on_shelf = queries::held_one(&app.db, motor.id).await?.is_some();
    let goes = Goes::Changed { on_shelf };
    if let Some(fields) = plate_read::pressed_fields(&fields, app.units()) {
        let errors = FieldErrors::default();
        let page = EditPage::new(&app, &user, Some(motor.id), goes, fields, errors);
        return Ok(page.into_response());
    }
    let change = match form::motor(&fields, app.units(), goes) {
        Ok(change) => change,
        Err(errors) => {
            let page = EditPage::new(&app, &user, Some(motor.id), goes, fields, errors);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let version = fields.get("version").parse().unwrap_or(0);
    let mut tx = app.db.begin_write().await?;
    if !queries::update_motor(&mut tx, motor.id, version, &change, &written(&change)?).await? {
        return Err(AppError::Stale);
    }
    if let Some(bin) = &change.bin {
        queries::shelve(&mut tx, motor.id, bin, change.held, change.price).await?;
        if !on_shelf {
            let (by, now) = (Some(user.id()), app.clock.now());
            stores::queries::note_first_count(&mut tx, motor.id, change.held, by, now).await?;
        }
    }
    let was = json!({ "name": motor.name, "plate": motor.plate, "made": motor.made });
    let is = json!({ "name": change.name, "plate": change.plate, "made": change.made });
    let detail = json!({ "was": was, "is": is, "bin": change.bin });
    let thing = ("motors", motor.id.0);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "changed",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shelf/motors/{id}"))).into_response())
}

/// Puts a count right, with the reason.
pub async fn count(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<CountInput>,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let id = MotorId(id);
    let (held, reason) = match input.parse() {
        Ok(counted) => counted,
        Err(errors) => {
            let page = MotorPage::load(&app, &user, id, input).await?.with(errors);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let was = queries::lock_count(&mut tx, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let difference = stores::amount::Amount((held - was) * 1000);
    let item = stores::Item::Motor(id);
    let mut moved = stores::queries::Move::new(item, "counted", difference, app.clock.now());
    moved.why = &reason;
    moved.person = Some(user.id());
    stores::queries::insert_move(&mut tx, &moved).await?;
    let detail = json!({ "was": was, "is": held, "reason": reason });
    let thing = ("shelf_motors", id.0);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "count corrected",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shelf/motors/{}", id.0))).into_response())
}
