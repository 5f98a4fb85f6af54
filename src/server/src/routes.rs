//! One table of routes, in the order of the menu.

use crate::people::{session, sign_in};
use crate::shop::set_up;
use crate::state::AppState;
use crate::{error, ledger, preventive, security, static_files};
use axum::extract::{DefaultBodyLimit, State};
use axum::http::StatusCode;
use axum::middleware::{from_fn_with_state, map_response};
use axum::response::Response;
use axum::routing::{get, post};
use axum::{Router, http::header};
use std::time::Duration;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::TimeoutLayer;
use tower_http::trace::TraceLayer;

pub fn router(app: AppState) -> Router {
    let pages = Router::new()
        .route("/", get(sign_in::home))
        .route("/sign-in", get(sign_in::show).post(sign_in::enter))
        .route("/sign-out", post(sign_in::leave))
        .route("/set-up", get(set_up::show).post(set_up::create))
        // Reports, Desk, Today and jobs
        // Machines, places and panels
        // Shelf, fit, circuit check and Bench
        // Preventive and Ledger
        .route("/ledger", get(ledger::show))
        .route("/preventive", get(preventive::pages::list))
        .route("/preventive/new", get(preventive::acts::new).post(preventive::acts::create))
        .route("/preventive/{plan}", get(preventive::pages::show))
        .route(
            "/preventive/{plan}/edit",
            get(preventive::acts::edit).post(preventive::acts::update),
        )
        .route("/preventive/items/{item}/job", post(preventive::acts::make_job))
        .route("/preventive/items/{item}/could-not", post(preventive::acts::could_not))
        .route(
            "/jobs/{n}/plan-from-cause",
            get(preventive::from_cause::show).post(preventive::from_cause::save),
        )
        // Shop and people
        .fallback(error::not_found)
        .layer(from_fn_with_state(app.clone(), session::recognise));
    let pages = pages
        .route("/static/{hash}/{name}", get(static_files::serve))
        .route("/healthz", get(healthy))
        .route("/readyz", get(ready));

    let base = app.config.base_path.clone();
    // axum panics on nesting at the root.
    let site = if base.is_empty() { pages } else { Router::new().nest(&base, pages) };
    site.layer(DefaultBodyLimit::max(256 * 1024))
        .layer(from_fn_with_state(app.clone(), security::headers))
        .layer(map_response(html_varies))
        .layer(CompressionLayer::new())
        .layer(TimeoutLayer::with_status_code(
            StatusCode::REQUEST_TIMEOUT,
            Duration::from_secs(30),
        ))
        .layer(TraceLayer::new_for_http())
        .with_state(app)
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
    match app.db.ping().await {
        Ok(()) => (StatusCode::OK, "ok\n"),
        Err(_) => (StatusCode::SERVICE_UNAVAILABLE, "the database does not answer\n"),
    }
}
