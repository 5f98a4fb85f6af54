//! What a document's file may be, and how it is given back: as a download, never run or shown by itself.

use super::queries;
use crate::error::AppError;
use crate::people::CurrentUser;
use crate::state::AppState;
use axum::extract::{Path, State};
use axum::http::{HeaderName, header};
use axum::response::{IntoResponse, Response};

/// Bytes of one document.
pub const MOST_BYTES: usize = 25 * 1024 * 1024;
/// Files that one machine keeps, older revisions too.
pub const MOST_OF_A_MACHINE: i64 = 100;

/// A kind of file by the end of its name.
pub struct FileKind {
    pub end: &'static str,
    kind: &'static str,
    begins: Begins,
}

/// How its bytes begin, so that a name does not pass for what it is not.
enum Begins {
    With(&'static [u8]),
    /// UTF-8 without control characters other than breaks and tabs.
    Text,
}

const ZIP: Begins = Begins::With(b"PK");
const OLD_OFFICE: Begins = Begins::With(&[0xD0, 0xCF, 0x11, 0xE0]);
const ANY: &str = "application/octet-stream";

const fn file(end: &'static str, kind: &'static str, begins: Begins) -> FileKind {
    FileKind { end, kind, begins }
}

pub const FILES: &[FileKind] = &[
    file("pdf", "application/pdf", Begins::With(b"%PDF-")),
    file("jpg", "image/jpeg", Begins::With(&[0xFF, 0xD8, 0xFF])),
    file("png", "image/png", Begins::With(b"\x89PNG")),
    file("webp", "image/webp", Begins::With(b"RIFF")),
    file("txt", "text/plain; charset=utf-8", Begins::Text),
    file("csv", "text/csv; charset=utf-8", Begins::Text),
    file("docx", ANY, ZIP),
    file("xlsx", ANY, ZIP),
    file("pptx", ANY, ZIP),
    file("odt", ANY, ZIP),
    file("ods", ANY, ZIP),
    file("odp", ANY, ZIP),
    file("doc", ANY, OLD_OFFICE),
    file("xls", ANY, OLD_OFFICE),
    file("ppt", ANY, OLD_OFFICE),
];

/// What kind of file this is, by its name and its first bytes.
///
/// # Errors
/// What to choose instead.
pub fn kind_of(name: &str, bytes: &[u8]) -> Result<&'static FileKind, String> {
    let end = name.rsplit_once('.').map_or("", |(_, end)| end);
    let end = match end.to_ascii_lowercase().as_str() {
        "jpeg" => "jpg".to_owned(),
        end => end.to_owned(),
    };
    let Some(kind) = FILES.iter().find(|kind| kind.end == end) else {
        return Err(
            "Choose a PDF, a picture (JPEG, PNG, WebP), a text or an office file".to_owned(),
        );
    };
    let begins = match kind.begins {
        Begins::With(first) => bytes.starts_with(first),
        Begins::Text => is_text(bytes),
    };
    match begins {
        true => Ok(kind),
        false => Err(format!("This is no {end} file, whatever its name says")),
    }
}

fn is_text(bytes: &[u8]) -> bool {
    let breaks = |c: char| matches!(c, '\n' | '\r' | '\t' | '\u{c}');
    std::str::from_utf8(bytes).is_ok_and(|text| text.chars().all(|c| breaks(c) || !c.is_control()))
}

/// A browser that opens one all the same runs nothing in it and loads nothing for it.
const POLICY: &str = "default-src 'none'; sandbox";

/// `/documents/{id}`: the file of a document, older revisions too.
pub async fn download(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let found = queries::file(&app.db, id).await?;
    let file = found.ok_or(AppError::NotFound)?;
    let kind = FILES.iter().find(|kind| kind.end == file.file_type);
    let bytes = app.photos.get(&file.sha).await;
    let bytes = bytes.map_err(|e| AppError::Broken(format!("document {id}: {e}")))?;
    let Some(bytes) = bytes else {
        tracing::error!(sha = file.sha, "the file of a document is missing");
        return Err(AppError::NotFound);
    };
    let fixed = [
        (
            header::CONTENT_TYPE,
            kind.map_or(ANY, |kind| kind.kind).to_owned(),
        ),
        (header::CACHE_CONTROL, "private, no-cache".to_owned()),
        (header::CONTENT_SECURITY_POLICY, POLICY.to_owned()),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff".to_owned()),
        (header::CONTENT_DISPOSITION, disposition(&file.file_name)),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin".to_owned(),
        ),
    ];
    Ok((fixed, bytes).into_response())
}

/// The name in plain letters, and as it is (RFC 6266, RFC 8187).
fn disposition(name: &str) -> String {
    let plain = |c: char| {
        let kept = c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_' | ' ');
        if kept { c } else { '_' }
    };
    let ascii: String = name.chars().map(plain).collect();
    let exact: String = name
        .bytes()
        .map(|b| match b {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'.' | b'-' | b'_' => {
                char::from(b).to_string()
            }
            other => format!("%{other:02X}"),
        })
        .collect();
    format!("attachment; filename=\"{ascii}\"; filename*=UTF-8''{exact}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_does_not_pass_for_what_a_file_is_not() {
        let end = |name: &str, bytes: &[u8]| kind_of(name, bytes).map(|kind| kind.end);
        assert_eq!(end("Manual.PDF", b"%PDF-1.7 ..."), Ok("pdf"));
        assert_eq!(end("plate.jpeg", &[0xFF, 0xD8, 0xFF, 0xE0]), Ok("jpg"));
        assert_eq!(end("settings.txt", "Belt 30 °\n".as_bytes()), Ok("txt"));
        assert!(end("manual.pdf", b"<html>").is_err());
        assert!(end("notes.txt", b"\0\x01").is_err());
        for name in ["page.html", "run.exe", "drawing.svg", "manual", ".pdf.js"] {
            assert!(end(name, b"%PDF-1.7").is_err(), "{name}");
        }
    }

    #[test]
    fn a_name_cannot_leave_its_header() {
        assert_eq!(
            disposition("a\"\r\nx: y é.pdf"),
            "attachment; filename=\"a___x_ y _.pdf\"; filename*=UTF-8''a%22%0D%0Ax%3A%20y%20%C3%A9.pdf"
        );
    }
}
