//! `/desk` and the part of it that is asked for again and again.

use super::board::Board;
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

pub const READERS: &[Role] = &[Role::Supervisor, Role::Auditor];

#[derive(Template)]
#[template(path = "desk/desk.html")]
pub struct DeskPage {
    layout: Layout,
    board: Board,
    fields: Fields,
    errors: FieldErrors,
    /// How many of what was ticked went through, where others did not.
    kept: usize,
    today: String,
}

#[derive(Template)]
#[template(path = "desk/board.html")]
struct BoardPart {
    layout: Layout,
    board: Board,
    fields: Fields,
}

impl DeskPage {
    /// # Errors
    /// The database's own.
    pub async fn load(
        app: &AppState,
        user: &CurrentUser,
        fields: Fields,
        errors: FieldErrors,
        kept: usize,
    ) -> Result<Page<DeskPage>, AppError> {
        Ok(Page(DeskPage {
            layout: Layout::new(app, &user.visitor, "Desk"),
            board: Board::load(app).await?,
            fields,
            errors,
            kept,
            today: date_value(app.today()),
        }))
    }

    fn on(&self) -> String {
        match self.fields.get("on") {
            "" => self.today.clone(),
            typed => typed.to_owned(),
        }
    }

    fn is(&self, name: &str, value: &str) -> bool {
        self.fields.get(name) == value
    }
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = DeskPage::load(&app, &user, fields, errors, 0).await?;
    Ok(page.into_response())
}

/// The lists alone, for the page that is open: 304 where nothing has changed since they were sent.
pub async fn part(
    user: CurrentUser,
    State(app): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let part = BoardPart {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        board: Board::load(&app).await?,
        fields: Fields::default(),
    };
    let html = part.render().map_err(|e| AppError::Broken(e.to_string()))?;
    let digest: String = Sha256::digest(html.as_bytes())
        .iter()
        .take(16)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let tag = format!("\"{digest}\"");
    let seen = headers.get(header::IF_NONE_MATCH);
    let value = HeaderValue::from_str(&tag).map_err(|e| AppError::Broken(e.to_string()))?;
    // Asked for again each time, kept by this browser only.
    let cache = HeaderValue::from_static("private, no-cache");
    let about = [(header::ETAG, value), (header::CACHE_CONTROL, cache)];
    if seen.is_some_and(|seen| seen.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, about).into_response());
    }
    let kind = [(header::CONTENT_TYPE, "text/html; charset=utf-8")];
    Ok((about, kind, html).into_response())
}
