//! `/instruments`: the register, one instrument, add and change.

use super::calibration::{self, Doubt};
use super::form::{self, NewInstrument};
use super::queries::{self, Calibration};
use super::{FOUND, Instrument, InstrumentId, KINDS};
use crate::audit::audit;
use crate::clock::{date_value, date_words};
use crate::db;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::words_of;
use crate::state::AppState;
use crate::stores::KEEPERS;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::Date;

#[derive(Template)]
#[template(path = "instruments/list.html")]
struct ListPage {
    layout: Layout,
    keeps: bool,
    instruments: Vec<Instrument>,
    today: Date,
}

/// `/instruments`
pub async fn list(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let page = ListPage {
        layout: Layout::new(&app, &user.visitor, "Shelf"),
        keeps: KEEPERS.contains(&user.person.role),
        instruments: queries::all(&app.db).await?,
        today: app.today(),
    };
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "instruments/show.html")]
pub(super) struct ShowPage {
    layout: Layout,
    keeps: bool,
    one: Instrument,
    calibrations: Vec<Calibration>,
    doubts: Vec<Doubt>,
    fields: Fields,
    errors: FieldErrors,
    today: Date,
}

impl ShowPage {
    pub(super) async fn load(
        app: &AppState,
        user: &CurrentUser,
        id: InstrumentId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<ShowPage, AppError> {
        let one = queries::find(&app.db, id).await?;
        let one = one.ok_or(AppError::NotFound)?;
        let calibrations = queries::calibrations(&app.db, id).await?;
        Ok(ShowPage {
            layout: Layout::new(app, &user.visitor, "Shelf"),
            keeps: KEEPERS.contains(&user.person.role),
            doubts: calibration::taken_with(app, &one, &calibrations).await?,
            one,
            calibrations,
            fields,
            errors,
            today: app.today(),
        })
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }

    fn kind(&self) -> String {
        words_of(KINDS, &self.one.kind)
    }

    fn found(&self, calibration: &Calibration) -> String {
        words_of(FOUND, &calibration.found)
    }

    fn day(&self, day: &Option<Date>) -> String {
        day.map_or_else(|| "not known".to_owned(), date_words)
    }
}

/// `/instruments/{id}`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = ShowPage::load(&app, &user, InstrumentId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "instruments/edit.html")]
struct EditPage {
    layout: Layout,
    /// `None`: it is new.
    one: Option<Instrument>,
    fields: Fields,
    errors: FieldErrors,
}

impl EditPage {
    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }
}

async fn edit_page(
    app: &AppState,
    user: &CurrentUser,
    id: Option<InstrumentId>,
    typed: Option<(Fields, FieldErrors)>,
) -> Result<Response, AppError> {
    let one = match id {
        Some(id) => Some(
            queries::find(&app.db, id)
                .await?
                .ok_or(AppError::NotFound)?,
        ),
        None => None,
    };
    let refused = typed.is_some();
    let (fields, errors) = typed.unwrap_or_else(|| (recorded(&one), FieldErrors::default()));
    let page = EditPage {
        layout: Layout::new(app, &user.visitor, "Shelf"),
        one,
        fields,
        errors,
    };
    let status = if refused {
        StatusCode::UNPROCESSABLE_ENTITY
    } else {
        StatusCode::OK
    };
    Ok((status, Page(page)).into_response())
}

/// The record as the form shows it.
fn recorded(one: &Option<Instrument>) -> Fields {
    let Some(one) = one else {
        return Fields::default();
    };
    let pairs = [
        ("number", one.number.clone()),
        ("kind", one.kind.clone()),
        ("measures", one.measures.clone()),
        (
            "withdrawn_on",
            one.withdrawn_on.map_or_else(String::new, date_value),
        ),
        ("note", one.note.clone()),
        ("version", one.version.to_string()),
    ];
    Fields(
        pairs
            .into_iter()
            .map(|(name, value)| (name.to_owned(), value))
            .collect(),
    )
}

pub async fn new(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    edit_page(&app, &user, None, None).await
}

pub async fn edit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    edit_page(&app, &user, Some(InstrumentId(id)), None).await
}

pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let new = match form::instrument(&fields, app.today()) {
        Ok(new) => new,
        Err(errors) => return edit_page(&app, &user, None, Some((fields, errors))).await,
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let id = match queries::insert(&mut tx, &new, now).await {
        Err(e) if db::is_duplicate(&e) => {
            drop(tx);
            return edit_page(&app, &user, None, Some((fields, taken()))).await;
        }
        inserted => inserted?,
    };
    if let Some(first) = first_calibration(&new) {
        queries::insert_calibration(&mut tx, id, &first, user.id(), now).await?;
    }
    let whose = Some(user.id());
    audit(&mut tx, now, whose, ("instruments", id.0), "added", &new).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/instruments/{}", id.0))).into_response())
}

fn taken() -> FieldErrors {
    FieldErrors::of("number", "Another instrument has this number")
}

/// What its certificate said when it came into the register.
fn first_calibration(new: &NewInstrument) -> Option<form::NewCalibration> {
    Some(form::NewCalibration {
        done_on: new.calibrated_on?,
        found: "within".to_owned(),
        by_whom: "as on its label".to_owned(),
        certificate: String::new(),
        due_on: new.due_on,
        note: String::new(),
    })
}

pub async fn update(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let id = InstrumentId(id);
    let new = match form::instrument(&fields, app.today()) {
        Ok(new) => new,
        Err(errors) => return edit_page(&app, &user, Some(id), Some((fields, errors))).await,
    };
    let version = fields.get("version").parse().unwrap_or(0);
    let mut tx = app.db.begin_write().await?;
    match queries::update(&mut tx, id, &new, version).await {
        Err(e) if db::is_duplicate(&e) => {
            drop(tx);
            return edit_page(&app, &user, Some(id), Some((fields, taken()))).await;
        }
        changed => {
            if !changed? {
                drop(tx);
                queries::find(&app.db, id)
                    .await?
                    .ok_or(AppError::NotFound)?;
                return Err(AppError::Stale);
            }
        }
    }
    let (now, whose) = (app.clock.now(), Some(user.id()));
    audit(&mut tx, now, whose, ("instruments", id.0), "changed", &new).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/instruments/{}", id.0))).into_response())
}
