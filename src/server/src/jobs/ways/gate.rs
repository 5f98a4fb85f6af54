//! What these entries need beside the table: a refusal where a condition does not hold.

use super::{Exception, Touches, Ways};
use crate::jobs::allowed::Stand;
use crate::jobs::gate::{Refusal, Surroundings, refuse};
use crate::jobs::{Job, JobId};
use crate::machines::MachineId;
use crate::people::{Person, Role};

/// An outside firm's lock that stands on the machine or one of its sources, of whatever job.
#[derive(Clone, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct OutsideLock {
    pub entry_id: String,
    pub job_id: JobId,
    pub machine_id: MachineId,
    pub source_id: i64,
    pub source: String,
    pub firm: String,
    pub owner: String,
    pub lock_number: String,
    pub on_at: i64,
}

/// Nothing is energised while a lock of an outside firm stands; of one job where it is named.
pub(in crate::jobs) fn no_outside_lock_gate(
    field: &'static str,
    of: Option<JobId>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let stands = |lock: &&OutsideLock| of.is_none_or(|job| job == lock.job_id);
    match around.outside.iter().find(stands) {
        None => Ok(()),
        Some(lock) => refuse(
            field,
            format!(
                "Lock {} of {}, {} (job {}) is recorded on {}. Its owner takes it off first",
                lock.lock_number, lock.owner, lock.firm, lock.job_id.0, lock.source
            ),
        ),
    }
}

/// # Errors
/// [`Refusal`]: what to do instead, and the field it belongs beside.
pub fn check(
    job: &Job,
    ways: &Ways,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    if ways.machine().is_some_and(|id| job.machine_id != Some(id)) {
        return refuse(
            "form",
            "This was made for another machine than the job's. Reload the page",
        );
    }
    match ways {
        Ways::PlacePlanned { scope, .. } => said("scope", scope, "Say what is to be done"),
        Ways::TouchesSet { touches, why } => touches_gate(job, *touches, why, by),
        Ways::TriedDead {
            did_not_start, how, ..
        } => {
            if job.way.level() != Touches::Guard {
                return refuse(
                    "form",
                    "This work needs the dead test with an instrument, not the try alone",
                );
            }
            if !did_not_start {
                return refuse(
                    "did_not_start",
                    "Work the controls and see that it does not start",
                );
            }
            said("how", how, "Say how it was tried")
        }
        Ways::RunChecked { seen, .. } => {
            if job.way.level() != Touches::Guard {
                return refuse(
                    "form",
                    "This work needs the run test with numbers, not the run check",
                );
            }
            said("seen", seen, "Say what you saw and heard")
        }
        Ways::Finished { .. } => finish_gate(job, ways, around),
        Ways::Excepted { .. } => exception_gate(job, ways, around),
        Ways::ExceptionEnded { why } => said("why_ended", why, "Say why it ends"),
        Ways::OutsideFirm { firm, .. } => said("firm", firm, "Name the firm"),
        Ways::OutsideLockOn {
            source_id,
            owner,
            lock_number,
            ..
        } => {
            if job.way.outside_firm.is_empty() {
                return refuse("form", "Name the outside firm first");
            }
            if !around.sources.iter().any(|s| s.source_id == *source_id) {
                return refuse(
                    "source",
                    "This source is not on the machine's isolation sheet",
                );
            }
            said("owner", owner, "Name whose lock it is")?;
            said("lock_number", lock_number, "Enter the number on the lock")
        }
        Ways::OutsideLockOff { lock, by_owner } => {
            let here = |l: &&super::gate::OutsideLock| l.entry_id == *lock && l.job_id == job.id;
            if !around.outside.iter().any(|l| here(&l)) {
                return refuse(
                    "form",
                    "This lock is off already, or belongs to another job",
                );
            }
            if !by_owner {
                return refuse("form", "Its owner takes it off in person, or it stays");
            }
            Ok(())
        }
        Ways::Accepted { by, saw } => {
            said("by", by, "Name who accepts it")?;
            said("saw", saw, "Say what they saw working")
        }
    }
}

fn said(field: &'static str, text: &str, ask: &'static str) -> Result<(), Refusal> {
    if text.trim().is_empty() {
        refuse(field, ask)
    } else {
        Ok(())
    }
}

/// Anybody at the work may say that it touches more. Less is a supervisor's word, with a reason once
/// hands may have gone in, and never less than what was done.
fn touches_gate(
    job: &Job,
    touches: Touches,
    why: &str,
    by: Option<&Person>,
) -> Result<(), Refusal> {
    if job.machine_id.is_none() && touches != Touches::Nothing {
        return refuse("touches", "Name the machine first: plan the job on it");
    }
    if touches == job.way.level() && job.way.touches.is_some() {
        return refuse("touches", "This is what is recorded already");
    }
    if touches > job.way.level() {
        return Ok(());
    }
    if by.is_none_or(|person| person.role != Role::Supervisor) {
        return refuse(
            "touches",
            "Saying that the work touches less is a supervisor's. You may always say that it \
             touches more",
        );
    }
    let begun =
        job.way.hands.is_some() || job.way.exception.is_some() || job.energised_at.is_some();
    if begun && touches == Touches::Nothing {
        return refuse(
            "touches",
            "The machine was locked, opened or energised in this job. It goes on to its proof",
        );
    }
    if job.fitted_motor_id.is_some() && touches != Touches::Full {
        return refuse(
            "touches",
            "A motor was fitted in this job. It stays full work",
        );
    }
    if begun || job.as_found_at.is_some() {
        return said("why", why, "Say why it touches less than was thought");
    }
    Ok(())
}

fn finish_gate(job: &Job, ways: &Ways, around: &Surroundings) -> Result<(), Refusal> {
    let Ways::Finished {
        done,
        checked,
        checked_by,
        found,
    } = ways
    else {
        return Ok(());
    };
    if job.machine_id.is_some() && job.confirmed_at.is_none() {
        return refuse("form", "Confirm the unit at the machine first");
    }
    if job.machine_id.is_none() && job.confirmed_at.is_none() && around.on_roof.is_some() {
        return refuse(
            "form",
            "This place is a roof. Say first what keeps people from falling there",
        );
    }
    let minor = job.way.exception == Some(Exception::MinorServicing);
    let opened = job.way.level() != Touches::Nothing
        || job.way.hands.is_some()
        || job.energised_at.is_some();
    if (opened || Stand::of(job) == Stand::Excepted) && !minor {
        return refuse(
            "form",
            "This work opens the machine. It ends with isolation lifted and its proof, not with a \
             finish check",
        );
    }
    said("done", done, "Say what was done")?;
    said("checked", checked, "Say what was checked")?;
    said("checked_by", checked_by, "Say who checked it")?;
    said("found", found, "Say what was found")
}

fn exception_gate(job: &Job, ways: &Ways, around: &Surroundings) -> Result<(), Refusal> {
    let Ways::Excepted {
        exception,
        confirmed,
        measures,
    } = ways
    else {
        return Ok(());
    };
    if job.confirmed_at.is_none() {
        return refuse("form", "Confirm the unit at the machine first");
    }
    if !job.way.level().needs().isolation {
        return refuse(
            "exception",
            "This work opens nothing and needs no exception. Say first that it touches more",
        );
    }
    // What is not known to store nothing is taken to store something.
    if let Some(source) = around.sources.iter().find(|s| s.stores || !s.tested) {
        return refuse(
            "exception",
            format!(
                "The isolation sheet has {}: energy beside electricity, or stored. Isolate it",
                source.name
            ),
        );
    }
    match exception {
        Exception::CordAndPlug => plug_gate(around)?,
        Exception::MinorServicing => minor_gate(job)?,
    }
    for (word, words) in exception.conditions() {
        if !confirmed.iter().any(|one| one == word) {
            return refuse(word, format!("Not confirmed: {words}. Without it, isolate"));
        }
    }
    said("measures", measures, "Say how, in your own words")
}

fn plug_gate(around: &Surroundings) -> Result<(), Refusal> {
    match around.plug {
        Some(true) if around.sources.len() == 1 => Ok(()),
        Some(true) => refuse(
            "exception",
            "The isolation sheet has more than one source; a plug cuts off one. Isolate it",
        ),
        Some(false) => refuse(
            "exception",
            "The machine's record says that it is wired in, not plugged in. Isolate it",
        ),
        None => refuse(
            "exception",
            "The machine's record does not say that it is plugged in. Isolate it, or put the \
             record right",
        ),
    }
}

fn minor_gate(job: &Job) -> Result<(), Refusal> {
    if job.way.level() > Touches::Guard {
        return refuse(
            "exception",
            "Work on electrical parts is no minor servicing. Isolate it",
        );
    }
    if job.way.hands.is_some() || job.energised_at.is_some() || job.dead_at.is_some() {
        return refuse(
            "exception",
            "The machine was isolated in this job: it is not in normal production",
        );
    }
    Ok(())
}
