//! `/stop/{word}`: one click and there is no more such mail (RFC 8058). Needs no sign-in; the word can
//! do nothing else.

use super::kinds::{Kind, Way};
use super::queries;
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::session::Visitor;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "telling/stop.html")]
struct StopPage {
    layout: Layout,
    word: String,
    report: bool,
    done: bool,
}

/// Looking at it stops nothing: programs look at addresses before people do.
pub async fn show(
    State(app): State<AppState>,
    Path(word): Path<String>,
) -> Result<Response, AppError> {
    let (_, entry) = queries::stop_of(&app.db, &word)
        .await?
        .ok_or(AppError::NotFound)?;
    Ok(page(&app, word, entry.is_some(), false))
}

pub async fn stop(
    State(app): State<AppState>,
    Path(word): Path<String>,
) -> Result<Response, AppError> {
    let (person, entry) = queries::stop_of(&app.db, &word)
        .await?
        .ok_or(AppError::NotFound)?;
    let mut tx = app.db.begin_write().await?;
    queries::stop(&mut tx, person, entry.as_deref(), app.clock.now()).await?;
    if let Some(person) = person {
        for kind in Kind::ALL {
            queries::set_way(&mut tx, person, kind, Way::Nothing).await?;
        }
    }
    tx.commit().await?;
    Ok(page(&app, word, entry.is_some(), true))
}

fn page(app: &AppState, word: String, report: bool, done: bool) -> Response {
    Page(StopPage {
        layout: Layout::new(app, &Visitor::default(), ""),
        word,
        report,
        done,
    })
    .into_response()
}
