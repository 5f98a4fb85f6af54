//! The answer to a phone that asks for pages to keep or sends what it kept.

use super::{AHEAD, ENTRY, SEEN, WRITER, ahead, kept_there, queries};
use crate::error::AppError;
use crate::people::Person;
use crate::people::session::Visitor;
use crate::state::AppState;
use axum::Json;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde::Serialize;

/// What became of a kept form that was taken. A refused one is answered with its page.
#[derive(Debug, Serialize)]
struct Taken {
    /// Why it was kept but not acted on: it came too late for the state it needs.
    set_aside: Option<String>,
    /// The job's version now, where nobody else has changed it since the writer saw it: what the
    /// same person wrote after this was written on top of it.
    seen: Option<i64>,
}

/// Tells a phone what it must know: that its session has ended, that another person is signed in,
/// what became of the entry. Everything else passes.
pub async fn answered(
    State(app): State<AppState>,
    visitor: Visitor,
    req: Request,
    next: Next,
) -> Result<Response, AppError> {
    let sends = kept_there(req.headers());
    // A refused form that is put right by hand is sent as any other, and shown open.
    if !sends && (req.method() != Method::GET || !ahead(req.headers())) {
        return Ok(next.run(req).await);
    }
    let Some(person) = visitor.person else {
        return Ok((StatusCode::UNAUTHORIZED, "Sign in first.\n").into_response());
    };
    if named(req.headers(), if sends { WRITER } else { AHEAD }) != Some(person.id.0) {
        return Ok((StatusCode::CONFLICT, "Another person is signed in here.\n").into_response());
    }
    if !sends {
        return Ok(next.run(req).await);
    }
    let headers = req.headers().clone();
    let response = next.run(req).await;
    let (found, taken) = taken(&app, &person, &headers).await?;
    // Taken before, and the answer was lost on its way: a phone never changes what an id stands for.
    let before = found && response.status() == StatusCode::UNPROCESSABLE_ENTITY;
    if response.status() != StatusCode::SEE_OTHER && !before {
        return Ok(response);
    }
    Ok(([(header::CACHE_CONTROL, "no-store")], Json(taken)).into_response())
}

/// Whether the entry is there, and what the phone must know of it.
async fn taken(
    app: &AppState,
    person: &Person,
    headers: &HeaderMap,
) -> Result<(bool, Taken), AppError> {
    let entry = text(headers, ENTRY).to_ascii_lowercase();
    let found = queries::entry(&app.db, &entry, person.id).await?;
    let seen = match (&found, named(headers, SEEN)) {
        (Some((job, _)), Some(seen)) => {
            queries::version_unless_others(&app.db, *job, seen, person.id).await?
        }
        _ => None,
    };
    let there = found.is_some();
    let set_aside = found.and_then(|(_, why)| why);
    Ok((there, Taken { set_aside, seen }))
}

fn text<'a>(headers: &'a HeaderMap, name: &str) -> &'a str {
    let value = headers.get(name).and_then(|value| value.to_str().ok());
    value.unwrap_or_default()
}

fn named(headers: &HeaderMap, name: &str) -> Option<i64> {
    text(headers, name).parse().ok()
}
