//! Data in and out.

use crate::exchange::pages;
use crate::state::AppState;
use axum::Router;
use axum::routing::get;

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/exchange", get(pages::show))
        .route("/exchange/everything.zip", get(pages::everything))
}
