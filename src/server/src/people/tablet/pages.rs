//! Who uses the tablet now, by PIN; making a tablet shared, and ending that.

use super::{Tablet, of, pin, queries, token_hash};
use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::limits::Client;
use crate::page::{Layout, Page};
use crate::people::kind::Kind;
use crate::people::session::{self, From, Visitor, new_token};
use crate::people::{self, CurrentUser, PersonId, Role, cookies, me, password};
use crate::shop::overview::{EDITORS, READERS};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use queries::Listed;
use serde::Deserialize;
use serde_json::json;

#[derive(Template)]
#[template(path = "people/tablet.html")]
struct TabletPage {
    layout: Layout,
    tablet: Tablet,
    people: Vec<(PersonId, String)>,
    /// Whose PIN is asked for.
    chosen: Option<(PersonId, String)>,
    errors: FieldErrors,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Choice {
    person: String,
}

const NOT_SHARED: &str = "This browser is no shared tablet. Sign in with your password, and make it one \
    under your name at the top.";

async fn page(
    app: &AppState,
    visitor: &Visitor,
    tablet: Tablet,
    person: &str,
    errors: FieldErrors,
) -> Result<Page<TabletPage>, AppError> {
    let people = queries::people(&app.db, tablet.id).await?;
    let chosen = people.iter().find(|(id, _)| id.0.to_string() == person);
    Ok(Page(TabletPage {
        layout: Layout::new(app, visitor, ""),
        chosen: chosen.cloned(),
        people,
        tablet,
        errors,
    }))
}

/// `/tablet`: the people of this tablet, and the PIN of the one who was touched.
pub async fn show(
    visitor: Visitor,
    State(app): State<AppState>,
    Query(choice): Query<Choice>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    let tablet = of(&app, &headers).await?;
    let tablet = tablet.ok_or(AppError::Gone(NOT_SHARED))?;
    let page = page(
        &app,
        &visitor,
        tablet,
        &choice.person,
        FieldErrors::default(),
    )
    .await?;
    Ok(page.into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct PinInput {
    pub person: String,
    pub pin: String,
}

/// `POST /tablet`
pub async fn enter(
    visitor: Visitor,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<PinInput>,
) -> Result<Response, AppError> {
    let tablet = of(&app, &headers).await?;
    let tablet = tablet.ok_or(AppError::Gone(NOT_SHARED))?;
    let person = PersonId(input.person.parse().unwrap_or(0));
    let mut tx = app.db.begin_write().await?;
    let tried = queries::try_one(&mut tx, tablet.id, person, pin::TRIES).await?;
    tx.commit().await?;
    let (hash, left) = tried.map_or((None, 0), |(hash, left)| (Some(hash), left));
    let typed = tablet.with(input.pin.trim());
    if !password::verify(&typed, hash, app.config.cheap_passwords).await {
        let message = match left {
            0 => {
                "This PIN no longer opens. Sign in with your password and set a new one".to_owned()
            }
            1 => "Wrong PIN. One more try, then the password is asked for".to_owned(),
            left => format!("Wrong PIN. {left} more tries"),
        };
        let errors = FieldErrors::of("pin", message);
        let page = page(&app, &visitor, tablet, &input.person, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let from = From::of(&headers, client);
    let mut tx = app.db.begin_write().await?;
    queries::right(&mut tx, tablet.id, person).await?;
    let begun = (person, Kind::Pin, Some(tablet.id));
    let cookie = session::begin(&app, &mut tx, &visitor, &from, begun).await?;
    tx.commit().await?;
    let person = people::queries::find(&app.db, person).await?;
    let home = person.map_or("/report", |person| person.role.home());
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(&app.url(home))).into_response())
}

#[derive(Debug, Deserialize)]
pub struct NoInput {}

/// `POST /tablet/change`: the session ends, the next one chooses their name.
pub async fn change(
    visitor: Visitor,
    State(app): State<AppState>,
    CheckedForm(_input): CheckedForm<NoInput>,
) -> Result<Response, AppError> {
    let cookie = session::end(&app, &visitor).await?;
    Ok((
        [(header::SET_COOKIE, cookie)],
        Redirect::to(&app.url("/tablet")),
    )
        .into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct TabletInput {
    pub tablet: String,
}

/// `POST /me/tablet`: this browser is a shared tablet from now on.
pub async fn share(
    user: CurrentUser,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<TabletInput>,
) -> Result<Response, AppError> {
    if user.person.role == Role::Reporter {
        return Err(AppError::Forbidden(
            "Your role does not allow this. Ask a supervisor.",
        ));
    }
    let named = form::required(&input.tablet, "Give the tablet a name").and_then(|name| {
        if name.chars().count() > 60 {
            return Err("At most 60 characters".to_owned());
        }
        Ok(name)
    });
    let name = match named {
        Ok(name) => name,
        Err(message) => {
            let errors = FieldErrors::of("tablet", message);
            return me::page(&app, &user, &headers, errors).await;
        }
    };
    let token = new_token();
    let (now, by) = (app.clock.now(), user.id());
    let mut tx = app.db.begin_write().await?;
    let id = queries::insert(&mut tx, &token_hash(&token), &name, by, now).await?;
    let detail = json!({ "name": name });
    audit(&mut tx, now, Some(by), ("tablets", id), "shared", &detail).await?;
    tx.commit().await?;
    let year = 365 * 24 * 3600;
    let cookie = cookies::give(&app.config, cookies::TABLET, &token, year);
    Ok((
        [(header::SET_COOKIE, cookie)],
        Redirect::to(&app.url("/me")),
    )
        .into_response())
}

/// `POST /me/pin`
pub async fn set_pin(
    user: CurrentUser,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<PinInput>,
) -> Result<Response, AppError> {
    let tablet = of(&app, &headers).await?;
    let tablet = tablet.ok_or(AppError::Gone(NOT_SHARED))?;
    let typed = input.pin.trim();
    if let Err(message) = pin::check(typed) {
        return me::page(&app, &user, &headers, FieldErrors::of("pin", message)).await;
    }
    let hash = password::hash(&tablet.with(typed), app.config.cheap_passwords).await;
    let hash = hash.map_err(AppError::Broken)?;
    let (now, id) = (app.clock.now(), user.id());
    let mut tx = app.db.begin_write().await?;
    queries::set_pin(&mut tx, tablet.id, id, &hash, now).await?;
    let detail = json!({ "tablet": tablet.name });
    audit(&mut tx, now, Some(id), ("people", id.0), "PIN set", &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/me")).into_response())
}

/// `POST /me/pin/away`
pub async fn drop_pin(
    user: CurrentUser,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(_input): CheckedForm<NoInput>,
) -> Result<Response, AppError> {
    let tablet = of(&app, &headers).await?;
    let tablet = tablet.ok_or(AppError::Gone(NOT_SHARED))?;
    let (now, id) = (app.clock.now(), user.id());
    let mut tx = app.db.begin_write().await?;
    queries::drop_pin(&mut tx, tablet.id, id).await?;
    let detail = json!({ "tablet": tablet.name });
    audit(
        &mut tx,
        now,
        Some(id),
        ("people", id.0),
        "PIN taken away",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/me")).into_response())
}

#[derive(Template)]
#[template(path = "shop/tablets.html")]
struct TabletsPage {
    layout: Layout,
    tablets: Vec<Listed>,
    may_edit: bool,
    zone: Zone,
}

/// `/shop/tablets`
pub async fn list(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let page = TabletsPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        tablets: queries::list(&app.db).await?,
        may_edit: EDITORS.contains(&user.person.role),
        zone: app.zone(),
    };
    Ok(Page(page).into_response())
}

/// `POST /shop/tablets/{id}/end`
pub async fn end(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(_input): CheckedForm<NoInput>,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    if !queries::end(&mut tx, id, now).await? {
        return Err(AppError::NotFound);
    }
    let thing = ("tablets", id);
    audit(&mut tx, now, Some(user.id()), thing, "ended", &json!({})).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/shop/tablets")).into_response())
}
