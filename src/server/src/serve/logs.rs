//! What is logged: a line for each request that failed or was slow, with a number to find it by.
//!
//! A line names the route, never the address as it was asked for: addresses can hold codes and
//! secret words. Bodies, cookies and other headers are not logged at all.

use axum::extract::{MatchedPath, Request};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::Next;
use axum::response::Response;
use clap::ValueEnum;
use std::time::{Duration, Instant};
use tracing::Instrument;
use tracing_subscriber::EnvFilter;

pub const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");
const SLOW: Duration = Duration::from_secs(1);

/// How a line looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// For people
    Plain,
    /// One JSON object a line, for programs that gather logs
    Json,
}

/// Starts logging to standard error; `BRASSTAG_LOG` chooses what, such as `info`.
pub fn start(form: Form) {
    let wanted = EnvFilter::try_from_env("BRASSTAG_LOG");
    let lines = tracing_subscriber::fmt()
        .with_env_filter(wanted.unwrap_or_else(|_| "warn,brasstag=info".into()))
        .with_writer(std::io::stderr);
    match form {
        Form::Plain => lines.init(),
        Form::Json => lines.json().flatten_event(true).init(),
    }
}

/// The number a proxy gave, if it is one that can do no harm in a log; else one of our own.
fn number(given: Option<&HeaderValue>) -> HeaderValue {
    let harmless = |text: &str| {
        (1..=64).contains(&text.len())
            && text
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
    };
    match given {
        Some(value) if value.to_str().is_ok_and(harmless) => value.clone(),
        _ => HeaderValue::from_str(&uuid::Uuid::now_v7().simple().to_string())
            .unwrap_or(HeaderValue::from_static("none")),
    }
}

/// Gives each request its number, on the answer and on every line logged while it is worked on.
pub async fn numbered(mut req: Request, next: Next) -> Response {
    let id = number(req.headers().get(REQUEST_ID));
    req.headers_mut().insert(REQUEST_ID, id.clone());
    let route = req
        .extensions()
        .get::<MatchedPath>()
        .map_or("none", MatchedPath::as_str)
        .to_owned();
    let method = req.method().clone();
    let span = tracing::info_span!(
        "request",
        id = id.to_str().unwrap_or_default(),
        %method,
        route,
    );
    let began = Instant::now();
    let mut response = next.run(req).instrument(span.clone()).await;
    let (status, ms) = (response.status().as_u16(), began.elapsed().as_millis());
    let _in = span.enter();
    if status >= 500 {
        tracing::error!(status, ms, "failed");
    } else if began.elapsed() > SLOW {
        tracing::warn!(status, ms, "slow");
    } else {
        tracing::debug!(status, ms, "answered");
    }
    response.headers_mut().insert(REQUEST_ID, id);
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_could_forge_a_line_is_replaced() {
        for good in ["a", "4f-_Z9", &"a".repeat(64)] {
            let value = HeaderValue::from_str(good).expect("a header");
            assert_eq!(number(Some(&value)), value);
        }
        for bad in ["", "a b", "a\"b", "a=b;c", &"a".repeat(65), "\u{e9}"] {
            let value = HeaderValue::from_bytes(bad.as_bytes()).expect("a header");
            let made = number(Some(&value));
            assert_ne!(made, value);
            assert_eq!(made.len(), 32);
        }
        assert_eq!(number(None).len(), 32);
    }
}
