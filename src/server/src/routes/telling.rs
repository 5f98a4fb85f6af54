//! What people are told: their own page and the shop's.

use crate::state::AppState;
use crate::telling::mail::stop;
use crate::telling::{calendar, mail_page, outbox_page, pages, shop_page};
use axum::Router;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/telling", get(pages::show))
        .route("/telling/mail", post(mail_page::save))
        .route("/telling/calendar", post(pages::calendar))
        .route(
            "/shop/telling",
            get(shop_page::show).post(shop_page::update),
        )
        .route("/shop/telling/end", post(shop_page::end))
        .route("/shop/telling/shift", post(outbox_page::shift))
        .route("/shop/telling/address", post(outbox_page::address))
        .route("/shop/telling/mail", post(outbox_page::act))
}

/// What programs ask for: no visit, no cookie.
pub fn open() -> Router<AppState> {
    Router::new()
        .route("/calendar/{file}", get(calendar::serve::show))
        .route("/stop/{word}", get(stop::show).post(stop::stop))
}
