//! The jobs of one machine.

use super::jobs;
use crate::db::Db;
use crate::jobs::{Job, JobId};
use crate::machines::MachineId;
use crate::on_db;

/// The jobs of one machine, newest first.
pub async fn of_machine(db: &Db, machine: MachineId, limit: i64) -> sqlx::Result<Vec<Job>> {
    const SQL: &str = job_sql!("WHERE machine_id = $1 ORDER BY id DESC LIMIT $2");
    let rows = on_db!(db, pool => sqlx::query_as(SQL)
        .bind(machine)
        .bind(limit)
        .fetch_all(pool)
        .await)?;
    jobs(rows)
}

/// The same, older than one of them.
pub async fn of_machine_before(
    db: &Db,
    machine: MachineId,
    before: JobId,
    limit: i64,
) -> sqlx::Result<Vec<Job>> {
    const SQL: &str = job_sql!("WHERE machine_id = $1 AND id < $2 ORDER BY id DESC LIMIT $3");
    let rows = on_db!(db, pool => sqlx::query_as(SQL)
        .bind(machine)
        .bind(before)
        .bind(limit)
        .fetch_all(pool)
        .await)?;
    jobs(rows)
}

/// The open jobs of one machine, oldest first.
pub async fn open_of_machine(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Job>> {
    const SQL: &str = job_sql!(
        "WHERE machine_id = $1 AND state IN ('reported', 'planned', 'handed_out', 'isolated',
            'on_test', 'back_in_service', 'held', 'test_owed') ORDER BY id"
    );
    jobs(on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)?)
}
