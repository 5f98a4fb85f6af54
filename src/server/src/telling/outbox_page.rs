//! The part of `/shop/telling` about mail: what waits, what was given up, who is told where.

use super::mail::queries::{self, Listed};
use super::{mail_page, shop_page};
use crate::audit::audit;
use crate::backup::schedule::TimeOfDay;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::people::{CurrentUser, PersonId};
use crate::shop::overview::EDITORS;
use crate::state::AppState;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

/// Mails of one state that the page lists.
const MOST: i64 = 100;
/// Of those that were sent.
const LATELY: i64 = 10;

#[derive(Debug, Default)]
pub struct Outbox {
    /// Where mail goes out and from whom; `None`: none is sent.
    pub server: Option<(String, String)>,
    pub given_up: Vec<Listed>,
    pub waiting: Vec<Listed>,
    pub sent: Vec<Listed>,
    /// How many were given up, and how many wait.
    pub counts: (i64, i64),
    /// Person, name, address; empty: none.
    pub people: Vec<(PersonId, String, String)>,
    pub shift_end: String,
    pub person: String,
    pub address: String,
    pub errors: FieldErrors,
}

impl Outbox {
    pub fn choices(&self) -> Vec<(String, String)> {
        let all = self.people.iter();
        all.map(|(id, name, _)| (id.0.to_string(), name.clone()))
            .collect()
    }

    pub fn reached(&self) -> Vec<(&str, &str)> {
        self.people
            .iter()
            .filter(|(.., address)| !address.is_empty())
            .map(|(_, name, address)| (name.as_str(), address.as_str()))
            .collect()
    }
}

pub async fn part(app: &AppState) -> Result<Outbox, AppError> {
    let Some(mail) = &app.mail else {
        return Ok(Outbox::default());
    };
    let shift_end = queries::shift_end(&app.db).await?;
    Ok(Outbox {
        server: Some((mail.server.clone(), mail.from.to_string())),
        given_up: queries::listed(&app.db, "given_up", MOST).await?,
        waiting: queries::listed(&app.db, "waits", MOST).await?,
        sent: queries::listed(&app.db, "sent", LATELY).await?,
        counts: (
            queries::counted(&app.db, "given_up").await?,
            queries::counted(&app.db, "waits").await?,
        ),
        people: queries::addresses(&app.db).await?,
        shift_end: shift_end.map_or_else(String::new, |minutes| {
            format!("{:02}:{:02}", minutes / 60, minutes % 60)
        }),
        ..Outbox::default()
    })
}

/// The page again with what was typed.
async fn refused(
    app: &AppState,
    user: &CurrentUser,
    errors: FieldErrors,
    typed: impl FnOnce(&mut Outbox),
) -> Result<Response, AppError> {
    let mut outbox = part(app).await?;
    outbox.errors = errors;
    typed(&mut outbox);
    let page = shop_page::page(app, user, outbox).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

fn back(app: &AppState) -> Response {
    Redirect::to(&app.url("/shop/telling")).into_response()
}

/// When the shift ends; blank: nobody says, and nobody is told of locks that stand then.
pub async fn shift(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let typed = fields.get("shift_end");
    let minutes = match typed.parse::<TimeOfDay>() {
        _ if typed.is_empty() => None,
        Ok(at) => Some(i64::from(at.hour) * 60 + i64::from(at.minute)),
        Err(_) => {
            let errors = FieldErrors::of("shift_end", "Enter a time of day, as 15:30");
            let keep = |outbox: &mut Outbox| outbox.shift_end = typed.to_owned();
            return refused(&app, &user, errors, keep).await;
        }
    };
    let mut tx = app.db.begin_write().await?;
    queries::set_shift_end(&mut tx, minutes).await?;
    let (at, by) = (app.clock.now(), Some(user.id()));
    audit(&mut tx, at, by, ("shift_end", 1), "change", &minutes).await?;
    tx.commit().await?;
    Ok(back(&app))
}

/// The keeper gives a person an address, or takes it with a blank one.
pub async fn address(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let (person, typed) = (fields.get("person"), fields.get("address"));
    let mut errors = FieldErrors::default();
    let known = queries::addresses(&app.db).await?;
    let whose = known
        .iter()
        .map(|(id, ..)| *id)
        .find(|id| id.0.to_string() == person);
    if whose.is_none() {
        errors.add("person", "Choose whose address it is");
    }
    let address = match typed {
        "" => Ok(String::new()),
        typed => mail_page::typed_address(typed),
    };
    let address = errors.take("address", address);
    let Some(whose) = whose.filter(|_| errors.is_empty()) else {
        let keep = |outbox: &mut Outbox| {
            outbox.person = person.to_owned();
            outbox.address = typed.to_owned();
        };
        return refused(&app, &user, errors, keep).await;
    };
    mail_page::set(&app, whose, user.id(), &address).await?;
    Ok(back(&app))
}

/// Tries a mail that was given up again, or sends one no more.
pub async fn act(
    user: CurrentUser,
    State(app): State<AppState>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let mail = fields.get("mail").parse().map_err(|_| AppError::NotFound)?;
    let (at, by) = (app.clock.now(), Some(user.id()));
    let mut tx = app.db.begin_write().await?;
    let (act, done) = match fields.get("what") {
        "again" => ("tried again", queries::again(&mut tx, mail, at).await?),
        _ => ("dropped", queries::drop_mail(&mut tx, mail, at).await?),
    };
    if done {
        audit(&mut tx, at, by, ("mails", mail), act, &()).await?;
    }
    tx.commit().await?;
    Ok(back(&app))
}
