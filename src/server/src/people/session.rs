//! Sessions: a random token in a cookie, its hash in the database, and the csrf word of each visit.

use super::cookies::{self, hash};
use super::kind::Kind;
use super::queries::{self, Begun};
use super::{CurrentUser, Person, PersonId};
use crate::clock::Millis;
use crate::db::Tx;
use crate::error::{self, AppError};
use crate::kept;
use crate::limits::Client;
use crate::offline;
use crate::state::AppState;
use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use std::convert::Infallible;
use std::net::IpAddr;

/// Whoever asks: signed in or not, always with a csrf word for the forms of the page.
#[derive(Clone, Debug, Default)]
pub struct Visitor {
    pub person: Option<Person>,
    pub csrf: String,
    pub kind: Kind,
    /// The browser of a shared tablet.
    pub tablet: bool,
    /// A page to be kept on the phone is asked for.
    pub ahead: bool,
    token: Option<String>,
}

impl Visitor {
    /// What stands in the database for this session.
    pub fn token_hash(&self) -> Option<String> {
        self.token.as_ref().map(|token| hash("session", token))
    }

    /// The same visitor in the session of this cookie, for a page that is made with it.
    pub fn with(&self, cookie: &HeaderValue) -> Visitor {
        let text = cookie.to_str().unwrap_or("");
        let pair = text.split(';').next().unwrap_or("");
        let token = pair.split_once('=').map_or("", |(_, token)| token);
        Visitor {
            csrf: hash("csrf", token),
            token: Some(token.to_owned()),
            kind: Kind::Full,
            ..self.clone()
        }
    }
}

pub fn new_token() -> String {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes).expect("the operating system gives random bytes");
    URL_SAFE_NO_PAD.encode(bytes)
}

/// Finds out who asks, once a request; gives a new visitor a cookie to bind the forms to.
pub async fn recognise(
    State(app): State<AppState>,
    client: Client,
    mut req: Request,
    next: Next,
) -> Result<Response, AppError> {
    let now = app.clock.now();
    let config = &app.config;
    // No text holds this character, and PostgreSQL breaks off at one that does.
    if req.uri().path().contains("%00") {
        return Err(AppError::NotFound);
    }
    let mut visitor = Visitor {
        tablet: cookies::read(config, req.headers(), cookies::TABLET).is_some(),
        ahead: offline::ahead(req.headers()),
        ..Visitor::default()
    };
    let token = cookies::read(config, req.headers(), cookies::SESSION).map(str::to_owned);
    if let Some(token) = &token {
        signed_in(&app, &mut visitor, token, client.0, now).await?;
    }
    if visitor.person.is_none() {
        app.refresh_shop(now).await?;
    }
    if let Some(token) = token
        && visitor.person.is_none()
        && req.method() == Method::POST
        && !offline::kept_there(req.headers())
    {
        let (token_hash, csrf) = (hash("session", &token), hash("csrf", &token));
        req = match kept::keep(&app, &token_hash, &csrf, req).await? {
            kept::Ended::Kept(response) => return Ok(response),
            kept::Ended::Not(req) => req,
        };
    }
    let mut new_visit = None;
    if visitor.person.is_none() {
        let visit = match cookies::read(config, req.headers(), cookies::VISIT) {
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
    let path = req.uri().path();
    let path = path.strip_prefix(&config.base_path).unwrap_or(path);
    let response = match visitor.kind.may_go(&app, path) {
        Ok(()) => next.run(req).await,
        Err(refused) => refused.into_response(),
    };
    let mut response = error::framed(&app, &visitor, response);
    if let Some(visit) = new_visit {
        let value = cookies::give(config, cookies::VISIT, &visit, 86_400);
        response.headers_mut().append(header::SET_COOKIE, value);
    }
    Ok(response)
}

/// Fills in whose session the token is, where it has not ended.
async fn signed_in(
    app: &AppState,
    visitor: &mut Visitor,
    token: &str,
    address: IpAddr,
    now: Millis,
) -> Result<(), AppError> {
    let token_hash = hash("session", token);
    let idle = [Kind::Full, Kind::Factor, Kind::Pin].map(|kind| now - kind.idle());
    let Some(found) = queries::session_person(&app.db, &token_hash, now, idle).await? else {
        return Ok(());
    };
    app.shop_is(found.shop_version).await?;
    if now - found.seen_at > found.kind.touch_after() {
        // A busy database must not turn a readable page away.
        if let Err(busy) = touch(app, &token_hash, address, now).await {
            tracing::warn!(
                error = &busy as &dyn std::error::Error,
                "session not touched"
            );
        }
    }
    visitor.person = Some(found.person);
    visitor.kind = found.kind;
    visitor.csrf = hash("csrf", token);
    visitor.token = Some(token.to_owned());
    Ok(())
}

async fn touch(app: &AppState, token_hash: &str, address: IpAddr, now: Millis) -> sqlx::Result<()> {
    let mut tx = app.db.begin_write().await?;
    queries::touch_session(&mut tx, token_hash, &address.to_string(), now).await?;
    tx.commit().await
}

/// From which browser and from where somebody signs in.
#[derive(Clone, Debug)]
pub struct From {
    pub device: String,
    pub address: IpAddr,
}

impl From {
    pub fn of(headers: &HeaderMap, client: Client) -> From {
        let agent = headers.get(header::USER_AGENT);
        let agent = agent.and_then(|v| v.to_str().ok()).unwrap_or("");
        From {
            device: agent.chars().take(200).collect(),
            address: client.0,
        }
    }
}

/// Starts a session under a new token and answers with its cookie; the one before it ends, and no
/// token that the browser brought is used.
pub async fn begin(
    app: &AppState,
    tx: &mut Tx,
    before: &Visitor,
    from: &From,
    (person, kind, tablet): (PersonId, Kind, Option<i64>),
) -> sqlx::Result<HeaderValue> {
    if let Some(before) = before.token_hash() {
        queries::end_session(tx, &before).await?;
    }
    let token = new_token();
    let now = app.clock.now();
    let token_hash = hash("session", &token);
    let begun = Begun {
        token_hash: &token_hash,
        person,
        device: &from.device,
        address: &from.address.to_string(),
        kind,
        tablet,
        at: now,
        ends_at: now + kind.longest(),
    };
    queries::add_session(tx, &begun).await?;
    kept::queries::remember(tx, &token_hash, person, now).await?;
    let lasts = kind.longest() / 1000;
    Ok(cookies::give(&app.config, cookies::SESSION, &token, lasts))
}

/// Ends the visitor's session and answers with the cookie that forgets it.
pub async fn end(app: &AppState, visitor: &Visitor) -> sqlx::Result<HeaderValue> {
    if let Some(token_hash) = visitor.token_hash() {
        let mut tx = app.db.begin_write().await?;
        queries::end_session(&mut tx, &token_hash).await?;
        tx.commit().await?;
    }
    Ok(cookies::give(&app.config, cookies::SESSION, "", 0))
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
