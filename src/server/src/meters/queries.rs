//! Meters, their readings and changes in the database.

use super::Meter;
use super::sense::Known;
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::people::PersonId;
use crate::{on_db, on_tx};
use calc::due::{MeterReading, Replacement};
use time::Date;

macro_rules! meter_sql {
    ($rest:literal) => {
        concat!(
            "SELECT mt.id, mt.machine_id, m.tag, m.name AS machine, m.place_id, mt.name, mt.unit, \
             mt.hours, mt.full_at, last.read_on AS last_on, last.value AS last_value, \
             p.name AS last_person \
             FROM meters mt JOIN machines m ON m.id = mt.machine_id \
             LEFT JOIN meter_readings last ON last.id = (SELECT r.id FROM meter_readings r \
                 WHERE r.meter_id = mt.id AND r.struck_at IS NULL \
                 ORDER BY r.read_on DESC, r.id DESC LIMIT 1) \
             LEFT JOIN people p ON p.id = last.person_id ",
            $rest
        )
    };
}

/// A machine's meters, the one its plans count by first.
pub async fn of_machine(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Meter>> {
    const SQL: &str = meter_sql!("WHERE mt.machine_id = $1 ORDER BY mt.hours DESC, mt.id");
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

pub async fn find(db: &Db, id: i64) -> sqlx::Result<Option<Meter>> {
    const SQL: &str = meter_sql!("WHERE mt.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// The meters in a place and below it, or of the whole shop where it is 0, by tag.
pub async fn within(db: &Db, place: i64, most: i64) -> sqlx::Result<Vec<Meter>> {
    const SQL: &str = meter_sql!(
        "WHERE m.retired_on IS NULL AND ($1 = 0 OR m.place_id IN (
            WITH RECURSIVE down (id) AS (
                SELECT id FROM places WHERE id = $1
                UNION SELECT p.id FROM places p JOIN down ON p.parent_id = down.id)
            SELECT id FROM down))
         ORDER BY m.tag, mt.hours DESC, mt.id LIMIT $2"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(place).bind(most).fetch_all(pool).await)
}

pub async fn insert(
    tx: &mut Tx,
    machine: MachineId,
    name: &str,
    unit: &str,
    hours: bool,
    full_at: Option<f64>,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO meters (machine_id, name, unit, hours, full_at)
        VALUES ($1, $2, $3, $4, $5) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine).bind(name).bind(unit).bind(hours).bind(full_at)
        .fetch_one(conn).await)
}

/// One reading as the page lists it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Noted {
    pub id: i64,
    pub read_on: Date,
    pub value: f64,
    pub person: Option<String>,
    pub same_as_last: bool,
    /// Who found it wrong.
    pub struck_by: Option<String>,
    pub struck_why: String,
}

/// A meter's readings, oldest first, the wrong ones too.
pub async fn noted(db: &Db, meter: i64) -> sqlx::Result<Vec<Noted>> {
    const SQL: &str = "SELECT r.id, r.read_on, r.value, p.name AS person, r.same_as_last,
            s.name AS struck_by, r.struck_why
        FROM meter_readings r LEFT JOIN people p ON p.id = r.person_id
        LEFT JOIN people s ON s.id = r.struck_by
        WHERE r.meter_id = $1 ORDER BY r.read_on, r.id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(meter).fetch_all(pool).await)
}

const READINGS: &str = "SELECT read_on, value FROM meter_readings
    WHERE meter_id = $1 AND struck_at IS NULL ORDER BY read_on, id";
const CHANGES: &str = "SELECT changed_on, old_final, new_start FROM meter_changes
    WHERE meter_id = $1 ORDER BY changed_on, id";
const ABOUT: &str = "SELECT hours, full_at, unit FROM meters WHERE id = $1";
/// The meter that a machine's plans count by: the one of its run hours, else its first.
const COUNTS: &str = "SELECT id FROM meters WHERE machine_id = $1 ORDER BY hours DESC, id LIMIT 1";

type About = (bool, Option<f64>, String);

fn known(
    (hours, full_at, unit): About,
    readings: Vec<(Date, f64)>,
    changes: Vec<(Date, f64, f64)>,
) -> Known {
    let reading = |(on, value)| MeterReading { on, value };
    let change = |(on, old_final, new_start)| Replacement {
        on,
        old_final,
        new_start,
    };
    Known {
        readings: readings.into_iter().map(reading).collect(),
        changes: changes.into_iter().map(change).collect(),
        full_at,
        hours,
        unit,
    }
}

/// What is known of a meter.
pub async fn known_of(db: &Db, meter: i64) -> sqlx::Result<Known> {
    let about = on_db!(db, pool => sqlx::query_as(ABOUT).bind(meter).fetch_one(pool).await)?;
    let readings = on_db!(db, pool => sqlx::query_as(READINGS).bind(meter).fetch_all(pool).await)?;
    let changes = on_db!(db, pool => sqlx::query_as(CHANGES).bind(meter).fetch_all(pool).await)?;
    Ok(known(about, readings, changes))
}

/// The same inside the write that relies on it.
pub async fn known_in(tx: &mut Tx, meter: i64) -> sqlx::Result<Known> {
    let about = on_tx!(tx, conn => sqlx::query_as(ABOUT).bind(meter).fetch_one(conn).await)?;
    let readings = on_tx!(tx, conn => sqlx::query_as(READINGS).bind(meter).fetch_all(conn).await)?;
    let changes = on_tx!(tx, conn => sqlx::query_as(CHANGES).bind(meter).fetch_all(conn).await)?;
    Ok(known(about, readings, changes))
}

/// The running total that a machine's plans count by, oldest first; empty where it has no meter.
pub async fn total(db: &Db, machine: MachineId) -> sqlx::Result<Vec<MeterReading>> {
    let meter: Option<i64> =
        on_db!(db, pool => sqlx::query_scalar(COUNTS).bind(machine).fetch_optional(pool).await)?;
    match meter {
        Some(meter) => Ok(known_of(db, meter).await?.total()),
        None => Ok(Vec::new()),
    }
}

pub async fn total_in(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<MeterReading>> {
    let meter: Option<i64> =
        on_tx!(tx, conn => sqlx::query_scalar(COUNTS).bind(machine).fetch_optional(conn).await)?;
    match meter {
        Some(meter) => Ok(known_in(tx, meter).await?.total()),
        None => Ok(Vec::new()),
    }
}

/// A reading about to be kept.
#[derive(Clone, Copy, Debug)]
pub struct NewReading {
    pub meter: i64,
    pub on: Date,
    pub value: f64,
    pub same_as_last: bool,
}

pub async fn add(tx: &mut Tx, new: NewReading, by: PersonId, at: Millis) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO meter_readings (meter_id, read_on, value, person_id, noted_at,
            same_as_last) VALUES ($1, $2, $3, $4, $5, $6) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(new.meter).bind(new.on).bind(new.value).bind(by).bind(at).bind(new.same_as_last)
        .fetch_one(conn).await)
}

/// The machine of a reading that still counts.
pub async fn machine_of_reading(db: &Db, reading: i64) -> sqlx::Result<Option<MachineId>> {
    const SQL: &str = "SELECT mt.machine_id FROM meter_readings r
        JOIN meters mt ON mt.id = r.meter_id WHERE r.id = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(reading).fetch_optional(pool).await)
}

/// Marks a reading as wrong; false where it was marked already.
pub async fn strike(
    tx: &mut Tx,
    reading: i64,
    by: PersonId,
    why: &str,
    at: Millis,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE meter_readings SET struck_at = $2, struck_by = $3, struck_why = $4
        WHERE id = $1 AND struck_at IS NULL RETURNING id";
    let row: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(reading).bind(at).bind(by).bind(why).fetch_optional(conn).await)?;
    Ok(row.is_some())
}

pub async fn add_change(
    tx: &mut Tx,
    meter: i64,
    change: &Replacement,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO meter_changes (meter_id, changed_on, old_final, new_start,
            person_id, noted_at) VALUES ($1, $2, $3, $4, $5, $6)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(meter).bind(change.on).bind(change.old_final).bind(change.new_start)
        .bind(by).bind(at).execute(conn).await.map(|_| ()))
}

/// Another day for an open item that is still to come and has no job.
pub async fn redate(tx: &mut Tx, item: i64, on: Date, reason: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE due_items SET due_on = $2, reason = $3, version = version + 1
        WHERE id = $1 AND state = 'open' AND job_id IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(item).bind(on).bind(reason).execute(conn).await.map(|_| ()))
}
