//! Shelf, fit, circuit check and Bench.

use crate::state::AppState;
use crate::{bench, circuit_check, figure, fit, shelf};
use axum::Router;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/shelf", get(shelf::list))
        .route("/shelf/motors/new", get(shelf::new).post(shelf::create))
        .route("/shelf/motors/{id}", get(shelf::show))
        .route(
            "/shelf/motors/{id}/edit",
            get(shelf::edit).post(shelf::update),
        )
        .route("/shelf/motors/{id}/count", post(shelf::count))
        .route(
            "/shelf/lists/new",
            get(shelf::lists::new).post(shelf::lists::create),
        )
        .route("/shelf/lists/{id}", get(shelf::lists::show))
        .route(
            "/shelf/lists/{id}/motors/new",
            get(shelf::lists::new_motor).post(shelf::lists::add_motor),
        )
        .route("/find", get(fit::find::show))
        .route("/find/compare", get(fit::find::compare::show))
        .route("/jobs/{id}/fit", get(fit::list))
        .route("/jobs/{id}/fit/{motor}", get(fit::show).post(fit::choose))
        .route(
            "/jobs/{id}/circuit",
            get(circuit_check::show).post(circuit_check::record_check),
        )
        .route("/jobs/{id}/circuit/decision", post(circuit_check::decide))
        .route("/bench", get(bench::index))
        .route("/bench/{name}", get(bench::show))
        .route("/api/figure", get(figure::api::list))
        .route("/api/figure/{topic}", post(figure::api::answer))
}
