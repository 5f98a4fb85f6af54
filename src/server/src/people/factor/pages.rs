//! Setting one's second factor up, new recovery codes, switching it off.

use super::{code_right, new_codes, new_secret, queries, totp};
use crate::audit::audit;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::limits::Client;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::people::kind::Kind;
use crate::people::me;
use crate::people::password::{self, Around};
use crate::people::session::{self, From};
use crate::qr;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;

#[derive(Template)]
#[template(path = "people/second_factor.html")]
struct FactorPage {
    layout: Layout,
    /// It is in use; otherwise it can be set up here.
    in_use: bool,
    /// This person's role has to have one.
    must: bool,
    secret: String,
    qr: String,
    codes_left: i64,
    errors: FieldErrors,
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    errors: FieldErrors,
) -> Result<Page<FactorPage>, AppError> {
    let found = queries::find(&app.db, user.id()).await?;
    let found = found.filter(|factor| !factor.secret.is_empty());
    let in_use = found.as_ref().is_some_and(|f| f.confirmed_at.is_some());
    let secret = found.filter(|_| !in_use).map(|factor| factor.secret);
    let secret = secret.unwrap_or_default();
    let address = totp(&secret, &user.person.sign_in_name, &app.shop_name())
        .and_then(|totp| totp.to_url().ok());
    let must = super::ASKED.contains(&user.person.role) && queries::demanded(&app.db).await?;
    Ok(Page(FactorPage {
        layout: Layout::new(app, &user.visitor, ""),
        in_use,
        must,
        qr: address.map_or_else(String::new, |address| qr::svg(&address)),
        secret,
        codes_left: queries::codes_left_of(&app.db, user.id()).await?,
        errors,
    }))
}

/// `/me/second-factor`
pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    Ok(page(&app, &user, FieldErrors::default())
        .await?
        .into_response())
}

async fn refused(
    app: &AppState,
    user: &CurrentUser,
    errors: FieldErrors,
) -> Result<Response, AppError> {
    let page = page(app, user, errors).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

#[derive(Debug, Deserialize)]
pub struct BeginInput {}

/// `POST /me/second-factor/begin`: a new secret to scan.
pub async fn begin(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(_input): CheckedForm<BeginInput>,
) -> Result<Response, AppError> {
    let mut tx = app.db.begin_write().await?;
    queries::propose(&mut tx, user.id(), &new_secret()).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/me/second-factor")).into_response())
}

#[derive(Template)]
#[template(path = "people/recovery_codes.html")]
struct CodesPage {
    layout: Layout,
    codes: Vec<String>,
}

fn codes_page(app: &AppState, user: &CurrentUser, codes: Vec<String>) -> Response {
    let layout = Layout::new(app, &user.visitor, "");
    Page(CodesPage { layout, codes }).into_response()
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct ConfirmInput {
    pub code: String,
}

/// `POST /me/second-factor`: the app shows the right code, so it is asked for from now on.
pub async fn confirm(
    user: CurrentUser,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<ConfirmInput>,
) -> Result<Response, AppError> {
    if queries::in_use(&app.db, user.id()).await? {
        return Ok(Redirect::to(&app.url("/me/second-factor")).into_response());
    }
    let now = app.clock.now();
    let id = user.id();
    let mut tx = app.db.begin_write().await?;
    if !code_right(&mut tx, id, &input.code, now, false).await? {
        drop(tx);
        let message =
            "This is not the code that the app should show now. Is the phone's clock right?";
        return refused(&app, &user, FieldErrors::of("code", message)).await;
    }
    queries::confirm(&mut tx, id, now).await?;
    let codes = new_codes(&mut tx, id).await?;
    let thing = ("people", id.0);
    audit(
        &mut tx,
        now,
        Some(id),
        thing,
        "second factor on",
        &json!({}),
    )
    .await?;
    // A new token: whoever had the one before it has nothing of the stronger session.
    let from = From::of(&headers, client);
    let begun = (id, Kind::Full, None);
    let cookie = session::begin(&app, &mut tx, &user.visitor, &from, begun).await?;
    tx.commit().await?;
    let mut user = user;
    user.visitor = user.visitor.with(&cookie);
    let mut response = codes_page(&app, &user, codes);
    response.headers_mut().append(header::SET_COOKIE, cookie);
    Ok(response)
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct OwnPasswordInput {
    pub password: String,
}

/// `POST /me/second-factor/codes`: ten new codes in place of the earlier ones.
pub async fn codes(
    user: CurrentUser,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<OwnPasswordInput>,
) -> Result<Response, AppError> {
    if let Err(message) = me::own_password(&app, &user, client, &headers, &input.password).await? {
        return refused(&app, &user, FieldErrors::of("password", message)).await;
    }
    if !queries::in_use(&app.db, user.id()).await? {
        return Ok(Redirect::to(&app.url("/me/second-factor")).into_response());
    }
    let (now, id) = (app.clock.now(), user.id());
    let mut tx = app.db.begin_write().await?;
    let codes = new_codes(&mut tx, id).await?;
    let thing = ("people", id.0);
    audit(
        &mut tx,
        now,
        Some(id),
        thing,
        "new recovery codes",
        &json!({}),
    )
    .await?;
    tx.commit().await?;
    Ok(codes_page(&app, &user, codes))
}

/// `POST /me/second-factor/off`
pub async fn off(
    user: CurrentUser,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<OwnPasswordInput>,
) -> Result<Response, AppError> {
    if let Err(message) = me::own_password(&app, &user, client, &headers, &input.password).await? {
        return refused(&app, &user, FieldErrors::of("password", message)).await;
    }
    // The password has to do alone from now on.
    if let Err(message) = password::check_new(&input.password, Around::default()) {
        let message = format!("Set a longer password first. {message}");
        return refused(&app, &user, FieldErrors::of("password", message)).await;
    }
    let (now, id) = (app.clock.now(), user.id());
    let mut tx = app.db.begin_write().await?;
    queries::drop(&mut tx, id).await?;
    queries::demand(&mut tx).await?;
    let thing = ("people", id.0);
    audit(
        &mut tx,
        now,
        Some(id),
        thing,
        "second factor off",
        &json!({}),
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/me")).into_response())
}
