//! Suppliers' lists: what could be bought, at what price, in how many days, as of which day.

use super::form::{self, Goes, ListInput};
use super::pages::{EditPage, ListPage, NewListPage};
use super::queries;
use super::{KEEPERS, written};
use crate::audit::audit;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, Fields};
use crate::motors::plate_read;
use crate::people::CurrentUser;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;

/// `/shelf/lists/new`
pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let page = NewListPage::new(&app, &user, ListInput::default(), FieldErrors::default());
    Ok(page.into_response())
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<ListInput>,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let new = match input.parse() {
        Ok(new) => new,
        Err(errors) => {
            let page = NewListPage::new(&app, &user, input, errors);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let id = queries::insert_list(&mut tx, &new).await?;
    let detail = json!({ "name": new.name, "note": new.note });
    let thing = ("supplier_lists", id);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "added",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shelf/lists/{id}"))).into_response())
}

/// `/shelf/lists/{id}`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let list = queries::list(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let motors = queries::listed_on(&app.db, id).await?;
    Ok(ListPage::new(&app, &user, list, motors).into_response())
}

/// `/shelf/lists/{id}/motors/new`
pub async fn new_motor(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let list = queries::list(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    let fields = Fields(vec![("made".to_owned(), "made".to_owned())]);
    let page = EditPage::new(
        &app,
        &user,
        None,
        Goes::List,
        fields,
        FieldErrors::default(),
    );
    Ok(page.of_list(list).into_response())
}

/// Adds a motor to a list.
pub async fn add_motor(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let list = queries::list(&app.db, id)
        .await?
        .ok_or(AppError::NotFound)?;
    if let Some(fields) = plate_read::pressed_fields(&fields, app.units()) {
        let errors = FieldErrors::default();
        let page = EditPage::new(&app, &user, None, Goes::List, fields, errors);
        return Ok(page.of_list(list).into_response());
    }
    let change = match form::motor(&fields, app.units(), Goes::List) {
        Ok(change) => change,
        Err(errors) => {
            let page = EditPage::new(&app, &user, None, Goes::List, fields, errors);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page.of_list(list)).into_response());
        }
    };
    let mut tx = app.db.begin_write().await?;
    let motor = queries::insert_motor(&mut tx, &change, &written(&change)?).await?;
    queries::add_to_list(&mut tx, id, motor, change.price, change.lead_days).await?;
    let detail = json!({ "name": change.name, "list": list.name });
    let thing = ("motors", motor.0);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "added to a list",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shelf/lists/{id}"))).into_response())
}
