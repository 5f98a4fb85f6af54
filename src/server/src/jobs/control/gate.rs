//! The part of the gate about absent owners, boxes, a change of person and permits. It only ever
//! adds refusals to those of one person's lock.

use super::body::{Control, PERMITS, permit_words};
use super::conditions::{box_gate, handover_gate, permit_gate, removal_gate};
use super::{LockBox, PermitStands};
use crate::jobs::Job;
use crate::jobs::body::Body;
use crate::jobs::gate::{Lock, Refusal, Surroundings, refuse};
use crate::jobs::needs::warranty_asked;
use crate::people::{Person, PersonId};
use calc::working::Verdict;

/// A source lock that somebody takes off: whose it is comes first, the gate of the lock says so.
pub fn beside_lock_off(
    job: &Job,
    lock: &str,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match around.locks.iter().find(|l| l.entry_id == *lock) {
        Some(lock) if by.is_some_and(|p| p.id == lock.person_id) => {
            source_lock_gate(job, lock, around)
        }
        _ => Ok(()),
    }
}

/// Steps and parts that were worked on are work; what is written down later, once power is back, was
/// done behind the locks.
pub fn beside_hands(job: &Job, by: Option<&Person>, around: &Surroundings) -> Result<(), Refusal> {
    told_gate("form", by, around)?;
    boxed_gate(job, by, around)?;
    permits_gate(job, around)?;
    warranty_asked(job, around)
}

/// No personal lock stands on a box of this job.
pub(in crate::jobs) fn own_boxes_gate(
    job: &Job,
    body: &Body,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match around.control.boxes_of(job.id).find_map(locked) {
        None => Ok(()),
        Some(said) if matches!(body, Body::ReadyToLift { .. }) => {
            refuse("form", format!("{said}. Each takes off their own first"))
        }
        Some(said) => refuse("form", said),
    }
}

/// The first personal lock on a box, in words.
fn locked(of: &LockBox) -> Option<String> {
    let lock = of.locks.first()?;
    let many = match of.locks.len() {
        1 => "1 person has".to_owned(),
        n => format!("{n} people have"),
    };
    Some(format!(
        "Lock {} of {} stands on {} (job {}); {many} a lock there",
        lock.lock_number, lock.person, of.name, of.job_id.0
    ))
}

/// Nobody energises while a personal lock stands on a box with the machine's keys, of any job.
pub(in crate::jobs) fn no_box_lock_gate(
    field: &'static str,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match around.control.boxes.iter().find_map(locked) {
        None => Ok(()),
        Some(said) => refuse(
            field,
            format!("{said}. Nothing is energised while it stands"),
        ),
    }
}

/// 29 CFR 1910.147(e)(3)(iii): the owner knows before they work here again.
pub(in crate::jobs) fn told_gate(
    field: &'static str,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let own = around
        .control
        .removals
        .iter()
        .find(|r| r.told_at.is_none() && by.is_some_and(|p| p.id == r.owner_id));
    match own {
        None => Ok(()),
        Some(r) => refuse(
            field,
            format!(
                "Your lock {} on {} was taken off while you were away (job {}). Read how, and \
                 record that you were told, before you work here again",
                r.lock_number, r.point, r.job_id.0
            ),
        ),
    }
}

/// 29 CFR 1910.147(f)(4): who takes over tests for themselves. A finding is anybody's to record.
pub(in crate::jobs) fn incoming_gate(
    job: &Job,
    body: &Body,
    by: Option<&Person>,
) -> Result<(), Refusal> {
    let finding = matches!(body, Body::DeadTest { verdict, .. } if *verdict == Verdict::Beyond);
    match job.handover_to {
        Some(to) if !finding && by.is_none_or(|p| p.id != to) => refuse(
            "form",
            "This job was handed over. Who took it over proves it dead before work goes on",
        ),
        _ => Ok(()),
    }
}

/// 29 CFR 1910.147(f)(3)(ii)(D): behind a box, each has their own lock on it, and every source's
/// key is in it.
pub(in crate::jobs) fn boxed_gate(
    job: &Job,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    let boxes: Vec<&LockBox> = around.control.boxes_of(job.id).collect();
    if boxes.is_empty() {
        return Ok(());
    }
    let own = |b: &&LockBox| {
        b.locks
            .iter()
            .any(|l| by.is_some_and(|p| p.id == l.person_id))
    };
    let Some(own) = boxes.iter().find(|b| own(b)) else {
        return refuse(
            "form",
            format!("Put your own lock on {} before you work", boxes[0].name),
        );
    };
    match around.sources.iter().find(|s| {
        !around
            .locks
            .iter()
            .any(|l| l.source_id == s.source_id && own.keys.contains(&l.entry_id))
    }) {
        None => Ok(()),
        Some(source) => refuse(
            "form",
            format!(
                "No key of {} is in {}. Work waits until every source's key is there",
                source.name, own.name
            ),
        ),
    }
}

pub(in crate::jobs) fn permits_gate(job: &Job, around: &Surroundings) -> Result<(), Refusal> {
    let now = around.control.now;
    for kind in job.permits_needed.split_whitespace() {
        let of_kind = || {
            around
                .control
                .permits
                .iter()
                .filter(|p| p.permit_kind == kind)
        };
        if of_kind().any(|p| p.stands(now) == PermitStands::Open) {
            continue;
        }
        let words = permit_words(kind);
        let ran_out = of_kind().find(|p| p.stands(now) == PermitStands::RanOut);
        return refuse(
            "form",
            match ran_out {
                Some(p) => format!(
                    "The {words} permit {} has run out. Work waits for a new one",
                    p.number
                ),
                None => format!("This work needs a {words} permit, and none is open now"),
            },
        );
    }
    Ok(())
}

/// A source lock that comes off, by its owner or for them.
pub(super) fn source_lock_gate(
    job: &Job,
    lock: &Lock,
    around: &Surroundings,
) -> Result<(), Refusal> {
    if let Some(held) = around.control.held_in(&lock.entry_id) {
        return refuse(
            "form",
            format!(
                "The key of lock {} is in {}, and {} personal locks stand on it",
                lock.lock_number,
                held.name,
                held.locks.len()
            ),
        );
    }
    let others: Vec<PersonId> = around
        .locks
        .iter()
        .filter(|o| {
            o.entry_id != lock.entry_id && o.job_id == job.id && o.source_id == lock.source_id
        })
        .map(|o| o.person_id)
        .collect();
    handed_over_gate(job, lock.person_id, &others)
}

/// From the handover until the incoming person's dead test no point is left without a lock, and the
/// outgoing lock goes only from under the incoming one.
pub(super) fn handed_over_gate(
    job: &Job,
    owner: PersonId,
    others: &[PersonId],
) -> Result<(), Refusal> {
    let Some(to) = job.handover_to else {
        return Ok(());
    };
    let followed = if job.handover_from == Some(owner) {
        others.contains(&to)
    } else {
        !others.is_empty()
    };
    if followed {
        return Ok(());
    }
    refuse(
        "form",
        "This job was handed over and is not proved dead by who took it over. Another lock of \
         theirs goes on here before this one comes off",
    )
}

/// May this entry be added?
pub fn check(
    job: &Job,
    control: &Control,
    by: Option<&Person>,
    around: &Surroundings,
) -> Result<(), Refusal> {
    match control {
        Control::LockRemovedForOwner { .. } => removal_gate(job, control, by, around),
        Control::OwnerTold { lock, how } => {
            let removal = |r: &&super::Removal| r.lock_entry_id == *lock && r.job_id == job.id;
            match around.control.removals.iter().find(removal) {
                None => refuse(
                    "how",
                    "This lock was not taken off for its owner in this job",
                ),
                Some(r) if r.told_at.is_some() => refuse("how", "The owner was told already"),
                Some(_) if how.trim().is_empty() => {
                    refuse("how", "Say how and when the owner was told")
                }
                Some(_) => Ok(()),
            }
        }
        Control::BoxLocked { .. } => box_gate(job, control, by, around),
        Control::BoxLockOn { of, lock_number } => {
            authorised_gate("lock_number", by)?;
            told_gate("lock_number", by, around)?;
            let Some(found) = around.control.boxes_of(job.id).find(|b| b.entry_id == *of) else {
                return refuse("lock_number", "This box is not locked in this job");
            };
            if job.lifting {
                return refuse("lock_number", "The isolation is being lifted. Stay clear");
            }
            if lock_number.trim().is_empty() {
                return refuse("lock_number", "Enter the number on your lock");
            }
            let mine = |l: &super::BoxLock| by.is_some_and(|p| p.id == l.person_id);
            if found.locks.iter().any(mine) {
                return refuse("lock_number", "Your lock is on this box already");
            }
            Ok(())
        }
        Control::BoxLockOff { lock } => {
            let Some((of, lock)) = around.control.box_lock(lock) else {
                return refuse("form", "This lock is off already");
            };
            if of.job_id != job.id {
                return refuse("form", format!("This box belongs to job {}", of.job_id.0));
            }
            if by.is_none_or(|p| p.id != lock.person_id) {
                return refuse(
                    "form",
                    format!(
                        "Lock {} is {}'s. Each takes off their own",
                        lock.lock_number, lock.person
                    ),
                );
            }
            handed_over_gate(job, lock.person_id, &others_on(of, &lock.entry_id))
        }
        Control::HandedOver { from, to, .. } => handover_gate(job, *from, *to, by, around),
        Control::PermitsNeeded { kinds } => {
            match kinds.iter().find(|k| !PERMITS.iter().any(|(w, _)| w == k)) {
                None => Ok(()),
                Some(_) => refuse("kinds", "Choose from the kinds of permit shown"),
            }
        }
        Control::PermitOpened { .. } => permit_gate(control, around),
        Control::InterlocksRestored { said } => {
            let words = |name: &String| said.iter().find(|one| one.interlock == *name);
            let open = |name: &&String| words(name).is_none_or(|one| one.words.trim().is_empty());
            match around.control.interlocks.iter().find(open) {
                None => Ok(()),
                Some(name) => refuse(
                    "form",
                    format!("Say who restored it, and what was seen: {name}"),
                ),
            }
        }
        Control::PermitClosed { of, by, .. } => {
            match around.control.permits.iter().find(|p| p.entry_id == *of) {
                None => refuse("closed_by", "This permit is not one of this job"),
                Some(p) if p.closed_at.is_some() => {
                    refuse("closed_by", "This permit is closed already")
                }
                Some(_) if by.trim().is_empty() => refuse("closed_by", "Say who closed it"),
                Some(_) => Ok(()),
            }
        }
    }
}

pub(super) fn others_on(of: &LockBox, but: &str) -> Vec<PersonId> {
    of.locks
        .iter()
        .filter(|l| l.entry_id != but)
        .map(|l| l.person_id)
        .collect()
}

/// 29 CFR 1910.147(c)(8): energy control is for authorised people.
pub(super) fn authorised_gate(field: &'static str, by: Option<&Person>) -> Result<(), Refusal> {
    if by.is_none_or(|person| person.authorised_on.is_none()) {
        return refuse(
            field,
            "You are not recorded as authorised for energy control",
        );
    }
    Ok(())
}
