//! The rows made from entries of the shelf, and what their gate looks at.

use super::body::{Moved, Stores};
use super::gate::Around;
use crate::clock::Millis;
use crate::db::Tx;
use crate::jobs::Job;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::stores::Item;
use crate::stores::amount::Amount;
use crate::stores::queries::{self, Move, NewRemoved};

/// Reads what stands, with the balance locked until the commit.
pub async fn around(tx: &mut Tx, job: &Job, stores: &Stores) -> sqlx::Result<Around> {
    let mut around = Around::default();
    match (stores, job.machine_id) {
        (Stores::WarrantyAnswered { warranty_id, .. }, Some(machine)) => {
            around.warranty_stands = queries::warranty_is_of(tx, *warranty_id, machine).await?;
        }
        (Stores::UnitSettled { of, .. }, _) => {
            around.unit_is_owed = queries::unit_is_owed(tx, of, job.id).await?;
        }
        _ => {}
    }
    let Some(moved) = stores.moved() else {
        return Ok(around);
    };
    let balance = queries::lock_balance(tx, moved.item).await?;
    let on_job = queries::on_job_in(tx, job.id, moved.item).await?;
    Ok(Around {
        balance,
        out: on_job.as_ref().map_or(Amount(0), |row| row.out),
        kept: on_job.as_ref().map_or(Amount(0), |row| row.kept),
        ..around
    })
}

/// What an entry adds to the shelf and to what is kept for the job. `kept` is what was kept for
/// it before: taking something uses that first.
pub fn movement(stores: &Stores, kept: Amount) -> Option<(&'static str, Amount, Amount, &Moved)> {
    match stores {
        Stores::PartIssued { moved } => {
            let used = moved.amount.0.min(kept.0);
            Some(("issued", Amount(-moved.amount.0), Amount(-used), moved))
        }
        Stores::PartReturned { moved, .. } => Some(("returned", moved.amount, Amount(0), moved)),
        Stores::PartReserved { moved } => Some(("reserved", Amount(0), moved.amount, moved)),
        Stores::PartReleased { moved } => {
            Some(("released", Amount(0), Amount(-moved.amount.0), moved))
        }
        _ => None,
    }
}

pub async fn write(
    tx: &mut Tx,
    job: &Job,
    entry: &str,
    stores: &Stores,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    let kept = match stores.moved() {
        Some(moved) => around_kept(tx, job, moved.item).await?,
        None => Amount(0),
    };
    if let Some((kind, amount, held_back, moved)) = movement(stores, kept) {
        let mut new = Move::new(moved.item, kind, amount, at);
        new.held_back = held_back;
        new.cost_minor = moved.cost_minor;
        new.job = Some((job.id, job.machine_id));
        new.entry_id = Some(entry);
        new.person = Some(by);
        queries::insert_move(tx, &new).await?;
    }
    settle(tx, job, entry, stores).await
}

/// Warranties answered for, units taken off and settled.
async fn settle(tx: &mut Tx, job: &Job, entry: &str, stores: &Stores) -> sqlx::Result<()> {
    match stores {
        Stores::WarrantyAnswered {
            warranty_id,
            answer,
            why,
            ..
        } => queries::insert_warranty_answer(tx, entry, job.id, *warranty_id, answer, why).await,
        Stores::UnitRemoved {
            what,
            goes,
            sent_to,
            back_by,
        } => {
            let new = NewRemoved {
                what,
                goes,
                sent_to,
                back_by: *back_by,
            };
            queries::insert_removed(tx, entry, job, &new).await
        }
        Stores::UnitSettled { of, how } => queries::settle_removed(tx, of, entry, how).await,
        _ => Ok(()),
    }
}

async fn around_kept(tx: &mut Tx, job: &Job, item: Item) -> sqlx::Result<Amount> {
    let on_job = queries::on_job_in(tx, job.id, item).await?;
    Ok(on_job.map_or(Amount(0), |row| row.kept))
}

/// A motor that is fitted leaves the shelf, where there is one and this job has not taken it yet.
pub async fn fitted(
    tx: &mut Tx,
    job: &Job,
    entry: &str,
    motor: MotorId,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    let item = Item::Motor(motor);
    let Some(balance) = queries::lock_balance(tx, item).await? else {
        return Ok(());
    };
    let taken = queries::on_job_in(tx, job.id, item).await?;
    if balance.on_hand < Amount::ONE || taken.is_some_and(|row| row.out >= Amount::ONE) {
        return Ok(());
    }
    let mut new = Move::new(item, "issued", Amount(-1000), at);
    new.cost_minor = balance.price_minor;
    new.job = Some((job.id, job.machine_id));
    new.entry_id = Some(entry);
    new.why = "Fitted";
    new.person = Some(by);
    queries::insert_move(tx, &new).await
}
