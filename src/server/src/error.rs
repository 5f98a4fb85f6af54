//! What can go wrong with a request: one sentence for people, the cause for the log.

use crate::page::Page;
use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

#[derive(Debug, thiserror::Error)]
pub enum AppError {
    #[error("This page does not exist.")]
    NotFound, // no such row, or not this person's to see
    #[error("{0}")]
    Forbidden(&'static str),
    #[error("Sign in first.")]
    SignIn { to: String },
    #[error("Someone changed this while you were editing. Reload to see it.")]
    Stale,
    #[error("{0}")]
    BadRequest(String),
    #[error("Something went wrong. Nothing was saved.")]
    Database(#[from] sqlx::Error),
    #[error("Something went wrong. Nothing was saved.")]
    Broken(String), // a stored value does not read, a template fails: logged, never shown
}

#[derive(Template)]
#[template(path = "error.html")]
struct ErrorPage {
    message: String,
}

impl AppError {
    fn status(&self) -> StatusCode {
        match self {
            AppError::NotFound => StatusCode::NOT_FOUND,
            AppError::Forbidden(_) => StatusCode::FORBIDDEN,
            AppError::SignIn { .. } => StatusCode::UNAUTHORIZED,
            AppError::Stale => StatusCode::CONFLICT,
            AppError::BadRequest(_) => StatusCode::BAD_REQUEST,
            AppError::Database(_) | AppError::Broken(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }
}

impl IntoResponse for AppError {
    fn into_response(self) -> Response {
        match &self {
            AppError::SignIn { to } => return Redirect::to(to).into_response(),
            AppError::Database(cause) => {
                tracing::error!(error = cause as &dyn std::error::Error, "database error");
            }
            AppError::Broken(cause) => tracing::error!(cause, "broken"),
            _ => {}
        }
        (
            self.status(),
            Page(ErrorPage {
                message: self.to_string(),
            }),
        )
            .into_response()
    }
}

pub async fn not_found() -> AppError {
    AppError::NotFound
}
