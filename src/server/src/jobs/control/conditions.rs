//! What each of these entries needs: a removal its proofs, a box its keys, a handover its locks, a
//! permit its dates.

use super::LockBox;
use super::body::{Control, PERMITS};
use super::gate::{authorised_gate, handed_over_gate, others_on, source_lock_gate};
use crate::jobs::Job;
use crate::jobs::gate::{Lock, Refusal, SheetSource, Surroundings, refuse};
use crate::jobs::lock_gate::off_order_gate;
use crate::people::{Person, PersonId, Role};

/// 29 CFR 1910.147(e)(3), exception: each of its proofs in words, by the employer's trained person.
pub(super) fn removal_gate(
    job: &Job,
    control: &Control,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let Control::LockRemovedForOwner {
        lock,
        owner_not_on_site,
        tried_to_reach,
        directed_by,
        procedure_ref,
        device_checked,
    } = control
    else {
        return Ok(());
    };
    authorised_gate("form", by)?;
    let source = around.locks.iter().find(|l| l.entry_id == *lock);
    let on_box = around.control.box_lock(lock);
    let Some((owner, job_id)) = source
        .map(|l| (l.person_id, l.job_id))
        .or_else(|| on_box.map(|(b, l)| (l.person_id, b.job_id)))
    else {
        return refuse("form", "This lock is off already");
    };
    if job_id != job.id {
        return refuse("form", format!("This lock belongs to job {}", job_id.0));
    }
    if by.is_none_or(|p| p.id == owner) {
        return refuse("form", "This lock is your own. You take it off yourself");
    }
    for (field, words, missing) in [
        (
            "owner_not_on_site",
            owner_not_on_site,
            "Say how it was made certain that the owner is not on site",
        ),
        (
            "tried_to_reach",
            tried_to_reach,
            "Say how and when it was tried to reach the owner",
        ),
        (
            "directed_by",
            directed_by,
            "Name who directed it, trained in the written procedure",
        ),
        (
            "procedure_ref",
            procedure_ref,
            "Name the employer's written procedure",
        ),
        (
            "device_checked",
            device_checked,
            "Say what was seen at the device and the machine: people clear, parts whole",
        ),
    ] {
        if words.trim().is_empty() {
            return refuse(field, missing);
        }
    }
    match (source, on_box) {
        (Some(lock), _) => {
            source_lock_gate(job, lock, around)?;
            off_order_gate(job, lock, around)
        }
        (None, Some((of, lock))) => {
            handed_over_gate(job, lock.person_id, &others_on(of, &lock.entry_id))
        }
        (None, None) => Ok(()),
    }
}

/// Own keys only, of every source: nobody on the box depends on a lock whose key is elsewhere.
pub(super) fn box_gate(
    job: &Job,
    control: &Control,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let Control::BoxLocked {
        box_name, keys_of, ..
    } = control
    else {
        return Ok(());
    };
    authorised_gate("form", by)?;
    if job.lifting {
        return refuse("form", "The isolation is being lifted. Stay clear");
    }
    if box_name.trim().is_empty() {
        return refuse("box_name", "Enter what is written on the box");
    }
    if let Some(other) = around.control.box_elsewhere {
        return refuse(
            "box_name",
            format!("This box holds keys of job {}", other.0),
        );
    }
    match &around.handed_to {
        Some(person) if person.closed => {
            return refuse("coordinator", "This person no longer works here");
        }
        Some(person)
            if person.authorised_on.is_some()
                && matches!(person.role, Role::Technician | Role::Supervisor) => {}
        Some(_) => {
            return refuse(
                "coordinator",
                "This person is not recorded as authorised for energy control",
            );
        }
        None => return refuse("coordinator", "Choose who has the primary responsibility"),
    }
    let mut keyed: Vec<&Lock> = Vec::new();
    for key in keys_of {
        let found = around.locks.iter().find(|l| l.entry_id == *key);
        match found {
            Some(lock) if lock.job_id == job.id && by.is_some_and(|p| p.id == lock.person_id) => {
                keyed.push(lock);
            }
            _ => return refuse("keys_of", "Only keys of your own locks of this job go in"),
        }
        if around.control.boxes.iter().any(|b| b.keys.contains(key)) {
            return refuse("keys_of", "One of these keys is in a box already");
        }
    }
    let open = |source: &&SheetSource| !keyed.iter().any(|l| l.source_id == source.source_id);
    if keyed.is_empty() {
        return refuse("keys_of", "Lock every source first, then put the keys in");
    }
    match around.sources.iter().find(open) {
        None => Ok(()),
        Some(source) => refuse(
            "keys_of",
            format!("A key for every source goes in: {} is missing", source.name),
        ),
    }
}

pub(super) fn handover_gate(
    job: &Job,
    from: PersonId,
    to: PersonId,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    if from == to {
        return refuse("to", "Choose two people");
    }
    if by.is_none_or(|p| p.id != from && p.id != to) {
        return refuse(
            "from",
            "A handover is recorded by the one who leaves or the one who takes over",
        );
    }
    if job.lifting {
        return refuse("form", "The isolation is being lifted. Finish that first");
    }
    match &around.handed_to {
        Some(p) if p.closed => return refuse("to", "This person no longer works here"),
        Some(p) if p.authorised_on.is_none() => {
            return refuse(
                "to",
                format!("{} is not authorised for energy control", p.name),
            );
        }
        Some(p) if p.qualified_on.is_none() && around.sources.iter().any(|s| s.tested) => {
            return refuse(
                "to",
                format!(
                    "{} is not recorded as a qualified person, and has to prove it dead",
                    p.name
                ),
            );
        }
        Some(_) => {}
        None => return refuse("to", "Choose who takes over"),
    }
    let of = |person: PersonId| {
        let locks = around.locks.iter();
        locks.filter(move |l| l.job_id == job.id && l.person_id == person)
    };
    let on = |b: &LockBox, person: PersonId| b.locks.iter().any(|l| l.person_id == person);
    // A lock whose key is behind others' locks stays on; what is handed over is what comes off.
    let sources: Vec<&Lock> = of(from)
        .filter(|l| around.control.held_in(&l.entry_id).is_none())
        .collect();
    let boxes: Vec<&LockBox> = around
        .control
        .boxes_of(job.id)
        .filter(|b| on(b, from))
        .collect();
    if sources.is_empty() && boxes.is_empty() {
        return refuse(
            "from",
            "No lock of theirs stands here that could be handed over",
        );
    }
    let open = sources
        .iter()
        .find(|lock| !of(to).any(|l| l.source_id == lock.source_id))
        .map(|lock| lock.source.clone())
        .or_else(|| boxes.iter().find(|b| !on(b, to)).map(|b| b.name.clone()));
    match open {
        None => Ok(()),
        Some(point) => refuse(
            "to",
            format!("The incoming lock goes on {point} first; the outgoing one stays until then"),
        ),
    }
}

pub(super) fn permit_gate(control: &Control, around: &Surroundings) -> Result<(), Refusal> {
    let Control::PermitOpened {
        permit_kind,
        number,
        issued_by,
        issued_to,
        valid_from,
        valid_to,
        ..
    } = control
    else {
        return Ok(());
    };
    if !PERMITS.iter().any(|(word, _)| word == permit_kind) {
        return refuse("permit_kind", "Choose what the permit is for");
    }
    for (field, text, missing) in [
        ("number", number, "Enter the number on the permit"),
        ("issued_by", issued_by, "Say who issued it"),
        ("issued_to", issued_to, "Say to whom it was issued"),
    ] {
        if text.trim().is_empty() {
            return refuse(field, missing);
        }
    }
    if valid_to <= valid_from {
        return refuse("valid_to", "It must end after it starts");
    }
    if *valid_to <= around.control.now {
        return refuse("valid_to", "This permit has run out already");
    }
    Ok(())
}
