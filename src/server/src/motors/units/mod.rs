//! Motors that can be held in the hand. A machine's history goes on when its motor is changed; the
//! motor's own history goes with it to the shelf, to another machine or to the scrap.

pub mod another;
pub mod pages;
pub mod queries;

use super::MotorId;
use crate::clock::Millis;
use crate::db::Tx;
use crate::machines::MachineId;
use crate::rows::{Options, words_of};
use queries::Moved;
use serde::{Deserialize, Serialize};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct UnitId(pub i64);

#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Unit {
    pub id: UnitId,
    pub motor_id: MotorId,
    /// What is stamped or painted on it.
    pub mark: String,
    /// `fitted`, or one of [`STATES`].
    pub state: String,
    pub version: i64,
    /// The name of what such a motor is.
    pub motor: String,
}

/// Where a unit can be that is on no machine.
pub const STATES: Options = &[
    ("removed", "taken off, not yet decided"),
    ("shelf", "on the shelf"),
    ("away", "away for repair"),
    ("scrapped", "scrapped"),
];

impl Unit {
    pub fn state_words(&self) -> String {
        state_words(&self.state)
    }
}

fn state_words(state: &str) -> String {
    match state {
        "fitted" => "on a machine".to_owned(),
        state => words_of(STATES, state),
    }
}

/// A time that a unit was on a machine.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Stay {
    pub unit_id: UnitId,
    pub state: String,
    pub mark: String,
    pub motor_id: MotorId,
    pub motor: String,
    pub machine_id: MachineId,
    pub tag: String,
    pub machine: String,
    /// `None`: not known since when.
    pub on_at: Option<Millis>,
    /// `None`: it is on the machine.
    pub off_at: Option<Millis>,
    pub on_job: Option<i64>,
    pub off_job: Option<i64>,
}

impl Stay {
    /// Where the unit is now, for a stay that is over.
    pub fn now_words(&self) -> String {
        state_words(&self.state)
    }
}

/// Another motor is on the machine: the stay of the one before ends, and the new one's begins. The
/// caller has not yet written the machine's own row.
pub async fn fitted(
    tx: &mut Tx,
    machine: MachineId,
    motor: MotorId,
    entry: Option<&str>,
    at: Millis,
) -> sqlx::Result<()> {
    take_off(tx, machine, entry, at).await?;
    begin(tx, machine, motor, entry, at).await
}

/// A motor goes onto a machine that has none: the one that alone lies on the shelf, or one that no
/// record holds yet.
pub async fn begin(
    tx: &mut Tx,
    machine: MachineId,
    motor: MotorId,
    entry: Option<&str>,
    at: Millis,
) -> sqlx::Result<()> {
    let unit = match queries::alone_on_shelf(tx, motor).await? {
        Some(unit) => unit,
        None => queries::insert_unit(tx, motor, "fitted", entry).await?,
    };
    put_on(tx, unit, machine, entry, Some(at)).await
}

/// A unit goes onto a machine that has none.
pub async fn put_on(
    tx: &mut Tx,
    unit: UnitId,
    machine: MachineId,
    entry: Option<&str>,
    at: Option<Millis>,
) -> sqlx::Result<()> {
    queries::set_state(tx, unit, "fitted").await?;
    let on = Moved { at, entry };
    queries::insert_stay(tx, unit, machine, on, Moved::default()).await
}

/// What is on the machine comes off; a motor that has no history yet gets one that ends here.
pub async fn take_off(
    tx: &mut Tx,
    machine: MachineId,
    entry: Option<&str>,
    at: Millis,
) -> sqlx::Result<Option<UnitId>> {
    if let Some((stay, unit)) = queries::standing(tx, machine).await? {
        queries::end_stay(tx, stay, at, entry).await?;
        queries::set_state(tx, unit, "removed").await?;
        return Ok(Some(unit));
    }
    let Some(before) = queries::fitted_motor(tx, machine).await? else {
        return Ok(None);
    };
    let unit = queries::insert_unit(tx, before, "removed", None).await?;
    let off = Moved {
        at: Some(at),
        entry,
    };
    queries::insert_stay(tx, unit, machine, Moved::default(), off).await?;
    Ok(Some(unit))
}

/// The record of a machine's motor was put right: the same unit with another plate. One that is no
/// longer on record comes off.
pub async fn put_right(
    tx: &mut Tx,
    machine: MachineId,
    motor: Option<MotorId>,
    at: Millis,
) -> sqlx::Result<()> {
    let standing = queries::standing(tx, machine).await?;
    match (standing, motor) {
        (Some((_, unit)), Some(motor)) => queries::set_motor(tx, unit, motor).await,
        (None, Some(motor)) => {
            let unit = queries::insert_unit(tx, motor, "fitted", None).await?;
            put_on(tx, unit, machine, None, None).await
        }
        (Some(_), None) => take_off(tx, machine, None, at).await.map(|_| ()),
        (None, None) => Ok(()),
    }
}
