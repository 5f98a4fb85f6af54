//! Readings taken in a machine's jobs, in the database.

use crate::clock::Millis;
use crate::db::Db;
use crate::jobs::JobId;
use crate::machines::MachineId;
use crate::on_db;

#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Taken {
    pub point: String,
    pub quantity: String,
    pub as_shown: String,
    /// `None` where what the instrument showed is no number.
    pub value: Option<f64>,
    pub taken_at: Millis,
    pub job_id: JobId,
    /// The kind of entry that holds it.
    pub kind: String,
    /// A later entry puts this one right.
    pub corrected: bool,
}

/// The newest readings of a machine, oldest first. Dead tests are no readings of how it runs.
pub async fn of_machine(db: &Db, machine: MachineId, most: i64) -> sqlx::Result<Vec<Taken>> {
    const SQL: &str = "SELECT r.point, r.quantity, r.as_shown, r.value, r.taken_at, r.job_id,
            e.kind, EXISTS (SELECT 1 FROM entries c
                WHERE c.job_id = e.job_id AND c.corrects = e.id AND c.set_aside IS NULL) AS corrected
        FROM readings r JOIN entries e ON e.id = r.entry_id
        WHERE r.machine_id = $1 AND e.kind <> 'dead_test'
        ORDER BY r.taken_at DESC, r.entry_id, r.position LIMIT $2";
    let mut rows: Vec<Taken> = on_db!(db, pool => sqlx::query_as(SQL)
        .bind(machine)
        .bind(most)
        .fetch_all(pool)
        .await)?;
    rows.reverse();
    Ok(rows)
}

/// Limits of the steps that took readings on a machine.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct StepLimit {
    pub point: String,
    pub quantity: String,
    pub low: Option<f64>,
    pub high: Option<f64>,
}

/// The newest first.
pub async fn step_limits(db: &Db, machine: MachineId) -> sqlx::Result<Vec<StepLimit>> {
    const SQL: &str = "SELECT r.point, r.quantity, s.low, s.high
        FROM readings r JOIN job_step_answers a ON a.entry_id = r.entry_id
            JOIN job_steps s ON s.job_id = a.job_id AND s.position = a.position
        WHERE r.machine_id = $1 AND (s.low IS NOT NULL OR s.high IS NOT NULL)
        ORDER BY r.taken_at DESC LIMIT 500";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

/// The body of the last run test of a machine.
pub async fn last_proof(db: &Db, machine: MachineId) -> sqlx::Result<Option<String>> {
    const SQL: &str = "SELECT e.body FROM jobs j JOIN entries e ON e.job_id = j.id
        WHERE j.machine_id = $1 AND e.kind = 'proof' AND e.set_aside IS NULL
        ORDER BY e.received_at DESC LIMIT 1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(machine).fetch_optional(pool).await)
}
