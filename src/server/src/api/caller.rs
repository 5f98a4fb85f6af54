//! Who calls: a token in the header `Authorization`, never a cookie.

use super::problem::Problem;
use super::queries::{self, Found};
use super::scopes::Scope;
use super::table;
use crate::clock::{MINUTE, Millis};
use crate::people::{Person, PersonId};
use crate::state::AppState;
use axum::extract::{FromRequestParts, MatchedPath, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

/// Tokens begin with this, so that one is recognised where it should not be.
pub const BEGINS: &str = "bt_";
/// When a token was used is noted no more often than this.
const NOTED: Millis = 5 * MINUTE;

/// An integration as it asks: it acts as its role, under its own name.
#[derive(Clone, Debug)]
pub struct Caller {
    pub integration: i64,
    pub person: Person,
    pub scopes: Vec<Scope>,
}

impl Caller {
    pub fn may(&self, scope: Scope) -> bool {
        self.scopes.contains(&scope)
    }

    pub fn id(&self) -> PersonId {
        self.person.id
    }
}

/// What stands in the database of a token.
pub fn hash(token: &str) -> String {
    let digest = Sha256::new_with_prefix("integration")
        .chain_update(token)
        .finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn bearer(headers: &HeaderMap) -> Option<&str> {
    let text = headers.get(header::AUTHORIZATION)?.to_str().ok()?;
    let (scheme, token) = text.split_once(' ')?;
    let token = token.trim();
    let is = scheme.eq_ignore_ascii_case("bearer") && token.starts_with(BEGINS);
    (is && token.len() <= 100).then_some(token)
}

fn unknown() -> Problem {
    let how = HeaderValue::from_static("Bearer realm=\"Brasstag\"");
    let said = "Send a token that is in force: Authorization: Bearer bt_… The keeper makes one under \
                Shop, Integrations.";
    Problem::new(StatusCode::UNAUTHORIZED, said).with(header::WWW_AUTHENTICATE, how)
}

/// Lets an operation of the table through to whoever may ask for it, and nothing else.
pub async fn admit(State(app): State<AppState>, mut req: Request, next: Next) -> Response {
    let matched = req.extensions().get::<MatchedPath>();
    let path = matched
        .map(|path| path.as_str().to_owned())
        .unwrap_or_default();
    let (_, path) = path.split_once("/api/v1").unwrap_or(("", ""));
    let Some(operation) = table::find(req.method().as_str(), path) else {
        return next.run(req).await; // refused behind this, as unknown or as not allowed
    };
    match caller(&app, req.headers(), operation).await {
        Ok(caller) => {
            req.extensions_mut().insert(caller);
            next.run(req).await
        }
        Err(problem) => problem.into_response(),
    }
}

async fn caller(
    app: &AppState,
    headers: &HeaderMap,
    operation: &table::Operation,
) -> Result<Caller, Problem> {
    let now = app.clock.now();
    let token = bearer(headers).ok_or_else(unknown)?;
    let found = queries::by_token(&app.db, &hash(token), now).await?;
    let found = found.ok_or_else(unknown)?;
    if let Err(wait_ms) = app.limits.tokens.take(found.id, found.a_minute, now) {
        let seconds = (wait_ms + 999) / 1000;
        let said = format!(
            "This integration asks more often than its {} times a minute. Try again in {seconds} s.",
            found.a_minute
        );
        let problem = Problem::new(StatusCode::TOO_MANY_REQUESTS, said);
        return Err(problem.with(header::RETRY_AFTER, HeaderValue::from(seconds)));
    }
    note_use(app, &found, now).await;
    let scopes = Scope::listed(&found.scopes);
    if !scopes.contains(&operation.scope) {
        return Err(Problem::forbidden(format!(
            "This token has no scope {}.",
            operation.scope.word()
        )));
    }
    let person = found.person();
    if !operation.roles.contains(&person.role) {
        return Err(Problem::forbidden(format!(
            "This token acts as {}, whose role does not allow this.",
            person.role.word()
        )));
    }
    Ok(Caller {
        integration: found.id,
        person,
        scopes,
    })
}

/// A busy database must not turn a request away over this.
async fn note_use(app: &AppState, found: &Found, now: Millis) {
    if found.used_at.is_some_and(|at| now - at < NOTED) {
        return;
    }
    let noted = async {
        let mut tx = app.db.begin_write().await?;
        queries::used(&mut tx, found.id, now).await?;
        tx.commit().await
    };
    if let Err(busy) = noted.await {
        let error = &busy as &dyn std::error::Error;
        tracing::warn!(error, "use of a token not noted");
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Caller {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Problem> {
        parts
            .extensions
            .get::<Caller>()
            .cloned()
            .ok_or_else(unknown)
    }
}
