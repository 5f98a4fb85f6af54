//! Instruments, their calibrations, and the entries they were used for.

use super::form::{NewCalibration, NewInstrument};
use super::used::Used;
use super::{Instrument, InstrumentId};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::Job;
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

macro_rules! instruments {
    ($rest:literal) => {
        concat!(
            "SELECT i.id, i.number, i.kind, i.measures, i.due_on, i.found_off_on, i.withdrawn_on, ",
            "i.note, i.version, (SELECT MAX(c.done_on) FROM calibrations c ",
            "WHERE c.instrument_id = i.id AND c.found <> 'off') AS calibrated_on ",
            "FROM instruments i ",
            $rest
        )
    };
}

/// Those in use first, the soonest due first; so many at most.
pub async fn all(db: &Db) -> sqlx::Result<Vec<Instrument>> {
    const SQL: &str = instruments!(
        "ORDER BY CASE WHEN i.withdrawn_on IS NULL THEN 0 ELSE 1 END,
         CASE WHEN i.due_on IS NULL THEN 1 ELSE 0 END, i.due_on, lower(i.number) LIMIT 500"
    );
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn find(db: &Db, id: InstrumentId) -> sqlx::Result<Option<Instrument>> {
    const SQL: &str = instruments!("WHERE i.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

pub async fn insert(tx: &mut Tx, new: &NewInstrument, now: Millis) -> sqlx::Result<InstrumentId> {
    const SQL: &str = "INSERT INTO instruments (number, kind, measures, due_on, note, created_at)
        VALUES ($1, $2, $3, $4, $5, $6) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(&new.number).bind(&new.kind)
        .bind(&new.measures).bind(new.due_on).bind(&new.note).bind(now).fetch_one(conn).await)
}

/// `false`: somebody changed it meanwhile.
pub async fn update(
    tx: &mut Tx,
    id: InstrumentId,
    new: &NewInstrument,
    version: i64,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE instruments SET number = $1, kind = $2, measures = $3, note = $4,
        withdrawn_on = $5, version = version + 1 WHERE id = $6 AND version = $7";
    let done = on_tx!(tx, conn => sqlx::query(SQL).bind(&new.number).bind(&new.kind)
        .bind(&new.measures).bind(&new.note).bind(new.withdrawn_on).bind(id).bind(version)
        .execute(conn).await.map(|done| done.rows_affected()))?;
    Ok(done == 1)
}

#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Calibration {
    pub done_on: Date,
    pub found: String,
    pub by_whom: String,
    pub certificate: String,
    pub due_on: Option<Date>,
    pub note: String,
    pub person: Option<String>,
}

/// The newest first.
pub async fn calibrations(db: &Db, id: InstrumentId) -> sqlx::Result<Vec<Calibration>> {
    const SQL: &str = "SELECT c.done_on, c.found, c.by_whom, c.certificate, c.due_on, c.note,
        p.name AS person FROM calibrations c LEFT JOIN people p ON p.id = c.person_id
        WHERE c.instrument_id = $1 ORDER BY c.done_on DESC, c.id DESC LIMIT 100";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_all(pool).await)
}

pub async fn insert_calibration(
    tx: &mut Tx,
    id: InstrumentId,
    new: &NewCalibration,
    person: PersonId,
    now: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO calibrations (instrument_id, done_on, found, by_whom,
        certificate, due_on, note, person_id, recorded_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(new.done_on).bind(&new.found)
        .bind(&new.by_whom).bind(&new.certificate).bind(new.due_on).bind(&new.note).bind(person)
        .bind(now).execute(conn).await.map(|_| ()))
}

/// What the newest calibration says of the instrument. `false`: somebody changed it meanwhile.
pub async fn calibrated(
    tx: &mut Tx,
    id: InstrumentId,
    (due_on, found_off_on): (Option<Date>, Option<Date>),
    version: i64,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE instruments SET due_on = $1, found_off_on = $2, version = version + 1
        WHERE id = $3 AND version = $4";
    let done = on_tx!(tx, conn => sqlx::query(SQL).bind(due_on).bind(found_off_on).bind(id)
        .bind(version).execute(conn).await.map(|done| done.rows_affected()))?;
    Ok(done == 1)
}

/// The row made from an entry that names its instrument.
pub async fn insert_use(
    tx: &mut Tx,
    entry_id: &str,
    job: &Job,
    used: &Used,
    now: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO instrument_uses (entry_id, job_id, machine_id, instrument_id,
        number, due_on, used_at) VALUES ($1, $2, $3, $4, $5, $6, $7)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(entry_id).bind(job.id).bind(job.machine_id)
        .bind(used.id).bind(&used.number).bind(used.due).bind(now).execute(conn).await.map(|_| ()))
}

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct UseRow {
    pub entry_id: String,
    pub job_id: i64,
    pub kind: String,
    pub tag: Option<String>,
    pub person: Option<String>,
    pub used_at: Millis,
}

/// Entries whose readings were taken with it, from one instant until another, the newest first. What
/// was typed before it stood in the register is found by its number.
pub async fn uses(
    db: &Db,
    of: &Instrument,
    (from, until): (Millis, Millis),
    most: i64,
) -> sqlx::Result<Vec<UseRow>> {
    const SQL: &str = "SELECT u.entry_id, u.job_id, e.kind, m.tag, p.name AS person, u.used_at
        FROM instrument_uses u JOIN entries e ON e.id = u.entry_id
        LEFT JOIN machines m ON m.id = u.machine_id LEFT JOIN people p ON p.id = e.person_id
        WHERE lower(u.number) = lower($1) AND (u.instrument_id = $2 OR u.instrument_id IS NULL)
            AND u.used_at >= $3 AND u.used_at < $4
        ORDER BY u.used_at DESC, u.entry_id DESC LIMIT $5";
    on_db!(db, pool => sqlx::query_as(SQL).bind(&of.number).bind(of.id).bind(from).bind(until)
        .bind(most).fetch_all(pool).await)
}

/// Point, quantity and what it showed, of one entry.
pub async fn readings(db: &Db, entry: &str) -> sqlx::Result<Vec<(String, String, String)>> {
    const SQL: &str = "SELECT point, quantity, as_shown FROM readings WHERE entry_id = $1
        ORDER BY position";
    on_db!(db, pool => sqlx::query_as(SQL).bind(entry).fetch_all(pool).await)
}
