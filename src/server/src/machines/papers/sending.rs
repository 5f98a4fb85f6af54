//! A document with its file: the csrf field first, then what was typed, then one file. The file is on
//! the disk before its row commits, and goes again where the row does not come.

use super::files::{FileKind, MOST_BYTES, MOST_OF_A_MACHINE, kind_of};
use super::queries::{self, DocumentFile, NewDocument};
use super::{PapersInput, WRITERS, page};
use crate::audit::audit;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields, required};
use crate::machines::Machine;
use crate::machines::show::find_machine;
use crate::people::CurrentUser;
use crate::people::session::Visitor;
use crate::photos::taking;
use crate::photos::upload::{is_multipart, shown_name, text, too_large, unreadable};
use crate::state::AppState;
use axum::extract::{FromRequest, FromRequestParts, Multipart, Path, Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde_json::json;

/// The bytes that the whole form may have.
pub const FORM_LIMIT: usize = MOST_BYTES + 256 * 1024;
const MOST_TEXT: usize = 16 * 1024;

/// The form as it came; `file` is `None` where none was chosen.
#[derive(Debug, Default)]
pub struct SentDocument {
    input: PapersInput,
    file: Option<Result<(String, Vec<u8>), &'static str>>,
}

const TOO_LARGE: &str = "The file is larger than 25 MB";

impl FromRequest<AppState> for SentDocument {
    type Rejection = AppError;

    async fn from_request(req: Request, app: &AppState) -> Result<Self, AppError> {
        let (mut parts, body) = req.into_parts();
        let Ok(visitor) = Visitor::from_request_parts(&mut parts, app).await;
        if let Some(person) = visitor.person.clone() {
            let visitor = visitor.clone();
            CurrentUser { person, visitor }.require(WRITERS)?;
        }
        if !is_multipart(&parts.headers) {
            let _own = Fields::from_request(Request::from_parts(parts, body), app).await?;
            return Err(unreadable());
        }
        form::check_origin(&parts.headers)?;
        let mut form = Multipart::from_request(Request::from_parts(parts, body), app)
            .await
            .map_err(|_| unreadable())?;
        let token = match form.next_field().await {
            Ok(Some(field)) if field.name() == Some("csrf") => text(field, 200).await?,
            _ => String::new(),
        };
        form::check_token(&visitor, &token)?;
        let mut sent = SentDocument::default();
        // A file is taken only from somebody who is signed in.
        if visitor.person.is_some() {
            sent.read(&mut form, app).await?;
        }
        Ok(sent)
    }
}

impl SentDocument {
    async fn read(&mut self, form: &mut Multipart, app: &AppState) -> Result<(), AppError> {
        let mut fields = Vec::new();
        loop {
            let field = match form.next_field().await {
                Ok(Some(field)) => field,
                Ok(None) => break,
                Err(e) if too_large(&e) => {
                    self.file = Some(Err(TOO_LARGE));
                    break;
                }
                Err(_) => return Err(unreadable()),
            };
            let name = field.name().unwrap_or_default().to_owned();
            match field.file_name().map(shown_name) {
                Some(file) => self.take(field, file, app).await?,
                None => fields.push((name, text(field, MOST_TEXT).await?)),
            }
        }
        form::check_text(&fields)?;
        let field = |name: &str| {
            let found = fields.iter().find(|(n, _)| n == name);
            found.map_or(String::new(), |(_, value)| value.trim().to_owned())
        };
        self.input = PapersInput {
            act: "document".to_owned(),
            name: field("name"),
            revision: field("revision"),
            kept: field("kept"),
            dated_on: field("dated_on"),
            ..PapersInput::default()
        };
        Ok(())
    }

    /// Reads a file to its end, whatever its size, so that the answer is heard.
    async fn take(
        &mut self,
        mut field: axum::extract::multipart::Field<'_>,
        name: String,
        app: &AppState,
    ) -> Result<(), AppError> {
        let permit = app.photos.receive(true).await;
        let mut bytes = Vec::new();
        let mut whole = permit.is_ok();
        loop {
            match field.chunk().await {
                Ok(Some(chunk)) if whole && bytes.len() + chunk.len() <= MOST_BYTES => {
                    bytes.extend_from_slice(&chunk);
                }
                Ok(Some(_)) => {
                    whole = false;
                    bytes = Vec::new();
                }
                Ok(None) => break,
                Err(e) if too_large(&e) => whole = false,
                Err(_) => return Err(unreadable()),
            }
        }
        self.file = match whole {
            false => Some(Err(TOO_LARGE)),
            // A file input that was left alone.
            true if name.is_empty() && bytes.is_empty() => None,
            true => Some(Ok((name, bytes))),
        };
        Ok(())
    }
}

/// What is written of the document, without its file.
fn typed(input: &PapersInput, has_file: bool, errors: &mut FieldErrors) -> NewDocument {
    let name = required(
        &input.name,
        "Enter what it is, such as manual or wiring diagram",
    );
    let dated_on = form::optional_date(&input.dated_on);
    if input.kept.is_empty() && !has_file {
        let message = "Enter where it is kept, so that somebody finds it, or send the file";
        errors.add("kept", message);
    }
    NewDocument {
        name: errors.take("name", name),
        revision: input.revision.clone(),
        kept: input.kept.clone(),
        dated_on: errors.take("dated_on", dated_on),
        file: None,
    }
}

async fn checked(
    app: &AppState,
    machine: &Machine,
    file: Option<Result<(String, Vec<u8>), &'static str>>,
    errors: &mut FieldErrors,
) -> Result<Option<(String, Vec<u8>, &'static FileKind)>, AppError> {
    let (name, bytes) = match file {
        None => return Ok(None),
        Some(Err(message)) => {
            errors.add("file", message);
            return Ok(None);
        }
        Some(Ok(sent)) => sent,
    };
    if bytes.is_empty() {
        errors.add("file", "The file is empty");
        return Ok(None);
    }
    if queries::files_of(&app.db, machine.id).await? >= MOST_OF_A_MACHINE {
        let message = "This machine keeps 100 files, older revisions too, which is the most. \
            Note where this one is kept instead";
        errors.add("file", message);
        return Ok(None);
    }
    match kind_of(&name, &bytes) {
        Ok(kind) => Ok(Some((name, bytes, kind))),
        Err(message) => {
            errors.add("file", message);
            Ok(None)
        }
    }
}

/// `/machines/{id}/papers/document`
pub async fn add(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    sent: SentDocument,
) -> Result<Response, AppError> {
    user.require(WRITERS)?;
    let machine = find_machine(&app, id).await?;
    let mut errors = FieldErrors::default();
    let mut new = typed(&sent.input, sent.file.is_some(), &mut errors);
    let file = checked(&app, &machine, sent.file, &mut errors).await?;
    if !errors.is_empty() {
        let page = page(&app, &user, machine, sent.input, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let held = app.photos.hold().await;
    if let Some((name, bytes, kind)) = file {
        let size = bytes.len() as i64;
        let put = app.photos.put(bytes).await;
        let sha = put.map_err(|e| AppError::Broken(format!("document not stored: {e}")))?;
        new.file = Some(DocumentFile {
            sha,
            file_type: kind.end.to_owned(),
            file_name: name,
            bytes: size,
        });
    }
    let written = write(&app, &user, &machine, &new).await;
    drop(held);
    if let (Err(_), Some(file)) = (&written, &new.file) {
        taking::tidy(&app, std::slice::from_ref(&file.sha)).await?;
    }
    written?;
    Ok(Redirect::to(&app.url(&format!("/machines/{id}/papers#documents"))).into_response())
}

async fn write(
    app: &AppState,
    user: &CurrentUser,
    machine: &Machine,
    new: &NewDocument,
) -> Result<(), AppError> {
    let mut tx = app.db.begin_write().await?;
    let now = app.clock.now();
    queries::insert_document(&mut tx, machine.id, new, user.id(), now).await?;
    let file = new.file.as_ref().map(|file| &file.file_name);
    let detail = json!({ "document": new.name, "revision": new.revision, "kept": new.kept,
        "date": new.dated_on, "file": file });
    let thing = ("machines", machine.id.0);
    let by = Some(user.id());
    audit(&mut tx, now, by, thing, "document noted", &detail).await?;
    tx.commit().await?;
    Ok(())
}
