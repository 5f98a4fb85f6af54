//! What every refusal below `/api` looks like: `application/problem+json` (RFC 9457).

use crate::error::AppError;
use crate::form::FieldErrors;
use crate::jobs::gate::Refusal;
use axum::body::Body;
use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

pub const PROBLEM: &str = "application/problem+json";

/// What was wrong with one field.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct FieldProblem {
    /// The field's name, a path such as `body.note` where it lies deeper, or `form` where it is about the whole.
    pub field: String,
    /// One sentence for people.
    pub message: String,
}

/// A refusal, as RFC 9457 describes it. Nothing was changed.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Problem {
    /// Always `about:blank`: the status says what kind it is.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The words of the status.
    pub title: &'static str,
    /// The HTTP status.
    #[schema(minimum = 400, maximum = 599)]
    pub status: u16,
    /// What to do about it, in a sentence.
    pub detail: String,
    /// The fields that were refused; empty where it is about none of them.
    pub errors: Vec<FieldProblem>,
    #[serde(skip)]
    headers: Vec<(HeaderName, HeaderValue)>,
}

impl Problem {
    pub fn new(status: StatusCode, detail: impl Into<String>) -> Problem {
        Problem {
            kind: "about:blank",
            title: status.canonical_reason().unwrap_or("Refused"),
            status: status.as_u16(),
            detail: detail.into(),
            errors: Vec::new(),
            headers: Vec::new(),
        }
    }

    pub fn with(mut self, name: HeaderName, value: HeaderValue) -> Problem {
        self.headers.push((name, value));
        self
    }

    pub fn bad(detail: impl Into<String>) -> Problem {
        Problem::new(StatusCode::BAD_REQUEST, detail)
    }

    pub fn forbidden(detail: impl Into<String>) -> Problem {
        Problem::new(StatusCode::FORBIDDEN, detail)
    }

    pub fn not_found() -> Problem {
        Problem::new(StatusCode::NOT_FOUND, "There is nothing at this address.")
    }

    /// One field that cannot be taken.
    pub fn field(field: &str, message: impl Into<String>) -> Problem {
        FieldErrors::of(field, message).into()
    }

    fn of_status(status: StatusCode) -> Problem {
        let detail = match status {
            StatusCode::BAD_REQUEST => "The request could not be read.",
            StatusCode::NOT_FOUND => "There is nothing at this address.",
            StatusCode::METHOD_NOT_ALLOWED => {
                "This address does not take this method; the header Allow names those it takes."
            }
            StatusCode::REQUEST_TIMEOUT => "The request took too long. Nothing is known of it.",
            StatusCode::PAYLOAD_TOO_LARGE => "The body is too large.",
            StatusCode::UNSUPPORTED_MEDIA_TYPE => "This kind of content is not taken here.",
            StatusCode::UNAUTHORIZED => "Sign in first.",
            _ if status.is_server_error() => "Something went wrong. Nothing was saved.",
            _ => "The request was refused.",
        };
        Problem::new(status, detail)
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::BAD_REQUEST);
        let mut response = (status, json!(self).to_string()).into_response();
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(PROBLEM));
        for (name, value) in self.headers {
            headers.insert(name, value);
        }
        response
    }
}

impl From<FieldErrors> for Problem {
    fn from(errors: FieldErrors) -> Problem {
        let mut problem = Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Nothing was saved. What was wrong stands beside each field.",
        );
        problem.errors = errors
            .all()
            .map(|(field, message)| FieldProblem {
                field: field.to_owned(),
                message: message.to_owned(),
            })
            .collect();
        if let [only] = problem.errors.as_slice() {
            problem.detail = only.message.clone();
        }
        problem
    }
}

impl From<Refusal> for Problem {
    fn from(refusal: Refusal) -> Problem {
        Problem::field(refusal.field, refusal.message)
    }
}

impl From<sqlx::Error> for Problem {
    fn from(cause: sqlx::Error) -> Problem {
        tracing::error!(error = &cause as &dyn std::error::Error, "database error");
        Problem::of_status(StatusCode::INTERNAL_SERVER_ERROR)
    }
}

impl From<AppError> for Problem {
    fn from(error: AppError) -> Problem {
        let said = error.to_string();
        match error {
            AppError::NotFound | AppError::GoTo(_) => Problem::not_found(),
            AppError::Forbidden(_) => Problem::forbidden(said),
            AppError::SignIn { .. } => Problem::of_status(StatusCode::UNAUTHORIZED),
            AppError::Stale => Problem::new(StatusCode::CONFLICT, said),
            AppError::Gone(_) => Problem::new(StatusCode::GONE, said),
            AppError::BadRequest(_) => Problem::bad(said),
            AppError::Database(cause) => cause.into(),
            AppError::Broken(cause) => {
                tracing::error!(cause, "broken");
                Problem::of_status(StatusCode::INTERNAL_SERVER_ERROR)
            }
        }
    }
}

/// Every answer below `/api`: kept by no cache, and a problem where it is a refusal, whoever made it.
pub async fn framed(req: Request, next: Next) -> Response {
    let mut response = next.run(req).await;
    let status = response.status();
    let is_problem = response
        .headers()
        .get(header::CONTENT_TYPE)
        .is_some_and(|kind| kind.as_bytes() == PROBLEM.as_bytes());
    if !is_problem && (status.is_client_error() || status.is_server_error()) {
        let (parts, _) = response.into_parts();
        response = Problem::of_status(status).into_response();
        for kept in [header::ALLOW, header::SET_COOKIE] {
            for value in parts.headers.get_all(&kept) {
                response.headers_mut().append(kept.clone(), value.clone());
            }
        }
    }
    let no_store = HeaderValue::from_static("no-store");
    response
        .headers_mut()
        .insert(header::CACHE_CONTROL, no_store);
    response
}

/// The same for a refusal that is made before the address is looked at.
pub fn in_place_of(path: &str, status: StatusCode) -> Response {
    if path.split('/').any(|part| part == "api") {
        Problem::of_status(status).into_response()
    } else {
        (status, Body::empty()).into_response()
    }
}

/// A calculation's own members, which `/api/figure` has always had, beside the problem's.
pub fn with_trouble(status: StatusCode, trouble: &Value) -> Response {
    let mut problem = Problem::of_status(status);
    if let Some(sentence) = trouble["error"].as_str() {
        sentence.clone_into(&mut problem.detail);
    }
    let field = trouble["field"].as_str();
    problem.errors = field
        .map(|field| FieldProblem {
            field: field.to_owned(),
            message: problem.detail.clone(),
        })
        .into_iter()
        .collect();
    let mut body = json!(problem);
    if let (Some(body), Some(members)) = (body.as_object_mut(), trouble.as_object()) {
        body.extend(members.clone());
    }
    let kind = [(header::CONTENT_TYPE, PROBLEM)];
    (status, kind, body.to_string()).into_response()
}
