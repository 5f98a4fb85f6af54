//! Reporting, and adding entries to jobs, by the gates of the pages.

use super::asked::{JSON, Number, Sent, bounded};
use super::caller::Caller;
use super::entries::{EntryBody, EntryShown, Priority, Reason};
use super::jobs;
use super::once::{self, Begun, Done, Once};
use super::problem::Problem;
use super::scopes::Scope;
use super::shapes::JobShown;
use crate::clock::Millis;
use crate::db;
use crate::form::{self, FieldErrors};
use crate::jobs::body::Body;
use crate::jobs::gate::Refusal;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::{JobId, queries, report};
use crate::machines::{self, MachineId};
use crate::people::{self, Person, PersonId};
use crate::state::AppState;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// What somebody, or something, saw.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReportSent {
    /// The entry's id, made by the sender: the same id with the same words reports once.
    #[schema(format = "uuid")]
    id: Option<String>,
    /// The tag of the machine; null: not known, and then the place says where.
    #[schema(max_length = 24)]
    tag: Option<String>,
    /// Where it is, if no tag is given.
    place_id: Option<i64>,
    /// What is wrong, in the reporter's own words.
    #[schema(min_length = 1, max_length = 2000)]
    words: String,
    #[schema(max_length = 200)]
    reporter: Option<String>,
    /// How to reach them.
    #[schema(max_length = 200)]
    contact: Option<String>,
    /// Somebody may be hurt; null: nobody has said.
    danger: Option<bool>,
    /// What it serves is needed today; null: nobody has said.
    needed: Option<bool>,
    /// What is seen or smelt there.
    #[serde(default)]
    signs: Vec<Sign>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Sign {
    Smoke,
    Sparks,
    Burning,
    Water,
}

/// An entry to be added to a job.
#[derive(Debug, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EntrySent {
    /// The entry's id, made by the sender: the same id with the same body adds once.
    #[schema(format = "uuid")]
    id: Option<String>,
    /// The job's `version` when the sender looked; an entry that came too late for the state it needs is kept, set aside and shown to people.
    seen_version: Option<i64>,
    /// When it happened, by the sender's clock.
    #[schema(format = "date-time")]
    happened_at: Option<String>,
    body: EntryBody,
}

fn entry_id(app: &AppState, sent: Option<&str>) -> Result<String, Problem> {
    match sent {
        None => Ok(record::new_id(app.clock.now())),
        Some(text) => match Uuid::parse_str(text) {
            Ok(id) if text.len() == 36 => Ok(id.to_string()),
            _ => Err(Problem::field("id", "Send a UUID, or leave it out")),
        },
    }
}

fn said(answer: Option<bool>) -> String {
    let word = match answer {
        None => "",
        Some(true) => "yes",
        Some(false) => "no",
    };
    word.to_owned()
}

fn as_typed(sent: &ReportSent) -> report::ReportInput {
    let ticked = |sign| match sent.signs.contains(&sign) {
        true => "yes".to_owned(),
        false => String::new(),
    };
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let mut input = report::ReportInput::default();
    input.tag = text(&sent.tag);
    input.place = sent.place_id.map_or_else(String::new, |id| id.to_string());
    input.words.clone_from(&sent.words);
    input.reporter = text(&sent.reporter);
    input.contact = text(&sent.contact);
    input.answers.danger = said(sent.danger);
    input.answers.needed = said(sent.needed);
    input.answers.smoke = ticked(Sign::Smoke);
    input.answers.sparks = ticked(Sign::Sparks);
    input.answers.burning = ticked(Sign::Burning);
    input.answers.water = ticked(Sign::Water);
    input
}

/// Field names as the JSON has them.
fn renamed(errors: FieldErrors, names: &[(&str, &str)]) -> FieldErrors {
    let mut renamed = FieldErrors::default();
    for (field, message) in errors.all() {
        let own = names.iter().find(|(page, _)| *page == field);
        renamed.add(own.map_or(field, |(_, own)| own), message);
    }
    renamed
}

/// Reports what is wrong: a job begins.
#[utoipa::path(post, path = "/jobs", tag = "jobs", request_body = ReportSent,
    responses((status = 201, description = "The job that began", body = JobShown),
        (status = 200, description = "The job that began when this was sent before", body = JobShown)))]
pub async fn report_fault(
    caller: Caller,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, Problem> {
    let asked: ReportSent = sent.read(JSON)?;
    let id = entry_id(&app, asked.id.as_deref())?;
    // Read first: inside the change, a second connection might never come free.
    let parsed = report::parse(&app, &as_typed(&asked)).await?;
    let mut once = match once::begin(&app, &caller, "POST /jobs", &sent).await? {
        Begun::Before(answer) => return Ok(answer),
        Begun::Go(once) => once,
    };
    let body = parsed.map_err(|errors| renamed(errors, &[("place", "place_id")]))?;
    let new = NewEntry {
        id,
        body,
        corrects: None,
        device_at: None,
        seen: None,
    };
    let (stored_id, stored) = record::checked(&new)?;
    let person = Some(&caller.person);
    match record::known(&mut once.tx, &stored_id, person, &stored).await? {
        Some(Outcome::Already(job)) => {
            let shown = job_now(&mut once, &caller, job).await?;
            return Ok(once.already(Done {
                status: StatusCode::OK,
                ..shown
            }));
        }
        Some(_) => return Err(sent_before()),
        None => {}
    }
    let now = app.clock.now();
    let job = match record::report_within(&mut once.tx, person, &new, now).await {
        Err(crate::error::AppError::Database(e)) if db::is_duplicate(&e) => return Err(at_once()),
        made => made?,
    };
    let done = job_now(&mut once, &caller, job).await?;
    once.keep(done).await
}

async fn job_now(once: &mut Once<'_>, caller: &Caller, id: JobId) -> Result<Done, Problem> {
    let job = queries::lock_and_find(&mut once.tx, id).await?;
    let job = job.ok_or_else(Problem::not_found)?;
    let tag = jobs::tag_of(&job);
    let shown = JobShown::of(job, caller.may(Scope::ReportersRead));
    Ok(Done::made(format!("/jobs/{}", id.0), Some(tag), shown))
}

fn sent_before() -> Problem {
    Problem::field(
        "id",
        "An entry with this id was sent before with other words",
    )
}

fn at_once() -> Problem {
    let said = "The same entry is being added. Send it again in a moment.";
    Problem::new(StatusCode::CONFLICT, said)
}

fn text(errors: &mut FieldErrors, field: &str, text: &str, message: &str, most: usize) -> String {
    bounded(errors, field, Some(text), most);
    errors.take(field, form::required(text, message))
}

fn note(errors: &mut FieldErrors, text: Option<&str>) -> String {
    bounded(errors, "body.note", text, MOST);
    text.unwrap_or_default().trim().to_owned()
}

const MOST: usize = 4000;
const MOST_MINUTES: i64 = 60_000;

/// The body as it is stored, its fields judged as the pages judge them.
async fn stored(app: &AppState, body: EntryBody) -> Result<Body, Problem> {
    let mut e = FieldErrors::default();
    let body = match body {
        EntryBody::Note { text: said } => Body::Note {
            text: text(&mut e, "body.text", &said, "Write the note", MOST),
        },
        EntryBody::Correction { of, text: said } => Body::Correction {
            of: of.to_ascii_lowercase(),
            text: text(&mut e, "body.text", &said, "Write the note", MOST),
        },
        EntryBody::Planned {
            machine_id,
            scope,
            minutes,
            steps,
        } => {
            planned(app, &mut e, machine_id, minutes, steps.as_deref()).await?;
            Body::Planned {
                machine_id: MachineId(machine_id),
                scope: text(&mut e, "body.scope", &scope, "Say what is to be done", MOST),
                minutes,
                steps: steps.unwrap_or_default().trim().replace("\r\n", "\n"),
            }
        }
        EntryBody::HandedOut { to, on, partner } => {
            let on = form::date(&on, "Choose the day");
            let on = on.map_err(|message| Problem::field("body.on", message))?;
            Body::HandedOut {
                to: PersonId(to),
                on,
                partner: partner.map(PersonId),
            }
        }
        EntryBody::Held { reason, note: why } => held(&mut e, reason, why.as_deref()),
        EntryBody::Resumed { note: why } => Body::Resumed {
            note: note(&mut e, why.as_deref()),
        },
        EntryBody::TurnedDown { reason } => Body::TurnedDown {
            reason: text(
                &mut e,
                "body.reason",
                &reason,
                "Say why; the reporter reads it",
                MOST,
            ),
        },
        EntryBody::JoinedTo { job_id } => Body::JoinedTo { job: JobId(job_id) },
        EntryBody::PrioritySet { level, reason } => Body::PrioritySet {
            level: Priority::stored(level),
            reason: text(
                &mut e,
                "body.reason",
                &reason,
                "Say why the rule does not fit",
                MOST,
            ),
        },
    };
    Ok(e.or(body)?)
}

async fn planned(
    app: &AppState,
    errors: &mut FieldErrors,
    machine: i64,
    minutes: Option<i64>,
    steps: Option<&str>,
) -> Result<(), Problem> {
    bounded(errors, "body.steps", steps, 2 * MOST);
    if minutes.is_some_and(|minutes| !(0..=MOST_MINUTES).contains(&minutes)) {
        errors.add(
            "body.minutes",
            "Send the minutes of work, up to 60000, or null",
        );
    }
    let known = machines::queries::find(&app.db, MachineId(machine)).await?;
    if known.is_none() {
        errors.add("body.machine_id", "There is no such machine");
    }
    Ok(())
}

fn held(errors: &mut FieldErrors, reason: Reason, why: Option<&str>) -> Body {
    let note = note(errors, why);
    if reason == Reason::Other && note.is_empty() {
        errors.add("body.note", "Say what it waits for");
    }
    Body::Held {
        reason: reason.stored(),
        note,
    }
}

/// A refusal of the gates, with the field as the JSON has it.
fn refused(refusal: Refusal) -> Problem {
    let field = match refusal.field {
        "form" => "form".to_owned(),
        "machine" => "body.machine_id".to_owned(),
        "job" => "body.job_id".to_owned(),
        own => format!("body.{own}"),
    };
    Problem::field(&field, refusal.message)
}

fn happened(text: Option<&str>) -> Result<Option<Millis>, Problem> {
    let Some(text) = text else {
        return Ok(None);
    };
    let at: Result<jiff::Timestamp, _> = text.parse();
    let at = at.map_err(|_| {
        Problem::field(
            "happened_at",
            "Send an instant, as 2026-11-25T12:00:00Z, or leave it out",
        )
    })?;
    Ok(Some(at.as_millisecond()))
}

/// Adds an entry to a job, by the same gates as the pages.
///
/// What a program may add stands in `EntryBody`. Locks, tests, energising, proofs, putting back in service and signing off are a person's own word and are not taken.
#[utoipa::path(post, path = "/jobs/{id}/entries", tag = "jobs",
    params(("id" = i64, Path, minimum = 1, description = "The job's number")),
    request_body = EntrySent,
    responses((status = 201, description = "The entry that was added; with `set_aside` it was kept but not acted on", body = EntryShown),
        (status = 200, description = "The entry that was added when this was sent before", body = EntryShown)))]
pub async fn add_entry(
    caller: Caller,
    State(app): State<AppState>,
    Number(id): Number,
    sent: Sent,
) -> Result<Response, Problem> {
    let asked: EntrySent = sent.read(JSON)?;
    let new = NewEntry {
        id: entry_id(&app, asked.id.as_deref())?,
        device_at: happened(asked.happened_at.as_deref())?,
        seen: asked.seen_version,
        corrects: None,
        body: stored(&app, asked.body).await?,
    };
    let what = format!("POST /jobs/{id}/entries");
    let people = people::queries::list(&app.db).await?;
    let mut once = match once::begin(&app, &caller, &what, &sent).await? {
        Begun::Before(answer) => return Ok(answer),
        Begun::Go(once) => once,
    };
    let entry = new.id.clone();
    if let Body::Correction { of, .. } = &new.body {
        let known = queries::entry_known(&mut once.tx, of).await?;
        if known.is_none_or(|(job, ..)| job.0 != id) {
            return Err(Problem::field("body.of", "This job has no such entry"));
        }
    }
    let added = record::add_within(&app, &mut once.tx, JobId(id), &caller.person, new).await;
    let outcome = match added {
        Err(crate::error::AppError::Database(e)) if db::is_duplicate(&e) => return Err(at_once()),
        added => added?,
    };
    match outcome {
        Outcome::Added(_) | Outcome::SetAside(..) => {
            let done = entry_now(&app, &mut once, &caller, &people, &entry).await?;
            once.keep(done).await
        }
        Outcome::Already(job) if job.0 != id => Err(sent_before()),
        Outcome::Already(_) => {
            let done = entry_now(&app, &mut once, &caller, &people, &entry).await?;
            Ok(once.already(Done {
                status: StatusCode::OK,
                ..done
            }))
        }
        Outcome::Refused(refusal) if record::is_other_words(&refusal) => Err(sent_before()),
        Outcome::Refused(refusal) => Err(refused(refusal)),
    }
}

async fn entry_now(
    app: &AppState,
    once: &mut Once<'_>,
    caller: &Caller,
    people: &[Person],
    id: &str,
) -> Result<Done, Problem> {
    let entry = queries::entry_in(&mut once.tx, id).await?;
    let entry = entry.ok_or_else(Problem::not_found)?;
    let at = format!("/jobs/{}/entries", entry.job_id.0);
    let reporters = caller.may(Scope::ReportersRead);
    let shown = EntryShown::of(entry, reporters, people, &app.zone());
    Ok(Done::made(at, None, shown))
}
