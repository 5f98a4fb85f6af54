//! `/worker.js`, `/outbox`, and who is signed in, for the phone.

use crate::error::AppError;
use crate::jobs::step_page::WORKERS;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::people::session::Visitor;
use crate::state::AppState;
use crate::static_files;
use askama::Template;
use axum::Json;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::json;

#[derive(Template)]
#[template(path = "offline/outbox.html")]
struct OutboxPage {
    layout: Layout,
}

/// What this phone keeps and has not sent; its script fills it in.
pub async fn outbox(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let layout = Layout::new(&app, &user.visitor, "");
    Ok(Page(OutboxPage { layout }).into_response())
}

/// Who is signed in, and the word that their forms carry.
pub async fn session(visitor: Visitor) -> Response {
    let Some(person) = visitor.person else {
        return (StatusCode::UNAUTHORIZED, "Sign in first.\n").into_response();
    };
    let now = json!({ "person": person.id.0, "name": person.name, "csrf": visitor.csrf });
    ([(header::CACHE_CONTROL, "no-store")], Json(now)).into_response()
}

/// The worker with what it has to know about this installation in front of it. It stands beside the
/// pages, because a worker serves the pages below its own address only.
pub async fn worker(State(app): State<AppState>) -> Response {
    let base = &app.config.base_path;
    let files: Vec<String> = ["app.css", "print.css", "icon.svg"]
        .into_iter()
        .chain(static_files::PHONE)
        .map(|name| format!("{base}{}", static_files::address(name)))
        .collect();
    let body = format!(
        "const BASE = {};\nconst FILES = {};\n{}\n{}",
        json!(base),
        json!(files),
        include_str!("../../../../static/phone.js"),
        include_str!("../../../../static/worker.js"),
    );
    let headers = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (headers, body).into_response()
}
