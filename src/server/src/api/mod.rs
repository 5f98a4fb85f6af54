//! `/api/v1`: the shop's record for other programs, as JSON. Start at [`table`].

pub mod asked;
pub mod caller;
pub mod change_jobs;
pub mod change_machines;
pub mod document;
pub mod entries;
pub mod etag;
pub mod figure;
pub mod integrations;
pub mod jobs;
pub mod machines;
pub mod once;
pub mod paging;
pub mod problem;
pub mod queries;
pub mod rate;
pub mod scopes;
pub mod shapes;
pub mod table;

use crate::people::session;
use crate::state::AppState;
use axum::Router;
use axum::http::StatusCode;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::{any, get, post};
use problem::Problem;

/// Everything below `/api`.
pub fn routes(app: &AppState) -> Router<AppState> {
    let signed_in = Router::new()
        .route("/figure", get(crate::figure::api::list))
        .route("/figure/{topic}", post(crate::figure::api::answer))
        .layer(from_fn_with_state(app.clone(), session::recognise));
    Router::new()
        .nest("/v1", v1(app))
        .merge(signed_in)
        .fallback(async || Problem::not_found())
        .method_not_allowed_fallback(async || StatusCode::METHOD_NOT_ALLOWED)
        .layer(from_fn(problem::framed))
}

/// The one address below `/api` that is not within it.
pub fn nothing() -> Router<AppState> {
    Router::new()
        .route("/api/", any(async || Problem::not_found()))
        .layer(from_fn(problem::framed))
}

fn v1(app: &AppState) -> Router<AppState> {
    Router::new()
        .route("/openapi.json", get(document::serve))
        .route(
            "/machines",
            get(machines::list_machines).post(change_machines::add_machine),
        )
        .route(
            "/machines/{id}",
            get(machines::show_machine).patch(change_machines::change_machine),
        )
        .route("/machines/{id}/meters", get(machines::list_meters))
        .route(
            "/meters/{id}/readings",
            post(change_machines::enter_reading),
        )
        .route("/places", get(machines::list_places))
        .route(
            "/jobs",
            get(jobs::list_jobs).post(change_jobs::report_fault),
        )
        .route("/jobs/{id}", get(jobs::show_job))
        .route(
            "/jobs/{id}/entries",
            get(jobs::list_entries).post(change_jobs::add_entry),
        )
        .route("/due", get(jobs::list_due))
        .route("/figure", get(figure::list_topics))
        .route("/figure/{topic}", post(figure::calculate))
        .fallback(async || Problem::not_found())
        .method_not_allowed_fallback(async || StatusCode::METHOD_NOT_ALLOWED)
        .layer(from_fn_with_state(app.clone(), caller::admit))
}
