//! The same fault reported once more: the words go to the job that is open, with a code of their own.

use super::body::Body;
use super::gate::{self, Refusal, Surroundings};
use super::queries::{self, EntryToWrite};
use super::record::{self, NewEntry, Outcome};
use super::report_gate::SAME_FAULT;
use super::{Job, JobId, State, apply, report_code};
use crate::clock::{DAY, Millis};
use crate::db::{Db, Tx};
use crate::error::AppError;
use crate::machines::MachineId;
use crate::people::Person;
use crate::state::AppState;
use crate::telling::mail::news;

/// An open job as a stranger may see it before reporting: no words, no names.
#[derive(Clone, Debug)]
pub struct Already {
    pub number: String,
    pub said: String,
}

/// The jobs of a machine that a new report may be about: open, not planned work, of the last days.
pub async fn already(db: &Db, machine: MachineId, now: Millis) -> sqlx::Result<Vec<Already>> {
    let jobs = queries::of_machine(db, machine, 20).await?;
    let open = jobs.into_iter().filter(|job| joinable(job, machine, now));
    Ok(open
        .map(|job| Already {
            number: job.id.0.to_string(),
            said: said(&job, now),
        })
        .collect())
}

fn joinable(job: &Job, machine: MachineId, now: Millis) -> bool {
    job.machine_id == Some(machine)
        && job.due_item_id.is_none()
        && !job.state.ended()
        && job.state != State::BackInService
        && now - job.reported_at <= SAME_FAULT
}

fn said(job: &Job, now: Millis) -> String {
    let age = match (now - job.reported_at) / DAY {
        0 => "today".to_owned(),
        1 => "1 day ago".to_owned(),
        days => format!("{days} days ago"),
    };
    match job.state {
        State::Reported => format!("reported {age}, not looked at yet"),
        state => format!("reported {age}, {}", state.words()),
    }
}

/// Adds the words to that job. Nobody need be signed in.
pub async fn add(
    app: &AppState,
    job: JobId,
    machine: MachineId,
    person: Option<&Person>,
    new: NewEntry,
) -> Result<Outcome, AppError> {
    let mut tx = app.db.begin_write().await?;
    let outcome = add_in(&mut tx, job, machine, person, &new, app.clock.now()).await?;
    if matches!(outcome, Outcome::Added(_)) {
        let by = person.map(|person| person.id);
        news::of_report(app, &mut tx, job, &new.id, by).await?;
        tx.commit().await?;
    }
    Ok(outcome)
}

async fn add_in(
    tx: &mut Tx,
    id: JobId,
    machine: MachineId,
    person: Option<&Person>,
    new: &NewEntry,
    now: Millis,
) -> Result<Outcome, AppError> {
    let (entry_id, body) = record::checked(new)?;
    let over = || {
        Outcome::Refused(Refusal {
            field: "same",
            message: "That report is no longer open. Report yours as something else".to_owned(),
        })
    };
    let Some(mut job) = queries::lock_and_find(tx, id).await? else {
        return Ok(over());
    };
    if let Some(outcome) = record::known(tx, &entry_id, person, &body).await? {
        return Ok(outcome);
    }
    if !joinable(&job, machine, now) {
        return Ok(over());
    }
    if let Err(refusal) = gate::check(&job, &new.body, person, &Surroundings::default()) {
        return Ok(Outcome::Refused(refusal));
    }
    let entry = EntryToWrite {
        id: &entry_id,
        job_id: id,
        number: job.entry_count + 1,
        person_id: person.map(|p| p.id),
        device_at: new.device_at,
        received_at: now,
        kind: new.body.kind(),
        body: &body,
        corrects: None,
        set_aside: None,
    };
    queries::insert_entry(tx, &entry).await?;
    queries::insert_code(tx, &entry_id, id, &report_code::new_code()).await?;
    apply::apply(&mut job, &new.body, person.map(|p| p.id), now);
    queries::update(tx, &job).await?;
    Ok(Outcome::Added(id))
}

/// The body of a second report, made of the first one's fields.
pub fn body(report: Body) -> Body {
    match report {
        Body::Reported {
            words,
            reporter,
            contact,
            urgency,
            ..
        } => Body::ReportedAgain {
            words,
            reporter,
            contact,
            urgency,
        },
        other => other,
    }
}
