//! Entries and the readings made from them: only ever added to.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::body::{Body, Reading, Stored};
use crate::jobs::{Job, JobId};
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// An entry as it stands in the database, its body read.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub id: String,
    pub job_id: JobId,
    pub number: i64,
    pub person_id: Option<PersonId>,
    /// The person's name; empty for a report without sign-in.
    pub person: String,
    pub device_at: Option<Millis>,
    pub received_at: Millis,
    pub body: Body,
    pub corrects: Option<String>,
    pub set_aside: Option<String>,
}

#[derive(sqlx::FromRow)]
pub(super) struct EntryRow {
    id: String,
    job_id: JobId,
    number: i64,
    person_id: Option<PersonId>,
    person: Option<String>,
    device_at: Option<i64>,
    received_at: i64,
    body: String,
    corrects: Option<String>,
    set_aside: Option<String>,
}

impl TryFrom<EntryRow> for Entry {
    type Error = sqlx::Error;

    fn try_from(row: EntryRow) -> sqlx::Result<Entry> {
        Ok(Entry {
            body: Stored::read(&row.body).map_err(|e| sqlx::Error::Decode(e.into()))?,
            id: row.id,
            job_id: row.job_id,
            number: row.number,
            person_id: row.person_id,
            person: row.person.unwrap_or_default(),
            device_at: row.device_at,
            received_at: row.received_at,
            corrects: row.corrects,
            set_aside: row.set_aside,
        })
    }
}

/// The job's timeline, first entry first.
pub async fn entries(db: &Db, job: JobId) -> sqlx::Result<Vec<Entry>> {
    const SQL: &str = "SELECT e.id, e.job_id, e.number, e.person_id, p.name AS person, e.device_at,
            e.received_at, e.body, e.corrects, e.set_aside
        FROM entries e LEFT JOIN people p ON p.id = e.person_id
        WHERE e.job_id = $1 ORDER BY e.number";
    let rows: Vec<EntryRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)?;
    rows.into_iter().map(Entry::try_from).collect()
}

/// Every entry of every job in the order it was added: what a replay reads.
pub async fn all_entries(db: &Db) -> sqlx::Result<Vec<Entry>> {
    const SQL: &str = "SELECT e.id, e.job_id, e.number, e.person_id, p.name AS person, e.device_at,
            e.received_at, e.body, e.corrects, e.set_aside
        FROM entries e LEFT JOIN people p ON p.id = e.person_id
        ORDER BY e.job_id, e.number";
    let rows: Vec<EntryRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    rows.into_iter().map(Entry::try_from).collect()
}

/// The job, person and body of an entry with this id, where there is one.
pub async fn entry_known(
    tx: &mut Tx,
    id: &str,
) -> sqlx::Result<Option<(JobId, Option<PersonId>, String)>> {
    const SQL: &str = "SELECT job_id, person_id, body FROM entries WHERE id = $1";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(id).fetch_optional(conn).await)
}

/// Number and author of another person's last entry of this kind after this one.
pub async fn same_by_another(
    tx: &mut Tx,
    job: JobId,
    after: i64,
    kind: &str,
    person: PersonId,
) -> sqlx::Result<Option<(i64, String)>> {
    const SQL: &str = "SELECT e.number, p.name FROM entries e JOIN people p ON p.id = e.person_id
        WHERE e.job_id = $1 AND e.number > $2 AND e.kind = $3 AND e.person_id <> $4
            AND e.set_aside IS NULL ORDER BY e.number DESC LIMIT 1";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(job).bind(after).bind(kind).bind(person)
        .fetch_optional(conn).await)
}

/// An entry about to be written.
pub struct EntryToWrite<'a> {
    pub id: &'a str,
    pub job_id: JobId,
    pub number: i64,
    pub person_id: Option<PersonId>,
    pub device_at: Option<Millis>,
    pub received_at: Millis,
    pub kind: &'a str,
    pub body: &'a str,
    pub corrects: Option<&'a str>,
    pub set_aside: Option<&'a str>,
}

pub async fn insert_entry(tx: &mut Tx, entry: &EntryToWrite<'_>) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO entries (id, job_id, number, person_id, device_at, received_at,
            kind, body, corrects, set_aside)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(entry.id)
        .bind(entry.job_id)
        .bind(entry.number)
        .bind(entry.person_id)
        .bind(entry.device_at)
        .bind(entry.received_at)
        .bind(entry.kind)
        .bind(entry.body)
        .bind(entry.corrects)
        .bind(entry.set_aside)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn insert_reading(
    tx: &mut Tx,
    entry_id: &str,
    position: i64,
    job: &Job,
    reading: &Reading,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO readings (entry_id, position, job_id, machine_id, point,
            quantity, as_shown, value, taken_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(entry_id)
        .bind(position)
        .bind(job.id)
        .bind(job.machine_id)
        .bind(&reading.point)
        .bind(&reading.quantity)
        .bind(&reading.as_shown)
        .bind(reading.value)
        .bind(at)
        .execute(conn)
        .await
        .map(|_| ()))
}
