//! Machines, places of machines and panels.

use crate::jobs::{emergency, of_machine};
use crate::photos::{self, upload::form_limit};
use crate::state::AppState;
use crate::{changes, instruments, machines, motors, panels, readings, search};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/search", get(search::show))
        .route("/machines", get(machines::list::list))
        .route(
            "/machines/new",
            get(machines::edit::new).post(machines::edit::create),
        )
        .route("/machines/tags", get(machines::tags::all))
        .route("/machines/{id}", get(machines::show::show))
        .route(
            "/machines/{id}/edit",
            get(machines::edit::edit).post(machines::edit::update),
        )
        .route("/machines/{id}/feed", post(machines::edit::prove_feed))
        .route("/machines/{id}/emergency", post(emergency::open))
        .route("/machines/{id}/tag", get(machines::tags::one))
        .route(
            "/machines/{id}/papers",
            get(machines::papers::show).post(machines::papers::act),
        )
        .route(
            "/photos/of/{thing}",
            get(photos::things::show)
                .post(photos::things::add)
                .layer(DefaultBodyLimit::max(form_limit(1))),
        )
        .route(
            "/photos/of/{thing}/withdraw",
            post(photos::things::withdraw),
        )
        .route("/documents/{id}", get(machines::papers::files::download))
        .route(
            "/machines/{id}/papers/document",
            post(machines::papers::sending::add)
                .layer(DefaultBodyLimit::max(machines::papers::sending::FORM_LIMIT)),
        )
        .route("/machines/{id}/readings", get(readings::show))
        .route("/machines/{id}/timeline", get(of_machine::show))
        .route("/machines/{id}/isolation", get(machines::isolation::show))
        .route(
            "/machines/{id}/isolation/edit",
            get(machines::isolation::edit).post(machines::isolation::revise),
        )
        .route(
            "/machines/{id}/isolation/inspection",
            post(machines::isolation::inspect),
        )
        .route(
            "/machines/{id}/motors/another",
            get(motors::units::another::ask).post(motors::units::another::record),
        )
        .route(
            "/motors/units/{id}",
            get(motors::units::pages::show).post(motors::units::pages::place),
        )
        .route("/motors/plate/read", post(motors::plate_read::fragment))
        .route("/instruments", get(instruments::pages::list))
        .route(
            "/instruments/new",
            get(instruments::pages::new).post(instruments::pages::create),
        )
        .route("/instruments/{id}", get(instruments::pages::show))
        .route(
            "/instruments/{id}/edit",
            get(instruments::pages::edit).post(instruments::pages::update),
        )
        .route(
            "/instruments/{id}/calibrations",
            post(instruments::calibration::record),
        )
        .route("/changes/{register}/{id}", get(changes::show))
        .route("/panels", get(panels::show::list))
        .route(
            "/panels/new",
            get(panels::edit::new_panel).post(panels::edit::create_panel),
        )
        .route("/panels/{id}", get(panels::show::show))
        .route("/panels/{id}/schedule", get(panels::schedule::show))
        .route("/panels/{id}/check", get(panels::whole::show))
        .route(
            "/panels/{id}/edit",
            get(panels::edit::edit_panel).post(panels::edit::update_panel),
        )
        .route(
            "/panels/{id}/circuits/new",
            get(panels::edit::new_circuit).post(panels::edit::create_circuit),
        )
        .route("/panels/circuits/{id}", get(panels::show::circuit))
        .route(
            "/panels/circuits/{id}/label",
            post(panels::show::mark_label),
        )
        .route(
            "/panels/circuits/{id}/edit",
            get(panels::edit::edit_circuit).post(panels::edit::update_circuit),
        )
}
