//! Jobs and entries a page at a time, for programs that read all of them.

use super::entries::EntryRow;
use super::{Entry, JobRow, jobs};
use crate::db::{Db, Tx};
use crate::jobs::{Job, JobId};
use crate::{on_db, on_tx};

/// Jobs behind a number, by number; of one machine, or where they stand, if asked.
pub async fn page(
    db: &Db,
    after: i64,
    machine: Option<i64>,
    state: Option<&str>,
    limit: i64,
) -> sqlx::Result<Vec<Job>> {
    const ALL: &str = job_sql!("WHERE id > $1 ORDER BY id LIMIT $2");
    const STATE: &str = job_sql!("WHERE state = $3 AND id > $1 ORDER BY id LIMIT $2");
    const MACHINE: &str = job_sql!("WHERE machine_id = $3 AND id > $1 ORDER BY id LIMIT $2");
    const BOTH: &str =
        job_sql!("WHERE machine_id = $3 AND state = $4 AND id > $1 ORDER BY id LIMIT $2");
    let rows: Vec<JobRow> = match (machine, state) {
        (None, None) => on_db!(db, pool => sqlx::query_as(ALL).bind(after).bind(limit)
                .fetch_all(pool).await)?,
        (None, Some(state)) => {
            on_db!(db, pool => sqlx::query_as(STATE).bind(after).bind(limit).bind(state)
                .fetch_all(pool).await)?
        }
        (Some(machine), None) => {
            on_db!(db, pool => sqlx::query_as(MACHINE).bind(after).bind(limit).bind(machine)
                .fetch_all(pool).await)?
        }
        (Some(machine), Some(state)) => {
            on_db!(db, pool => sqlx::query_as(BOTH).bind(after).bind(limit).bind(machine)
                .bind(state).fetch_all(pool).await)?
        }
    };
    jobs(rows)
}

/// A job's entries behind one of its numbers, by number.
pub async fn entries_after(
    db: &Db,
    job: JobId,
    after: i64,
    limit: i64,
) -> sqlx::Result<Vec<Entry>> {
    const SQL: &str = "SELECT e.id, e.job_id, e.number, e.person_id, p.name AS person, e.device_at,
            e.received_at, e.body, e.corrects, e.set_aside
        FROM entries e LEFT JOIN people p ON p.id = e.person_id
        WHERE e.job_id = $1 AND e.number > $2 ORDER BY e.number LIMIT $3";
    let rows: Vec<EntryRow> = on_db!(db, pool => sqlx::query_as(SQL).bind(job).bind(after)
        .bind(limit).fetch_all(pool).await)?;
    rows.into_iter().map(Entry::try_from).collect()
}

/// One entry, inside the write that added it.
pub async fn entry_in(tx: &mut Tx, id: &str) -> sqlx::Result<Option<Entry>> {
    const SQL: &str = "SELECT e.id, e.job_id, e.number, e.person_id, p.name AS person, e.device_at,
            e.received_at, e.body, e.corrects, e.set_aside
        FROM entries e LEFT JOIN people p ON p.id = e.person_id WHERE e.id = $1";
    let row: Option<EntryRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(id).fetch_optional(conn).await)?;
    row.map(Entry::try_from).transpose()
}
