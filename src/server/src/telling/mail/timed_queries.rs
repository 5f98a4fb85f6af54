//! What is late, due soon or still locked, as news are made of it.

use super::kinds::Kind;
use crate::clock::Millis;
use crate::db::Tx;
use crate::on_tx;
use crate::people::PersonId;
use time::Date;

/// When a person was last given news of this kind.
pub async fn last_news(tx: &mut Tx, kind: Kind, person: PersonId) -> sqlx::Result<Option<Millis>> {
    const SQL: &str = "SELECT max(made_at) FROM news WHERE person_id = $1 AND kind = $2";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(person).bind(kind.word()).fetch_one(conn).await)
}

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct LateJob {
    pub id: i64,
    pub on_day: Date,
    pub what: String,
}

/// A person's jobs that nobody began by their day, which lies from the first date to before the second.
pub async fn late_jobs(
    tx: &mut Tx,
    person: PersonId,
    from: Date,
    before: Date,
) -> sqlx::Result<Vec<LateJob>> {
    const SQL: &str = "SELECT j.id, j.planned_on AS on_day,
            COALESCE(m.tag || ', ' || m.name, p.name, '') AS what
        FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id
        LEFT JOIN places p ON p.id = j.place_id
        WHERE j.assigned_to = $1 AND j.planned_on >= $2 AND j.planned_on < $3
        AND j.state = 'handed_out' ORDER BY j.planned_on, j.id LIMIT 200";
    on_tx!(tx, conn => sqlx::query_as(SQL)
        .bind(person).bind(from).bind(before).fetch_all(conn).await)
}

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct DueItem {
    pub on_day: Date,
    pub window_days: i64,
    pub what: String,
}

/// Open due items of the days before, that are no job yet; the latest first.
pub async fn open_before(tx: &mut Tx, day: Date) -> sqlx::Result<Vec<DueItem>> {
    const SQL: &str = "SELECT d.due_on AS on_day, l.window_days, m.tag || ', ' || l.action AS what
        FROM due_items d JOIN plans l ON l.id = d.plan_id JOIN machines m ON m.id = l.machine_id
        WHERE d.state = 'open' AND d.due_on < $1 AND d.job_id IS NULL AND d.covered_by IS NULL
        ORDER BY d.due_on DESC, d.id LIMIT 2000";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(day).fetch_all(conn).await)
}

/// Open due items of these days, both included, that are no job yet.
pub async fn open_between(tx: &mut Tx, from: Date, to: Date) -> sqlx::Result<Vec<DueItem>> {
    const SQL: &str = "SELECT d.due_on AS on_day, l.window_days, m.tag || ', ' || l.action AS what
        FROM due_items d JOIN plans l ON l.id = d.plan_id JOIN machines m ON m.id = l.machine_id
        WHERE d.state = 'open' AND d.due_on >= $1 AND d.due_on <= $2 AND d.job_id IS NULL
        AND d.covered_by IS NULL ORDER BY d.due_on, d.id LIMIT 500";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(from).bind(to).fetch_all(conn).await)
}

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Lock {
    pub lock_number: String,
    pub source: String,
    pub job_id: i64,
    pub person_id: PersonId,
    pub person: String,
}

/// Locks that went on before then and stand.
pub async fn standing(tx: &mut Tx, before: Millis) -> sqlx::Result<Vec<Lock>> {
    const SQL: &str =
        "SELECT l.lock_number, s.name AS source, l.job_id, l.person_id, p.name AS person
        FROM locks l JOIN energy_sources s ON s.id = l.source_id JOIN people p ON p.id = l.person_id
        WHERE l.off_at IS NULL AND l.on_at < $1 ORDER BY l.on_at, l.entry_id LIMIT 500";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(before).fetch_all(conn).await)
}
