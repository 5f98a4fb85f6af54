//! What reports leave beside their jobs: codes, and how many came in without a sign-in.

use super::{Job, JobRow, jobs};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::{on_db, on_tx};

pub async fn insert_code(tx: &mut Tx, entry_id: &str, job: JobId, code: &str) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO report_codes (entry_id, job_id, code) VALUES ($1, $2, $3)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(entry_id).bind(job).bind(code).execute(conn).await
        .map(|_| ()))
}

/// The code that a report was given; reports made before there were codes have none.
pub async fn code_of_entry(db: &Db, entry_id: &str) -> sqlx::Result<Option<String>> {
    const SQL: &str = "SELECT code FROM report_codes WHERE entry_id = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(entry_id).fetch_optional(pool).await)
}

/// Every code of a job with the entry it was given to.
pub async fn codes(db: &Db, job: JobId) -> sqlx::Result<Vec<(String, String)>> {
    const SQL: &str = "SELECT code, entry_id FROM report_codes WHERE job_id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// Reports since then without a sign-in whose jobs are not over.
pub async fn open_unsigned(db: &Db, since: Millis) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM entries e JOIN jobs j ON j.id = e.job_id
        WHERE e.kind IN ('reported', 'reported_again') AND e.received_at >= $1
        AND e.person_id IS NULL
        AND j.state NOT IN ('back_in_service', 'signed_off', 'turned_down', 'joined')";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(since).fetch_one(pool).await)
}

/// The open jobs that a job may be joined to: on the same machine, or reported within so long of it
/// in the same place, in the place it lies in or in one that lies in it.
const NEAR: &str = "SELECT b.id FROM jobs a
        LEFT JOIN machines am ON am.id = a.machine_id
        LEFT JOIN places ap ON ap.id = COALESCE(am.place_id, a.place_id)
        JOIN jobs b ON b.id <> a.id
        LEFT JOIN machines bm ON bm.id = b.machine_id
        LEFT JOIN places bp ON bp.id = COALESCE(bm.place_id, b.place_id)
    WHERE a.id = $1
        AND b.state IN ('reported', 'planned', 'handed_out', 'isolated', 'on_test', 'held',
            'test_owed')
        AND (b.machine_id = a.machine_id
            OR (abs(b.reported_at - a.reported_at) <= $2
                AND (bp.id = ap.id OR bp.id = ap.parent_id OR bp.parent_id = ap.id)))
    ORDER BY b.id DESC";

pub async fn near_in(tx: &mut Tx, job: JobId, within: Millis) -> sqlx::Result<Vec<JobId>> {
    on_tx!(tx, conn => sqlx::query_scalar(NEAR).bind(job).bind(within).fetch_all(conn).await)
}

pub async fn near(db: &Db, job: JobId, within: Millis) -> sqlx::Result<Vec<JobId>> {
    on_db!(db, pool => sqlx::query_scalar(NEAR).bind(job).bind(within).fetch_all(pool).await)
}

/// The reports that were joined to a job.
pub async fn joined_into(db: &Db, job: JobId) -> sqlx::Result<Vec<Job>> {
    const SQL: &str = job_sql!("WHERE joined_to = $1 ORDER BY id");
    let rows: Vec<JobRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)?;
    jobs(rows)
}
