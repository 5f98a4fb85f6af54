//! One's own sign-in: password, sessions, and what hangs on this browser.

pub mod queries;

use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::limits::Client;
use crate::page::{Layout, Page};
use crate::people::kind::Kind;
use crate::people::password::{self, Around};
use crate::people::session::{self, From};
use crate::people::sign_in::Device;
use crate::people::tablet::{self, Tablet};
use crate::people::throttle::{self, Who};
use crate::people::{self, CurrentUser, Role, factor};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use queries::Session;
use serde::Deserialize;
use serde_json::json;

#[derive(Template)]
#[template(path = "people/me.html")]
struct MePage {
    layout: Layout,
    sessions: Vec<Session>,
    /// Of the session that looks.
    handle: String,
    in_use: bool,
    /// The shared tablet that this browser is.
    tablet: Option<Tablet>,
    has_pin: bool,
    may_share: bool,
    hint: String,
    errors: FieldErrors,
    zone: Zone,
}

pub(super) async fn page(
    app: &AppState,
    user: &CurrentUser,
    headers: &HeaderMap,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let in_use = factor::queries::in_use(&app.db, user.id()).await?;
    let tablet = tablet::of(app, headers).await?;
    let has_pin = match &tablet {
        Some(tablet) => tablet::queries::has_pin(&app.db, tablet.id, user.id()).await?,
        None => false,
    };
    let status = if errors.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    let page = MePage {
        layout: Layout::new(app, &user.visitor, ""),
        sessions: queries::sessions(&app.db, user.id(), app.clock.now()).await?,
        handle: handle(user),
        hint: if in_use {
            "At least 8 characters, because a code is asked for as well.".to_owned()
        } else {
            password::HINT.to_owned()
        },
        in_use,
        tablet,
        has_pin,
        may_share: user.person.role != Role::Reporter,
        errors,
        zone: app.zone(),
    };
    Ok((status, Page(page)).into_response())
}

/// What a session is called on pages: the beginning of its token's hash.
fn handle(user: &CurrentUser) -> String {
    let mut hash = user.visitor.token_hash().unwrap_or_default();
    hash.truncate(queries::HANDLE);
    hash
}

/// `/me`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    page(&app, &user, &headers, FieldErrors::default()).await
}

/// Whether this is the person's password; tried no faster than at sign-in.
pub async fn own_password(
    app: &AppState,
    user: &CurrentUser,
    client: Client,
    headers: &HeaderMap,
    typed: &str,
) -> Result<Result<(), String>, AppError> {
    let name = &user.person.sign_in_name;
    let device = Device::of(app, headers, name).await?;
    let who = Who {
        name,
        address: client.0,
        device: device.known(),
    };
    let tried = match throttle::begin(app, who).await? {
        Ok(tried) => tried,
        Err(wait) => {
            let wait = throttle::words(wait);
            return Ok(Err(format!(
                "Too many wrong tries. Wait {wait}, then try again"
            )));
        }
    };
    let found = people::queries::credentials(&app.db, name).await?;
    let hash = found.map(|(_, hash)| hash);
    if !password::verify(typed, hash, app.config.cheap_passwords).await {
        return Ok(Err("This is not your password".to_owned()));
    }
    let mut tx = app.db.begin_write().await?;
    tried.give_back(&mut tx, app.clock.now()).await?;
    tx.commit().await?;
    Ok(Ok(()))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct PasswordInput {
    pub password: String,
    pub new_password: String,
}

/// `POST /me/password`: every other session of the person ends.
pub async fn new_password(
    user: CurrentUser,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<PasswordInput>,
) -> Result<Response, AppError> {
    let mut errors = FieldErrors::default();
    let shop = app.shop_name();
    let names = [&*shop, &*user.person.name, &*user.person.sign_in_name];
    let around = Around {
        names: &names,
        second_factor: factor::queries::in_use(&app.db, user.id()).await?,
    };
    if let Err(message) = password::check_new(&input.new_password, around) {
        errors.add("new_password", message);
    } else if let Err(message) =
        own_password(&app, &user, client, &headers, &input.password).await?
    {
        errors.add("password", message);
    }
    if !errors.is_empty() {
        return page(&app, &user, &headers, errors).await;
    }
    let hash = password::hash(&input.new_password, app.config.cheap_passwords).await;
    let hash = hash.map_err(AppError::Broken)?;
    let (now, id) = (app.clock.now(), user.id());
    let from = From::of(&headers, client);
    let mut tx = app.db.begin_write().await?;
    people::queries::set_password(&mut tx, id, &hash, now).await?;
    let thing = ("people", id.0);
    audit(&mut tx, now, Some(id), thing, "own password", &json!({})).await?;
    let begun = (id, Kind::Full, None);
    let cookie = session::begin(&app, &mut tx, &user.visitor, &from, begun).await?;
    tx.commit().await?;
    Ok((
        [(header::SET_COOKIE, cookie)],
        Redirect::to(&app.url("/me")),
    )
        .into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct EndInput {
    /// A session's handle, or `others`.
    pub session: String,
}

/// `POST /me/sessions`
pub async fn end(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<EndInput>,
) -> Result<Response, AppError> {
    let (now, id) = (app.clock.now(), user.id());
    let mut tx = app.db.begin_write().await?;
    let ended = if input.session == "others" {
        queries::end_others(&mut tx, id, &handle(&user)).await?
    } else {
        queries::end(&mut tx, id, &input.session).await?
    };
    if ended > 0 {
        let thing = ("people", id.0);
        let detail = json!({ "sessions": ended });
        audit(&mut tx, now, Some(id), thing, "sessions ended", &detail).await?;
    }
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/me")).into_response())
}
