//! `/motors/units/{id}`: one motor's own history, and where it is when it is on no machine.

use super::{STATES, Stay, Unit, UnitId, queries};
use crate::audit::audit;
use crate::changes::{Change, of};
use crate::clock::{Zone, date_words};
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::motors::{self, Motor};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::shelf::pages::words;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

/// Who says where a motor went.
const MOVERS: &[Role] = &[Role::Technician, Role::Storekeeper, Role::Supervisor];

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PlaceInput {
    pub state: String,
    pub mark: String,
    pub version: i64,
}

#[derive(Template)]
#[template(path = "motors/unit.html")]
struct UnitPage {
    layout: Layout,
    unit: Unit,
    motor: Motor,
    plate: String,
    stays: Vec<Stay>,
    changes: Vec<Change>,
    zone: Zone,
    input: PlaceInput,
    errors: FieldErrors,
    may_move: bool,
}

impl UnitPage {
    fn day(&self, at: &i64) -> String {
        date_words(self.zone.date(*at))
    }
}

async fn find(app: &AppState, id: i64) -> Result<Unit, AppError> {
    let unit = queries::find(&app.db, UnitId(id)).await?;
    unit.ok_or(AppError::NotFound)
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    unit: Unit,
    input: PlaceInput,
    errors: FieldErrors,
) -> Result<Page<UnitPage>, AppError> {
    let motor = motors::queries::find(&app.db, unit.motor_id).await?;
    let motor = motor.ok_or(AppError::NotFound)?;
    Ok(Page(UnitPage {
        layout: Layout::new(app, &user.visitor, "Shelf"),
        plate: words(app, &motor.plate),
        stays: queries::of_unit(&app.db, unit.id).await?,
        changes: of(app, "motor_units", unit.id.0).await?,
        zone: app.zone(),
        may_move: MOVERS.contains(&user.person.role),
        unit,
        motor,
        input,
        errors,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let unit = find(&app, id).await?;
    let input = PlaceInput {
        state: unit.state.clone(),
        mark: unit.mark.clone(),
        version: unit.version,
    };
    Ok(page(&app, &user, unit, input, FieldErrors::default())
        .await?
        .into_response())
}

/// Where a motor that came off went, and what is marked on it.
pub async fn place(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlaceInput>,
) -> Result<Response, AppError> {
    user.require(MOVERS)?;
    let unit = find(&app, id).await?;
    let mark = input.mark.trim().to_owned();
    let fitted = unit.state == "fitted";
    let state = if fitted {
        "fitted"
    } else {
        input.state.as_str()
    };
    if !fitted && !STATES.iter().any(|(word, _)| *word == state) {
        let errors = FieldErrors::of("state", "Choose where it is");
        let page = page(&app, &user, unit, input, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let mut tx = app.db.begin_write().await?;
    if !queries::place(&mut tx, unit.id, input.version, state, &mark).await? {
        return Err(AppError::Stale);
    }
    let detail = json!({
        "was": { "where it is": unit.state_words(), "mark": unit.mark },
        "is": { "where it is": super::state_words(state), "mark": mark },
    });
    let thing = ("motor_units", id);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "change",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/motors/units/{id}"))).into_response())
}
