//! One table of routes, in the order of the menu; each file beside this has the pages of its rooms.

mod exchange;
mod jobs;
mod preventive;
mod registers;
mod shelf;
mod shop;

use crate::kept;
use crate::offline;
use crate::people::{session, sign_in};
use crate::serve::{logs, metrics};
use crate::shop::set_up;
use crate::state::AppState;
use crate::{error, security, static_files};
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{Method, StatusCode, Version};
use axum::middleware::{Next, from_fn, from_fn_with_state, map_response};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Router, http::header};
use std::time::Duration;
use tower_http::compression::CompressionLayer;

pub fn router(app: AppState) -> Router {
    let pages = Router::new()
        .route("/", get(sign_in::home))
        .route("/sign-in", get(sign_in::show).post(sign_in::enter))
        .route("/sign-out", post(sign_in::leave))
        .route("/kept/{id}", get(kept::show))
        .route("/kept/{id}/send", post(kept::send))
        .route("/kept/{id}/away", post(kept::away))
        .route("/outbox", get(offline::outbox))
        .route("/outbox/session", get(offline::session))
        .route("/set-up", get(set_up::show).post(set_up::create))
        .merge(jobs::routes())
        .merge(registers::routes())
        .merge(shelf::routes())
        .merge(preventive::routes())
        .merge(shop::routes())
        .merge(exchange::routes())
        .fallback(error::not_found)
        .layer(from_fn_with_state(app.clone(), offline::answered))
        .layer(from_fn_with_state(app.clone(), session::recognise));
    let pages = pages
        .route("/static/{hash}/{name}", get(static_files::serve))
        .route("/worker.js", get(offline::worker))
        .route("/healthz", get(healthy))
        .route("/readyz", get(ready));

    let base = app.config.base_path.clone();
    // axum panics on nesting at the root.
    let site = if base.is_empty() {
        pages
    } else {
        Router::new().nest(&base, pages)
    };
    site.layer(DefaultBodyLimit::max(256 * 1024))
        .layer(from_fn_with_state(app.clone(), security::headers))
        .layer(map_response(html_varies))
        .layer(CompressionLayer::new())
        .layer(from_fn(in_time))
        .layer(from_fn_with_state(app.clone(), closing))
        .layer(from_fn(metrics::counted))
        .layer(from_fn(logs::numbered))
        .with_state(app)
}

/// A request takes half a minute at most; photos come over a phone's weak signal.
async fn in_time(req: Request, next: Next) -> Response {
    let path = req.uri().path();
    let files = ["/report", "/photos", "/exchange/import"];
    let photos = req.method() == Method::POST && files.iter().any(|end| path.ends_with(end));
    let most = Duration::from_secs(if photos { 300 } else { 30 });
    match tokio::time::timeout(most, next.run(req)).await {
        Ok(response) => response,
        Err(_) => StatusCode::REQUEST_TIMEOUT.into_response(),
    }
}

/// Told to stop: no connection is kept for a next request.
async fn closing(State(app): State<AppState>, req: Request, next: Next) -> Response {
    let one = req.version() < Version::HTTP_2;
    let mut response = next.run(req).await;
    if app.stopping() && one {
        let close = header::HeaderValue::from_static("close");
        response.headers_mut().insert(header::CONNECTION, close);
    }
    response
}

/// A page differs by who asks.
async fn html_varies(mut response: Response) -> Response {
    let vary = axum::http::HeaderValue::from_static("cookie");
    response.headers_mut().append(header::VARY, vary);
    response
}

/// The process answers.
async fn healthy() -> &'static str {
    "ok\n"
}

/// The database answers too.
async fn ready(State(app): State<AppState>) -> (StatusCode, &'static str) {
    if app.stopping() {
        return (StatusCode::SERVICE_UNAVAILABLE, "stopping\n");
    }
    match app.db.ping().await {
        Ok(()) => (StatusCode::OK, "ok\n"),
        Err(_) => (
            StatusCode::SERVICE_UNAVAILABLE,
            "the database does not answer\n",
        ),
    }
}
