//! The link as it is shown once to who made it, and the page that it opens.

use super::{make, queries, token_hash};
use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::password::{self, Around};
use crate::people::session::Visitor;
use crate::people::sign_in::Device;
use crate::people::{self, CurrentUser, Person, PersonId};
use crate::qr;
use crate::shop::overview::EDITORS;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

#[derive(Template)]
#[template(path = "people/link.html")]
struct LinkPage {
    layout: Layout,
    person: Person,
    address: String,
    qr: String,
    until: i64,
    zone: Zone,
}

/// The link that was just made; nobody can look it up again.
pub fn shown(app: &AppState, user: &CurrentUser, person: Person, path: &str) -> Response {
    let address = app.public_url(path);
    let page = LinkPage {
        layout: Layout::new(app, &user.visitor, "Shop"),
        qr: qr::svg(&address),
        address,
        person,
        until: app.clock.now() + super::LASTS,
        zone: app.zone(),
    };
    Page(page).into_response()
}

#[derive(Debug, Deserialize)]
pub struct NewLinkInput {}

/// `POST /shop/people/{id}/link`
pub async fn create(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(_input): CheckedForm<NewLinkInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let person = people::queries::find(&app.db, PersonId(id)).await?;
    let person = person.ok_or(AppError::NotFound)?;
    if person.closed {
        return Err(AppError::BadRequest(
            "This sign-in is closed. No link was made.".to_owned(),
        ));
    }
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let path = make(&mut tx, person.id, Some(user.id()), now).await?;
    let thing = ("people", id);
    audit(
        &mut tx,
        now,
        Some(user.id()),
        thing,
        "password link",
        &json!({}),
    )
    .await?;
    tx.commit().await?;
    Ok(shown(&app, &user, person, &path))
}

#[derive(Template)]
#[template(path = "people/set_password.html")]
struct SetPage {
    layout: Layout,
    person: Person,
    token: String,
    hint: &'static str,
    errors: FieldErrors,
}

/// Used, ended, taken back or never made: one answer for all.
const OVER: &str =
    "This link has been used or has ended. Ask a supervisor or the keeper for a new one.";

async fn opened(app: &AppState, token: &str) -> Result<Option<Person>, AppError> {
    let now = app.clock.now();
    match queries::whose(&app.db, &token_hash(token), now).await? {
        Some(id) => Ok(people::queries::find(&app.db, id).await?),
        None => Ok(None),
    }
}

/// `/password/{token}`: opening it uses nothing up, so a preview in a mail program does no harm.
pub async fn open(
    visitor: Visitor,
    State(app): State<AppState>,
    Path(token): Path<String>,
) -> Result<Response, AppError> {
    let person = opened(&app, &token).await?.ok_or(AppError::Gone(OVER))?;
    Ok(set_page(&app, &visitor, person, token, FieldErrors::default()).into_response())
}

fn set_page(
    app: &AppState,
    visitor: &Visitor,
    person: Person,
    token: String,
    errors: FieldErrors,
) -> Page<SetPage> {
    Page(SetPage {
        layout: Layout::new(app, visitor, ""),
        person,
        token,
        hint: password::HINT,
        errors,
    })
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct SetInput {
    pub new_password: String,
}

/// `POST /password/{token}`
pub async fn set(
    visitor: Visitor,
    State(app): State<AppState>,
    Path(token): Path<String>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<SetInput>,
) -> Result<Response, AppError> {
    let person = opened(&app, &token).await?.ok_or(AppError::Gone(OVER))?;
    let shop = app.shop_name();
    let names = [&*shop, &*person.name, &*person.sign_in_name];
    let around = Around {
        names: &names,
        second_factor: false,
    };
    if let Err(message) = password::check_new(&input.new_password, around) {
        let errors = FieldErrors::of("new_password", message);
        let page = set_page(&app, &visitor, person, token, errors);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let hash = password::hash(&input.new_password, app.config.cheap_passwords).await;
    let hash = hash.map_err(AppError::Broken)?;
    let device = Device::of(&app, &headers, &person.sign_in_name).await?;
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    if !queries::take(&mut tx, &token_hash(&token), now).await? {
        return Err(AppError::Gone(OVER));
    }
    people::queries::set_password(&mut tx, person.id, &hash, now).await?;
    // Whoever had the link may sign in here, however often strangers tried the name.
    let cookie = device.remember(&app, &mut tx, person.id).await?;
    let detail = json!({});
    let thing = ("people", person.id.0);
    audit(
        &mut tx,
        now,
        Some(person.id),
        thing,
        "password by link",
        &detail,
    )
    .await?;
    tx.commit().await?;
    let mut response = Redirect::to(&app.url("/sign-in")).into_response();
    if let Some(cookie) = cookie {
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
    Ok(response)
}
