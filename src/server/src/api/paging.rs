//! Lists a page at a time. A cursor says behind which row the next page goes on, so that rows that
//! are added meanwhile neither shift nor double what follows.

use super::problem::Problem;
use crate::state::AppState;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::Serialize;
use serde_json::json;

/// Rows on a page where nobody says how many.
pub const USUAL: i64 = 50;
/// Rows on a page at most.
pub const MOST: i64 = 200;

/// How many rows a page has.
pub fn limit(asked: Option<i64>) -> Result<i64, Problem> {
    match asked {
        None => Ok(USUAL),
        Some(limit) if (1..=MOST).contains(&limit) => Ok(limit),
        Some(_) => Err(Problem::bad(format!("limit goes from 1 to {MOST}."))),
    }
}

fn unknown() -> Problem {
    Problem::bad("This cursor is not one of this list. Begin without a cursor.")
}

/// What a cursor of this list says; `None` without one.
pub fn after(list: &str, cursor: Option<&str>) -> Result<Option<String>, Problem> {
    let Some(cursor) = cursor else {
        return Ok(None);
    };
    let bytes = URL_SAFE_NO_PAD.decode(cursor).map_err(|_| unknown())?;
    let text = String::from_utf8(bytes).map_err(|_| unknown())?;
    match text.split_once(' ') {
        Some((of, at)) if of == list && !at.contains('\0') => Ok(Some(at.to_owned())),
        _ => Err(unknown()),
    }
}

/// The same where the list goes by number.
pub fn after_number(list: &str, cursor: Option<&str>) -> Result<i64, Problem> {
    after(list, cursor)?.map_or(Ok(0), |at| at.parse().map_err(|_| unknown()))
}

/// A cursor that reads, but says what this list cannot go on behind.
pub fn cannot() -> Problem {
    unknown()
}

pub fn cursor(list: &str, at: &str) -> String {
    URL_SAFE_NO_PAD.encode(format!("{list} {at}"))
}

/// One page as JSON, with the address of the next in the header `Link` (RFC 8288). `rows` holds one
/// more than the page where there are more.
pub fn page<R, T: Serialize>(
    app: &AppState,
    (path, query): (&str, &[(&str, String)]),
    mut rows: Vec<R>,
    limit: i64,
    at: impl Fn(&R) -> String,
    shown: impl Fn(R) -> T,
) -> Response {
    let most = usize::try_from(limit).unwrap_or(0);
    let more = rows.len() > most;
    rows.truncate(most);
    let next = rows.last().filter(|_| more).map(at);
    let items: Vec<T> = rows.into_iter().map(shown).collect();
    let body = axum::Json(json!({ "items": items, "next_cursor": next }));
    let mut response = body.into_response();
    if let Some(next) = next {
        let mut query: Vec<(&str, String)> = query.to_vec();
        query.push(("limit", limit.to_string()));
        query.push(("cursor", next));
        let query = serde_html_form::to_string(&query).unwrap_or_default();
        let link = format!(
            "<{}?{query}>; rel=\"next\"",
            app.url(&format!("/api/v1{path}"))
        );
        if let Ok(link) = HeaderValue::from_str(&link) {
            response.headers_mut().insert(header::LINK, link);
        }
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_goes_on_in_its_own_list_only() {
        let next = cursor("jobs", "118");
        assert_eq!(after_number("jobs", Some(&next)), Ok(118));
        assert_eq!(after_number("jobs", None), Ok(0));
        assert_eq!(after("machines", Some(&next)).unwrap_err().status, 400);
        for bad in [
            "",
            "###",
            "AAAA",
            &cursor("jobs", "none"),
            &cursor("jobs", "9\0"),
        ] {
            assert_eq!(
                after_number("jobs", Some(bad)).unwrap_err().status,
                400,
                "{bad}"
            );
        }
    }

    #[test]
    fn a_page_has_bounds() {
        assert_eq!(limit(None), Ok(USUAL));
        assert_eq!(limit(Some(MOST)), Ok(MOST));
        assert!(limit(Some(0)).is_err() && limit(Some(MOST + 1)).is_err());
    }
}
