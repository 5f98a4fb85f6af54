//! Energy control beyond one person's lock: somebody absent, a group's box, a change of person, the
//! board of all locks, permits.

pub mod absent_owner;
pub mod board;
pub mod body;
pub mod boxes;
mod conditions;
pub mod gate;
pub mod handover;
pub mod lines;
pub mod permits;
pub mod rows;

use super::{Job, JobId, State};
use crate::clock::Millis;
use crate::error::AppError;
use crate::people::PersonId;
use crate::state::AppState;
use body::Control;

/// A personal lock on a box.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoxLock {
    pub entry_id: String,
    pub person_id: PersonId,
    pub person: String,
    pub lock_number: String,
    pub on_at: Millis,
}

/// A box that holds the keys of source locks, of which at least one stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LockBox {
    pub entry_id: String,
    pub job_id: JobId,
    pub name: String,
    pub coordinator_id: PersonId,
    pub coordinator: String,
    pub locked_at: Millis,
    /// The standing lock entries whose keys are in it.
    pub keys: Vec<String>,
    /// The personal locks that stand on it.
    pub locks: Vec<BoxLock>,
}

/// A lock that was taken off for its absent owner.
#[derive(Clone, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct Removal {
    pub entry_id: String,
    pub lock_entry_id: String,
    pub job_id: JobId,
    pub owner_id: PersonId,
    pub owner: String,
    pub lock_number: String,
    pub point: String,
    pub removed_by: String,
    pub removed_at: Millis,
    /// `None`: the owner is not told yet.
    pub told_at: Option<Millis>,
}

/// A permit as its entries made it.
#[derive(Clone, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct Permit {
    pub entry_id: String,
    pub permit_kind: String,
    pub number: String,
    pub issued_by: String,
    pub issued_to: String,
    pub valid_from: Millis,
    pub valid_to: Millis,
    pub conditions: String,
    pub closed_at: Option<Millis>,
}

/// How a permit stands at a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PermitStands {
    Open,
    NotYet,
    RanOut,
    Closed,
}

impl Permit {
    pub fn stands(&self, now: Millis) -> PermitStands {
        if self.closed_at.is_some() {
            PermitStands::Closed
        } else if now < self.valid_from {
            PermitStands::NotYet
        } else if now >= self.valid_to {
            PermitStands::RanOut
        } else {
            PermitStands::Open
        }
    }
}

/// What the gate looks at for these entries, read in the same transaction.
#[derive(Clone, Debug, Default)]
pub struct Around {
    /// Boxes with keys of locks that stand on the machine or its sources, of every job.
    pub boxes: Vec<LockBox>,
    /// Removals of this job, and those that the acting person was not told of.
    pub removals: Vec<Removal>,
    /// Another box of the same name whose keys belong to standing locks: its job.
    pub box_elsewhere: Option<JobId>,
    pub permits: Vec<Permit>,
    /// Interlocks of the machine's newest isolation sheet.
    pub interlocks: Vec<String>,
    pub now: Millis,
}

impl Around {
    /// Interlocks that are not recorded as restored since power was last put on.
    pub fn interlocks_open(&self, job: &Job) -> Vec<&str> {
        let restored = |name: &&str| job.interlocks_restored.lines().any(|line| line == *name);
        let all = self.interlocks.iter().map(String::as_str);
        all.filter(|name| !restored(name)).collect()
    }

    /// Boxes of this job that stand.
    pub fn boxes_of(&self, job: JobId) -> impl Iterator<Item = &LockBox> {
        self.boxes.iter().filter(move |b| b.job_id == job)
    }

    /// The box with personal locks on it that holds the key of this lock.
    pub fn held_in(&self, lock_entry: &str) -> Option<&LockBox> {
        self.boxes
            .iter()
            .find(|b| !b.locks.is_empty() && b.keys.iter().any(|key| key == lock_entry))
    }

    /// A personal lock that stands on a box, with the box.
    pub fn box_lock(&self, entry: &str) -> Option<(&LockBox, &BoxLock)> {
        self.boxes
            .iter()
            .flat_map(|b| b.locks.iter().map(move |lock| (b, lock)))
            .find(|(_, lock)| lock.entry_id == entry)
    }
}

/// What such an entry does to its job's summary.
pub fn apply(job: &mut Job, control: &Control) {
    match control {
        Control::HandedOver { from, to, .. } => {
            // Nothing counts as dead for the incoming person until they have tested it.
            job.dead_at = None;
            if job.state == State::Isolated {
                job.state = State::HandedOut;
            }
            if job.assigned_to == Some(*from) {
                job.assigned_to = Some(*to);
            }
            job.handover_from = Some(*from);
            job.handover_to = Some(*to);
        }
        Control::InterlocksRestored { said } => {
            let names: Vec<&str> = said.iter().map(|one| one.interlock.as_str()).collect();
            job.interlocks_restored = names.join("\n");
        }
        Control::PermitsNeeded { kinds } => job.permits_needed = kinds.join(" "),
        Control::LockRemovedForOwner { .. }
        | Control::OwnerTold { .. }
        | Control::BoxLocked { .. }
        | Control::BoxLockOn { .. }
        | Control::BoxLockOff { .. }
        | Control::PermitOpened { .. }
        | Control::PermitClosed { .. } => {}
    }
}

/// Every lock of a job, on and off, with who and when: the account before it is signed off.
pub async fn lock_lines(app: &AppState, job: JobId) -> Result<Vec<String>, AppError> {
    let zone = app.zone();
    let all = super::queries::lock_account(&app.db, job).await?;
    Ok(all
        .into_iter()
        .map(|lock| {
            let off = match lock.off_at {
                None => "still on".to_owned(),
                Some(at) if lock.off_kind == "lock_removed_for_owner" => format!(
                    "taken off for the absent owner {} by {}",
                    zone.minute_words(at),
                    lock.off_by
                ),
                Some(at) => format!("off {} by {}", zone.minute_words(at), lock.off_by),
            };
            format!(
                "Lock {} on {}: on {} by {}, {off}",
                lock.lock_number,
                lock.point,
                zone.minute_words(lock.on_at),
                lock.person
            )
        })
        .collect())
}
