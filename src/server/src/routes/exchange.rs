//! Data in and out.

use crate::backup::pages as backups;
use crate::exchange::pages;
use crate::state::AppState;
use axum::Router;
use axum::routing::get;

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/shop/backups", get(backups::show))
        .route("/exchange", get(pages::show))
        .route("/exchange/everything.zip", get(pages::everything))
}
