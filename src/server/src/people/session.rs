//! Sessions: a random token in a cookie, its hash in the database, and the csrf word of each visit.

use super::{CurrentUser, Person, PersonId, queries};
use crate::clock::{DAY, HOUR, MINUTE, Millis};
use crate::db::Tx;
use crate::error::{self, AppError};
use crate::kept;
use crate::offline;
use crate::state::AppState;
use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest, Sha256};
use std::convert::Infallible;

const SESSION_COOKIE: &str = "brasstag_session";
const VISIT_COOKIE: &str = "brasstag_visit";
/// A session that was not used for this long ends: a shift and the way home.
const IDLE: Millis = 14 * HOUR;
const LONGEST: Millis = 14 * DAY;

/// Whoever asks: signed in or not, always with a csrf word for the forms of the page.
#[derive(Clone, Debug, Default)]
pub struct Visitor {
    pub person: Option<Person>,
    pub csrf: String,
    /// A page to be kept on the phone is asked for.
    pub ahead: bool,
    token: Option<String>,
}

pub fn new_token() -> String {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes).expect("the operating system gives random bytes");
    URL_SAFE_NO_PAD.encode(bytes)
}

fn hash(what: &str, token: &str) -> String {
    let digest = Sha256::new_with_prefix(what).chain_update(token).finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(n, _)| *n == name)
        .map(|(_, v)| v)
}

fn cookie_header(app: &AppState, name: &str, value: &str, max_age_s: i64) -> HeaderValue {
    let path = if app.config.base_path.is_empty() {
        "/"
    } else {
        &app.config.base_path
    };
    let secure = if app.config.secure() { "; Secure" } else { "" };
    let text =
        format!("{name}={value}; Path={path}; HttpOnly; SameSite=Lax; Max-Age={max_age_s}{secure}");
    HeaderValue::from_str(&text).expect("tokens and base paths are plain ASCII")
}

/// Finds out who asks, once a request; gives a new visitor a cookie to bind the forms to.
pub async fn recognise(
    State(app): State<AppState>,
    mut req: Request,
    next: Next,
) -> Result<Response, AppError> {
    let now = app.clock.now();
    let mut visitor = Visitor {
        ahead: offline::ahead(req.headers()),
        ..Visitor::default()
    };
    if let Some(token) = cookie(req.headers(), SESSION_COOKIE).map(str::to_owned) {
        let token_hash = hash("session", &token);
        if let Some((person, seen_at)) =
            queries::session_person(&app.db, &token_hash, now, now - IDLE).await?
        {
            if now - seen_at > 10 * MINUTE {
                // A busy database must not turn a readable page away.
                if let Err(busy) = touch(&app, &token_hash, now).await {
                    tracing::warn!(
                        error = &busy as &dyn std::error::Error,
                        "session not touched"
                    );
                }
            }
            visitor.person = Some(person);
            visitor.csrf = hash("csrf", &token);
            visitor.token = Some(token);
        }
    }
    if visitor.person.is_none()
        && req.method() == Method::POST
        && !offline::kept_there(req.headers())
        && let Some(token) = cookie(req.headers(), SESSION_COOKIE).map(str::to_owned)
    {
        let (token_hash, csrf) = (hash("session", &token), hash("csrf", &token));
        req = match kept::keep(&app, &token_hash, &csrf, req).await? {
            kept::Ended::Kept(response) => return Ok(response),
            kept::Ended::Not(req) => req,
        };
    }
    let mut new_visit = None;
    if visitor.person.is_none() {
        let visit = match cookie(req.headers(), VISIT_COOKIE) {
            Some(visit) if visit.len() == 43 => visit.to_owned(),
            _ => {
                let visit = new_token();
                new_visit = Some(visit.clone());
                visit
            }
        };
        visitor.csrf = hash("csrf", &visit);
    }
    req.extensions_mut().insert(visitor.clone());
    let mut response = error::framed(&app, &visitor, next.run(req).await);
    if let Some(visit) = new_visit {
        let value = cookie_header(&app, VISIT_COOKIE, &visit, 86_400);
        response.headers_mut().append(header::SET_COOKIE, value);
    }
    Ok(response)
}

async fn touch(app: &AppState, token_hash: &str, now: Millis) -> sqlx::Result<()> {
    let mut tx = app.db.begin_write().await?;
    queries::touch_session(&mut tx, token_hash, now).await?;
    tx.commit().await
}

/// Starts a session and answers with its cookie; any earlier token of the browser is not reused.
pub async fn begin(
    app: &AppState,
    tx: &mut Tx,
    person: PersonId,
    device: &str,
) -> sqlx::Result<HeaderValue> {
    let token = new_token();
    let now = app.clock.now();
    let device: String = device.chars().take(200).collect();
    queries::add_session(
        tx,
        &hash("session", &token),
        person,
        &device,
        now,
        now + LONGEST,
    )
    .await?;
    kept::queries::remember(tx, &hash("session", &token), person, now).await?;
    Ok(cookie_header(app, SESSION_COOKIE, &token, LONGEST / 1000))
}

/// Ends the visitor's session and answers with the cookie that forgets it.
pub async fn end(app: &AppState, visitor: &Visitor) -> sqlx::Result<HeaderValue> {
    if let Some(token) = &visitor.token {
        let mut tx = app.db.begin_write().await?;
        queries::end_session(&mut tx, &hash("session", token)).await?;
        tx.commit().await?;
    }
    Ok(cookie_header(app, SESSION_COOKIE, "", 0))
}

impl<S: Send + Sync> FromRequestParts<S> for Visitor {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, Infallible> {
        Ok(parts
            .extensions
            .get::<Visitor>()
            .cloned()
            .unwrap_or_default())
    }
}

impl FromRequestParts<AppState> for CurrentUser {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &AppState) -> Result<Self, Response> {
        let Ok(visitor) = Visitor::from_request_parts(parts, app).await;
        match visitor.person.clone() {
            Some(person) => Ok(CurrentUser { person, visitor }),
            None => {
                let to = if parts.method == Method::GET {
                    parts.uri.path()
                } else {
                    ""
                };
                let to = to.strip_prefix(&app.config.base_path).unwrap_or(to);
                let to = app.url(&format!("/sign-in?next={to}"));
                Err(AppError::SignIn { to }.into_response())
            }
        }
    }
}
