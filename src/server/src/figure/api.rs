//! `GET /api/figure` and `POST /api/figure/{topic}`: the same calculations for programs.

use super::contract;
use crate::api::problem;
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
    refusal(&visitor).unwrap_or_else(|| Json(contract::json()).into_response())
}

/// `POST /api/figure/{topic}`: one JSON object in, the answers with their working out. Changes
/// nothing, so it needs a session and no form token.
pub async fn answer(visitor: Visitor, Path(name): Path<String>, body: Bytes) -> Response {
    if let Some(refused) = refusal(&visitor) {
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

/// Why this visitor gets no calculation; `None` for the shop's staff.
fn refusal(visitor: &Visitor) -> Option<Response> {
    let (status, sentence) = match &visitor.person {
        None => (StatusCode::UNAUTHORIZED, "Sign in first."),
        Some(person) if person.role == Role::Reporter => (
            StatusCode::FORBIDDEN,
            "Calculations are for the shop's staff.",
        ),
        Some(_) => return None,
    };
    Some(refused(status, &Trouble::new(sentence)))
}

fn refused(status: StatusCode, trouble: &Trouble) -> Response {
    problem::with_trouble(status, &figure::trouble(trouble))
}
