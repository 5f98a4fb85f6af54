//! Readings of several machines at once, by place.

use super::lines::Lines;
use super::queries;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// More than anybody reads on one walk.
const MOST: i64 = 200;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Narrow {
    /// A place's number; empty for all.
    pub place: String,
}

#[derive(Template)]
#[template(path = "meters/many.html")]
struct ManyPage {
    layout: Layout,
    place: i64,
    places: Vec<(i64, String)>,
    lines: Lines,
    errors: FieldErrors,
    /// There are more than the page shows.
    more: bool,
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    place: i64,
    lines: Lines,
) -> Result<Page<ManyPage>, AppError> {
    let places = machines::queries::places(&app.db).await?;
    Ok(Page(ManyPage {
        layout: Layout::new(app, &user.visitor, "Preventive"),
        place,
        places: places.into_iter().map(|p| (p.id, p.path)).collect(),
        errors: lines.errors(),
        more: lines.list.len() >= usize::try_from(MOST).unwrap_or(usize::MAX),
        lines,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(narrow): Query<Narrow>,
) -> Result<Response, AppError> {
    super::pages::reads(&user)?;
    let place = narrow.place.parse().unwrap_or(0);
    let meters = queries::within(&app.db, place, MOST).await?;
    let page = page(&app, &user, place, Lines::blank(&app, meters)).await?;
    Ok(page.into_response())
}

/// Keeps what it can and shows the rest again beside what was kept.
pub async fn take(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let place = fields.get("place").parse().unwrap_or(0);
    let meters = queries::within(&app.db, place, MOST).await?;
    let lines = Lines::take(&app, &user, &fields, meters).await?;
    let status = match lines.refused() {
        true => StatusCode::UNPROCESSABLE_ENTITY,
        false => StatusCode::OK,
    };
    let page = page(&app, &user, place, lines).await?;
    Ok((status, page).into_response())
}
