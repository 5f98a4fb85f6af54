//! What can go wrong with a request: one sentence for people, the cause for the log.

use crate::page::{Layout, Page};
use crate::people::session::Visitor;
use crate::state::AppState;
use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

#[derive(Debug, thiserror::Error)]
pub enum AppError {
    #[error("This page does not exist.")]
    NotFound, // no such row, or not this person's to see
    #[error("{0}")]
    Forbidden(&'static str),
    /// Not a failure: the answer is another page.
    #[error("Look there.")]
    GoTo(String),
    #[error("Sign in first.")]
    SignIn { to: String },
    #[error("Someone changed this while you were editing. Reload to see it.")]
    Stale,
    /// There was something here, or could have been.
    #[error("{0}")]
    Gone(&'static str),
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
    layout: Layout,
    message: String,
}

/// The sentence of a failed request, on its way to the page around it.
#[derive(Clone, Debug)]
pub struct Sentence(pub String);

/// The database cannot be used just now: what people are told, on its way to a page that also holds
/// what they typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unavailable(pub &'static str);

const AWAY: Unavailable = Unavailable("The database does not answer just now. Nothing was saved.");
const FULL: Unavailable = Unavailable(
    "The disk is full, so nothing was saved. Tell whoever keeps this program: they must make room.",
);
const READ_ONLY: Unavailable = Unavailable(
    "The database takes no writing just now, so nothing was saved. Tell whoever keeps this program.",
);

impl Unavailable {
    /// Whether this failure passes: a database that is away, busy, full or not to be written to.
    /// PostgreSQL's are classes of SQLSTATE (its manual, appendix A), SQLite's are result codes.
    fn of(cause: &sqlx::Error) -> Option<Unavailable> {
        let database = match cause {
            sqlx::Error::PoolTimedOut
            | sqlx::Error::PoolClosed
            | sqlx::Error::WorkerCrashed
            | sqlx::Error::Io(_) => return Some(AWAY),
            sqlx::Error::Database(database) => database,
            _ => return None,
        };
        let code = database.code()?;
        if code.len() == 5 {
            return match &*code {
                "25006" => Some(READ_ONLY),
                "53100" => Some(FULL),
                "55P03" => Some(AWAY),
                code if ["08", "53", "57P"]
                    .iter()
                    .any(|class| code.starts_with(class)) =>
                {
                    Some(AWAY)
                }
                _ => None,
            };
        }
        match code.parse::<u32>().ok()? & 0xff {
            5 | 6 | 14 => Some(AWAY), // busy, locked, cannot be opened
            8 => Some(READ_ONLY),
            10 | 13 => Some(FULL), // writing failed: full, beyond a quota, or the disk is broken
            _ => None,
        }
    }
}

/// Puts the shop's frame around the sentence of a failed request.
pub fn framed(app: &AppState, visitor: &Visitor, mut response: Response) -> Response {
    if response.extensions().get::<Unavailable>().is_some() {
        response.extensions_mut().insert(visitor.clone());
        return response;
    }
    let Some(Sentence(message)) = response.extensions_mut().remove::<Sentence>() else {
        return response;
    };
    let page = Page(ErrorPage {
        layout: Layout::new(app, visitor, ""),
        message,
    });
    (response.status(), page).into_response()
}

impl AppError {
    fn status(&self) -> StatusCode {
        match self {
            AppError::NotFound => StatusCode::NOT_FOUND,
            AppError::Forbidden(_) => StatusCode::FORBIDDEN,
            AppError::GoTo(_) => StatusCode::SEE_OTHER,
            AppError::SignIn { .. } => StatusCode::UNAUTHORIZED,
            AppError::Stale => StatusCode::CONFLICT,
            AppError::Gone(_) => StatusCode::GONE,
            AppError::BadRequest(_) => StatusCode::BAD_REQUEST,
            AppError::Database(cause) if Unavailable::of(cause).is_some() => {
                StatusCode::SERVICE_UNAVAILABLE
            }
            AppError::Database(_) | AppError::Broken(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }
}

impl IntoResponse for AppError {
    fn into_response(self) -> Response {
        match &self {
            AppError::GoTo(to) | AppError::SignIn { to } => {
                return Redirect::to(to).into_response();
            }
            AppError::Database(cause) => {
                tracing::error!(error = cause as &dyn std::error::Error, "database error");
            }
            AppError::Broken(cause) => tracing::error!(cause, "broken"),
            _ => {}
        }
        // The page is made by `framed`, which knows who asks.
        let mut response = (self.status(), self.to_string()).into_response();
        response.extensions_mut().insert(Sentence(self.to_string()));
        if let AppError::Database(cause) = &self
            && let Some(unavailable) = Unavailable::of(cause)
        {
            response.extensions_mut().insert(unavailable);
        }
        response
    }
}

pub async fn not_found() -> AppError {
    AppError::NotFound
}
