//! Writing an entry: the job's row locked, the gate asked, entry, summary and typed rows in one
//! transaction.

use super::body::{Body, Stored};
use super::detail::around_detail;
use super::gate::{self, Refusal, Surroundings};
use super::queries::{self, EntryToWrite};
use super::report_gate::SAME_FAULT;
use super::typed_rows::write_rows;
use super::{Job, JobId, apply, clash, control, report_code, steps, stores};
use crate::clock::Millis;
use crate::crew;
use crate::db::{self, Tx};
use crate::error::AppError;
use crate::people::{self, Person};
use crate::photos::{self, Photo};
use crate::state::AppState;
use crate::telling::mail::news;
use uuid::Uuid;

/// An entry as a form or a device hands it in.
#[derive(Clone, Debug)]
pub struct NewEntry {
    /// UUIDv7, put in the form by the server or made by the device.
    pub id: String,
    pub body: Body,
    pub corrects: Option<String>,
    pub device_at: Option<Millis>,
    /// The job's version the sender had before their eyes.
    pub seen: Option<i64>,
}

/// What became of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    Added(JobId),
    /// The same entry was here already: sent twice, added once.
    Already(JobId),
    /// It came too late for the state it needs: kept, not acted on, shown to people.
    SetAside(JobId, Refusal),
    /// Nothing was written.
    Refused(Refusal),
}

/// An id for the hidden field of a form.
pub fn new_id(now: Millis) -> String {
    let millis = u64::try_from(now).unwrap_or(0);
    let at = uuid::Timestamp::from_unix(
        uuid::NoContext,
        millis / 1000,
        u32::try_from(millis % 1000).unwrap_or(0) * 1_000_000,
    );
    Uuid::new_v7(at).to_string()
}

fn checked_id(id: &str) -> Result<String, AppError> {
    Uuid::parse_str(id)
        .map(|id| id.to_string())
        .map_err(|_| AppError::BadRequest("The form is incomplete. Reload the page.".to_owned()))
}

pub(crate) fn written(body: &Body) -> Result<String, AppError> {
    Stored::write(body).map_err(|e| AppError::Broken(e.to_string()))
}

/// The id and the body of an entry as they are stored.
pub(crate) fn checked(new: &NewEntry) -> Result<(String, String), AppError> {
    Ok((checked_id(&new.id)?, written(&new.body)?))
}

/// Whether an entry with this id is known, and is the same one.
pub(crate) async fn known(
    tx: &mut Tx,
    id: &str,
    person: Option<&Person>,
    body: &str,
) -> Result<Option<Outcome>, AppError> {
    let Some((job, by, stored)) = queries::entry_known(tx, id).await? else {
        return Ok(None);
    };
    if by == person.map(|p| p.id) && stored == body {
        return Ok(Some(Outcome::Already(job)));
    }
    Ok(Some(Outcome::Refused(Refusal {
        field: "form",
        message: OTHER_WORDS.to_owned(),
    })))
}

const OTHER_WORDS: &str =
    "This form was sent before with other words. Reload the page and look at what was recorded";

/// The entry was refused because one with its id says something else.
pub(crate) fn is_other_words(refusal: &Refusal) -> bool {
    refusal.message == OTHER_WORDS
}

/// Starts a job from a report.
pub async fn report(
    app: &AppState,
    person: Option<&Person>,
    new: NewEntry,
) -> Result<Outcome, AppError> {
    report_with(app, person, new, &[]).await
}

/// The same with photos, each an entry of its own that follows the report's.
pub async fn report_with(
    app: &AppState,
    person: Option<&Person>,
    new: NewEntry,
    photos: &[Photo],
) -> Result<Outcome, AppError> {
    let id = checked_id(&new.id)?;
    let body = written(&new.body)?;
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    if let Some(outcome) = known(&mut tx, &id, person, &body).await? {
        return photos::with_report::sent_again(&mut tx, outcome, photos).await;
    }
    match report_in(&mut tx, &id, person, &new, &body, now).await {
        Ok(job_id) => {
            let by = person.map(|person| person.id);
            news::of_report(app, &mut tx, job_id, &id, by).await?;
            photos::with_report::add(&mut tx, job_id, person, photos, now).await?;
            tx.commit().await?;
            Ok(Outcome::Added(job_id))
        }
        // The same form came twice at once: the other one was first.
        Err(AppError::Database(e)) if db::is_duplicate(&e) => {
            drop(tx);
            let mut tx = app.db.begin_write().await?;
            known(&mut tx, &id, person, &body)
                .await?
                .ok_or(AppError::Stale)
        }
        Err(other) => Err(other),
    }
}

/// The same inside a transaction that does more, such as a due item becoming a job.
pub async fn report_within(
    tx: &mut Tx,
    person: Option<&Person>,
    new: &NewEntry,
    now: Millis,
) -> Result<JobId, AppError> {
    let id = checked_id(&new.id)?;
    let body = written(&new.body)?;
    report_in(tx, &id, person, new, &body, now).await
}

async fn report_in(
    tx: &mut Tx,
    id: &str,
    person: Option<&Person>,
    new: &NewEntry,
    body: &str,
    now: Millis,
) -> Result<JobId, AppError> {
    let job = apply::begin(JobId(0), &new.body, now)
        .ok_or_else(|| AppError::Broken("a job starts with a report".to_owned()))?;
    let job_id = queries::insert(tx, &job).await?;
    let entry = EntryToWrite {
        id,
        job_id,
        number: 1,
        person_id: person.map(|p| p.id),
        device_at: new.device_at,
        received_at: now,
        kind: new.body.kind(),
        body,
        corrects: None,
        set_aside: None,
    };
    queries::insert_entry(tx, &entry).await?;
    if job.due_item_id.is_none() {
        queries::insert_code(tx, id, job_id, &report_code::new_code()).await?;
    }
    Ok(job_id)
}

/// Adds an entry to a job.
///
/// # Errors
/// [`AppError::NotFound`] where there is no such job; refusals come back as an [`Outcome`].
pub async fn add(
    app: &AppState,
    job_id: JobId,
    person: &Person,
    new: NewEntry,
) -> Result<Outcome, AppError> {
    let mut tx = app.db.begin_write().await?;
    let outcome = add_within(app, &mut tx, job_id, person, new).await?;
    if matches!(outcome, Outcome::Added(_) | Outcome::SetAside(..)) {
        tx.commit().await?;
    }
    Ok(outcome)
}

/// The same inside a transaction that does more; the caller commits when the outcome is `Added` or
/// `SetAside`.
pub async fn add_within(
    app: &AppState,
    tx: &mut Tx,
    job_id: JobId,
    person: &Person,
    new: NewEntry,
) -> Result<Outcome, AppError> {
    let id = checked_id(&new.id)?;
    let body = written(&new.body)?;
    let now = app.clock.now();
    let mut job = queries::lock_and_find(tx, job_id)
        .await?
        .ok_or(AppError::NotFound)?;
    if let Some(outcome) = known(tx, &id, Some(person), &body).await? {
        return Ok(outcome);
    }
    // Permits are judged by when it was written, not by when a line was found.
    let when = steps::written_at(new.device_at, now);
    let around = surroundings(app, tx, &job, &new.body, person, when).await?;
    let refusal = gate::check(&job, &new.body, Some(person), &around).err();
    let late = new.seen.is_some_and(|seen| seen < job.version);
    if late && from_figures(&new.body) {
        return Ok(Outcome::Refused(Refusal {
            field: "form",
            message: "Someone changed this job while you were looking. Look at the figures again"
                .to_owned(),
        }));
    }
    let outcome = match refusal {
        Some(refusal) if late && refusal.field == "form" => Outcome::SetAside(job_id, refusal),
        Some(refusal) => return Ok(Outcome::Refused(refusal)),
        None => match clash::since(tx, job_id, &new.body, new.seen, person.id).await? {
            Some(clash) => Outcome::SetAside(job_id, clash),
            None => Outcome::Added(job_id),
        },
    };
    let entry = EntryToWrite {
        id: &id,
        job_id,
        number: job.entry_count + 1,
        person_id: Some(person.id),
        device_at: new.device_at,
        received_at: now,
        kind: new.body.kind(),
        body: &body,
        corrects: new.corrects.as_deref(),
        set_aside: match &outcome {
            Outcome::SetAside(_, refusal) => Some(refusal.message.as_str()),
            _ => None,
        },
    };
    queries::insert_entry(tx, &entry).await?;
    if matches!(outcome, Outcome::SetAside(..)) {
        apply::set_aside(&mut job, now);
    } else {
        let was = job.state;
        apply::apply(&mut job, &new.body, Some(person.id), now);
        write_rows(app, tx, &job, &id, &new.body, person, now).await?;
        news::of_entry(app, tx, was, &job, (&id, &new.body), person.id).await?;
    }
    queries::update(tx, &job).await?;
    Ok(outcome)
}

/// What the gate needs to see, read under the locks that keep it true until commit.
async fn surroundings(
    app: &AppState,
    tx: &mut Tx,
    job: &Job,
    body: &Body,
    by: &Person,
    now: Millis,
) -> Result<Surroundings, AppError> {
    let mut around = Surroundings::default();
    if let Some(machine) = job.machine_id {
        if needs_guard(body) {
            queries::guard_machine(tx, machine).await?;
        }
        around.sources = queries::sources(tx, machine).await?;
        around.locks = queries::standing_locks(tx, machine).await?;
        around.tag = queries::tag(tx, machine).await?.unwrap_or_default();
        if matches!(body, Body::UnitConfirmed { .. }) {
            let on_roof = queries::on_roof(tx, machine).await?;
            around.on_roof = on_roof.then(|| app.units());
        }
        if opens(body) {
            let today = app.zone().date(now);
            around.warranty_open = queries::warranty_open(tx, machine, job.id, today).await?;
        }
        around.sheet_made_at = queries::sheet_made_at(tx, machine).await?;
        around.failed_elsewhere = queries::failed_elsewhere(tx, machine, job.id).await?;
        around.excepted_elsewhere = queries::excepted_elsewhere(tx, machine, job.id).await?;
        around.outside = queries::outside_locks_in(tx, machine).await?;
        if matches!(body, Body::Ways(_) | Body::SignedOff { .. }) {
            let facts = queries::warrants(tx, machine).await?;
            (around.criticality, around.plug) = facts;
        }
    }
    if let (None, Some(place)) = (job.machine_id, job.place_id) {
        let on_roof = queries::place_on_roof(tx, place).await?;
        around.on_roof = on_roof.then(|| app.units());
    }
    around.control =
        queries::control_around(tx, job, by.id, control::rows::box_name(body), now).await?;
    if let Body::TimeWithdrawn { of, .. } = body {
        around.spell_counts = queries::spell_counts(tx, of, job.id).await?;
    }
    if let Body::Detail(detail) = body {
        around.detail = around_detail(app, tx, job, detail).await?;
    }
    if let Body::Stores(of_shelf) = body {
        around.stores = stores::rows::around(tx, job, of_shelf).await?;
    }
    if let Body::JoinedTo { job: other } = body {
        let found = queries::lock_and_find(tx, *other).await?;
        around.joined_level = found.as_ref().and_then(|other| other.response.level);
        around.joined = found.map(|other| (other.machine_id, other.state));
        let near = queries::near_in(tx, job.id, SAME_FAULT).await?;
        around.joined_near = near.contains(other);
    }
    let named = match body {
        Body::AsFound {
            live: Some(live), ..
        }
        | Body::Proof { live, .. } => Some(live.qualified_person),
        Body::HandedOut { to, .. } => Some(*to),
        Body::Detail(detail) => detail.live().map(|live| live.qualified_person),
        Body::TimeSpent { person, .. } => *person,
        Body::Control(control) => control::rows::named(control),
        _ => None,
    };
    if let Some(named) = named {
        let person = people::queries::find_in(tx, named).await?;
        if matches!(
            body,
            Body::AsFound { .. } | Body::Proof { .. } | Body::Detail(_)
        ) {
            around.live_person = person;
        } else {
            around.handed_to = person;
        }
    }
    if let Body::HandedOut { on, partner, .. } = body {
        let lacking =
            crew::lacking_in(tx, job.id, around.handed_to.as_ref(), *on, *partner).await?;
        around.lacking = lacking;
    }
    around.photos = photos::queries::seen(tx, job.id, body).await?;
    Ok(around)
}

/// Entries that stand on figures somebody had before their eyes: never taken from an old page.
fn from_figures(body: &Body) -> bool {
    matches!(
        body,
        Body::MotorChosen { .. } | Body::CircuitChecked { .. } | Body::CircuitDecided { .. }
    )
}

/// Entries that say that the machine was worked on.
fn opens(body: &Body) -> bool {
    matches!(
        body,
        Body::WorkDone { .. } | Body::MotorFitted { .. } | Body::Detail(_)
    )
}

/// Entries that put energy on or keep it off.
fn needs_guard(body: &Body) -> bool {
    matches!(
        body,
        Body::LockOn { .. }
            | Body::LockOff { .. }
            | Body::DeadTest { .. }
            | Body::Energised { .. }
            | Body::Proof { .. }
            | Body::BackInService { .. }
            | Body::TestOwed { .. }
            | Body::SignedOff { .. }
            | Body::ReadyToLift { .. }
            | Body::WorkDone { .. }
            | Body::MotorFitted { .. }
            | Body::Control(_)
            | Body::Ways(_)
    )
}
