//! What each need of the table means: one refusal each, with what to do instead.

use super::allowed::{Need, Stand};
use super::body::Body;
use super::control::gate as control;
use super::gate::{Refusal, Surroundings, refuse};
use super::lock_gate::{all_locked_gate, no_lock_gate, signed_off_gate, worked_on_gate};
use super::report_gate::paper_there_gate;
use super::ways::asked::asked;
use super::ways::gate as ways;
use super::{Job, JobId};
use crate::people::Person;

/// The field beside which a missing need is said.
fn field(body: &Body) -> &'static str {
    match body {
        Body::LockOn { .. } => "lock_number",
        Body::Energised { .. } => "energise",
        _ => "form",
    }
}

pub(super) fn check(
    need: Need,
    job: &Job,
    body: &Body,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let field = field(body);
    match need {
        Need::Authorised => authorised(by),
        Need::OwnerTold => control::told_gate(field, by, around),
        Need::IncomingTests => control::incoming_gate(job, body, by),
        Need::Sheet if around.sources.is_empty() => refuse(
            "form",
            "This machine has no isolation sheet. A supervisor must write one before work goes on",
        ),
        Need::Sheet => Ok(()),
        Need::AllLocked => all_locked_gate(job, around),
        Need::HandsOpen => hands_open(job, by, around),
        Need::OwnBoxLock => control::boxed_gate(job, by, around),
        Need::Permits => control::permits_gate(job, around),
        Need::Exchanged if !job.way.outside_firm.is_empty() && !job.way.outside_exchanged => {
            refuse(
                "form",
                format!(
                    "{} and this shop have not told each other their energy procedures yet. Note \
                     both first",
                    job.way.outside_firm
                ),
            )
        }
        Need::Exchanged => Ok(()),
        Need::WarrantyAsked => warranty_asked(job, around),
        Need::FullWork if !job.way.level().needs().fit => refuse(
            "motor",
            "This job was planned for less than another motor. Say first that the work touches more",
        ),
        Need::FullWork => Ok(()),
        Need::NoLock => no_lock_gate(field, around),
        Need::NoBoxLock => control::no_box_lock_gate(field, around),
        Need::NoOutsideLock => ways::no_outside_lock_gate(field, None, around),
        Need::OwnLocksOff => {
            signed_off_gate(job, around)?;
            ways::no_outside_lock_gate("form", Some(job.id), around)
        }
        Need::OwnBoxesOff => control::own_boxes_gate(job, body, around),
        Need::NoFailedElsewhere => failed_elsewhere(field, around.failed_elsewhere),
        Need::NoExceptionElsewhere => match around.excepted_elsewhere {
            None => Ok(()),
            Some(other) => refuse(
                field,
                format!(
                    "Job {} is at work on this machine under an exception, without locks. Nothing \
                     is energised until it is ended there",
                    other.0
                ),
            ),
        },
        Need::Interlocks => match around.control.interlocks_open(job).first() {
            None => Ok(()),
            Some(open) => refuse("form", format!("Not recorded as restored: {open}")),
        },
        Need::Proof if !job.proved() => refuse(
            "form",
            "The proof is missing or was not passed. Record it, or note the test as owed with a \
             date",
        ),
        Need::Proof => Ok(()),
        Need::Accepted if job.way.accepted_by.is_empty() && !job.way.finished => refuse(
            "form",
            "Record who accepted the machine back, and what they saw working",
        ),
        Need::Accepted => Ok(()),
        Need::CauseIfAsked => cause(job, around),
        Need::Paper => paper_there_gate(job),
    }
}

/// 29 CFR 1910.147(c)(8): energy control is for authorised people.
fn authorised(by: Option<&Person>) -> Result<(), Refusal> {
    if by.is_some_and(|person| person.authorised_on.is_none()) {
        return refuse(
            "form",
            "You are not recorded as authorised for energy control",
        );
    }
    Ok(())
}

/// Hands go in behind locks proved dead, or under an exception that is one's own.
pub(super) fn hands_open(
    job: &Job,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    if !job.way.level().needs().isolation {
        return refuse(
            "form",
            "This job was planned to open nothing. Say first that the work touches more",
        );
    }
    if Stand::of(job) != Stand::Excepted {
        return worked_on_gate(job, around);
    }
    if by.is_none_or(|person| job.way.exception_by != Some(person.id)) {
        return refuse(
            "form",
            "The exception is another person's: it holds for their own hands only",
        );
    }
    Ok(())
}

/// A warranty may end when what it covers is opened. An emergency opens first and answers after.
pub(super) fn warranty_asked(job: &Job, around: &Surroundings) -> Result<(), Refusal> {
    match &around.warranty_open {
        Some(covers) if !job.response.emergency => refuse(
            "warranty",
            format!(
                "A warranty runs: {covers}. First record what was agreed on the warranty page: \
                 claimed, not covered, or opened under warranty because …"
            ),
        ),
        _ => Ok(()),
    }
}

/// A failed proof binds the machine, not only the job that found it.
fn failed_elsewhere(field: &'static str, other: Option<JobId>) -> Result<(), Refusal> {
    match other {
        None => Ok(()),
        Some(other) => refuse(
            field,
            format!(
                "Job {} on this machine failed its proof and is not isolated again. Settle it first",
                other.0
            ),
        ),
    }
}

fn cause(job: &Job, around: &Surroundings) -> Result<(), Refusal> {
    let asked = asked(
        job.way.level(),
        job.minutes_planned,
        around.criticality.as_deref(),
        job.response.emergency,
    );
    if asked.cause && job.cause_at.is_none() {
        return refuse(
            "form",
            "Record the cause first; unknown and not examined are answers too",
        );
    }
    Ok(())
}
