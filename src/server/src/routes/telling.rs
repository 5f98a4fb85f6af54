//! What people are told: their own page and the shop's.

use crate::state::AppState;
use crate::telling::{calendar, pages, shop_page};
use axum::Router;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/telling", get(pages::show))
        .route("/telling/calendar", post(pages::calendar))
        .route(
            "/shop/telling",
            get(shop_page::show).post(shop_page::update),
        )
        .route("/shop/telling/end", post(shop_page::end))
}

/// What programs ask for: no visit, no cookie.
pub fn open() -> Router<AppState> {
    Router::new().route("/calendar/{file}", get(calendar::serve::show))
}
