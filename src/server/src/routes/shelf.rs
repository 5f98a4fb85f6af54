//! Shelf, fit, circuit check and Bench.

use crate::state::AppState;
use crate::{bench, circuit_check, fit, jobs, shelf, stores};
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
        .merge(stores_routes())
        .route("/jobs/{id}/fit", get(fit::list))
        .route("/jobs/{id}/fit/{motor}", get(fit::show).post(fit::choose))
        .route(
            "/jobs/{id}/circuit",
            get(circuit_check::show).post(circuit_check::record_check),
        )
        .route("/jobs/{id}/circuit/decision", post(circuit_check::decide))
        .route("/bench", get(bench::index))
        .route("/bench/{name}", get(bench::show))
}

/// Parts, their movements and lists.
fn stores_routes() -> Router<AppState> {
    use jobs::stores::page as of_job;
    use stores::{alternates, buying, lists, machine_list, moves, parts};
    Router::new()
        .route("/shelf/parts", get(parts::list))
        .route("/shelf/parts/new", get(parts::new).post(parts::create))
        .route("/shelf/parts/{id}", get(parts::show))
        .route(
            "/shelf/parts/{id}/edit",
            get(parts::edit).post(parts::update),
        )
        .route("/shelf/to-order", get(lists::to_order))
        .route("/shelf/expiry", get(lists::expiry))
        .route("/shelf/counting", get(lists::counting))
        .route("/buying", get(buying::list).post(buying::ask))
        .route("/buying/{id}", get(buying::show).post(buying::take_step))
        .route(
            "/shelf/{kind}/{id}/alternates",
            get(alternates::show).post(alternates::approve),
        )
        .route(
            "/shelf/{kind}/{id}/alternates/{alternate}/withdraw",
            post(alternates::withdraw),
        )
        .route("/shelf/parts/{id}/receive", post(moves::receive))
        .route("/shelf/parts/{id}/count", post(moves::count))
        .route("/shelf/parts/{id}/scrap", post(moves::scrap))
        .route(
            "/machines/{id}/parts",
            get(machine_list::show).post(machine_list::add),
        )
        .route(
            "/machines/{id}/parts/{line}/remove",
            post(machine_list::remove),
        )
        .route(
            "/jobs/{id}/warranty",
            get(jobs::stores::warranty::show).post(jobs::stores::warranty::answer),
        )
        .route(
            "/jobs/{id}/warranty/unit",
            post(jobs::stores::warranty::unit),
        )
        .route(
            "/jobs/{id}/warranty/settled",
            post(jobs::stores::warranty::settled),
        )
        .route("/jobs/{id}/stores", get(of_job::show))
        .route("/jobs/{id}/stores/issue", post(of_job::issue))
        .route("/jobs/{id}/stores/return", post(of_job::give_back))
        .route("/jobs/{id}/stores/keep", post(of_job::keep))
        .route("/jobs/{id}/stores/release", post(of_job::release))
        .route("/jobs/{id}/stores/count", post(of_job::count))
}
