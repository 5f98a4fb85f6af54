//! The part of the gate about locks: on, proved dead, off, and nothing energised while one stands.

use super::body::Body;
use super::gate::{Lock, Refusal, SheetSource, Surroundings, refuse};
use super::{Job, State};
use crate::people::Person;
use calc::working::Verdict;

pub(super) fn lock_on_gate(
    job: &Job,
    body: &Body,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let Body::LockOn {
        source_id,
        lock_number,
        seen_off,
        relieved,
        ..
    } = body
    else {
        return Ok(());
    };
    if by.is_some_and(|person| person.authorised_on.is_none()) {
        return refuse(
            "lock_number",
            "You are not recorded as authorised for energy control",
        );
    }
    if job.confirmed_at.is_none() {
        return refuse("lock_number", "Confirm the unit at the machine first");
    }
    if job.told_at.is_none() {
        return refuse(
            "lock_number",
            "Tell the affected people before the locks go on",
        );
    }
    let Some(source) = around.sources.iter().find(|s| s.source_id == *source_id) else {
        return refuse(
            "lock_number",
            "This source is not on the machine's isolation sheet",
        );
    };
    if lock_number.trim().is_empty() {
        return refuse("lock_number", "Enter the number on your lock");
    }
    if around.locks.iter().any(|l| {
        l.lock_number.eq_ignore_ascii_case(lock_number.trim())
            && by.is_some_and(|p| p.id == l.person_id)
            && l.source_id == *source_id
    }) {
        return refuse(
            "lock_number",
            "This lock of yours is recorded on this source already",
        );
    }
    if !seen_off {
        return refuse(
            "seen_off",
            "See the device in its off or closed position first",
        );
    }
    if source.stores && relieved.trim().is_empty() {
        return refuse(
            "relieved",
            "Say how the stored energy was let out and what you read",
        );
    }
    Ok(())
}

pub(super) fn dead_test_gate(verdict: Verdict, did_not_start: bool) -> Result<(), Refusal> {
    if !did_not_start {
        return refuse(
            "did_not_start",
            "Work the controls and see that it does not start",
        );
    }
    match verdict {
        // A test that reads live is recorded: it is a finding. It just does not open the work.
        Verdict::Within | Verdict::WithinNote | Verdict::Beyond => Ok(()),
        _ => refuse(
            "form",
            "The dead test is not complete. Fill in what is missing below",
        ),
    }
}

/// Every source of the sheet as it stands now has a lock of this job: a source added to the sheet
/// in mid-job shuts the work again.
pub(super) fn all_locked_gate(job: &Job, around: &Surroundings) -> Result<(), Refusal> {
    let locked = |source: &SheetSource| {
        around
            .locks
            .iter()
            .any(|lock| lock.source_id == source.source_id && lock.job_id == job.id)
    };
    let open: Vec<&str> = around
        .sources
        .iter()
        .filter(|source| !locked(source))
        .map(|source| source.name.as_str())
        .collect();
    if open.is_empty() {
        Ok(())
    } else {
        refuse(
            "form",
            format!("No lock of this job is on: {}", open.join(", ")),
        )
    }
}

/// Work goes on behind locks on every source, all proved dead on the sheet as it stands now.
pub(super) fn worked_on_gate(job: &Job, around: &Surroundings) -> Result<(), Refusal> {
    all_locked_gate(job, around)?;
    let changed = job
        .dead_at
        .zip(around.sheet_made_at)
        .is_some_and(|(dead, made)| dead < made);
    if changed {
        return refuse(
            "form",
            "The isolation sheet was changed after the dead test. Prove dead again on the new sheet",
        );
    }
    Ok(())
}

pub(super) fn lock_off_gate(
    job: &Job,
    entry: &str,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let Some(lock) = around.locks.iter().find(|lock| lock.entry_id == entry) else {
        return refuse("form", "This lock is off already");
    };
    if lock.job_id != job.id {
        return refuse(
            "form",
            format!(
                "This lock belongs to job {}; take it off there",
                lock.job_id.0
            ),
        );
    }
    if by.is_none_or(|person| person.id != lock.person_id) {
        return refuse(
            "form",
            format!(
                "Lock {} is {}'s. Each takes off their own",
                lock.lock_number, lock.person
            ),
        );
    }
    off_order_gate(job, lock, around)
}

/// When in the order of a job a lock comes off, whoever takes it off.
pub(super) fn off_order_gate(job: &Job, lock: &Lock, around: &Surroundings) -> Result<(), Refusal> {
    // Change of shift or person (29 CFR 1910.147(f)(4)): another lock of this job is on the source
    // before this one comes off, so the isolation has no gap.
    let handed_over = around.locks.iter().any(|other| {
        other.entry_id != lock.entry_id
            && other.job_id == job.id
            && other.source_id == lock.source_id
    });
    if handed_over {
        return Ok(());
    }
    if matches!(job.state, State::Isolated) && !job.lifting {
        return refuse(
            "form",
            "First record that tools and people are clear and people are told",
        );
    }
    if job.state == State::Held && job.dead_at.is_some() && !job.lifting {
        return refuse(
            "form",
            "Take the job up again, then record that all is clear",
        );
    }
    Ok(())
}

/// Nothing is energised while any lock of any job stands on the machine or its sources.
pub(super) fn no_lock_gate(field: &'static str, around: &Surroundings) -> Result<(), Refusal> {
    match around.locks.first() {
        None => Ok(()),
        Some(lock) => refuse(
            field,
            format!(
                "Lock {} of {} (job {}) is recorded on {}. Nothing is energised while it stands",
                lock.lock_number, lock.person, lock.job_id.0, lock.source
            ),
        ),
    }
}

/// Every lock of the job is accounted for before it is signed off.
pub(super) fn signed_off_gate(job: &Job, around: &Surroundings) -> Result<(), Refusal> {
    match around.locks.iter().find(|lock| lock.job_id == job.id) {
        None => Ok(()),
        Some(lock) => refuse(
            "form",
            format!(
                "Lock {} of {} is still recorded on {}",
                lock.lock_number, lock.person, lock.source
            ),
        ),
    }
}
