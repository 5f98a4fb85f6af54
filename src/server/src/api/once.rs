//! A request that may be sent again: with an `Idempotency-Key` the answer is kept for a day, in the
//! transaction of the change itself, and given again. A refusal changed nothing and is not kept.

use super::asked::Sent;
use super::caller::Caller;
use super::problem::Problem;
use super::queries;
use crate::clock::DAY;
use crate::db::Tx;
use crate::state::AppState;
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

pub const KEY: HeaderName = HeaderName::from_static("idempotency-key");

/// What a change is answered with.
#[derive(Debug)]
pub struct Done {
    pub status: StatusCode,
    /// Below `/api/v1`; empty: none.
    pub location: String,
    pub tag: Option<String>,
    pub body: Value,
}

impl Done {
    pub fn made(location: String, tag: Option<String>, body: impl Serialize) -> Done {
        Done {
            status: StatusCode::CREATED,
            location,
            tag,
            body: json!(body),
        }
    }
}

/// A change that has begun: everything it writes goes through `tx`.
pub struct Once<'a> {
    pub tx: Tx,
    app: &'a AppState,
    caller: &'a Caller,
    key: Option<String>,
}

pub enum Begun<'a> {
    /// To be done now.
    Go(Once<'a>),
    /// Done before, with this answer.
    Before(Response),
}

fn key(sent: &Sent) -> Result<Option<String>, Problem> {
    let Some(value) = sent.headers.get(KEY) else {
        return Ok(None);
    };
    let text = value.to_str().unwrap_or("").trim();
    let plain = !text.is_empty() && text.len() <= 255;
    match plain && text.chars().all(|c| c.is_ascii_graphic()) {
        true => Ok(Some(text.to_owned())),
        false => Err(Problem::bad(
            "An Idempotency-Key has 1 to 255 visible ASCII letters.",
        )),
    }
}

/// What was asked, so that a key is not used for something else.
fn asked(what: &str, sent: &Sent) -> String {
    let digest = Sha256::new_with_prefix(what)
        .chain_update([0])
        .chain_update(&sent.bytes)
        .finalize();
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Begins a change. `what` names the operation and the record. A repeat that comes while the first is
/// still being answered waits for it: the row of the key is locked.
pub async fn begin<'a>(
    app: &'a AppState,
    caller: &'a Caller,
    what: &str,
    sent: &Sent,
) -> Result<Begun<'a>, Problem> {
    let key = key(sent)?;
    let mut tx = app.db.begin_write().await?;
    if let Some(key) = &key {
        let (asked, now) = (asked(what, sent), app.clock.now());
        queries::forget_answers(&mut tx, now - DAY).await?;
        if !queries::claim_key(&mut tx, caller.integration, key, &asked, now).await? {
            let kept = queries::answer(&mut tx, caller.integration, key).await?;
            return match kept {
                Some(kept) if kept.asked_hash == asked => Ok(Begun::Before(again(app, &kept))),
                Some(_) => Err(Problem::new(
                    StatusCode::UNPROCESSABLE_ENTITY,
                    "This Idempotency-Key was sent before with another request. Make a new one.",
                )),
                None => Err(Problem::new(
                    StatusCode::CONFLICT,
                    "The same request is being answered. Send it again in a moment.",
                )),
            };
        }
    }
    Ok(Begun::Go(Once {
        tx,
        app,
        caller,
        key,
    }))
}

impl Once<'_> {
    /// Keeps the answer with the change, and gives it.
    pub async fn keep(mut self, done: Done) -> Result<Response, Problem> {
        let headers = json!({ "location": done.location, "etag": done.tag });
        let kept = queries::Kept {
            asked_hash: String::new(),
            status: i64::from(done.status.as_u16()),
            headers: headers.to_string(),
            body: done.body.to_string(),
        };
        if let Some(key) = &self.key {
            queries::keep_answer(&mut self.tx, self.caller.integration, key, &kept).await?;
        }
        self.tx.commit().await?;
        Ok(again(self.app, &kept))
    }

    /// The answer for what was there already: nothing to commit.
    pub fn already(self, done: Done) -> Response {
        answered(self.app, &done)
    }
}

fn again(app: &AppState, kept: &queries::Kept) -> Response {
    let headers: Value = serde_json::from_str(&kept.headers).unwrap_or_default();
    let status = u16::try_from(kept.status).unwrap_or(200);
    let done = Done {
        status: StatusCode::from_u16(status).unwrap_or(StatusCode::OK),
        location: headers["location"].as_str().unwrap_or("").to_owned(),
        tag: headers["etag"].as_str().map(str::to_owned),
        body: serde_json::from_str(&kept.body).unwrap_or_default(),
    };
    answered(app, &done)
}

fn answered(app: &AppState, done: &Done) -> Response {
    let mut response = (done.status, axum::Json(&done.body)).into_response();
    let headers = response.headers_mut();
    if !done.location.is_empty()
        && let Ok(at) = HeaderValue::from_str(&app.url(&format!("/api/v1{}", done.location)))
    {
        headers.insert(header::LOCATION, at);
    }
    if let Some(tag) = &done.tag
        && let Ok(tag) = HeaderValue::from_str(tag)
    {
        headers.insert(header::ETAG, tag);
    }
    response
}
