//! Wide plans in the database, and the plans that their machines get from them.

use super::WidePlan;
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::preventive::{Needs, NewPlan, steps};
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
struct Row {
    id: i64,
    machine_kind: Option<String>,
    place_id: Option<i64>,
    action: String,
    why: String,
    rule: String,
    anchor_on: Date,
    window_days: i64,
    minutes: Option<i64>,
    steps: String,
    ended_on: Option<Date>,
    version: i64,
    machines: i64,
    needs: String,
}

impl TryFrom<Row> for WidePlan {
    type Error = sqlx::Error;

    fn try_from(row: Row) -> sqlx::Result<WidePlan> {
        Ok(WidePlan {
            rule: serde_json::from_str(&row.rule).map_err(|e| sqlx::Error::Decode(e.into()))?,
            id: row.id,
            machine_kind: row.machine_kind,
            place_id: row.place_id,
            action: row.action,
            why: row.why,
            anchor_on: row.anchor_on,
            window_days: row.window_days,
            minutes: row.minutes,
            steps: row.steps,
            ended_on: row.ended_on,
            version: row.version,
            machines: row.machines,
            needs: Needs::read(&row.needs)?,
        })
    }
}

macro_rules! wide_sql {
    ($rest:literal) => {
        concat!(
            "SELECT w.id, w.machine_kind, w.place_id, w.action, w.why, w.rule, w.anchor_on, \
             w.window_days, w.minutes, w.steps, w.ended_on, w.version, w.needs, \
             (SELECT count(*) FROM plans p WHERE p.wide_id = w.id) AS machines \
             FROM wide_plans w ",
            $rest
        )
    };
}

pub async fn list(db: &Db) -> sqlx::Result<Vec<WidePlan>> {
    const SQL: &str = wide_sql!("ORDER BY w.action, w.id");
    let rows: Vec<Row> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    rows.into_iter().map(WidePlan::try_from).collect()
}

pub async fn find(db: &Db, id: i64) -> sqlx::Result<Option<WidePlan>> {
    const SQL: &str = wide_sql!("WHERE w.id = $1");
    let row: Option<Row> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    row.map(WidePlan::try_from).transpose()
}

/// Where a wide plan holds: the machines of a kind, or of a place with everything below it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scope {
    Kind(String),
    Place(i64),
}

pub async fn insert(tx: &mut Tx, scope: &Scope, new: &NewPlan, at: Millis) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO wide_plans (machine_kind, place_id, action, why, rule, floats,
            anchor_on, window_days, minutes, steps, made_at, needs)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) RETURNING id";
    let rule = serde_json::to_string(&new.rule).map_err(|e| sqlx::Error::Encode(e.into()))?;
    let (kind, place) = match scope {
        Scope::Kind(kind) => (Some(kind), None),
        Scope::Place(place) => (None, Some(*place)),
    };
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(kind)
        .bind(place)
        .bind(&new.action)
        .bind(&new.why)
        .bind(&rule)
        .bind(!steps::fixed(&new.rule))
        .bind(new.anchor_on)
        .bind(new.window_days)
        .bind(new.minutes)
        .bind(&new.steps)
        .bind(at)
        .bind(new.needs.written()?)
        .fetch_one(conn)
        .await)
}

/// Writes a changed wide plan; false where somebody else changed it meanwhile.
pub async fn update(
    tx: &mut Tx,
    id: i64,
    seen: i64,
    new: &NewPlan,
    ended_on: Option<Date>,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE wide_plans SET action = $3, why = $4, rule = $5, floats = $6,
            anchor_on = $7, window_days = $8, minutes = $9, steps = $10, ended_on = $11, needs = $12,
            version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let rule = serde_json::to_string(&new.rule).map_err(|e| sqlx::Error::Encode(e.into()))?;
    let row: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(seen)
        .bind(&new.action)
        .bind(&new.why)
        .bind(&rule)
        .bind(!steps::fixed(&new.rule))
        .bind(new.anchor_on)
        .bind(new.window_days)
        .bind(new.minutes)
        .bind(&new.steps)
        .bind(ended_on)
        .bind(new.needs.written()?)
        .fetch_optional(conn)
        .await)?;
    Ok(row.is_some())
}

/// Gives every machine in a wide plan's scope its plan where it has none yet.
pub async fn spread(tx: &mut Tx, today: Date) -> sqlx::Result<u64> {
    const SQL: &str = "WITH RECURSIVE under (wide_id, place_id) AS (
            SELECT id, place_id FROM wide_plans WHERE place_id IS NOT NULL AND ended_on IS NULL
            UNION
            SELECT u.wide_id, p.id FROM places p JOIN under u ON p.parent_id = u.place_id
        ), meant (wide_id, machine_id) AS (
            SELECT u.wide_id, m.id FROM under u JOIN machines m ON m.place_id = u.place_id
            WHERE m.retired_on IS NULL
            UNION
            SELECT w.id, m.id FROM wide_plans w JOIN machines m ON m.kind = w.machine_kind
            WHERE w.ended_on IS NULL AND m.retired_on IS NULL
        )
        INSERT INTO plans (machine_id, action, why, rule, anchor_on, window_days, minutes, steps,
            made_at, wide_id, since_on, needs)
        SELECT meant.machine_id, w.action, w.why, w.rule,
            CASE WHEN w.floats AND w.anchor_on < $1 THEN $1 ELSE w.anchor_on END,
            w.window_days, w.minutes, w.steps, w.made_at, w.id, $1, w.needs
        FROM meant JOIN wide_plans w ON w.id = meant.wide_id
        WHERE NOT EXISTS (SELECT 1 FROM plans p
            WHERE p.wide_id = w.id AND p.machine_id = meant.machine_id)
        ORDER BY w.id, meant.machine_id";
    on_tx!(tx, conn => sqlx::query(SQL).bind(today).execute(conn).await.map(|r| r.rows_affected()))
}

/// The plans that machines have of a wide one.
pub async fn plans_of(tx: &mut Tx, wide: i64) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "SELECT id FROM plans WHERE wide_id = $1 AND ended_on IS NULL ORDER BY id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(wide).fetch_all(conn).await)
}

/// Keeps what a plan was until now; its items refer to it by its number.
pub async fn keep_revision(
    tx: &mut Tx,
    plan: i64,
    at: Millis,
    by: PersonId,
    reason: &str,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO plan_revisions (plan_id, version, until_at, person_id, action,
            rule, anchor_on, window_days, minutes, steps, reason, needs)
        SELECT id, version, $2, $3, action, rule, anchor_on, window_days, minutes, steps, $4, needs
        FROM plans WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(plan).bind(at).bind(by).bind(reason)
        .execute(conn).await.map(|_| ()))
}

/// A plan as it was before a change.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Revision {
    pub version: i64,
    pub until_at: Millis,
    pub person: Option<String>,
    pub action: String,
    pub rule: String,
    pub anchor_on: Date,
    pub window_days: i64,
    pub reason: String,
}

/// Newest first.
pub async fn revisions(db: &Db, plan: i64) -> sqlx::Result<Vec<Revision>> {
    const SQL: &str = "SELECT r.version, r.until_at, p.name AS person, r.action, r.rule,
            r.anchor_on, r.window_days, r.reason
        FROM plan_revisions r LEFT JOIN people p ON p.id = r.person_id
        WHERE r.plan_id = $1 ORDER BY r.version DESC";
    on_db!(db, pool => sqlx::query_as(SQL).bind(plan).fetch_all(pool).await)
}

/// Hands a changed wide plan on to the plan of one machine.
pub async fn hand_on(
    tx: &mut Tx,
    plan: i64,
    new: &NewPlan,
    ended_on: Option<Date>,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE plans SET action = $2, why = $3, rule = $4, anchor_on = $5,
            window_days = $6, minutes = $7, steps = $8, ended_on = $9,
            since_on = coalesce($10, since_on), needs = $11, version = version + 1
        WHERE id = $1";
    let rule = serde_json::to_string(&new.rule).map_err(|e| sqlx::Error::Encode(e.into()))?;
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(plan)
        .bind(&new.action)
        .bind(&new.why)
        .bind(&rule)
        .bind(new.anchor_on)
        .bind(new.window_days)
        .bind(new.minutes)
        .bind(&new.steps)
        .bind(ended_on)
        .bind(new.since_on)
        .bind(new.needs.written()?)
        .execute(conn)
        .await
        .map(|_| ()))
}
