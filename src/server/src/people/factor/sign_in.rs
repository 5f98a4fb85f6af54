//! The code at sign-in, after the password was right.

use super::queries;
use crate::clock::MINUTE;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::limits::Client;
use crate::page::{Layout, Page};
use crate::people::kind::Kind;
use crate::people::session::{From, Visitor, new_token};
use crate::people::sign_in::{Device, finish};
use crate::people::throttle::{Try, Who};
use crate::people::{self, PersonId, cookies};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// The code is asked for this long.
const LASTS: i64 = 10 * MINUTE;
/// Wrong codes after one password.
const TRIES: i64 = 5;

#[derive(Template)]
#[template(path = "people/code.html")]
struct CodePage {
    layout: Layout,
    step: String,
    next: String,
    errors: FieldErrors,
}

/// Asks for the code.
pub async fn ask(
    app: &AppState,
    visitor: &Visitor,
    person: PersonId,
    next: &str,
) -> Result<Response, AppError> {
    let step = new_token();
    let now = app.clock.now();
    let token_hash = cookies::hash("step", &step);
    let mut tx = app.db.begin_write().await?;
    let of = (token_hash.as_str(), visitor.csrf.as_str());
    queries::begin(&mut tx, of, person, (now, now + LASTS)).await?;
    tx.commit().await?;
    Ok(page(app, visitor, step, next, FieldErrors::default()).into_response())
}

fn page(
    app: &AppState,
    visitor: &Visitor,
    step: String,
    next: &str,
    errors: FieldErrors,
) -> Page<CodePage> {
    Page(CodePage {
        layout: Layout::new(app, visitor, "Sign in"),
        step,
        next: next.to_owned(),
        errors,
    })
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct CodeInput {
    pub step: String,
    pub next: String,
    pub code: String,
}

/// `POST /sign-in/code`
pub async fn enter(
    visitor: Visitor,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<CodeInput>,
) -> Result<Response, AppError> {
    let now = app.clock.now();
    let token_hash = cookies::hash("step", &input.step);
    let mut tx = app.db.begin_write().await?;
    let tried = queries::try_one(&mut tx, &token_hash, &visitor.csrf, now, TRIES).await?;
    let Some(id) = tried else {
        return Err(AppError::Gone(
            "The time for the code is over, or too many were wrong. Sign in again from the start.",
        ));
    };
    let right = super::opens(&mut tx, id, &input.code, now).await?;
    if !right {
        // The try is kept.
        tx.commit().await?;
        let errors = FieldErrors::of(
            "code",
            "This code does not open. A code counts once: wait for the next one",
        );
        let page = page(&app, &visitor, input.step, &input.next, errors);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    queries::end_begun(&mut tx, id).await?;
    tx.commit().await?;
    let person = people::queries::find(&app.db, id).await?;
    let person = person.ok_or(AppError::NotFound)?;
    let device = Device::of(&app, &headers, &person.sign_in_name).await?;
    let who = Who {
        name: &person.sign_in_name,
        address: client.0,
        device: device.known(),
    };
    let from = From::of(&headers, client);
    let begun = (&person, Kind::Full, &*input.next);
    finish(&app, &visitor, &from, (&device, &Try::of(who)), begun).await
}
