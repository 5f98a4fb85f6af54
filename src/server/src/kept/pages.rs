//! A kept form: looked at, sent on, thrown away.

use super::{KEPT_FOR, Kept, queries};
use crate::error::AppError;
use crate::form::Fields;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

/// Hidden keys of forms: sent on, but nothing that anybody typed.
const KEYS: &[&str] = &[
    "entry",
    "seen",
    "device_at",
    "kept_by",
    "kept_as",
    "version",
    "source",
    "lock",
    "motor",
];

#[derive(Template)]
#[template(path = "kept/show.html")]
struct KeptPage {
    layout: Layout,
    kept: Kept,
    fields: Vec<(String, String)>,
    when: String,
    sent: Option<String>,
}

impl KeptPage {
    /// What was typed, under the field's name as words.
    fn shown(&self) -> Vec<(String, &str)> {
        self.fields
            .iter()
            .filter(|(name, value)| !value.trim().is_empty() && !KEYS.contains(&name.as_str()))
            .map(|(name, value)| (name.replace(['_', '-'], " "), value.as_str()))
            .collect()
    }
}

/// The kept form, if it is this person's.
async fn own(app: &AppState, user: &CurrentUser, id: &str) -> Result<Kept, AppError> {
    let kept = queries::find(&app.db, id).await?;
    let kept = kept.filter(|kept| kept.kept_at > app.clock.now() - KEPT_FOR);
    let kept = kept.ok_or(AppError::NotFound)?;
    if kept.person_id == user.id() {
        Ok(kept)
    } else {
        Err(AppError::Forbidden(
            "Somebody else typed this before their session ended. It waits for them for a day, \
             and nothing was saved. They must sign in themselves.",
        ))
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    let kept = own(&app, &user, &id).await?;
    let zone = app.zone();
    let page = KeptPage {
        layout: Layout::new(&app, &user.visitor, ""),
        fields: serde_html_form::from_str(&kept.fields)
            .map_err(|e| AppError::Broken(e.to_string()))?,
        when: zone.minute_words(kept.kept_at),
        sent: kept.sent_at.map(|at| zone.minute_words(at)),
        kept,
    };
    Ok(Page(page).into_response())
}

/// Sends it on to where it was going: the browser posts the same fields there (307), once.
pub async fn send(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<String>,
    _fields: Fields,
) -> Result<Response, AppError> {
    let kept = own(&app, &user, &id).await?;
    let mut tx = app.db.begin_write().await?;
    let first = queries::send(&mut tx, &id, app.clock.now()).await?;
    tx.commit().await?;
    if first {
        Ok(Redirect::temporary(&app.url(&kept.path)).into_response())
    } else {
        Ok(Redirect::to(&app.url(&format!("/kept/{id}"))).into_response())
    }
}

pub async fn away(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<String>,
    _fields: Fields,
) -> Result<Response, AppError> {
    own(&app, &user, &id).await?;
    let mut tx = app.db.begin_write().await?;
    queries::delete(&mut tx, &id).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/")).into_response())
}
