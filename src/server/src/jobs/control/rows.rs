//! The typed rows made from these entries.

use super::Removal;
use super::body::Control;
use crate::clock::Millis;
use crate::db::Tx;
use crate::jobs::body::Body;
use crate::jobs::queries::{self, BoxLockToWrite};
use crate::jobs::{Job, JobId};
use crate::people::PersonId;

/// The person that the entry hands something to.
pub fn named(control: &Control) -> Option<PersonId> {
    match control {
        Control::BoxLocked { coordinator, .. } => Some(*coordinator),
        Control::HandedOver { to, .. } => Some(*to),
        _ => None,
    }
}

/// The name on the box that the entry locks.
pub fn box_name(body: &Body) -> Option<&str> {
    match body {
        Body::Control(Control::BoxLocked { box_name, .. }) => Some(box_name),
        _ => None,
    }
}

pub async fn write(
    tx: &mut Tx,
    job: &Job,
    entry_id: &str,
    control: &Control,
    by: PersonId,
    now: Millis,
) -> sqlx::Result<()> {
    match control {
        Control::LockRemovedForOwner { lock, .. } => {
            remove(tx, job.id, entry_id, lock, by, now).await
        }
        Control::OwnerTold { lock, .. } => {
            queries::owner_told(tx, lock, job.id, entry_id, now).await
        }
        Control::BoxLocked { .. } => queries::insert_box(tx, entry_id, job.id, control, now).await,
        Control::BoxLockOn { of, lock_number } => {
            let lock = BoxLockToWrite {
                entry_id,
                of,
                job_id: job.id,
                person_id: by,
                lock_number,
                on_at: now,
            };
            queries::insert_box_lock(tx, &lock).await
        }
        Control::BoxLockOff { lock } => queries::take_box_lock_off(tx, lock, entry_id, now).await,
        Control::PermitOpened { .. } => queries::insert_permit(tx, entry_id, job.id, control).await,
        Control::PermitClosed { of, .. } => queries::close_permit(tx, of, entry_id, now).await,
        Control::HandedOver { .. }
        | Control::PermitsNeeded { .. }
        | Control::InterlocksRestored { .. } => Ok(()),
    }
}

/// The lock comes off, wherever it was, and its owner is still to be told.
async fn remove(
    tx: &mut Tx,
    job: JobId,
    entry_id: &str,
    lock: &str,
    by: PersonId,
    now: Millis,
) -> sqlx::Result<()> {
    let Some((owner_id, lock_number, point)) = queries::lock_of_entry(tx, lock).await? else {
        return Err(sqlx::Error::RowNotFound);
    };
    let removal = Removal {
        entry_id: entry_id.to_owned(),
        lock_entry_id: lock.to_owned(),
        job_id: job,
        owner_id,
        owner: String::new(),
        lock_number,
        point,
        removed_by: String::new(),
        removed_at: now,
        told_at: None,
    };
    queries::insert_removal(tx, entry_id, &removal, by).await?;
    queries::take_lock_off(tx, lock, entry_id, now).await?;
    queries::take_box_lock_off(tx, lock, entry_id, now).await
}
