//! What somebody typed is kept when their session ends before they send it: they sign in again, see
//! it, and send it on with one press. For the same person only, for a day, without files.

mod pages;
pub mod queries;

pub use pages::{away, send, show};

use crate::clock::{DAY, Millis};
use crate::error::AppError;
use crate::form;
use crate::people::PersonId;
use crate::people::session::new_token;
use crate::photos::MOST_AT_ONCE;
use crate::photos::upload::form_limit;
use crate::state::AppState;
use axum::body::{Body, to_bytes};
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Request};
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};
use futures_util::{StreamExt, stream};
use subtle::ConstantTimeEq;

/// A form is kept this long.
const KEPT_FOR: Millis = DAY;
/// Nobody needs more; it bounds what an old cookie can fill.
const MOST_OF_ONE: i64 = 20;
/// The same bound as for forms that are taken.
const MOST_TEXT: usize = 256 * 1024;
/// So much of a form with files is looked at to see whose it is.
const BEGINNING: usize = 4096;

/// A form as it was typed.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Kept {
    pub id: String,
    pub person_id: PersonId,
    /// Where it was going, without the base path.
    pub path: String,
    /// Names and values, in order, as a form encodes them.
    pub fields: String,
    pub had_files: bool,
    pub kept_at: Millis,
    #[sqlx(default)]
    pub sent_at: Option<Millis>,
}

/// What became of a form whose session has ended.
pub enum Ended {
    Kept(Response),
    /// Not such a form: it goes on as it came.
    Not(Request),
}

/// Keeps a form that belongs to a session that has ended, and asks to sign in.
///
/// `token_hash` and `csrf` are those of the session in the cookie. Only a form that carries that
/// session's csrf word was written on its pages; anything else goes on to be refused as ever.
pub async fn keep(
    app: &AppState,
    token_hash: &str,
    csrf: &str,
    req: Request,
) -> Result<Ended, AppError> {
    let Some(kind) = Kind::of(req.headers()) else {
        return Ok(Ended::Not(req));
    };
    let path = req.uri().path();
    let path = path.strip_prefix(&app.config.base_path).unwrap_or(path);
    if ["/sign-in", "/sign-out", "/set-up"].contains(&path) {
        return Ok(Ended::Not(req));
    }
    let path = path.to_owned();
    let Some(person) = queries::whose(&app.db, token_hash).await? else {
        return Ok(Ended::Not(req));
    };
    form::check_origin(req.headers())?;
    let looked = match kind {
        Kind::Plain => plain(req).await?,
        Kind::Files => with_files(csrf, req).await,
    };
    let (fields, had_files, again) = match looked {
        Looked::Into(fields, had_files, again) => (fields, had_files, again),
        Looked::Not(req) => return Ok(Ended::Not(*req)),
    };
    let sent = fields.iter().find(|(name, _)| name == "csrf");
    let own = sent.is_some_and(|(_, word)| bool::from(word.as_bytes().ct_eq(csrf.as_bytes())));
    if !own {
        return Ok(Ended::Not(*again));
    }
    form::check_text(&fields)?;
    let to = match store(app, person, path, fields, had_files).await? {
        Some(id) => app.url(&format!("/sign-in?next=/kept/{id}")),
        None => app.url("/sign-in"),
    };
    Ok(Ended::Kept(Redirect::to(&to).into_response()))
}

/// How a form came.
#[derive(Clone, Copy)]
enum Kind {
    Plain,
    Files,
}

impl Kind {
    /// `None` for what is no form.
    fn of(headers: &HeaderMap) -> Option<Kind> {
        let kind = headers.get(header::CONTENT_TYPE)?.to_str().ok()?;
        if kind.starts_with("application/x-www-form-urlencoded") {
            Some(Kind::Plain)
        } else {
            kind.starts_with("multipart/form-data")
                .then_some(Kind::Files)
        }
    }
}

/// What was found in a form: what was typed, whether there were files beside it, and the request as
/// it goes on to be refused where it was not this session's.
enum Looked {
    Into(Vec<(String, String)>, bool, Box<Request>),
    /// Not of this session: it goes on whole.
    Not(Box<Request>),
}

async fn plain(req: Request) -> Result<Looked, AppError> {
    let (parts, body) = req.into_parts();
    let bytes = to_bytes(body, MOST_TEXT)
        .await
        .map_err(|_| AppError::BadRequest("The form is too large.".to_owned()))?;
    let fields = serde_html_form::from_bytes(&bytes).unwrap_or_default();
    let again = Request::from_parts(parts, Body::from(bytes));
    Ok(Looked::Into(fields, false, Box::new(again)))
}

/// A form with photos is never held in memory: its csrf field comes first, so what begins it says
/// whether it is this session's; of the rest only what was typed is read.
async fn with_files(csrf: &str, req: Request) -> Looked {
    let (parts, body) = req.into_parts();
    let mut rest = body.into_data_stream().fuse();
    let (mut begins, mut length) = (Vec::new(), 0);
    while length < BEGINNING {
        let Some(Ok(chunk)) = rest.next().await else {
            break;
        };
        length += chunk.len();
        begins.push(chunk);
    }
    let named = begins
        .concat()
        .windows(csrf.len())
        .any(|part| part == csrf.as_bytes());
    let whole = Body::from_stream(stream::iter(begins.into_iter().map(Ok)).chain(rest));
    if !named {
        return Looked::Not(Box::new(Request::from_parts(parts, whole)));
    }
    let mut form = Request::new(whole);
    form.headers_mut().clone_from(&parts.headers);
    DefaultBodyLimit::max(form_limit(MOST_AT_ONCE)).apply(&mut form);
    let (fields, had_files) = typed(form).await;
    let spent = Request::from_parts(parts, Body::empty());
    Looked::Into(fields, had_files, Box::new(spent))
}

/// The fields that were typed, and whether there were files beside them.
async fn typed(form: Request) -> (Vec<(String, String)>, bool) {
    let Ok(mut form) = Multipart::from_request(form, &()).await else {
        return (Vec::new(), false);
    };
    let (mut fields, mut had_files, mut room) = (Vec::new(), false, MOST_TEXT);
    // What cannot be read any more ends the form; what came before it is kept.
    while let Ok(Some(mut field)) = form.next_field().await {
        let name = field.name().unwrap_or_default().to_owned();
        if let Some(file) = field.file_name() {
            had_files |= !file.is_empty();
            while let Ok(Some(_passed_over)) = field.chunk().await {}
            continue;
        }
        match field.text().await {
            Ok(value) if value.len() <= room => {
                room -= value.len();
                fields.push((name, value));
            }
            _ => break,
        }
    }
    (fields, had_files)
}

/// Writes it down without what must not lie about: the csrf word and passwords.
async fn store(
    app: &AppState,
    person: PersonId,
    path: String,
    mut fields: Vec<(String, String)>,
    had_files: bool,
) -> Result<Option<String>, AppError> {
    fields.retain(|(name, _)| name != "csrf" && !name.contains("password"));
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    queries::forget(&mut tx, now - 30 * DAY, now - KEPT_FOR).await?;
    if queries::count_of(&mut tx, person).await? >= MOST_OF_ONE {
        return Ok(None);
    }
    let kept = Kept {
        id: new_token(),
        person_id: person,
        path,
        fields: serde_html_form::to_string(&fields).map_err(|e| AppError::Broken(e.to_string()))?,
        had_files,
        kept_at: now,
        sent_at: None,
    };
    queries::insert(&mut tx, &kept).await?;
    tx.commit().await?;
    Ok(Some(kept.id))
}
