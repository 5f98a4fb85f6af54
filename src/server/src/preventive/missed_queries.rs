//! What was missed, done late or left undone, as the pages of it count.

use crate::db::Db;
use crate::on_db;
use time::Date;

/// Items of one place and day that came out alike.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Tally {
    pub place_id: i64,
    pub due_on: Date,
    pub state: String,
    pub done_on: Option<Date>,
    pub window_days: i64,
    /// JSON of what the plan needs, its hard limit among it.
    pub needs: String,
    pub items: i64,
}

/// What fell due in a span of days.
pub async fn tallies(db: &Db, from: Date, to: Date) -> sqlx::Result<Vec<Tally>> {
    const SQL: &str = "SELECT m.place_id, d.due_on, d.state, d.done_on, pl.window_days,
            pl.needs, count(*) AS items
        FROM due_items d JOIN plans pl ON pl.id = d.plan_id JOIN machines m ON m.id = pl.machine_id
        WHERE d.due_on >= $1 AND d.due_on <= $2
        GROUP BY m.place_id, d.due_on, d.state, d.done_on, pl.window_days, pl.needs";
    on_db!(db, pool => sqlx::query_as(SQL).bind(from).bind(to).fetch_all(pool).await)
}

/// A missed item as the list shows it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Missed {
    pub plan_id: i64,
    pub tag: String,
    pub action: String,
    pub place_id: i64,
    pub due_on: Date,
    pub note: String,
}

/// What was missed in a span of days, the newest first.
pub async fn missed(db: &Db, from: Date, to: Date, most: i64) -> sqlx::Result<Vec<Missed>> {
    const SQL: &str = "SELECT d.plan_id, m.tag, pl.action, m.place_id, d.due_on, d.note
        FROM due_items d JOIN plans pl ON pl.id = d.plan_id JOIN machines m ON m.id = pl.machine_id
        WHERE d.state = 'missed' AND d.due_on >= $1 AND d.due_on <= $2
        ORDER BY d.due_on DESC, m.tag LIMIT $3";
    on_db!(db, pool => sqlx::query_as(SQL).bind(from).bind(to).bind(most).fetch_all(pool).await)
}

/// A plan with a season in its rule.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Seasonal {
    pub id: i64,
    pub tag: String,
    pub machine: String,
    pub place_id: i64,
    pub action: String,
    /// JSON: calc's rule.
    pub rule: String,
}

pub async fn seasonal(db: &Db) -> sqlx::Result<Vec<Seasonal>> {
    const SQL: &str = "SELECT pl.id, m.tag, m.name AS machine, m.place_id, pl.action, pl.rule
        FROM plans pl JOIN machines m ON m.id = pl.machine_id
        WHERE pl.ended_on IS NULL AND m.retired_on IS NULL AND pl.rule LIKE '%season%'
        ORDER BY m.tag, pl.id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// The items of these plans since a day: plan, day, state, when closed, job.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct SeasonItem {
    pub plan_id: i64,
    pub due_on: Date,
    pub state: String,
    pub note: String,
    pub job_id: Option<i64>,
}

pub async fn season_items(db: &Db, since: Date) -> sqlx::Result<Vec<SeasonItem>> {
    const SQL: &str = "SELECT d.plan_id, d.due_on, d.state, d.note, d.job_id
        FROM due_items d JOIN plans pl ON pl.id = d.plan_id
        WHERE pl.ended_on IS NULL AND pl.rule LIKE '%season%' AND d.due_on >= $1
        ORDER BY d.due_on";
    on_db!(db, pool => sqlx::query_as(SQL).bind(since).fetch_all(pool).await)
}
