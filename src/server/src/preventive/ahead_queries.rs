//! Due items as the making ahead reads and writes them.

use crate::db::Tx;
use crate::jobs::JobId;
use crate::on_tx;
use crate::people::PersonId;
use time::Date;

/// One of a plan's items so far.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct PastItem {
    pub id: i64,
    pub due_on: Date,
    pub state: String,
    pub done_on: Option<Date>,
    pub job_id: Option<JobId>,
}

/// Waits until no other process makes items; the lock goes with the transaction. SQLite has one writer.
pub async fn alone(tx: &mut Tx) -> sqlx::Result<()> {
    // Any number that nothing else in the database uses.
    const KEY: i64 = 0x0070_6c61_6e73;
    match tx {
        Tx::Sqlite(_) => Ok(()),
        Tx::Postgres(tx) => sqlx::query("SELECT pg_advisory_xact_lock($1)")
            .bind(KEY)
            .execute(&mut **tx)
            .await
            .map(|_| ()),
    }
}

/// A plan's items, oldest first.
pub async fn past(tx: &mut Tx, plan: i64) -> sqlx::Result<Vec<PastItem>> {
    const SQL: &str = "SELECT id, due_on, state, done_on, job_id FROM due_items
        WHERE plan_id = $1 ORDER BY due_on";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(plan).fetch_all(conn).await)
}

/// Adds an open item; the same plan and day adds nothing.
pub async fn insert_item(
    tx: &mut Tx,
    plan: i64,
    revision: i64,
    due_on: Date,
    reason: &str,
) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "INSERT INTO due_items (plan_id, revision, due_on, reason, state)
        VALUES ($1, $2, $3, $4, 'open') ON CONFLICT (plan_id, due_on) DO NOTHING RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(plan).bind(revision).bind(due_on).bind(reason).fetch_optional(conn).await)
}

/// Adds a date that passed before it could stand open.
pub async fn insert_missed(
    tx: &mut Tx,
    plan: i64,
    revision: i64,
    due_on: Date,
    reason: &str,
    note: &str,
) -> sqlx::Result<()> {
    const SQL: &str =
        "INSERT INTO due_items (plan_id, revision, due_on, reason, state, done_on, note)
        VALUES ($1, $2, $3, $4, 'missed', $3, $5) ON CONFLICT (plan_id, due_on) DO NOTHING";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(plan).bind(revision).bind(due_on).bind(reason).bind(note)
        .execute(conn).await.map(|_| ()))
}

/// Nobody did it and nobody said why: missed on the day on which the next one fell due.
pub async fn miss(tx: &mut Tx, item: i64, on: Date) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE due_items SET state = 'missed', done_on = $2, covered_by = NULL,
            version = version + 1
        WHERE id = $1 AND state = 'open' AND job_id IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(item).bind(on).execute(conn).await.map(|_| ()))
}

pub async fn plan_of(tx: &mut Tx, item: i64) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT plan_id FROM due_items WHERE id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(item).fetch_optional(conn).await)
}

/// An open item of an included plan beside the open one of the plan that includes it.
#[derive(Debug, sqlx::FromRow)]
pub struct Pair {
    pub item: i64,
    pub due_on: Date,
    pub cover: i64,
    pub cover_due: Date,
    pub window_days: i64,
}

pub async fn pairs(tx: &mut Tx) -> sqlx::Result<Vec<Pair>> {
    const SQL: &str = "SELECT d.id AS item, d.due_on, y.id AS cover, y.due_on AS cover_due,
            CASE WHEN p.window_days > long.window_days THEN p.window_days
                ELSE long.window_days END AS window_days
        FROM plans p JOIN plans long ON long.id = p.included_in
        JOIN due_items d ON d.plan_id = p.id AND d.state = 'open' AND d.job_id IS NULL
        JOIN due_items y ON y.plan_id = p.included_in AND y.state = 'open'
        WHERE p.included_in IS NOT NULL AND d.covered_by IS NULL ORDER BY d.id";
    on_tx!(tx, conn => sqlx::query_as(SQL).fetch_all(conn).await)
}

pub async fn cover(tx: &mut Tx, item: i64, by: i64) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE due_items SET covered_by = $2, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(item).bind(by).execute(conn).await.map(|_| ()))
}

/// A covered item whose cover has been closed.
#[derive(Debug, sqlx::FromRow)]
pub struct Covered {
    pub item: i64,
    pub plan_id: i64,
    pub state: String,
    pub done_on: Option<Date>,
    pub person_id: Option<PersonId>,
    pub cover_due: Date,
}

pub async fn closed_covers(tx: &mut Tx) -> sqlx::Result<Vec<Covered>> {
    const SQL: &str = "SELECT d.id AS item, d.plan_id, y.state, y.done_on, y.person_id,
            y.due_on AS cover_due
        FROM due_items d JOIN due_items y ON y.id = d.covered_by
        WHERE d.covered_by IS NOT NULL AND d.state = 'open' AND y.state <> 'open' ORDER BY d.id";
    on_tx!(tx, conn => sqlx::query_as(SQL).fetch_all(conn).await)
}

/// Done with the longer service that includes it.
pub async fn done_with(tx: &mut Tx, covered: &Covered, note: &str) -> sqlx::Result<()> {
    const SQL: &str =
        "UPDATE due_items SET state = 'done', done_on = $2, person_id = $3, note = $4,
            version = version + 1
        WHERE id = $1 AND state = 'open'";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(covered.item).bind(covered.done_on).bind(covered.person_id).bind(note)
        .execute(conn).await.map(|_| ()))
}

/// The longer service was not done: this one stands on its own again.
pub async fn uncover(tx: &mut Tx, item: i64) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE due_items SET covered_by = NULL, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(item).execute(conn).await.map(|_| ()))
}
