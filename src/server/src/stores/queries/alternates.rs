//! Approved alternates of parts and of motors, on the limits written with them.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::stores::{Item, PartId};
use crate::{on_db, on_tx};

/// An alternate, with who approved it and when.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Alternate {
    pub id: i64,
    pub part_id: Option<PartId>,
    pub motor_id: Option<MotorId>,
    pub name: String,
    pub limits: String,
    pub verdict: String,
    pub job_id: Option<JobId>,
    pub approved: String,
    pub approved_at: Millis,
    pub withdrawn_at: Option<Millis>,
    pub withdrawn_why: String,
}

impl Alternate {
    pub fn page(&self) -> String {
        match (self.part_id, self.motor_id) {
            (Some(id), _) => Item::Part(id).page(),
            (_, Some(id)) => Item::Motor(id).page(),
            _ => String::new(),
        }
    }
}

/// Those of one thing, the ones that stand first.
pub async fn alternates(db: &Db, of: Item) -> sqlx::Result<Vec<Alternate>> {
    const SQL: &str = "SELECT a.id, a.part_id, a.motor_id, COALESCE(p.name, m.name, '') AS name,
            a.limits, a.verdict, a.job_id, w.name AS approved, a.approved_at, a.withdrawn_at,
            a.withdrawn_why
        FROM alternates a JOIN people w ON w.id = a.approved_by
            LEFT JOIN parts p ON p.id = a.part_id LEFT JOIN motors m ON m.id = a.motor_id
        WHERE a.of_part_id = $1 OR a.of_motor_id = $2
        ORDER BY CASE WHEN a.withdrawn_at IS NULL THEN 0 ELSE 1 END, a.id DESC";
    on_db!(db, pool => sqlx::query_as(SQL).bind(of.part()).bind(of.motor()).fetch_all(pool).await)
}

/// An accepted fit of a motor on a machine that was built with another.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Accepted {
    pub motor_id: MotorId,
    pub name: String,
    pub job_id: JobId,
    pub tag: String,
    pub verdict: String,
}

/// Motors that were chosen, and found to suit, on machines built with this one.
pub async fn accepted_fits(db: &Db, design: MotorId) -> sqlx::Result<Vec<Accepted>> {
    const SQL: &str = "SELECT j.chosen_motor_id AS motor_id, mo.name, j.id AS job_id, m.tag,
            j.fit_verdict AS verdict
        FROM jobs j JOIN machines m ON m.id = j.machine_id
            JOIN motors mo ON mo.id = j.chosen_motor_id
        WHERE m.design_motor_id = $1 AND j.chosen_motor_id <> $1
            AND j.fit_verdict IN ('same', 'suits', 'suits_after_work')
        ORDER BY j.id DESC LIMIT 100";
    on_db!(db, pool => sqlx::query_as(SQL).bind(design).fetch_all(pool).await)
}

/// An alternate as a supervisor approves it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct NewAlternate {
    pub of: Item,
    pub other: Item,
    pub limits: String,
    pub verdict: String,
    pub job: Option<JobId>,
}

pub async fn insert_alternate(
    tx: &mut Tx,
    new: &NewAlternate,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO alternates (of_part_id, of_motor_id, part_id, motor_id, limits,
            verdict, job_id, approved_by, approved_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(new.of.part()).bind(new.of.motor())
        .bind(new.other.part()).bind(new.other.motor()).bind(&new.limits).bind(&new.verdict)
        .bind(new.job).bind(by).bind(at).fetch_one(conn).await)
}

/// `false` where it does not stand any more.
pub async fn withdraw_alternate(
    tx: &mut Tx,
    of: Item,
    id: i64,
    why: &str,
    at: Millis,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE alternates SET withdrawn_at = $5, withdrawn_why = $4
        WHERE id = $3 AND withdrawn_at IS NULL AND (of_part_id = $1 OR of_motor_id = $2)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(of.part()).bind(of.motor()).bind(id).bind(why)
        .bind(at).execute(conn).await.map(|done| done.rows_affected() == 1))
}
