//! Warranties, what was answered about them on jobs, and where units taken off went.

use crate::db::{Db, Tx};
use crate::jobs::{Job, JobId};
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::stores::PartId;
use crate::{on_db, on_tx};
use time::Date;

/// Until when somebody answers for a machine, the motor on it, or one part of it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Warranty {
    pub id: i64,
    /// It holds while this motor is on the machine; `None`: not of a motor.
    pub motor_id: Option<MotorId>,
    pub part_id: Option<PartId>,
    pub covers: String,
    pub until_on: Date,
    pub terms: String,
}

macro_rules! warranty_sql {
    ($rest:literal) => {
        concat!(
            "SELECT w.id, w.motor_id, w.part_id, w.covers, w.until_on, w.terms FROM warranties w ",
            $rest
        )
    };
}

/// All of a machine that were not taken back, the longest first.
pub async fn warranties(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Warranty>> {
    const SQL: &str = warranty_sql!(
        "WHERE w.machine_id = $1 AND NOT w.ended ORDER BY w.until_on DESC, w.id LIMIT 200"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

/// Those that run on a day. One of a motor runs only while that motor is on the machine.
pub async fn running_warranties(
    db: &Db,
    machine: MachineId,
    day: Date,
) -> sqlx::Result<Vec<Warranty>> {
    const SQL: &str = warranty_sql!(
        "JOIN machines m ON m.id = w.machine_id \
         WHERE w.machine_id = $1 AND NOT w.ended AND w.until_on >= $2 \
         AND (w.motor_id IS NULL OR w.motor_id = m.fitted_motor_id) \
         ORDER BY w.until_on DESC, w.id LIMIT 50"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).bind(day).fetch_all(pool).await)
}

/// Whether a warranty is one of this machine.
pub async fn warranty_is_of(tx: &mut Tx, id: i64, machine: MachineId) -> sqlx::Result<bool> {
    const SQL: &str =
        "SELECT count(*) FROM warranties WHERE id = $1 AND machine_id = $2 AND NOT ended";
    let found: i64 = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id).bind(machine).fetch_one(conn).await)?;
    Ok(found > 0)
}

/// A warranty as typed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NewWarranty {
    pub motor_id: Option<MotorId>,
    pub part_id: Option<PartId>,
    pub covers: String,
    pub until_on: Option<Date>,
    pub terms: String,
}

pub async fn insert_warranty(
    tx: &mut Tx,
    machine: MachineId,
    new: &NewWarranty,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO warranties (machine_id, motor_id, part_id, covers, until_on,
            terms)
        VALUES ($1, $2, $3, $4, $5, $6)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(machine)
        .bind(new.motor_id)
        .bind(new.part_id)
        .bind(&new.covers)
        .bind(new.until_on)
        .bind(&new.terms)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Written down wrongly, or given up; `false` where it no longer stands.
pub async fn end_warranty(tx: &mut Tx, machine: MachineId, id: i64) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE warranties SET ended = TRUE
        WHERE id = $2 AND machine_id = $1 AND NOT ended RETURNING id";
    let ended: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine).bind(id).fetch_optional(conn).await)?;
    Ok(ended.is_some())
}

/// What was answered on a job, the last first.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct WarrantyAnswer {
    pub warranty_id: i64,
    pub covers: String,
    pub answer: String,
    pub why: String,
}

pub async fn warranty_answers(db: &Db, job: JobId) -> sqlx::Result<Vec<WarrantyAnswer>> {
    const SQL: &str = "SELECT a.warranty_id, w.covers, a.answer, a.why
        FROM warranty_answers a JOIN warranties w ON w.id = a.warranty_id
            JOIN entries e ON e.id = a.entry_id
        WHERE a.job_id = $1 ORDER BY e.number DESC";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

pub async fn insert_warranty_answer(
    tx: &mut Tx,
    entry: &str,
    job: JobId,
    warranty: i64,
    answer: &str,
    why: &str,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO warranty_answers (entry_id, job_id, warranty_id, answer, why)
        VALUES ($1, $2, $3, $4, $5)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(entry)
        .bind(job)
        .bind(warranty)
        .bind(answer)
        .bind(why)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// A unit taken off, and where it goes.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Removed {
    pub entry_id: String,
    pub job_id: JobId,
    pub tag: String,
    pub what: String,
    pub goes: String,
    pub sent_to: String,
    /// `None`: no day was agreed.
    pub back_by: Option<Date>,
    pub settled: bool,
    pub settled_how: String,
}

impl Removed {
    /// Something still has to go back, or to be credited.
    pub fn owed(&self) -> bool {
        !self.settled && matches!(self.goes.as_str(), "core" | "warranty")
    }

    pub fn late(&self, today: Date) -> bool {
        self.owed() && self.back_by.is_some_and(|day| day < today)
    }
}

macro_rules! removed_sql {
    ($rest:literal) => {
        concat!(
            "SELECT r.entry_id, r.job_id, COALESCE(m.tag, '') AS tag, r.what, r.goes, r.sent_to, \
             r.back_by, r.settled_by IS NOT NULL AS settled, r.settled_how \
             FROM removed_units r LEFT JOIN machines m ON m.id = r.machine_id ",
            $rest
        )
    };
}

pub async fn removed_of_job(db: &Db, job: JobId) -> sqlx::Result<Vec<Removed>> {
    const SQL: &str = removed_sql!("WHERE r.job_id = $1 ORDER BY r.entry_id");
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// What still has to go back, the earliest agreed day first.
pub async fn owed_back(db: &Db) -> sqlx::Result<Vec<Removed>> {
    const SQL: &str = removed_sql!(
        "WHERE r.settled_by IS NULL AND r.goes IN ('core', 'warranty') \
         ORDER BY r.back_by NULLS LAST, r.entry_id LIMIT 500"
    );
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn unit_is_owed(tx: &mut Tx, of: &str, job: JobId) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT count(*) FROM removed_units
        WHERE entry_id = $1 AND job_id = $2 AND settled_by IS NULL";
    let found: i64 = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(of).bind(job).fetch_one(conn).await)?;
    Ok(found > 0)
}

/// A unit taken off, as it was entered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NewRemoved<'a> {
    pub what: &'a str,
    pub goes: &'a str,
    pub sent_to: &'a str,
    pub back_by: Option<Date>,
}

pub async fn insert_removed(
    tx: &mut Tx,
    entry: &str,
    job: &Job,
    new: &NewRemoved<'_>,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO removed_units (entry_id, job_id, machine_id, what, goes,
            sent_to, back_by)
        VALUES ($1, $2, $3, $4, $5, $6, $7)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(entry)
        .bind(job.id)
        .bind(job.machine_id)
        .bind(new.what)
        .bind(new.goes)
        .bind(new.sent_to)
        .bind(new.back_by)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn settle_removed(tx: &mut Tx, of: &str, entry: &str, how: &str) -> sqlx::Result<()> {
    const SQL: &str =
        "UPDATE removed_units SET settled_by = $2, settled_how = $3 WHERE entry_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(of).bind(entry).bind(how).execute(conn).await.map(|_| ()))
}
