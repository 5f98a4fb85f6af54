//! The shop, its places and its people.

use crate::api::integrations;
use crate::crew;
use crate::shop::{closed, overview, places, repeats, response, sign_ins};
use crate::state::AppState;
use crate::{audit, people};
use axum::Router;
use axum::routing::{get, post};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/shop", get(overview::show))
        .route("/shop/settings", get(overview::edit).post(overview::update))
        .route("/shop/audit", get(audit::pages::show))
        .route("/shop/audit.csv", get(audit::pages::file))
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
            post(people::other::new_password),
        )
        .route("/shop/people/{id}/link", post(people::links::pages::create))
        .route(
            "/shop/people/{id}/sessions",
            post(people::other::end_sessions),
        )
        .route(
            "/shop/people/{id}/second-factor",
            post(people::other::reset),
        )
        .route("/shop/sign-in", get(sign_ins::show).post(sign_ins::save))
        .route("/shop/tablets", get(people::tablet::pages::list))
        .route("/shop/tablets/{id}/end", post(people::tablet::pages::end))
        .route("/shop/people/{id}/close", post(people::other::close))
        .route(
            "/shop/integrations",
            get(integrations::show).post(integrations::make),
        )
        .route("/shop/integrations/{id}/end", post(integrations::revoke))
        .route(
            "/shop/integrations/contract",
            get(integrations::contract_page::show),
        )
}
