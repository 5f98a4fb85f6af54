//! The form with the file: the csrf field first, then what was chosen, then one file.

use crate::error::AppError;
use crate::exchange::reading::MOST_BYTES;
use crate::form;
use crate::people::session::Visitor;
use crate::state::AppState;
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{FromRequest, FromRequestParts, Multipart, Request};
use axum::http::StatusCode;

/// The bytes that the whole form may have.
pub const FORM_LIMIT: usize = MOST_BYTES + 64 * 1024;
const MOST_TEXT: usize = 1024;

/// What was sent; the file's bytes are empty where it was too large.
#[derive(Debug, Default)]
pub struct SentFile {
    pub register: String,
    pub name: String,
    pub bytes: Vec<u8>,
    pub too_large: bool,
}

impl FromRequest<AppState> for SentFile {
    type Rejection = AppError;

    async fn from_request(req: Request, app: &AppState) -> Result<Self, AppError> {
        let (mut parts, body) = req.into_parts();
        let Ok(visitor) = Visitor::from_request_parts(&mut parts, app).await;
        form::check_origin(&parts.headers)?;
        let mut form = Multipart::from_request(Request::from_parts(parts, body), app)
            .await
            .map_err(|_| unreadable())?;
        let token = match form.next_field().await {
            Ok(Some(field)) if field.name() == Some("csrf") => text(field).await?,
            _ => String::new(),
        };
        form::check_token(&visitor, &token)?;
        let mut sent = SentFile::default();
        // A file is taken only from somebody who is signed in.
        if visitor.person.is_some() {
            sent.read(&mut form).await?;
        }
        Ok(sent)
    }
}

impl SentFile {
    async fn read(&mut self, form: &mut Multipart) -> Result<(), AppError> {
        loop {
            let field = match form.next_field().await {
                Ok(Some(field)) => field,
                Ok(None) => return Ok(()),
                Err(error) => return self.cut_off(&error),
            };
            match field.name() {
                Some("register") => self.register = text(field).await?,
                Some("file") => {
                    self.name = shown_name(field.file_name().unwrap_or_default());
                    if let Err(error) = self.take(field).await {
                        return self.cut_off(&error);
                    }
                }
                _ => {}
            }
        }
    }

    /// Reads a file that is too large to its end without keeping it, so that the answer is heard.
    async fn take(&mut self, mut field: Field<'_>) -> Result<(), MultipartError> {
        while let Some(chunk) = field.chunk().await? {
            if self.bytes.len() + chunk.len() > MOST_BYTES {
                self.too_large = true;
                self.bytes = Vec::new();
            }
            if !self.too_large {
                self.bytes.extend_from_slice(&chunk);
            }
        }
        Ok(())
    }

    fn cut_off(&mut self, error: &MultipartError) -> Result<(), AppError> {
        if error.status() != StatusCode::PAYLOAD_TOO_LARGE {
            return Err(unreadable());
        }
        self.too_large = true;
        self.bytes = Vec::new();
        Ok(())
    }
}

async fn text(mut field: Field<'_>) -> Result<String, AppError> {
    let mut bytes = Vec::new();
    while let Some(chunk) = field.chunk().await.map_err(|_| unreadable())? {
        if bytes.len() + chunk.len() > MOST_TEXT {
            return Err(unreadable());
        }
        bytes.extend_from_slice(&chunk);
    }
    String::from_utf8(bytes).map_err(|_| unreadable())
}

fn unreadable() -> AppError {
    AppError::BadRequest("The form could not be read.".to_owned())
}

/// The last part of the name, for people only.
fn shown_name(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let plain: String = last.chars().filter(|c| !c.is_control()).take(80).collect();
    plain.trim().to_owned()
}
