//! Plans, due items and meters in the database.

use super::{DueItem, Needs, NewPlan, Plan};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::machines::MachineId;
use crate::people::PersonId;
use crate::{on_db, on_tx};
use calc::due::MeterReading;
use time::Date;

#[derive(sqlx::FromRow)]
struct PlanRow {
    id: i64,
    machine_id: MachineId,
    tag: String,
    machine: String,
    action: String,
    why: String,
    rule: String,
    anchor_on: Date,
    window_days: i64,
    minutes: Option<i64>,
    steps: String,
    made_from_job: Option<JobId>,
    ended_on: Option<Date>,
    version: i64,
    wide_id: Option<i64>,
    since_on: Option<Date>,
    included_in: Option<i64>,
    needs: String,
}

impl TryFrom<PlanRow> for Plan {
    type Error = sqlx::Error;

    fn try_from(row: PlanRow) -> sqlx::Result<Plan> {
        Ok(Plan {
            rule: serde_json::from_str(&row.rule).map_err(|e| sqlx::Error::Decode(e.into()))?,
            id: row.id,
            machine_id: row.machine_id,
            tag: row.tag,
            machine: row.machine,
            action: row.action,
            why: row.why,
            anchor_on: row.anchor_on,
            window_days: row.window_days,
            minutes: row.minutes,
            steps: row.steps,
            made_from_job: row.made_from_job,
            ended_on: row.ended_on,
            version: row.version,
            wide_id: row.wide_id,
            since_on: row.since_on,
            included_in: row.included_in,
            needs: Needs::read(&row.needs)?,
        })
    }
}

macro_rules! plan_sql {
    ($rest:literal) => {
        concat!(
            "SELECT pl.id, pl.machine_id, m.tag, m.name AS machine, pl.action, pl.why, pl.rule, \
             pl.anchor_on, pl.window_days, pl.minutes, pl.steps, pl.made_from_job, pl.ended_on, \
             pl.version, pl.wide_id, pl.since_on, pl.included_in, pl.needs FROM plans pl JOIN machines m ON m.id = pl.machine_id ",
            $rest
        )
    };
}

pub async fn plan(db: &Db, id: i64) -> sqlx::Result<Option<Plan>> {
    const SQL: &str = plan_sql!("WHERE pl.id = $1");
    let row: Option<PlanRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    row.map(Plan::try_from).transpose()
}

/// The same inside a write.
pub async fn plan_in(tx: &mut Tx, id: i64) -> sqlx::Result<Option<Plan>> {
    const SQL: &str = plan_sql!("WHERE pl.id = $1");
    let row: Option<PlanRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(id).fetch_optional(conn).await)?;
    row.map(Plan::try_from).transpose()
}

pub async fn place_of(tx: &mut Tx, machine: MachineId) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT place_id FROM machines WHERE id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_one(conn).await)
}

const LOCKING: &str = "SELECT DISTINCT s.procedure_id FROM procedure_steps s
    JOIN procedures p ON p.id = s.procedure_id AND p.revision = s.revision
    WHERE s.locked ORDER BY s.procedure_id";

/// The procedures whose newest revision has a step that waits for isolation.
pub async fn locking_procedures(db: &Db) -> sqlx::Result<Vec<i64>> {
    on_db!(db, pool => sqlx::query_scalar(LOCKING).fetch_all(pool).await)
}

pub async fn locking_procedures_in(tx: &mut Tx) -> sqlx::Result<Vec<i64>> {
    on_tx!(tx, conn => sqlx::query_scalar(LOCKING).fetch_all(conn).await)
}

/// Every plan, by tag.
pub async fn plans(db: &Db) -> sqlx::Result<Vec<Plan>> {
    const SQL: &str = plan_sql!("ORDER BY m.tag, pl.id");
    let rows: Vec<PlanRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    rows.into_iter().map(Plan::try_from).collect()
}

/// The plans of some machines, by tag: of those whose tags come after one in small letters.
pub async fn plans_after(db: &Db, after: &str, machines: i64) -> sqlx::Result<Vec<Plan>> {
    const SQL: &str = plan_sql!(
        "WHERE pl.machine_id IN (SELECT o.id FROM machines o WHERE lower(o.tag) > $1
            AND EXISTS (SELECT 1 FROM plans p WHERE p.machine_id = o.id)
            ORDER BY lower(o.tag) LIMIT $2)
         ORDER BY lower(m.tag), pl.id"
    );
    let rows: Vec<PlanRow> = on_db!(db, pool =>
        sqlx::query_as(SQL).bind(after).bind(machines).fetch_all(pool).await)?;
    rows.into_iter().map(Plan::try_from).collect()
}

/// Every plan of a machine.
pub async fn plans_on(db: &Db, machine: i64) -> sqlx::Result<Vec<Plan>> {
    const SQL: &str = plan_sql!("WHERE pl.machine_id = $1 ORDER BY pl.id");
    let rows: Vec<PlanRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)?;
    rows.into_iter().map(Plan::try_from).collect()
}

/// The plans of a machine that go on: number and action.
pub async fn plans_of_machine(db: &Db, machine: MachineId) -> sqlx::Result<Vec<(i64, String)>> {
    const SQL: &str = "SELECT id, action FROM plans WHERE machine_id = $1 AND ended_on IS NULL
        ORDER BY id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

/// The numbers of the same, inside a write.
pub async fn plans_of_machine_in(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "SELECT id FROM plans WHERE machine_id = $1 AND ended_on IS NULL ORDER BY id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_all(conn).await)
}

/// The plan that includes this one.
pub async fn included(db: &Db, plan: i64) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT included_in FROM plans WHERE id = $1 AND included_in IS NOT NULL";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(plan).fetch_optional(pool).await)
}

/// Plans that go on and have nothing open, or an item whose day has come; read inside the write that
/// moves them on.
pub async fn waiting(tx: &mut Tx, today: Date) -> sqlx::Result<Vec<Plan>> {
    const SQL: &str = plan_sql!(
        "WHERE pl.ended_on IS NULL AND m.retired_on IS NULL
         AND NOT EXISTS (SELECT 1 FROM due_items d
             WHERE d.plan_id = pl.id AND d.state = 'open' AND d.due_on > $1)
         ORDER BY pl.id"
    );
    let rows: Vec<PlanRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(today).fetch_all(conn).await)?;
    rows.into_iter().map(Plan::try_from).collect()
}

/// One plan that goes on, inside a write.
pub async fn going_on(tx: &mut Tx, plan: i64) -> sqlx::Result<Option<Plan>> {
    const SQL: &str =
        plan_sql!("WHERE pl.id = $1 AND pl.ended_on IS NULL AND m.retired_on IS NULL");
    let row: Option<PlanRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(plan).fetch_optional(conn).await)?;
    row.map(Plan::try_from).transpose()
}

pub async fn insert_plan(tx: &mut Tx, new: &NewPlan, at: Millis) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO plans (machine_id, action, why, rule, anchor_on, window_days,
            minutes, steps, made_from_job, made_at, since_on, included_in, needs)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13) RETURNING id";
    let rule = serde_json::to_string(&new.rule).map_err(|e| sqlx::Error::Encode(e.into()))?;
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(new.machine_id)
        .bind(&new.action)
        .bind(&new.why)
        .bind(&rule)
        .bind(new.anchor_on)
        .bind(new.window_days)
        .bind(new.minutes)
        .bind(&new.steps)
        .bind(new.made_from_job)
        .bind(at)
        .bind(new.since_on)
        .bind(new.included_in)
        .bind(new.needs.written()?)
        .fetch_one(conn)
        .await)
}

/// Writes an edited plan; false where somebody else changed it meanwhile.
pub async fn update_plan(
    tx: &mut Tx,
    id: i64,
    seen: i64,
    new: &NewPlan,
    ended_on: Option<Date>,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE plans SET action = $3, why = $4, rule = $5, anchor_on = $6,
            window_days = $7, minutes = $8, steps = $9, ended_on = $10, included_in = $11,
            since_on = coalesce($12, since_on), needs = $13, version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let rule = serde_json::to_string(&new.rule).map_err(|e| sqlx::Error::Encode(e.into()))?;
    let row: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(seen)
        .bind(&new.action)
        .bind(&new.why)
        .bind(&rule)
        .bind(new.anchor_on)
        .bind(new.window_days)
        .bind(new.minutes)
        .bind(&new.steps)
        .bind(ended_on)
        .bind(new.included_in)
        .bind(new.since_on)
        .bind(new.needs.written()?)
        .fetch_optional(conn)
        .await)?;
    Ok(row.is_some())
}

/// After its rule was changed, what is still to come follows the new one. What has fallen due stays, and
/// so does what a job was made of.
pub async fn drop_coming_item(tx: &mut Tx, plan: i64, today: Date) -> sqlx::Result<()> {
    const UNCOVER: &str = "UPDATE due_items SET covered_by = NULL WHERE covered_by IN
        (SELECT id FROM due_items WHERE plan_id = $1 AND state = 'open' AND job_id IS NULL
            AND due_on > $2)";
    const SQL: &str = "DELETE FROM due_items
        WHERE plan_id = $1 AND state = 'open' AND job_id IS NULL AND due_on > $2";
    on_tx!(tx, conn => sqlx::query(UNCOVER).bind(plan).bind(today).execute(conn).await
        .map(|_| ()))?;
    on_tx!(tx, conn =>
        sqlx::query(SQL).bind(plan).bind(today).execute(conn).await.map(|_| ()))
}

#[derive(sqlx::FromRow)]
struct ItemRow {
    id: i64,
    plan_id: i64,
    machine_id: MachineId,
    tag: String,
    machine: String,
    action: String,
    window_days: i64,
    minutes: Option<i64>,
    due_on: Date,
    reason: String,
    state: String,
    done_on: Option<Date>,
    person: Option<String>,
    note: String,
    job_id: Option<JobId>,
    version: i64,
    covered_by: Option<i64>,
    needs: String,
}

impl TryFrom<ItemRow> for DueItem {
    type Error = sqlx::Error;

    fn try_from(row: ItemRow) -> sqlx::Result<DueItem> {
        Ok(DueItem {
            needs: Needs::read(&row.needs)?,
            id: row.id,
            plan_id: row.plan_id,
            machine_id: row.machine_id,
            tag: row.tag,
            machine: row.machine,
            action: row.action,
            window_days: row.window_days,
            minutes: row.minutes,
            due_on: row.due_on,
            reason: row.reason,
            state: row.state,
            done_on: row.done_on,
            person: row.person,
            note: row.note,
            job_id: row.job_id,
            version: row.version,
            covered_by: row.covered_by,
        })
    }
}

macro_rules! item_sql {
    ($rest:literal) => {
        concat!(
            "SELECT d.id, d.plan_id, pl.machine_id, m.tag, m.name AS machine, pl.action, \
             pl.window_days, pl.minutes, d.due_on, d.reason, d.state, d.done_on, \
             p.name AS person, d.note, d.job_id, d.version, d.covered_by, pl.needs \
             FROM due_items d JOIN plans pl ON pl.id = d.plan_id \
             JOIN machines m ON m.id = pl.machine_id \
             LEFT JOIN people p ON p.id = d.person_id ",
            $rest
        )
    };
}

fn items(rows: Vec<ItemRow>) -> sqlx::Result<Vec<DueItem>> {
    rows.into_iter().map(DueItem::try_from).collect()
}

/// What is open, the longest overdue first; `machine` zero for all.
pub async fn open_items(db: &Db, machine: i64, limit: i64) -> sqlx::Result<Vec<DueItem>> {
    const SQL: &str = item_sql!(
        "WHERE d.state = 'open' AND ($1 = 0 OR pl.machine_id = $1)
         ORDER BY d.due_on, m.tag, d.id LIMIT $2"
    );
    const MACHINE: &str = item_sql!(
        "WHERE pl.machine_id = $1 AND d.state = 'open' ORDER BY d.due_on, m.tag, d.id LIMIT $2"
    );
    let sql = if machine == 0 { SQL } else { MACHINE };
    let rows = on_db!(db, pool =>
        sqlx::query_as(sql).bind(machine).bind(limit).fetch_all(pool).await)?;
    items(rows)
}

/// How many are open; `machine` zero for all.
pub async fn open_count(db: &Db, machine: i64) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM due_items WHERE state = 'open'";
    const MACHINE: &str = "SELECT count(*) FROM due_items d JOIN plans pl ON pl.id = d.plan_id
        WHERE d.state = 'open' AND pl.machine_id = $1";
    match machine {
        0 => on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await),
        _ => on_db!(db, pool => sqlx::query_scalar(MACHINE).bind(machine).fetch_one(pool).await),
    }
}

/// What is open past its day, the longest overdue first.
pub async fn open_before(
    db: &Db,
    today: Date,
    machine: i64,
    limit: i64,
) -> sqlx::Result<Vec<DueItem>> {
    const SQL: &str = item_sql!(
        "WHERE d.state = 'open' AND d.due_on < $1 AND ($2 = 0 OR pl.machine_id = $2)
         ORDER BY d.due_on, m.tag, d.id LIMIT $3"
    );
    let rows = on_db!(db, pool => sqlx::query_as(SQL).bind(today).bind(machine).bind(limit)
        .fetch_all(pool).await)?;
    items(rows)
}

/// Items whose date lies in a span of days, by date.
pub async fn items_between(
    db: &Db,
    from: Date,
    to: Date,
    machine: i64,
    limit: i64,
) -> sqlx::Result<Vec<DueItem>> {
    const SQL: &str = item_sql!(
        "WHERE d.due_on >= $1 AND d.due_on <= $2 AND ($3 = 0 OR pl.machine_id = $3)
         ORDER BY d.due_on, m.tag, d.id LIMIT $4"
    );
    let rows = on_db!(db, pool => sqlx::query_as(SQL).bind(from).bind(to).bind(machine).bind(limit)
        .fetch_all(pool).await)?;
    items(rows)
}

/// A plan's items, newest first.
pub async fn items_of(db: &Db, plan: i64) -> sqlx::Result<Vec<DueItem>> {
    const SQL: &str = item_sql!("WHERE d.plan_id = $1 ORDER BY d.due_on DESC, d.id DESC");
    items(on_db!(db, pool => sqlx::query_as(SQL).bind(plan).fetch_all(pool).await)?)
}

pub async fn item(db: &Db, id: i64) -> sqlx::Result<Option<DueItem>> {
    const SQL: &str = item_sql!("WHERE d.id = $1");
    let row: Option<ItemRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    row.map(DueItem::try_from).transpose()
}

/// Takes an open item for a job; false where one was made already.
pub async fn link_job(tx: &mut Tx, item: i64, job: JobId) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE due_items SET job_id = $2, version = version + 1
        WHERE id = $1 AND state = 'open' AND job_id IS NULL RETURNING id";
    let row: Option<i64> = on_tx!(tx, conn =>
        sqlx::query_scalar(SQL).bind(item).bind(job).fetch_optional(conn).await)?;
    Ok(row.is_some())
}

/// Closes an open item without its work; false where it was closed already or became a job.
pub async fn could_not(
    tx: &mut Tx,
    item: i64,
    on: Date,
    by: PersonId,
    note: &str,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE due_items SET state = 'could_not', done_on = $2, person_id = $3,
            note = $4, version = version + 1
        WHERE id = $1 AND state = 'open' AND job_id IS NULL RETURNING id";
    let row: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(item).bind(on).bind(by).bind(note).fetch_optional(conn).await)?;
    Ok(row.is_some())
}

/// The readings of the meter that a machine's plans count by, as one running total, oldest first.
pub async fn meter(db: &Db, machine: MachineId) -> sqlx::Result<Vec<MeterReading>> {
    crate::meters::queries::total(db, machine).await
}

pub async fn meter_in(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<MeterReading>> {
    crate::meters::queries::total_in(tx, machine).await
}

#[path = "queries_page.rs"]
mod pages;
pub use pages::page;
