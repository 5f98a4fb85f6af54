//! `/calendar/{secret}.ics`: what a calendar program asks for, without a sign-in.

use super::events::{self, Thing, Told};
use super::write::{self, Around};
use super::{Feed, Kind, Shown, hash, queries};
use crate::clock::{MINUTE, Millis};
use crate::error::AppError;
use crate::limits::Client;
use crate::people;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use subtle::ConstantTimeEq;

/// A secret is 43 letters; nothing longer is looked at.
const LONGEST: usize = 64;

pub async fn show(
    State(app): State<AppState>,
    client: Client,
    Path(file): Path<String>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    let now = app.clock.now();
    if let Err(until) = app.limits.calendars.take(client.0, now) {
        return Ok(too_often(until, now));
    }
    let Some(feed) = find(&app, &file).await? else {
        // A wrong one is counted twice over: guessing stops long before it can meet anything.
        return Ok(match app.limits.wrong_calendars.take(client.0, now) {
            Ok(()) => (StatusCode::NOT_FOUND, "There is no such calendar.\n").into_response(),
            Err(until) => too_often(until, now),
        });
    };
    let text = tell(&app, &feed).await?;
    let tag = tag(&text);
    let kept = [
        (header::ETAG, tag.as_str()),
        // A calendar program may keep it for its person and asks each time whether it still holds.
        (header::CACHE_CONTROL, "private, no-cache"),
        (HeaderName::from_static("x-robots-tag"), "noindex"),
    ];
    if same(&headers, &tag) {
        return Ok((StatusCode::NOT_MODIFIED, kept).into_response());
    }
    let kind = [
        (header::CONTENT_TYPE, "text/calendar; charset=utf-8"),
        (
            header::CONTENT_DISPOSITION,
            "inline; filename=\"brasstag.ics\"",
        ),
    ];
    Ok((kept, kind, text).into_response())
}

fn too_often(until: Millis, now: Millis) -> Response {
    let seconds = ((until - now) / 1000 + 1).to_string();
    let again = [(header::RETRY_AFTER, seconds)];
    (
        StatusCode::TOO_MANY_REQUESTS,
        again,
        "Asked too often. Ask again later.\n",
    )
        .into_response()
}

/// The feed of a secret. Looked up by its hash, so that how long it takes says nothing of the secret.
async fn find(app: &AppState, file: &str) -> Result<Option<Feed>, AppError> {
    let Some(secret) = file.strip_suffix(".ics").filter(|s| s.len() <= LONGEST) else {
        return Ok(None);
    };
    let asked = hash(secret);
    let Some((feed, kept)) = queries::by_hash(&app.db, &asked).await? else {
        return Ok(None);
    };
    if !bool::from(asked.as_bytes().ct_eq(kept.as_bytes())) {
        return Ok(None);
    }
    let person = people::queries::find(&app.db, feed.person_id).await?;
    Ok(person
        .filter(|person| feed.kind.open_to(person.role))
        .map(|_| feed))
}

async fn tell(app: &AppState, feed: &Feed) -> Result<String, AppError> {
    let now = app.clock.now();
    let today = app.today();
    let shown = shown(app).await?;
    let mut tx = app.db.begin_write().await?;
    if feed.asked_at.is_none_or(|at| now - at > 10 * MINUTE) {
        queries::forget(&mut tx, feed.id, today, now).await?;
    }
    // Also where nothing is to be noted: two processes that tell the same feed wait for each other.
    queries::asked(&mut tx, feed.id, now).await?;
    let there = there(&mut tx, feed, &shown, today).await?;
    let before = queries::told(&mut tx, feed.id).await?;
    let (all, changed) = events::tell(there, before, today, now);
    for told in &changed {
        queries::note(&mut tx, feed.id, told).await?;
    }
    tx.commit().await?;
    Ok(written(app, feed, &shown, &all))
}

/// What calendars may show; the row is written the first time.
pub async fn shown(app: &AppState) -> Result<Shown, AppError> {
    if let Some(shown) = queries::shown(&app.db).await? {
        return Ok(shown);
    }
    let mut tx = app.db.begin_write().await?;
    let uid = uuid::Uuid::now_v7().to_string();
    queries::begin_rules(&mut tx, &uid).await?;
    tx.commit().await?;
    queries::shown(&app.db)
        .await?
        .ok_or_else(|| AppError::Broken("what calendars show was not written".to_owned()))
}

async fn there(
    tx: &mut crate::db::Tx,
    feed: &Feed,
    shown: &Shown,
    today: time::Date,
) -> Result<BTreeMap<Thing, events::Says>, AppError> {
    let jobs = match feed.kind {
        Kind::Own => queries::jobs(tx, Some(feed.person_id), today).await?,
        Kind::Shop => queries::jobs(tx, None, today).await?,
        Kind::Due => Vec::new(),
    };
    let due = match feed.kind {
        Kind::Own => Vec::new(),
        Kind::Shop => queries::due(tx, false, today).await?,
        Kind::Due => queries::due(tx, true, today).await?,
    };
    let jobs = jobs.iter().map(|found| (Thing::Job(found.id), found));
    let due = due.iter().map(|found| (Thing::Due(found.id), found));
    Ok(jobs
        .chain(due)
        .map(|(thing, found)| (thing, events::says(thing, found, shown)))
        .collect())
}

fn written(app: &AppState, feed: &Feed, shown: &Shown, events: &[Told]) -> String {
    let zone = app.shop().map_or_else(String::new, |shop| shop.time_zone);
    let name = crate::telling::one_line(&format!("{}: {}", app.shop_name(), feed.kind.words()));
    let around = Around {
        uid: &shown.uid,
        feed: feed.id,
        name: &name,
        zone: &zone,
        pages: &app.public_url(""),
    };
    write::text(&around, events)
}

/// Weak, because the same text may travel packed or plain.
fn tag(text: &str) -> String {
    let digest = Sha256::digest(text);
    let hex: String = digest
        .iter()
        .take(16)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    format!("W/\"{hex}\"")
}

/// `If-None-Match` names it, by weak comparison (RFC 9110, 13.1.2).
fn same(headers: &HeaderMap, tag: &str) -> bool {
    let bare = |tag: &str| tag.trim().trim_start_matches("W/").to_owned();
    headers
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .any(|named| named.trim() == "*" || bare(named) == bare(tag))
}
