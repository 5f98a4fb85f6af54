//! The rows of other tables that an accepted entry makes, in its own transaction.

use super::body::Body;
use super::queries::{self, LockToWrite};
use super::ways::Ways;
use super::{Job, apply, control, stores};
use crate::clock::Millis;
use crate::db::Tx;
use crate::error::AppError;
use crate::instruments;
use crate::people::Person;
use crate::photos;
use crate::state::AppState;

/// The typed rows made from an entry, and what it changes in the registers.
pub(super) async fn write_rows(
    app: &AppState,
    tx: &mut Tx,
    job: &Job,
    entry_id: &str,
    body: &Body,
    person: &Person,
    now: Millis,
) -> Result<(), AppError> {
    for (position, reading) in (0_i64..).zip(apply::readings(body)) {
        queries::insert_reading(tx, entry_id, position, job, reading, now).await?;
    }
    if let Some(used) = instruments::used::of(body) {
        instruments::queries::insert_use(tx, entry_id, job, &used, now).await?;
    }
    match body {
        Body::LockOn {
            machine_id,
            source_id,
            lock_number,
            ..
        } => {
            let lock = LockToWrite {
                entry_id,
                job_id: job.id,
                machine_id: *machine_id,
                source_id: *source_id,
                person_id: person.id,
                lock_number,
                on_at: now,
            };
            queries::insert_lock(tx, &lock).await?;
        }
        Body::LockOff { lock } => queries::take_lock_off(tx, lock, entry_id, now).await?,
        Body::MotorFitted {
            machine_id,
            motor_id,
            ..
        } => {
            crate::motors::units::fitted(tx, *machine_id, *motor_id, Some(entry_id), now).await?;
            queries::fit_motor(tx, *machine_id, *motor_id).await?;
            stores::rows::fitted(tx, job, entry_id, *motor_id, person.id, now).await?;
        }
        Body::Control(control) => {
            control::rows::write(tx, job, entry_id, control, person.id, now).await?;
        }
        Body::Ways(ways) => {
            queries::write_ways(tx, job, entry_id, ways, person.id, now).await?;
            if matches!(ways, Ways::Finished { .. }) {
                serve_due_item(app, tx, job, person, now).await?;
            }
        }
        Body::Detail(detail) => {
            queries::insert_detail(tx, job, entry_id, detail, person.id, now).await?;
        }
        Body::Stores(of_shelf) => {
            stores::rows::write(tx, job, entry_id, of_shelf, person.id, now).await?;
        }
        Body::TimeSpent { .. } => queries::insert_spell(tx, entry_id, job.id, body).await?,
        Body::TimeWithdrawn { of, .. } => queries::withdraw_spell(tx, of, entry_id).await?,
        Body::Photo(photo) => {
            photos::queries::insert(tx, entry_id, job.id, Some(person.id), photo, now).await?;
        }
        Body::PhotoWithdrawn { of, .. } => photos::queries::withdraw(tx, of, entry_id).await?,
        Body::TurnedDown { .. } | Body::JoinedTo { .. } => {
            if let Some(due_item) = job.due_item_id {
                queries::free_due_item(tx, due_item).await?;
            }
        }
        Body::BackInService { .. } => serve_due_item(app, tx, job, person, now).await?,
        _ => {}
    }
    Ok(())
}

async fn serve_due_item(
    app: &AppState,
    tx: &mut Tx,
    job: &Job,
    person: &Person,
    now: Millis,
) -> Result<(), AppError> {
    if let Some(due_item) = job.due_item_id {
        let today = app.zone().date(now);
        queries::close_due_item(tx, due_item, today, Some(person.id)).await?;
        // The plan's next date stands as soon as this one is served.
        crate::preventive::ahead::after_item(tx, due_item, today).await?;
    }
    Ok(())
}
