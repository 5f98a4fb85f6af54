//! Signing in and out, and one's own sign-in.

use crate::people::{factor, links, me, sign_in, tablet};
use crate::state::AppState;
use axum::Router;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/sign-in", get(sign_in::show).post(sign_in::enter))
        .route("/sign-in/code", post(factor::sign_in::enter))
        .route("/sign-out", post(sign_in::leave))
        .route(
            "/password/{token}",
            get(links::pages::open).post(links::pages::set),
        )
        .route(
            "/tablet",
            get(tablet::pages::show).post(tablet::pages::enter),
        )
        .route("/tablet/change", post(tablet::pages::change))
        .route("/me", get(me::show))
        .route("/me/password", post(me::new_password))
        .route("/me/sessions", post(me::end))
        .route("/me/tablet", post(tablet::pages::share))
        .route("/me/pin", post(tablet::pages::set_pin))
        .route("/me/pin/away", post(tablet::pages::drop_pin))
        .route(
            "/me/second-factor",
            get(factor::pages::show).post(factor::pages::confirm),
        )
        .route("/me/second-factor/begin", post(factor::pages::begin))
        .route("/me/second-factor/codes", post(factor::pages::codes))
        .route("/me/second-factor/off", post(factor::pages::off))
}
