//! The shop, its places and its people.

use crate::crew;
use crate::people;
use crate::shop::{closed, overview, places, repeats, response};
use crate::state::AppState;
use axum::Router;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/shop", get(overview::show))
        .route("/shop/settings", get(overview::edit).post(overview::update))
        .route("/shop/response", get(response::edit).post(response::update))
        .route("/shop/closed", get(closed::show).post(closed::save))
        .route("/shop/repeats", get(repeats::edit).post(repeats::update))
        // Hours, days away, qualifications
        .route("/crew", get(crew::pages::list))
        .route("/crew/{id}", get(crew::pages::show).post(crew::pages::save))
        .route("/shop/places", get(places::list))
        .route("/shop/places/new", get(places::new).post(places::create))
        .route("/shop/places/{id}", get(places::edit).post(places::update))
        .route(
            "/shop/people/new",
            get(people::edit::new).post(people::edit::create),
        )
        .route(
            "/shop/people/{id}",
            get(people::edit::show).post(people::edit::update),
        )
        .route(
            "/shop/people/{id}/password",
            post(people::edit::new_password),
        )
        .route("/shop/people/{id}/close", post(people::edit::close))
}
