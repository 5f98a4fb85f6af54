//! Signing in and out.

use super::kind::Kind;
use super::session::{self, From, Visitor, new_token};
use super::throttle::{self, Try, Who};
use super::{Person, PersonId, cookies, factor, password, queries};
use crate::db::Tx;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors};
use crate::limits::Client;
use crate::page::{Layout, Page};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct SignInInput {
    pub name: String,
    pub password: String,
    pub next: String,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct NextQuery {
    next: String,
}

#[derive(Template)]
#[template(path = "people/sign_in.html")]
struct SignInPage {
    layout: Layout,
    input: SignInInput,
    errors: FieldErrors,
    demo: &'static [crate::demo::SignIn],
}

impl SignInPage {
    fn new(
        app: &AppState,
        visitor: &Visitor,
        input: SignInInput,
        errors: FieldErrors,
    ) -> Page<Self> {
        let demo = if app.config.demo {
            crate::demo::SIGN_INS
        } else {
            &[]
        };
        Page(SignInPage {
            layout: Layout::new(app, visitor, "Sign in"),
            input,
            errors,
            demo,
        })
    }
}

pub async fn show(
    visitor: Visitor,
    State(app): State<AppState>,
    Query(query): Query<NextQuery>,
) -> Response {
    if app.shop().is_none() {
        return Redirect::to(&app.url("/set-up")).into_response();
    }
    let input = SignInInput {
        next: query.next,
        ..SignInInput::default()
    };
    SignInPage::new(&app, &visitor, input, FieldErrors::default()).into_response()
}

fn refused(app: &AppState, visitor: &Visitor, input: SignInInput, message: String) -> Response {
    let input = SignInInput {
        password: String::new(),
        ..input
    };
    let page = SignInPage::new(app, visitor, input, FieldErrors::of("name", message));
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

/// The page again with how long to wait.
fn too_many(app: &AppState, visitor: &Visitor, input: SignInInput, wait: i64) -> Response {
    let message = format!(
        "Too many wrong tries. Wait {}, then try again",
        throttle::words(wait)
    );
    let mut response = refused(app, visitor, input, message);
    *response.status_mut() = StatusCode::TOO_MANY_REQUESTS;
    let seconds = HeaderValue::from((wait + 999) / 1000);
    response.headers_mut().insert(header::RETRY_AFTER, seconds);
    response
}

pub async fn enter(
    visitor: Visitor,
    client: Client,
    State(app): State<AppState>,
    headers: HeaderMap,
    CheckedForm(input): CheckedForm<SignInInput>,
) -> Result<Response, AppError> {
    let device = Device::of(&app, &headers, &input.name).await?;
    let who = Who {
        name: &input.name,
        address: client.0,
        device: device.known(),
    };
    let tried = match throttle::begin(&app, who).await? {
        Ok(tried) => tried,
        Err(wait) => return Ok(too_many(&app, &visitor, input, wait)),
    };
    let found = queries::credentials(&app.db, &input.name).await?;
    let (id, hash) = found.map_or((None, None), |(id, hash)| (Some(id), Some(hash)));
    let right = password::verify(&input.password, hash, app.config.cheap_passwords).await;
    let Some(id) = id.filter(|_| right) else {
        // One sentence for both, so that names cannot be tried out.
        let message = "This name and password do not belong together".to_owned();
        return Ok(refused(&app, &visitor, input, message));
    };
    let person = queries::find(&app.db, id).await?;
    let person = person.ok_or(AppError::NotFound)?;
    if factor::queries::in_use(&app.db, id).await? {
        // The try stays counted until the code is right too.
        return factor::sign_in::ask(&app, &visitor, id, &input.next).await;
    }
    let kind = factor::kind_of(&app, &person).await?;
    let from = From::of(&headers, client);
    let begun = (&person, kind, &*input.next);
    finish(&app, &visitor, &from, (&device, &tried), begun).await
}

/// Everything was right: a session under a new token, and the browser is known from now on.
pub async fn finish(
    app: &AppState,
    visitor: &Visitor,
    from: &From,
    (device, tried): (&Device, &Try),
    (person, kind, next): (&Person, Kind, &str),
) -> Result<Response, AppError> {
    let mut tx = app.db.begin_write().await?;
    tried.give_back(&mut tx, app.clock.now()).await?;
    let session = session::begin(app, &mut tx, visitor, from, (person.id, kind, None)).await?;
    let device = device.remember(app, &mut tx, person.id).await?;
    tx.commit().await?;
    let to = if is_own_path(next) {
        next
    } else {
        person.role.home()
    };
    let mut response = Redirect::to(&app.url(to)).into_response();
    for cookie in [Some(session), device].into_iter().flatten() {
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
    Ok(response)
}

/// The browser: whether this person signed in with it before.
pub struct Device {
    token_hash: Option<String>,
    known: bool,
}

impl Device {
    pub async fn of(app: &AppState, headers: &HeaderMap, name: &str) -> sqlx::Result<Device> {
        let token = cookies::read(&app.config, headers, cookies::DEVICE);
        let token_hash = token.map(|token| cookies::hash("device", token));
        let known = match &token_hash {
            Some(token_hash) => throttle::queries::knows(&app.db, token_hash, name).await?,
            None => false,
        };
        Ok(Device { token_hash, known })
    }

    pub fn known(&self) -> Option<&str> {
        self.token_hash.as_deref().filter(|_| self.known)
    }

    /// Remembers it. One that is new to the person gets a new token, so that none that somebody laid
    /// into the browser becomes theirs.
    pub async fn remember(
        &self,
        app: &AppState,
        tx: &mut Tx,
        person: PersonId,
    ) -> sqlx::Result<Option<HeaderValue>> {
        let now = app.clock.now();
        if let Some(known) = self.known() {
            throttle::queries::remember(tx, known, person, now).await?;
            return Ok(None);
        }
        let token = new_token();
        let token_hash = cookies::hash("device", &token);
        if let Some(was) = &self.token_hash {
            throttle::queries::rename(tx, was, &token_hash).await?;
        }
        throttle::queries::remember(tx, &token_hash, person, now).await?;
        let year = 365 * 24 * 3600;
        Ok(Some(cookies::give(
            &app.config,
            cookies::DEVICE,
            &token,
            year,
        )))
    }
}

/// Only a path of this site: no scheme, no other host, no trick with slashes.
fn is_own_path(path: &str) -> bool {
    path.starts_with('/')
        && !path.starts_with("//")
        && !path.contains(['\\', ':'])
        && !path.chars().any(char::is_control)
        && path != "/"
}

#[derive(Debug, Deserialize)]
pub struct SignOutInput {}

pub async fn leave(
    visitor: Visitor,
    State(app): State<AppState>,
    CheckedForm(_input): CheckedForm<SignOutInput>,
) -> Result<Response, AppError> {
    let cookie = session::end(&app, &visitor).await?;
    Ok((
        [(header::SET_COOKIE, cookie)],
        Redirect::to(&app.url("/sign-in")),
    )
        .into_response())
}

/// `/` sends each person to the page they start on.
pub async fn home(visitor: Visitor, State(app): State<AppState>) -> Redirect {
    let to = match (&visitor.person, app.shop()) {
        (_, None) => "/set-up",
        (Some(person), _) => person.role.home(),
        (None, _) => "/report",
    };
    Redirect::to(&app.url(to))
}

#[cfg(test)]
mod tests {
    use super::is_own_path;

    #[test]
    fn only_paths_of_this_site_are_followed() {
        assert!(is_own_path("/jobs/12"));
        for bad in [
            "",
            "/",
            "//evil.example",
            "https://evil.example",
            "/\\evil.example",
            "/\t/evil.example",
            "jobs",
        ] {
            assert!(!is_own_path(bad), "{bad}");
        }
    }
}
