//! Reading what was asked: numbers in addresses, queries, bodies. Every refusal says where it is.

use super::problem::Problem;
use crate::form::FieldErrors;
use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use serde::de::DeserializeOwned;
use serde_json::Value;

/// The number in an address; what is no number names nothing.
pub struct Number(pub i64);

impl<S: Send + Sync> FromRequestParts<S> for Number {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        let text = Path::<String>::from_request_parts(parts, state).await;
        let number = text.ok().and_then(|text| text.parse().ok());
        number.map(Number).ok_or_else(Problem::not_found)
    }
}

/// The query of an address, where only known names are taken.
pub struct Wanted<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Wanted<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        let read = Query::<T>::from_request_parts(parts, state).await;
        let Query(wanted) = read.map_err(|refused| Problem::bad(refused.body_text()))?;
        Ok(Wanted(wanted))
    }
}

pub const JSON: &str = "application/json";
pub const MERGE_PATCH: &str = "application/merge-patch+json";

/// A body as it came, with the headers that say what it is.
pub struct Sent {
    pub headers: HeaderMap,
    pub bytes: Bytes,
}

impl<S: Send + Sync> FromRequest<S> for Sent {
    type Rejection = Problem;

    async fn from_request(req: Request, state: &S) -> Result<Self, Problem> {
        let headers = req.headers().clone();
        let bytes = Bytes::from_request(req, state).await;
        let bytes = bytes.map_err(|refused| match refused.status() {
            StatusCode::PAYLOAD_TOO_LARGE => Problem::new(
                StatusCode::PAYLOAD_TOO_LARGE,
                "The body is larger than 256 KiB.",
            ),
            _ => Problem::bad("The body did not arrive whole."),
        })?;
        Ok(Sent { headers, bytes })
    }
}

impl Sent {
    /// The body as JSON of this kind of content.
    pub fn value(&self, kind: &'static str) -> Result<Value, Problem> {
        let said = self.headers.get(header::CONTENT_TYPE);
        let said = said.and_then(|said| said.to_str().ok()).unwrap_or("");
        let essence = said.split(';').next().unwrap_or("").trim();
        if !essence.eq_ignore_ascii_case(kind) {
            let status = StatusCode::UNSUPPORTED_MEDIA_TYPE;
            let problem = Problem::new(status, format!("Send the body as {kind}."));
            return Err(problem.with(header::ACCEPT, HeaderValue::from_static(kind)));
        }
        let value = serde_json::from_slice(&self.bytes)
            .map_err(|e| Problem::bad(format!("The body is not JSON: {e}.")))?;
        match no_text(&value, "") {
            Some(at) => Err(Problem::field(
                &at,
                "This holds a character that is no text (U+0000)",
            )),
            None => Ok(value),
        }
    }

    /// The body as what the operation takes.
    pub fn read<T: DeserializeOwned>(&self, kind: &'static str) -> Result<T, Problem> {
        typed(self.value(kind)?)
    }
}

/// A value as what the operation takes; the message names the field.
pub fn typed<T: DeserializeOwned>(value: Value) -> Result<T, Problem> {
    serde_path_to_error::deserialize(value).map_err(|error| {
        let message = error.inner().to_string();
        let path = error.path().to_string();
        let path = if path == "." { "" } else { path.as_str() };
        Problem::field(&place(path, &message), message)
    })
}

/// Where a body does not fit: the path that was read, and the field that the message names behind it.
fn place(path: &str, message: &str) -> String {
    let named = ["missing field `", "unknown field `"]
        .iter()
        .find_map(|begins| message.strip_prefix(begins))
        .and_then(|rest| rest.split('`').next())
        .filter(|name| path.rsplit('.').next().is_none_or(|last| last != *name));
    match (path, named) {
        ("", None) => "form".to_owned(),
        ("", Some(name)) => name.to_owned(),
        (path, None) => path.to_owned(),
        (path, Some(name)) => format!("{path}.{name}"),
    }
}

/// Where a text holds what no text of PostgreSQL may.
fn no_text(value: &Value, at: &str) -> Option<String> {
    let below = |name: &str| {
        if at.is_empty() {
            name.to_owned()
        } else {
            format!("{at}.{name}")
        }
    };
    match value {
        Value::String(text) if text.contains('\0') => {
            Some(below("").trim_end_matches('.').to_owned())
        }
        Value::Array(all) => all
            .iter()
            .enumerate()
            .find_map(|(n, value)| no_text(value, &below(&n.to_string()))),
        Value::Object(all) => all.iter().find_map(|(name, value)| {
            let odd = name.contains('\0').then(|| below("form"));
            odd.or_else(|| no_text(value, &below(name)))
        }),
        _ => None,
    }
}

/// Texts that are longer than they may be.
pub fn bounded(errors: &mut FieldErrors, field: &str, text: Option<&str>, most: usize) {
    if text.is_some_and(|text| text.chars().count() > most) {
        errors.add(field, format!("Keep it to {most} characters"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_field_is_named_where_it_lies() {
        assert_eq!(place("", "missing field `tag`"), "tag");
        assert_eq!(place("body", "missing field `text`"), "body.text");
        assert_eq!(
            place("body.colour", "unknown field `colour`, expected"),
            "body.colour"
        );
        assert_eq!(place("value", "invalid type: string"), "value");
        assert_eq!(place("", "invalid type: sequence"), "form");
    }

    #[test]
    fn what_no_text_may_hold_is_found_where_it_is() {
        assert_eq!(no_text(&json!({"a": [{"b": "x"}, 3, null]}), ""), None);
        let found = no_text(&json!({"a": [{"b": "x\u{0}"}]}), "");
        assert_eq!(found.as_deref(), Some("a.0.b"));
        assert!(no_text(&json!("\u{0}"), "").is_some());
    }
}
