//! The few static files, compiled in and addressed by their hash.

use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use std::sync::LazyLock;

use crate::error::AppError;

struct StaticFile {
    name: &'static str,
    mime: &'static str,
    body: &'static [u8],
    hash: String,
}

/// What the phone of somebody who works at machines loads besides.
pub const PHONE: [&str; 5] = ["app.js", "phone.js", "offline.js", "drafts.js", "outbox.js"];

static FILES: LazyLock<Vec<StaticFile>> = LazyLock::new(|| {
    let files: [(&str, &str, &[u8]); 8] = [
        (
            "app.css",
            "text/css; charset=utf-8",
            include_bytes!("../../../static/app.css"),
        ),
        (
            "print.css",
            "text/css; charset=utf-8",
            include_bytes!("../../../static/print.css"),
        ),
        (
            "app.js",
            "text/javascript; charset=utf-8",
            include_bytes!("../../../static/app.js"),
        ),
        (
            "phone.js",
            "text/javascript; charset=utf-8",
            include_bytes!("../../../static/phone.js"),
        ),
        (
            "offline.js",
            "text/javascript; charset=utf-8",
            include_bytes!("../../../static/offline.js"),
        ),
        (
            "drafts.js",
            "text/javascript; charset=utf-8",
            include_bytes!("../../../static/drafts.js"),
        ),
        (
            "outbox.js",
            "text/javascript; charset=utf-8",
            include_bytes!("../../../static/outbox.js"),
        ),
        (
            "icon.svg",
            "image/svg+xml",
            include_bytes!("../../../static/icon.svg"),
        ),
    ];
    files
        .into_iter()
        .map(|(name, mime, body)| {
            let digest = Sha256::digest(body);
            let hash = digest
                .iter()
                .take(6)
                .map(|byte| format!("{byte:02x}"))
                .collect();
            StaticFile {
                name,
                mime,
                body,
                hash,
            }
        })
        .collect()
});

/// `/static/app.css` becomes `/static/0123456789ab/app.css`.
pub fn address(name: &str) -> String {
    let hash = FILES
        .iter()
        .find(|f| f.name == name)
        .map_or("none", |f| f.hash.as_str());
    format!("/static/{hash}/{name}")
}

pub async fn serve(Path((_hash, name)): Path<(String, String)>) -> Result<Response, AppError> {
    let file = FILES
        .iter()
        .find(|f| f.name == name)
        .ok_or(AppError::NotFound)?;
    let headers = [
        (header::CONTENT_TYPE, file.mime),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    Ok((headers, file.body).into_response())
}
