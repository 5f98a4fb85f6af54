//! Services with what they found, and the failures of parts.

use crate::clock::Millis;
use crate::db::Db;
use crate::on_db;
use time::Date;

/// A due item that was done, of a plan that goes on.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Done {
    pub plan_id: i64,
    pub machine_id: i64,
    pub tag: String,
    pub action: String,
    pub rule: String,
    pub due_on: Date,
    pub done_on: Date,
    /// Parts found good, worked on, and bad; and readings as found outside their limits.
    pub good: i64,
    pub worked: i64,
    pub bad: i64,
    pub outside: i64,
}

/// Services done since a day, of plans on `machine` (zero: all), newest first.
pub async fn done(db: &Db, since: Date, machine: i64, limit: i64) -> sqlx::Result<Vec<Done>> {
    const SQL: &str =
        "SELECT d.plan_id, pl.machine_id, m.tag, pl.action, pl.rule, d.due_on, d.done_on,
            (SELECT count(*) FROM part_conditions c WHERE c.job_id = d.job_id AND c.found = 'good')
                AS good,
            (SELECT count(*) FROM part_conditions c WHERE c.job_id = d.job_id
                AND c.found IN ('cleaned', 'adjusted')) AS worked,
            (SELECT count(*) FROM part_conditions c WHERE c.job_id = d.job_id
                AND c.found IN ('replaced', 'bad_and_left')) AS bad,
            (SELECT count(*) FROM job_step_answers a WHERE a.job_id = d.job_id AND a.as_found
                AND a.outside) AS outside
        FROM due_items d JOIN plans pl ON pl.id = d.plan_id JOIN machines m ON m.id = pl.machine_id
        WHERE d.state = 'done' AND d.done_on >= $1 AND pl.ended_on IS NULL
            AND ($2 = 0 OR pl.machine_id = $2)
        ORDER BY d.done_on DESC, d.id DESC LIMIT $3";
    on_db!(db, pool => sqlx::query_as(SQL).bind(since).bind(machine).bind(limit).fetch_all(pool).await)
}

/// When corrective jobs were reported on a machine.
pub async fn failures(db: &Db, machine: i64, since: Millis) -> sqlx::Result<Vec<Millis>> {
    const SQL: &str = "SELECT reported_at FROM jobs WHERE machine_id = $1 AND reported_at >= $2
        AND due_item_id IS NULL AND state NOT IN ('turned_down', 'joined') ORDER BY reported_at";
    on_db!(db, pool =>
        sqlx::query_scalar(SQL).bind(machine).bind(since).fetch_all(pool).await)
}

/// A failure of a component on a machine of a kind.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Failed {
    pub machine_id: i64,
    pub tag: String,
    pub reported_at: Millis,
}

pub async fn failed(db: &Db, kind: &str, component: &str, limit: i64) -> sqlx::Result<Vec<Failed>> {
    const SQL: &str = "SELECT j.machine_id, m.tag, j.reported_at FROM machines m
        JOIN jobs j ON j.machine_id = m.id
        WHERE m.kind = $1 AND j.component = $2 AND j.back_at IS NOT NULL AND j.due_item_id IS NULL
            AND j.state NOT IN ('turned_down', 'joined')
        ORDER BY j.machine_id, j.reported_at, j.id LIMIT $3";
    on_db!(db, pool => sqlx::query_as(SQL).bind(kind.to_owned()).bind(component.to_owned())
        .bind(limit).fetch_all(pool).await)
}

/// The newest decision to keep each plan's interval: plan, when, whose, why.
pub async fn kept(db: &Db, plan: i64) -> sqlx::Result<Option<(Millis, Option<String>, String)>> {
    const SQL: &str = "SELECT a.at, p.name, a.detail FROM audit a
        LEFT JOIN people p ON p.id = a.person_id
        WHERE a.thing = 'plans' AND a.thing_id = $1 AND a.act = 'interval kept'
        ORDER BY a.id DESC LIMIT 1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(plan).fetch_optional(pool).await)
}
