//! `/machines/{id}/papers`: notes to know before going, documents with their revision, what the machine
//! is part of and its warranties; each saved on its own.

pub mod files;
pub mod queries;
pub mod sending;
pub mod warranty;

use super::show::find_machine;
use super::{Machine, MachineId};
use crate::audit::audit;
use crate::clock::{Zone, date_words};
use crate::db::Tx;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, required};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use crate::stores;
use crate::stores::queries::Warranty;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use queries::{Document, Note};
use serde::Deserialize;
use serde_json::json;
use time::Date;

/// Who writes down what they know of a machine.
const WRITERS: &[Role] = &[Role::Technician, Role::Supervisor];

/// Everything the page's forms send; each sends its own part and says what it does.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PapersInput {
    /// `note`, `end_note`, `stale`, `record`, `warranty` or `end_warranty`.
    pub act: String,
    pub id: i64,
    pub text: String,
    pub name: String,
    pub revision: String,
    pub kept: String,
    pub dated_on: String,
    pub why: String,
    pub part_of: String,
    /// Of what: `machine`, `motor` or `part-3`.
    pub of: String,
    pub covers: String,
    pub until: String,
    pub terms: String,
    pub version: i64,
}

#[derive(Template)]
#[template(path = "machines/papers.html")]
struct PapersPage {
    layout: Layout,
    machine: Machine,
    notes: Vec<Note>,
    documents: Vec<Document>,
    /// Whose place newer ones took.
    earlier: Vec<Document>,
    warranties: Vec<Warranty>,
    /// What one can be of.
    things: Vec<(String, String)>,
    today: Date,
    zone: Zone,
    input: PapersInput,
    errors: FieldErrors,
    may_write: bool,
    may_edit: bool,
}

impl PapersPage {
    fn day(&self, at: &i64) -> String {
        date_words(self.zone.date(*at))
    }
}

async fn page(
    app: &AppState,
    user: &CurrentUser,
    machine: Machine,
    input: PapersInput,
    errors: FieldErrors,
) -> Result<Page<PapersPage>, AppError> {
    Ok(Page(PapersPage {
        layout: Layout::new(app, &user.visitor, "Machines"),
        notes: queries::notes(&app.db, machine.id).await?,
        documents: queries::documents(&app.db, machine.id).await?,
        earlier: queries::earlier_documents(&app.db, machine.id).await?,
        warranties: stores::queries::warranties(&app.db, machine.id).await?,
        things: warranty::things(app, &machine).await?,
        today: app.today(),
        zone: app.zone(),
        may_write: WRITERS.contains(&user.person.role),
        may_edit: user.person.role == Role::Supervisor,
        machine,
        input,
        errors,
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machine = find_machine(&app, id).await?;
    let parent = match machine.parent_id {
        Some(parent) => super::queries::find(&app.db, parent).await?,
        None => None,
    };
    let input = PapersInput {
        part_of: parent.map_or_else(String::new, |parent| parent.tag),
        version: machine.version,
        ..PapersInput::default()
    };
    let errors = FieldErrors::default();
    Ok(page(&app, &user, machine, input, errors)
        .await?
        .into_response())
}

/// One of the page's forms.
pub async fn act(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PapersInput>,
) -> Result<Response, AppError> {
    user.require(
        if matches!(input.act.as_str(), "record" | "warranty" | "end_warranty") {
            &[Role::Supervisor]
        } else {
            WRITERS
        },
    )?;
    let machine = find_machine(&app, id).await?;
    let done = match input.act.as_str() {
        "note" => note(&app, &user, &machine, &input).await?,
        "end_note" => end_note(&app, &user, &machine, &input).await?,
        "stale" => stale(&app, &user, &machine, &input).await?,
        "record" => record(&app, &user, &machine, &input).await?,
        "warranty" => warranty::add(&app, &user, &machine, &input).await?,
        "end_warranty" => warranty::end(&app, &user, &machine, &input).await?,
        _ => return Err(AppError::NotFound),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&app.url(&format!("/machines/{id}/papers"))).into_response()),
        Err(errors) => {
            let page = page(&app, &user, machine, input, errors).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

type Done = Result<Result<(), FieldErrors>, AppError>;

async fn noted(
    app: &AppState,
    user: &CurrentUser,
    mut tx: Tx,
    machine: MachineId,
    act: &'static str,
    detail: serde_json::Value,
) -> Result<(), AppError> {
    let now = app.clock.now();
    let thing = ("machines", machine.0);
    audit(&mut tx, now, Some(user.id()), thing, act, &detail).await?;
    tx.commit().await?;
    Ok(())
}

/// Rewrites the text that jobs and sheets show: the standing notes, each with who wrote it when.
async fn gather(app: &AppState, tx: &mut Tx, machine: MachineId) -> Result<(), AppError> {
    let zone = app.zone();
    let notes = queries::notes_in(tx, machine).await?;
    let standing = notes.iter().filter(|note| note.ended_at.is_none());
    let line = |note: &Note| match (&note.person, note.written_at) {
        (Some(person), Some(at)) => {
            format!("{} ({person}, {})", note.text, date_words(zone.date(at)))
        }
        _ => note.text.clone(),
    };
    let text: Vec<String> = standing.map(line).collect();
    queries::set_before_you_go(tx, machine, &text.join("\n")).await?;
    Ok(())
}

async fn note(app: &AppState, user: &CurrentUser, machine: &Machine, input: &PapersInput) -> Done {
    let text = match required(&input.text, "Write what to know before going") {
        Ok(text) => text,
        Err(message) => return Ok(Err(FieldErrors::of("text", message))),
    };
    let mut tx = app.db.begin_write().await?;
    // What was written on the record's form, or brought in from a list, has no note of its own yet.
    let notes = queries::notes_in(&mut tx, machine.id).await?;
    let none = notes.iter().all(|note| note.ended_at.is_some());
    if none && !machine.before_you_go.is_empty() {
        queries::insert_note(&mut tx, machine.id, &machine.before_you_go, None, None).await?;
    }
    let now = app.clock.now();
    queries::insert_note(&mut tx, machine.id, &text, Some(user.id()), Some(now)).await?;
    gather(app, &mut tx, machine.id).await?;
    let detail = json!({ "before you go": text });
    noted(app, user, tx, machine.id, "note added", detail).await?;
    Ok(Ok(()))
}

async fn end_note(
    app: &AppState,
    user: &CurrentUser,
    machine: &Machine,
    input: &PapersInput,
) -> Done {
    let mut tx = app.db.begin_write().await?;
    let now = app.clock.now();
    if !queries::end_note(&mut tx, machine.id, input.id, user.id(), now).await? {
        return Err(AppError::Stale);
    }
    gather(app, &mut tx, machine.id).await?;
    let notes = queries::notes_in(&mut tx, machine.id).await?;
    let text = notes.into_iter().find(|note| note.id == input.id);
    let detail = json!({ "was": { "before you go": text.map(|note| note.text) }, "is": {} });
    noted(app, user, tx, machine.id, "note ended", detail).await?;
    Ok(Ok(()))
}

async fn stale(app: &AppState, user: &CurrentUser, machine: &Machine, input: &PapersInput) -> Done {
    let why = match required(&input.why, "Write what is out of date in it") {
        Ok(why) => why,
        Err(message) => return Ok(Err(FieldErrors::of(&format!("why{}", input.id), message))),
    };
    let mut tx = app.db.begin_write().await?;
    if !queries::mark_stale(&mut tx, machine.id, input.id, &why).await? {
        return Err(AppError::Stale);
    }
    let detail = json!({ "document": input.id, "out of date": why });
    noted(app, user, tx, machine.id, "document out of date", detail).await?;
    Ok(Ok(()))
}

/// What it is part of, by tag; a machine is no part of itself or of its own parts.
async fn parent(
    app: &AppState,
    machine: &Machine,
    tag: &str,
) -> Result<Result<Option<MachineId>, String>, AppError> {
    if tag.trim().is_empty() {
        return Ok(Ok(None));
    }
    let Some(found) = super::queries::find_by_tag(&app.db, tag.trim()).await? else {
        return Ok(Err("No machine has this tag".to_owned()));
    };
    let mut above = Some(found.id);
    for _ in 0..100 {
        match above {
            None => return Ok(Ok(Some(found.id))),
            Some(id) if id == machine.id => break,
            Some(id) => {
                let next = super::queries::find(&app.db, id).await?;
                above = next.and_then(|next| next.parent_id);
            }
        }
    }
    Ok(Err(
        "A machine cannot be part of itself or of one of its parts".to_owned(),
    ))
}

async fn record(
    app: &AppState,
    user: &CurrentUser,
    machine: &Machine,
    input: &PapersInput,
) -> Done {
    let mut errors = FieldErrors::default();
    let part_of = errors.take("part_of", parent(app, machine, &input.part_of).await?);
    if !errors.is_empty() {
        return Ok(Err(errors));
    }
    let mut tx = app.db.begin_write().await?;
    if !queries::update(&mut tx, machine.id, input.version, part_of).await? {
        return Err(AppError::Stale);
    }
    let side = |part_of: Option<MachineId>| json!({ "part of": part_of });
    let detail = json!({ "was": side(machine.parent_id), "is": side(part_of) });
    noted(app, user, tx, machine.id, "change", detail).await?;
    Ok(Ok(()))
}
