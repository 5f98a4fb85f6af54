//! Data in and out.

use crate::backup::pages as backups;
use crate::exchange::import::{self, FORM_LIMIT};
use crate::exchange::{export, pages};
use crate::state::AppState;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/shop/backups", get(backups::show))
        .route("/exchange", get(pages::show))
        .route("/exchange/everything.zip", get(pages::everything))
        .route(
            "/exchange/import",
            get(import::pages::show)
                .post(import::pages::send)
                .layer(DefaultBodyLimit::max(FORM_LIMIT)),
        )
        .route(
            "/exchange/import/{id}",
            get(import::pages::columns).post(import::pages::set_columns),
        )
        .route("/exchange/columns", get(export::columns))
        .route("/exchange/registers/{name}", get(export::register))
        .route("/exchange/templates/{name}", get(export::template))
        .route("/exchange/import/{id}/check", get(import::pages::check))
        .route("/exchange/import/{id}/write", post(import::pages::write))
}
