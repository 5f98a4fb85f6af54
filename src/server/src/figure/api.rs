//! `GET /api/figure` and `POST /api/figure/{topic}`: the same calculations for programs.

use super::contract;
use crate::people::Role;
use crate::people::session::Visitor;
use axum::Json;
use axum::body::Bytes;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use calc::figure::{self, Trouble};
use serde_json::Value;

/// `GET /api/figure`: every topic with its fields, answers and units.
pub async fn list(visitor: Visitor) -> Response {
    match signed_in(&visitor) {
        Ok(()) => Json(contract::json()).into_response(),
        Err(refused) => refused,
    }
}

/// `POST /api/figure/{topic}`: one JSON object in, the answers with their working out. Changes
/// nothing, so it needs a session and no form token.
pub async fn answer(visitor: Visitor, Path(name): Path<String>, body: Bytes) -> Response {
    if let Err(refused) = signed_in(&visitor) {
        return refused;
    }
    let Some(topic) = figure::find(&name) else {
        let sentence = format!("There is no topic {name:?}. GET /api/figure lists them.");
        return refused(StatusCode::NOT_FOUND, &Trouble::new(sentence));
    };
    let Ok(input) = serde_json::from_slice::<Value>(&body) else {
        let trouble = Trouble::new("The body is not JSON.");
        return refused(StatusCode::BAD_REQUEST, &trouble);
    };
    match figure::run(topic, &input) {
        Ok(answer) => Json(answer).into_response(),
        Err(trouble) => refused(StatusCode::UNPROCESSABLE_ENTITY, &trouble),
    }
}

fn signed_in(visitor: &Visitor) -> Result<(), Response> {
    match &visitor.person {
        None => Err(refused(
            StatusCode::UNAUTHORIZED,
            &Trouble::new("Sign in first."),
        )),
        Some(person) if person.role == Role::Reporter => Err(refused(
            StatusCode::FORBIDDEN,
            &Trouble::new("Calculations are for the shop's staff."),
        )),
        Some(_) => Ok(()),
    }
}

fn refused(status: StatusCode, trouble: &Trouble) -> Response {
    (status, Json(figure::trouble(trouble))).into_response()
}
