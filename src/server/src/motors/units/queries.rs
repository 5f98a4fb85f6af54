//! Motor units and their stays on machines, in the database.

use super::{Stay, Unit, UnitId};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::{on_db, on_tx};

macro_rules! stay_sql {
    ($rest:literal) => {
        concat!(
            "SELECT s.unit_id, u.state, u.mark, u.motor_id, mo.name AS motor, s.machine_id, m.tag, \
             m.name AS machine, s.on_at, s.off_at, eon.job_id AS on_job, eoff.job_id AS off_job \
             FROM motor_stays s JOIN motor_units u ON u.id = s.unit_id \
             JOIN motors mo ON mo.id = u.motor_id JOIN machines m ON m.id = s.machine_id \
             LEFT JOIN entries eon ON eon.id = s.on_entry \
             LEFT JOIN entries eoff ON eoff.id = s.off_entry ",
            $rest
        )
    };
}

/// The motors of a machine over time, the newest first.
pub async fn of_machine(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Stay>> {
    const SQL: &str = stay_sql!("WHERE s.machine_id = $1 ORDER BY s.id DESC LIMIT 200");
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

/// Where a unit has been, the newest first.
pub async fn of_unit(db: &Db, unit: UnitId) -> sqlx::Result<Vec<Stay>> {
    const SQL: &str = stay_sql!("WHERE s.unit_id = $1 ORDER BY s.id DESC LIMIT 200");
    on_db!(db, pool => sqlx::query_as(SQL).bind(unit).fetch_all(pool).await)
}

macro_rules! unit_sql {
    ($rest:literal) => {
        concat!(
            "SELECT u.id, u.motor_id, u.mark, u.state, u.version, mo.name AS motor \
             FROM motor_units u JOIN motors mo ON mo.id = u.motor_id ",
            $rest
        )
    };
}

pub async fn find(db: &Db, unit: UnitId) -> sqlx::Result<Option<Unit>> {
    const SQL: &str = unit_sql!("WHERE u.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(unit).fetch_optional(pool).await)
}

/// Units of one motor row.
pub async fn of_motor(db: &Db, motor: MotorId) -> sqlx::Result<Vec<Unit>> {
    const SQL: &str = unit_sql!("WHERE u.motor_id = $1 ORDER BY u.id LIMIT 200");
    on_db!(db, pool => sqlx::query_as(SQL).bind(motor).fetch_all(pool).await)
}

/// Units that are on no machine and not scrapped.
pub async fn to_hand(db: &Db) -> sqlx::Result<Vec<Unit>> {
    const SQL: &str =
        unit_sql!("WHERE u.state IN ('removed', 'shelf', 'away') ORDER BY u.id DESC LIMIT 500");
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// The unit that is on a machine now: stay and unit.
pub async fn standing(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Option<(i64, UnitId)>> {
    const SQL: &str =
        "SELECT id, unit_id FROM motor_stays WHERE machine_id = $1 AND off_at IS NULL";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(machine).fetch_optional(conn).await)
}

pub async fn fitted_motor(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Option<MotorId>> {
    const SQL: &str = "SELECT fitted_motor_id FROM machines WHERE id = $1";
    let found: Option<Option<MotorId>> =
        on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_optional(conn).await)?;
    Ok(found.flatten())
}

/// The one unit of a motor that lies on the shelf; `None` where there is none, or where several
/// motors alike lie there and nobody said which was taken.
pub async fn alone_on_shelf(tx: &mut Tx, motor: MotorId) -> sqlx::Result<Option<UnitId>> {
    const SQL: &str = "SELECT u.id FROM motor_units u
        WHERE u.motor_id = $1 AND u.state = 'shelf'
            AND NOT EXISTS (SELECT 1 FROM shelf_motors s WHERE s.motor_id = $1 AND s.held > 1)
        ORDER BY u.id LIMIT 2";
    let found: Vec<UnitId> =
        on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(motor).fetch_all(conn).await)?;
    Ok(match found[..] {
        [unit] => Some(unit),
        _ => None,
    })
}

pub async fn insert_unit(
    tx: &mut Tx,
    motor: MotorId,
    state: &str,
    first_entry: Option<&str>,
) -> sqlx::Result<UnitId> {
    const SQL: &str = "INSERT INTO motor_units (motor_id, state, first_entry)
        VALUES ($1, $2, $3) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(motor)
        .bind(state)
        .bind(first_entry)
        .fetch_one(conn)
        .await)
}

/// When, and by which entry; both may be unknown.
#[derive(Clone, Copy, Debug, Default)]
pub struct Moved<'a> {
    pub at: Option<Millis>,
    pub entry: Option<&'a str>,
}

pub async fn insert_stay(
    tx: &mut Tx,
    unit: UnitId,
    machine: MachineId,
    on: Moved<'_>,
    off: Moved<'_>,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO motor_stays (unit_id, machine_id, on_at, on_entry, off_at,
            off_entry)
        VALUES ($1, $2, $3, $4, $5, $6)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(unit)
        .bind(machine)
        .bind(on.at)
        .bind(on.entry)
        .bind(off.at)
        .bind(off.entry)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn end_stay(
    tx: &mut Tx,
    stay: i64,
    off_at: Millis,
    entry: Option<&str>,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE motor_stays SET off_at = $2, off_entry = $3 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(stay)
        .bind(off_at)
        .bind(entry)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn set_state(tx: &mut Tx, unit: UnitId, state: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE motor_units SET state = $2, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(unit).bind(state).execute(conn).await.map(|_| ()))
}

/// Its plate was put right: the same unit, another row of what such a motor is.
pub async fn set_motor(tx: &mut Tx, unit: UnitId, motor: MotorId) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE motor_units SET motor_id = $2, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(unit).bind(motor).execute(conn).await.map(|_| ()))
}

/// Claims a unit that is on no machine, and notes where it is and its mark.
pub async fn place(
    tx: &mut Tx,
    unit: UnitId,
    version: i64,
    state: &str,
    mark: &str,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE motor_units SET state = $3, mark = $4, version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let done: Option<UnitId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(unit)
        .bind(version)
        .bind(state)
        .bind(mark)
        .fetch_optional(conn)
        .await)?;
    Ok(done.is_some())
}

/// The machine has this motor from now on.
pub async fn set_fitted(
    tx: &mut Tx,
    machine: MachineId,
    version: i64,
    motor: MotorId,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE machines SET fitted_motor_id = $3, version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let done: Option<MachineId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine)
        .bind(version)
        .bind(motor)
        .fetch_optional(conn)
        .await)?;
    Ok(done.is_some())
}
