//! When the database cannot take a form just now, the page that says so holds what was typed, ready to
//! be sent again: the entry keeps its id, so nothing is added twice.

use crate::error::{self, Sentence, Unavailable};
use crate::page::{Layout, Page};
use crate::people::session::Visitor;
use crate::state::AppState;
use askama::Template;
use axum::body::{Body, Bytes, HttpBody, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// The same bound as for forms that are taken.
const MOST: usize = 256 * 1024;
/// When to try again, in seconds.
const SOON: &str = "5";
/// Hidden keys of forms: sent again, but nothing that anybody typed.
const KEYS: &[&str] = &[
    "csrf",
    "entry",
    "seen",
    "device_at",
    "version",
    "source",
    "lock",
    "motor",
    "item",
];

#[derive(Template)]
#[template(path = "unsent.html")]
struct UnsentPage {
    layout: Layout,
    message: &'static str,
    /// Where the form was going.
    path: String,
    fields: Vec<(String, String)>,
    /// It had files, which cannot be put on a page.
    files: bool,
}

impl UnsentPage {
    /// What was typed, under the field's name as words.
    fn shown(&self) -> Vec<(String, &str)> {
        let typed = self
            .fields
            .iter()
            .filter(|(name, value)| !value.trim().is_empty() && !KEYS.contains(&name.as_str()));
        typed
            .map(|(name, value)| (name.replace(['_', '-'], " "), value.as_str()))
            .collect()
    }
}

/// Answers for a database that is not there, whoever asked; other answers go through as they are.
pub async fn kept_on_the_page(State(app): State<AppState>, req: Request, next: Next) -> Response {
    let path = req.uri().path().to_owned();
    let form = req.method() == Method::POST;
    let files = form && has_kind(req.headers(), "multipart/form-data");
    // What is larger, or does not say how large it is, goes on to be judged as ever.
    let small = HttpBody::size_hint(req.body())
        .upper()
        .is_some_and(|bytes| bytes <= MOST as u64);
    let plain = has_kind(req.headers(), "application/x-www-form-urlencoded");
    let (req, typed) = if form && plain && small {
        let (parts, body) = req.into_parts();
        let Ok(bytes) = to_bytes(body, MOST).await else {
            return StatusCode::BAD_REQUEST.into_response();
        };
        let again = Request::from_parts(parts, Body::from(bytes.clone()));
        (again, bytes)
    } else {
        (req, Bytes::new())
    };
    let mut response = next.run(req).await;
    let Some(Unavailable(message)) = response.extensions_mut().remove::<Unavailable>() else {
        return response;
    };
    let visitor = response.extensions_mut().remove::<Visitor>();
    let visitor = visitor.unwrap_or_default();
    if !form {
        let sentence = Sentence(message.to_owned());
        response.extensions_mut().insert(sentence);
        return soon(error::framed(&app, &visitor, response));
    }
    let page = Page(UnsentPage {
        layout: Layout::new(&app, &visitor, ""),
        message,
        path,
        fields: sendable(&typed),
        files,
    });
    soon((StatusCode::SERVICE_UNAVAILABLE, page).into_response())
}

fn has_kind(headers: &HeaderMap, kind: &str) -> bool {
    let sent = headers.get(header::CONTENT_TYPE);
    sent.is_some_and(|sent| sent.as_bytes().starts_with(kind.as_bytes()))
}

/// A form with a secret in it is typed again, not put on a page.
fn sendable(typed: &[u8]) -> Vec<(String, String)> {
    let fields: Vec<(String, String)> = serde_html_form::from_bytes(typed).unwrap_or_default();
    let secret = |name: &str| {
        ["password", "pin", "code"]
            .iter()
            .any(|word| name.contains(word))
    };
    if fields.iter().any(|(name, _)| secret(name)) {
        return Vec::new();
    }
    fields
}

fn soon(mut response: Response) -> Response {
    let wait = HeaderValue::from_static(SOON);
    response.headers_mut().insert(header::RETRY_AFTER, wait);
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_is_never_put_on_a_page() {
        assert_eq!(sendable(b"csrf=a&name=tobin&password=long+words"), []);
        assert_eq!(sendable(b"text=a%26b").len(), 1);
    }
}
