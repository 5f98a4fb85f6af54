//! The calculations, for programs with a token.

use super::asked::{JSON, Sent};
use super::caller::Caller;
use super::problem::{self, Problem};
use crate::figure::contract;
use axum::Json;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use calc::figure;
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

/// The topics of the calculations.
#[derive(Debug, Serialize, ToSchema)]
pub struct Topics {
    /// Each with its fields, answers and their units.
    #[schema(value_type = Vec<Object>)]
    items: Value,
}

/// Every calculation with its fields, answers and units.
#[utoipa::path(get, path = "/figure", tag = "figure",
    responses((status = 200, description = "The topics", body = Topics)))]
pub async fn list_topics(_caller: Caller) -> Json<Topics> {
    Json(Topics {
        items: contract::json(),
    })
}

/// Calculates. Changes nothing.
///
/// The body is one object with the fields of the topic, as `GET /figure` lists them with their units;
/// what is left out or null is not known. The answer has the topic's answers and `working`, the shown
/// calculation. A figure is never a permission: a qualified person judges, by the code adopted locally.
#[utoipa::path(post, path = "/figure/{topic}", tag = "figure",
    params(("topic" = String, Path, description = "The name of a topic, such as motor_branch")),
    request_body(content = serde_json::Map<String, serde_json::Value>, content_type = "application/json"),
    responses((status = 200, description = "The answers with their working", body = serde_json::Map<String, serde_json::Value>)))]
pub async fn calculate(
    _caller: Caller,
    topic: Result<Path<String>, axum::extract::rejection::PathRejection>,
    sent: Sent,
) -> Result<Response, Problem> {
    let Path(name) = topic.map_err(|_| Problem::not_found())?;
    let topic = figure::find(&name).ok_or_else(|| {
        Problem::new(
            StatusCode::NOT_FOUND,
            "There is no such topic. GET figure lists them.",
        )
    })?;
    let input = sent.value(JSON)?;
    match figure::run(topic, &input) {
        Ok(answer) => Ok(Json(answer).into_response()),
        Err(trouble) => Ok(problem::with_trouble(
            StatusCode::UNPROCESSABLE_ENTITY,
            &figure::trouble(&trouble),
        )),
    }
}
