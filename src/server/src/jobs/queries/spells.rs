//! Stretches of time on a job.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// One stretch that counts, with the name of whose it is; empty where the job waited.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct SpellRow {
    pub entry_id: String,
    pub job_id: JobId,
    pub person_id: Option<PersonId>,
    pub person: String,
    pub spent: String,
    pub from_at: Millis,
    pub to_at: Millis,
    pub note: String,
}

/// The row of a `TimeSpent` entry.
pub async fn insert_spell(
    tx: &mut Tx,
    entry_id: &str,
    job: JobId,
    body: &Body,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO job_spells \
         (entry_id, job_id, person_id, spent, from_at, to_at, note) \
         VALUES ($1, $2, $3, $4, $5, $6, $7)";
    let Body::TimeSpent {
        person,
        spent,
        from,
        to,
        note,
    } = body
    else {
        return Ok(());
    };
    on_tx!(tx, conn => sqlx::query(SQL).bind(entry_id).bind(job).bind(*person).bind(spent)
        .bind(*from).bind(*to).bind(note).execute(conn).await.map(|_| ()))
}

/// Whether this entry's stretch is this job's and still counts.
pub async fn spell_counts(tx: &mut Tx, entry_id: &str, job: JobId) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT COUNT(*) FROM job_spells \
         WHERE entry_id = $1 AND job_id = $2 AND withdrawn_by IS NULL";
    let found: i64 =
        on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(entry_id).bind(job).fetch_one(conn).await)?;
    Ok(found > 0)
}

pub async fn withdraw_spell(tx: &mut Tx, entry_id: &str, by: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE job_spells SET withdrawn_by = $2 WHERE entry_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(entry_id).bind(by).execute(conn).await.map(|_| ()))
}

/// The stretches of a job that count, in the order of the clock.
pub async fn spells(db: &Db, job: JobId) -> sqlx::Result<Vec<SpellRow>> {
    const SQL: &str = "SELECT s.entry_id, s.job_id, s.person_id, COALESCE(p.name, '') AS person, \
             s.spent, s.from_at, s.to_at, s.note \
         FROM job_spells s LEFT JOIN people p ON p.id = s.person_id \
         WHERE s.job_id = $1 AND s.withdrawn_by IS NULL ORDER BY s.from_at, s.entry_id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// Stretches of the same people on other jobs that run at the same time as one of this job's.
pub async fn spells_elsewhere(db: &Db, job: JobId) -> sqlx::Result<Vec<SpellRow>> {
    const SQL: &str = "SELECT DISTINCT o.entry_id, o.job_id, o.person_id, p.name AS person, \
             o.spent, o.from_at, o.to_at, o.note \
         FROM job_spells s \
         JOIN job_spells o ON o.person_id = s.person_id AND o.job_id <> s.job_id \
             AND o.from_at < s.to_at AND o.to_at > s.from_at \
         JOIN people p ON p.id = o.person_id \
         WHERE s.job_id = $1 AND s.withdrawn_by IS NULL AND o.withdrawn_by IS NULL \
         ORDER BY o.from_at, o.entry_id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}
