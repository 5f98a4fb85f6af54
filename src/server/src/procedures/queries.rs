//! Procedures and their revisions in the database.

use super::{Procedure, Revision, Step, Takes};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// A step's row, of a procedure or of a job.
#[derive(sqlx::FromRow)]
pub struct StepRow {
    pub text: String,
    pub takes: String,
    pub quantity: String,
    pub unit: String,
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub choices: String,
    pub source: String,
    pub caution: String,
    pub locked: bool,
}

impl TryFrom<StepRow> for Step {
    type Error = sqlx::Error;

    fn try_from(row: StepRow) -> sqlx::Result<Step> {
        let takes = Takes::named(&row.takes)
            .ok_or_else(|| sqlx::Error::Decode(format!("takes {:?}", row.takes).into()))?;
        Ok(Step {
            text: row.text,
            takes,
            quantity: row.quantity,
            unit: row.unit,
            low: row.low,
            high: row.high,
            choices: row.choices.lines().map(str::to_owned).collect(),
            source: row.source,
            caution: row.caution,
            locked: row.locked,
        })
    }
}

pub async fn list(db: &Db) -> sqlx::Result<Vec<Procedure>> {
    const SQL: &str = "SELECT id, name, for_kind, revision, version FROM procedures
        ORDER BY for_kind, name";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn find(db: &Db, id: i64) -> sqlx::Result<Option<Procedure>> {
    const SQL: &str = "SELECT id, name, for_kind, revision, version FROM procedures WHERE id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// Newest first.
pub async fn revisions(db: &Db, id: i64) -> sqlx::Result<Vec<Revision>> {
    const SQL: &str = "SELECT r.revision, r.made_at, COALESCE(p.name, '') AS made_by
        FROM procedure_revisions r LEFT JOIN people p ON p.id = r.made_by
        WHERE r.procedure_id = $1 ORDER BY r.revision DESC";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_all(pool).await)
}

pub async fn steps(db: &Db, id: i64, revision: i64) -> sqlx::Result<Vec<Step>> {
    const SQL: &str = "SELECT text, takes, quantity, unit, low, high, choices, source, caution,
            locked
        FROM procedure_steps WHERE procedure_id = $1 AND revision = $2 ORDER BY position";
    let rows: Vec<StepRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).bind(revision).fetch_all(pool).await)?;
    rows.into_iter().map(Step::try_from).collect()
}

pub async fn insert(tx: &mut Tx, name: &str, for_kind: &str, at: Millis) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO procedures (name, for_kind, made_at) VALUES ($1, $2, $3)
        RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(name).bind(for_kind).bind(at)
        .fetch_one(conn).await)
}

/// The procedure of this name.
pub async fn named(tx: &mut Tx, name: &str) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT id FROM procedures WHERE lower(name) = lower($1)";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(name).fetch_optional(conn).await)
}

/// Claims the next revision; `None` where somebody changed the procedure since `version`.
pub async fn revise(
    tx: &mut Tx,
    id: i64,
    version: i64,
    name: &str,
    for_kind: &str,
) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "UPDATE procedures SET name = $3, for_kind = $4, revision = revision + 1,
            version = version + 1
        WHERE id = $1 AND version = $2 RETURNING revision";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(id).bind(version).bind(name).bind(for_kind)
        .fetch_optional(conn).await)
}

/// Writes a revision with its steps.
pub async fn insert_revision(
    tx: &mut Tx,
    id: i64,
    revision: i64,
    steps: &[Step],
    by: Option<PersonId>,
    at: Millis,
) -> sqlx::Result<()> {
    const REVISION: &str = "INSERT INTO procedure_revisions
        (procedure_id, revision, made_at, made_by) VALUES ($1, $2, $3, $4)";
    const STEP: &str = "INSERT INTO procedure_steps (procedure_id, revision, position, text, takes,
            quantity, unit, low, high, choices, source, caution, locked)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)";
    on_tx!(tx, conn => sqlx::query(REVISION).bind(id).bind(revision).bind(at).bind(by)
        .execute(conn).await.map(|_| ()))?;
    for (position, step) in (1_i64..).zip(steps) {
        on_tx!(tx, conn => sqlx::query(STEP).bind(id).bind(revision).bind(position)
            .bind(&step.text).bind(step.takes.word()).bind(&step.quantity).bind(&step.unit)
            .bind(step.low).bind(step.high).bind(step.choices.join("\n")).bind(&step.source)
            .bind(&step.caution).bind(step.locked).execute(conn).await.map(|_| ()))?;
    }
    Ok(())
}
