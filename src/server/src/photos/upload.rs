//! A form with photos: the csrf field first, then what was typed, then files that are shrunk one by
//! one as they arrive, so that a refused photo costs nothing of what was typed.

use super::shrink::{MOST_BYTES, Problem, Shrunk};
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::people::session::Visitor;
use crate::state::AppState;
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, FromRequestParts, Multipart, Request};
use axum::http::{HeaderMap, StatusCode, header};

/// What is typed on such a form is held to what other forms may hold.
const MOST_TEXT: usize = 256 * 1024;

/// The bytes that a form with this many photos may have.
pub const fn form_limit(photos: usize) -> usize {
    photos * MOST_BYTES + 2 * 1024 * 1024
}

/// A photo as it was sent, shrunk or refused.
#[derive(Debug)]
pub struct SentPhoto {
    /// The form's field.
    pub field: String,
    /// The last part of the file's name, for messages only.
    pub name: String,
    pub found: Result<Shrunk, Problem>,
}

/// A posted form with at most so many photos, its origin and csrf field verified first. A form
/// without files may come in the plain encoding too.
#[derive(Debug, Default)]
pub struct Sent<const MOST: usize> {
    pub fields: Fields,
    pub photos: Vec<SentPhoto>,
}

impl<const MOST: usize> Sent<MOST> {
    /// Which photo was refused and why, beside its field.
    pub fn problems(&self) -> FieldErrors {
        let mut errors = FieldErrors::default();
        for photo in &self.photos {
            if let Err(problem) = photo.found {
                errors.add(&photo.field, message(&photo.name, problem));
            }
        }
        errors
    }

    /// The photos, once [`Sent::problems`] is empty.
    pub fn taken(self) -> Vec<Shrunk> {
        self.photos
            .into_iter()
            .filter_map(|photo| photo.found.ok())
            .collect()
    }
}

/// A sentence that begins with the file's name.
pub fn message(name: &str, problem: Problem) -> String {
    if name.is_empty() {
        format!("The photo was not taken: {}", problem.words())
    } else {
        format!("{name} was not taken: {}", problem.words())
    }
}

impl<const MOST: usize> FromRequest<AppState> for Sent<MOST> {
    type Rejection = AppError;

    async fn from_request(req: Request, app: &AppState) -> Result<Self, AppError> {
        if !is_multipart(req.headers()) {
            let fields = Fields::from_request(req, app).await?;
            let photos = Vec::new();
            return Ok(Sent { fields, photos });
        }
        let (mut parts, body) = req.into_parts();
        let Ok(visitor) = Visitor::from_request_parts(&mut parts, app).await;
        form::check_origin(&parts.headers)?;
        let mut form = Multipart::from_request(Request::from_parts(parts, body), app)
            .await
            .map_err(|_| unreadable())?;
        let token = match form.next_field().await {
            Ok(Some(field)) if field.name() == Some("csrf") => text(field, 200).await?,
            _ => String::new(),
        };
        form::check_token(&visitor, &token)?;
        let mut sent = Sent::default();
        sent.read(&mut form, app, visitor.person.is_some()).await?;
        form::check_text(&sent.fields.0)?;
        Ok(sent)
    }
}

impl<const MOST: usize> Sent<MOST> {
    async fn read(
        &mut self,
        form: &mut Multipart,
        app: &AppState,
        signed_in: bool,
    ) -> Result<(), AppError> {
        let mut room = MOST_TEXT;
        loop {
            let field = match form.next_field().await {
                Ok(Some(field)) => field,
                Ok(None) => return Ok(()),
                Err(e) if too_large(&e) => {
                    self.cut_off();
                    return Ok(());
                }
                Err(_) => return Err(unreadable()),
            };
            let name = field.name().unwrap_or_default().to_owned();
            match field.file_name().map(shown_name) {
                None => {
                    let value = text(field, room).await?;
                    room -= value.len();
                    self.fields.0.push((name, value));
                }
                Some(file) => {
                    let full = self.photos.len() >= MOST;
                    let (found, goes_on) = file_of(field, app, signed_in, full).await?;
                    // A file input that was left alone.
                    if file.is_empty() && matches!(found, Err(Problem::Empty)) {
                        continue;
                    }
                    self.photos.push(SentPhoto {
                        field: name,
                        name: file,
                        found,
                    });
                    if full || !goes_on {
                        return Ok(());
                    }
                }
            }
        }
    }

    /// The whole form went over its limit: the rest is not read.
    fn cut_off(&mut self) {
        self.photos.push(SentPhoto {
            field: "photo".to_owned(),
            name: String::new(),
            found: Err(Problem::TooManyBytes),
        });
    }
}

/// Reads a file to its end, whatever its size, so that the form's other fields are still heard, and
/// so that a browser that is still sending hears the answer. The second is false where the whole form
/// went over its limit.
async fn file_of(
    mut field: Field<'_>,
    app: &AppState,
    signed_in: bool,
    full: bool,
) -> Result<(Result<Shrunk, Problem>, bool), AppError> {
    let mut problem = full.then_some(Problem::TooMany);
    let mut permit = None;
    let mut bytes = Vec::new();
    loop {
        let chunk = match field.chunk().await {
            Ok(Some(chunk)) => chunk,
            Ok(None) => break,
            Err(e) if too_large(&e) => return Ok((Err(Problem::TooManyBytes), false)),
            Err(_) => return Err(unreadable()),
        };
        if problem.is_none() && permit.is_none() {
            match app.photos.receive(signed_in).await {
                Ok(given) => permit = Some(given),
                Err(busy) => problem = Some(busy),
            }
        }
        if problem.is_none() && bytes.len() + chunk.len() > MOST_BYTES {
            problem = Some(Problem::TooManyBytes);
        }
        match problem {
            None => bytes.extend_from_slice(&chunk),
            Some(_) => bytes = Vec::new(),
        }
    }
    let found = match problem {
        Some(problem) => Err(problem),
        None if bytes.is_empty() => Err(Problem::Empty),
        None => app.photos.shrink(bytes).await,
    };
    Ok((found, true))
}

pub(crate) async fn text(mut field: Field<'_>, room: usize) -> Result<String, AppError> {
    let mut bytes = Vec::new();
    while let Some(chunk) = field.chunk().await.map_err(|_| unreadable())? {
        if bytes.len() + chunk.len() > room {
            return Err(AppError::BadRequest("The form is too large.".to_owned()));
        }
        bytes.extend_from_slice(&chunk);
    }
    String::from_utf8(bytes).map_err(|_| unreadable())
}

pub(crate) fn is_multipart(headers: &HeaderMap) -> bool {
    headers
        .get(header::CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok())
        .is_some_and(|kind| {
            kind.trim_start()
                .to_ascii_lowercase()
                .starts_with("multipart/")
        })
}

pub(crate) fn too_large(error: &MultipartError) -> bool {
    error.status() == StatusCode::PAYLOAD_TOO_LARGE
}

pub(crate) fn unreadable() -> AppError {
    AppError::BadRequest("The form could not be read.".to_owned())
}

/// A name may hold a path, or be as long as its sender likes.
pub(crate) fn shown_name(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    last.chars()
        .filter(|c| !c.is_control())
        .take(60)
        .collect::<String>()
        .trim()
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_files_name_is_its_last_part_and_never_long() {
        assert_eq!(shown_name("../../etc/passwd"), "passwd");
        assert_eq!(shown_name("C:\\Photos\\plate 1.jpg"), "plate 1.jpg");
        assert_eq!(shown_name("a\r\nb\0.jpg"), "ab.jpg");
        assert_eq!(shown_name(&"x".repeat(500)).len(), 60);
    }
}
