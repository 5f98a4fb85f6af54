//! Which version of a record somebody has before their eyes (RFC 9110, 8.8.3 and 13.1).

use super::problem::Problem;
use axum::Json;
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

pub fn of(what: &str, id: i64, version: i64) -> String {
    format!("\"{what}-{id}-{version}\"")
}

fn listed(headers: &HeaderMap, name: HeaderName) -> Vec<String> {
    headers
        .get_all(name)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(|tag| tag.trim().to_owned())
        .collect()
}

/// The record with its tag, or 304 for whoever has this version.
pub fn answer(headers: &HeaderMap, tag: &str, record: impl Serialize) -> Response {
    let value = HeaderValue::from_str(tag).unwrap_or(HeaderValue::from_static("\"\""));
    let known = listed(headers, header::IF_NONE_MATCH)
        .iter()
        .any(|known| known == "*" || known.trim_start_matches("W/") == tag);
    let mut response = if known {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        Json(record).into_response()
    };
    response.headers_mut().insert(header::ETAG, value);
    response
}

/// Lets a change through that is made to this version; one that names none is refused, too.
pub fn must_match(headers: &HeaderMap, tag: &str) -> Result<(), Problem> {
    let sent = listed(headers, header::IF_MATCH);
    if sent.is_empty() {
        let said = "Send the ETag of the version that you changed as If-Match.";
        return Err(Problem::new(StatusCode::PRECONDITION_REQUIRED, said));
    }
    if sent.iter().any(|sent| sent == "*" || sent == tag) {
        return Ok(());
    }
    Err(changed())
}

pub fn changed() -> Problem {
    let said = "Somebody changed this since. Read it again and make the change to what it is now.";
    Problem::new(StatusCode::PRECONDITION_FAILED, said)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with(name: HeaderName, value: &'static str) -> HeaderMap {
        HeaderMap::from_iter([(name, HeaderValue::from_static(value))])
    }

    #[test]
    fn a_change_names_the_version_that_it_is_made_to() {
        let tag = of("machine", 7, 3);
        assert_eq!(tag, "\"machine-7-3\"");
        let sent = |value| must_match(&with(header::IF_MATCH, value), &tag);
        assert_eq!(sent("\"machine-7-3\""), Ok(()));
        assert_eq!(sent("\"x\", \"machine-7-3\""), Ok(()));
        assert_eq!(sent("*"), Ok(()));
        assert_eq!(sent("\"machine-7-2\"").unwrap_err().status, 412);
        // A weak one does not match (RFC 9110, 13.1.1).
        assert_eq!(sent("W/\"machine-7-3\"").unwrap_err().status, 412);
        let none = must_match(&HeaderMap::new(), &tag);
        assert_eq!(none.unwrap_err().status, 428);
    }

    #[test]
    fn whoever_has_this_version_gets_no_other() {
        let has = with(header::IF_NONE_MATCH, "W/\"machine-7-3\"");
        let response = answer(&has, "\"machine-7-3\"", "x");
        assert_eq!(response.status(), StatusCode::NOT_MODIFIED);
        let response = answer(&HeaderMap::new(), "\"machine-7-3\"", "x");
        assert_eq!(response.status(), StatusCode::OK);
    }
}
