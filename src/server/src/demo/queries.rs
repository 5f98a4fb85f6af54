//! The demo's rows in the registers, written once.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::machines::MachineId;
use crate::motors::{MotorId, search};
use crate::panels::CircuitId;
use crate::people::PersonId;
use crate::stores::PartId;
use crate::{on_db, on_tx};
use time::Date;

pub async fn place(
    tx: &mut Tx,
    parent: Option<i64>,
    kind: &str,
    name: &str,
    access_note: &str,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO places (parent_id, kind, name, access_note)
        VALUES ($1, $2, $3, $4) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(parent).bind(kind).bind(name).bind(access_note).fetch_one(conn).await)
}

pub async fn panel(
    tx: &mut Tx,
    name: &str,
    place: i64,
    supply: &str,
    note: &str,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO panels (name, place_id, supply, note)
        VALUES ($1, $2, $3, $4) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(name).bind(place).bind(supply).bind(note).fetch_one(conn).await)
}

pub struct NewCircuit<'a> {
    pub panel: i64,
    pub number: &'a str,
    pub label: &'a str,
    pub wrong: bool,
    pub note: &'a str,
    pub facts: &'a str,
}

pub async fn circuit(tx: &mut Tx, new: &NewCircuit<'_>) -> sqlx::Result<CircuitId> {
    const SQL: &str = "INSERT INTO circuits (panel_id, number, label_read, label_wrong, label_note,
            facts)
        VALUES ($1, $2, $3, $4, $5, $6) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(new.panel)
        .bind(new.number)
        .bind(new.label)
        .bind(new.wrong)
        .bind(new.note)
        .bind(new.facts)
        .fetch_one(conn)
        .await)
}

pub async fn motor(
    tx: &mut Tx,
    name: &str,
    plate: &str,
    plate_text: &str,
    made: &str,
    note: &str,
) -> sqlx::Result<MotorId> {
    const SQL: &str = "INSERT INTO motors (name, plate, plate_text, made, note)
        VALUES ($1, $2, $3, $4, $5) RETURNING id";
    let id = on_tx!(&mut *tx, conn => sqlx::query_scalar(SQL)
        .bind(name).bind(plate).bind(plate_text).bind(made).bind(note).fetch_one(conn).await)?;
    search::fill(tx, id, plate).await?;
    Ok(id)
}

pub async fn shelf(
    tx: &mut Tx,
    motor: MotorId,
    bin: &str,
    held: i64,
    price: Option<i64>,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO shelf_motors (motor_id, bin, held, price_minor)
        VALUES ($1, $2, $3, $4)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(motor).bind(bin).bind(held).bind(price).execute(conn).await.map(|_| ()))
}

/// What lies on the shelf when the history begins is the first movement of each motor.
pub async fn first_counts(tx: &mut Tx, by: PersonId, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO stock_moves (motor_id, kind, amount, why, person_id, moved_at)
        SELECT motor_id, 'counted', held * 1000, 'First count', $1, $2 FROM shelf_motors
        WHERE held > 0";
    on_tx!(tx, conn => sqlx::query(SQL).bind(by).bind(at).execute(conn).await.map(|_| ()))
}

pub async fn part_named(tx: &mut Tx, name: &str) -> sqlx::Result<Option<PartId>> {
    const SQL: &str = "SELECT id FROM parts WHERE name = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(name).fetch_optional(conn).await)
}

/// The open jobs at this machine that can still take something, the newest first.
pub async fn open_jobs(tx: &mut Tx, tag: &str) -> sqlx::Result<Vec<JobId>> {
    const SQL: &str = "SELECT j.id FROM jobs j JOIN machines m ON m.id = j.machine_id
        WHERE m.tag = $1 AND j.state NOT IN ('reported', 'signed_off', 'turned_down', 'joined')
        ORDER BY j.id DESC";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(tag).fetch_all(conn).await)
}

pub async fn list(tx: &mut Tx, name: &str, read_on: Date, note: &str) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO supplier_lists (name, read_on, note)
        VALUES ($1, $2, $3) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(name).bind(read_on).bind(note).fetch_one(conn).await)
}

pub async fn offer(
    tx: &mut Tx,
    list: i64,
    motor: MotorId,
    price: Option<i64>,
    lead_days: Option<i64>,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days)
        VALUES ($1, $2, $3, $4)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(list).bind(motor).bind(price).bind(lead_days).execute(conn).await.map(|_| ()))
}

pub struct NewMachine<'a> {
    pub tag: &'a str,
    pub name: &'a str,
    pub kind: &'a str,
    pub serves: &'a str,
    pub place: i64,
    pub criticality: &'a str,
    pub before_you_go: &'a str,
    pub facts: &'a str,
    pub circuit: CircuitId,
    pub feed_proved_on: Option<Date>,
    pub feed_proved_by: &'a str,
    pub motor: Option<MotorId>,
    pub installed_on: Option<Date>,
    pub at: Millis,
}

/// The motor it was built with is the one that is on it.
pub async fn machine(tx: &mut Tx, new: &NewMachine<'_>) -> sqlx::Result<MachineId> {
    const SQL: &str = "INSERT INTO machines (tag, name, kind, serves, place_id, criticality,
            before_you_go, facts, circuit_id, feed_proved_on, feed_proved_by, design_motor_id,
            fitted_motor_id, installed_on, created_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $12, $13, $14) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(new.tag)
        .bind(new.name)
        .bind(new.kind)
        .bind(new.serves)
        .bind(new.place)
        .bind(new.criticality)
        .bind(new.before_you_go)
        .bind(new.facts)
        .bind(new.circuit)
        .bind(new.feed_proved_on)
        .bind(new.feed_proved_by)
        .bind(new.motor)
        .bind(new.installed_on)
        .bind(new.at)
        .fetch_one(conn)
        .await)
}

pub struct NewSource<'a> {
    pub kind: &'a str,
    pub name: &'a str,
    pub magnitude: &'a str,
    pub device: &'a str,
    pub device_place: &'a str,
    pub label_read: &'a str,
    pub locked_how: &'a str,
    pub relieved_how: &'a str,
    pub dead_test: &'a str,
    pub circuit: Option<CircuitId>,
}

pub async fn source(tx: &mut Tx, new: &NewSource<'_>) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO energy_sources (kind, name, magnitude, device, device_place,
            label_read, locked_how, relieved_how, dead_test, circuit_id)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(new.kind)
        .bind(new.name)
        .bind(new.magnitude)
        .bind(new.device)
        .bind(new.device_place)
        .bind(new.label_read)
        .bind(new.locked_how)
        .bind(new.relieved_how)
        .bind(new.dead_test)
        .bind(new.circuit)
        .fetch_one(conn)
        .await)
}

pub async fn sheet(
    tx: &mut Tx,
    machine: MachineId,
    steps: &str,
    at: Millis,
    by: PersonId,
    inspected: Option<(Date, &str)>,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO isolation_sheets (machine_id, revision, steps, made_at, made_by,
            inspected_on, inspected_by)
        VALUES ($1, 1, $2, $3, $4, $5, $6) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine)
        .bind(steps)
        .bind(at)
        .bind(by)
        .bind(inspected.map(|(on, _)| on))
        .bind(inspected.map_or("", |(_, by)| by))
        .fetch_one(conn)
        .await)
}

pub async fn sheet_source(tx: &mut Tx, sheet: i64, source: i64, position: i64) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO isolation_sheet_sources (sheet_id, source_id, position)
        VALUES ($1, $2, $3)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(sheet).bind(source).bind(position).execute(conn).await.map(|_| ()))
}

pub async fn meter(tx: &mut Tx, machine: MachineId, name: &str, unit: &str) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO meters (machine_id, name, unit, hours)
        VALUES ($1, $2, $3, $3 = 'h')
        RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine).bind(name).bind(unit).fetch_one(conn).await)
}

pub async fn meter_reading(
    tx: &mut Tx,
    meter: i64,
    on: Date,
    value: f64,
    by: PersonId,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO meter_readings (meter_id, read_on, value, person_id)
        VALUES ($1, $2, $3, $4)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(meter).bind(on).bind(value).bind(by).execute(conn).await.map(|_| ()))
}

/// A piece of planned work of last year. Without a job it was done on the round and noted.
pub async fn past_item(
    tx: &mut Tx,
    plan: i64,
    due_on: Date,
    state: &str,
    done: Option<(Date, PersonId)>,
    note: &str,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO due_items (plan_id, due_on, reason, state, done_on, person_id,
            note)
        VALUES ($1, $2, 'by the plan''s rule', $3, $4, $5, $6) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(plan)
        .bind(due_on)
        .bind(state)
        .bind(done.map(|(on, _)| on))
        .bind(done.map(|(_, by)| by))
        .bind(note)
        .fetch_one(conn)
        .await)
}

/// Nothing was ever entered here.
pub async fn empty(db: &Db) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT (SELECT count(*) FROM people) + (SELECT count(*) FROM places)
        + (SELECT count(*) FROM shop)";
    let rows: i64 = on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await)?;
    Ok(rows == 0)
}

/// Takes everything out, children before parents. Used on the demo's own data only.
pub async fn clear(tx: &mut Tx) -> sqlx::Result<()> {
    const SQL: &[&str] = &[
        "DELETE FROM shop",
        "DELETE FROM audit",
        "DELETE FROM sessions",
        "DELETE FROM integrations",
        "DELETE FROM meter_changes",
        "DELETE FROM meter_readings",
        "DELETE FROM meters",
        "DELETE FROM feeds",
        "DELETE FROM news",
        "DELETE FROM mails",
        "DELETE FROM mail_stops",
        "DELETE FROM shift_end",
        "DELETE FROM calendar_rules",
        "DELETE FROM closed_weekdays",
        "DELETE FROM closed_days",
        "DELETE FROM round_lines",
        "DELETE FROM rounds",
        "DELETE FROM due_items",
        "DELETE FROM plan_revisions",
        "DELETE FROM plans",
        "DELETE FROM wide_plans",
        "DELETE FROM response_targets",
        "DELETE FROM report_codes",
        "DELETE FROM job_spells",
        "DELETE FROM photos",
        "DELETE FROM temporary_fixes",
        "DELETE FROM follow_ups",
        "DELETE FROM cause_reviews",
        "DELETE FROM part_conditions",
        "DELETE FROM job_step_answers",
        "DELETE FROM job_steps",
        "DELETE FROM job_procedures",
        "DELETE FROM procedure_steps",
        "DELETE FROM procedure_revisions",
        "DELETE FROM procedures",
        "DELETE FROM plate_photos",
        "DELETE FROM instrument_uses",
        "DELETE FROM calibrations",
        "DELETE FROM instruments",
        "DELETE FROM readings",
        "DELETE FROM permits",
        "DELETE FROM lock_removals",
        "DELETE FROM box_locks",
        "DELETE FROM lock_box_keys",
        "DELETE FROM lock_boxes",
        "DELETE FROM locks",
        "DELETE FROM motor_stays",
        "DELETE FROM motor_units",
        "DELETE FROM machine_notes",
        "DELETE FROM thing_photos",
        "DELETE FROM machine_documents",
        "UPDATE panels SET fed_from_id = NULL",
        "DELETE FROM alternates",
        "DELETE FROM removed_units",
        "DELETE FROM warranty_answers",
        "DELETE FROM warranties",
        "DELETE FROM purchases",
        "DELETE FROM stock_moves",
        "DELETE FROM machine_parts",
        "DELETE FROM parts",
        "UPDATE entries SET corrects = NULL",
        "DELETE FROM entries",
        "UPDATE jobs SET joined_to = NULL",
        "DELETE FROM jobs",
        "DELETE FROM isolation_sheet_sources",
        "DELETE FROM isolation_sheets",
        "DELETE FROM energy_sources",
        "UPDATE machines SET parent_id = NULL",
        "DELETE FROM machines",
        "DELETE FROM supplier_motors",
        "DELETE FROM supplier_lists",
        "DELETE FROM shelf_motors",
        "DELETE FROM motors",
        "DELETE FROM circuits",
        "DELETE FROM panels",
        "UPDATE places SET parent_id = NULL",
        "DELETE FROM places",
        "DELETE FROM people",
    ];
    for sql in SQL {
        on_tx!(tx, conn => sqlx::query(*sql).execute(conn).await.map(|_| ()))?;
    }
    Ok(())
}

/// What a round of looking and reading holds that is due by a day: nothing that has to be locked.
pub async fn due_by(tx: &mut Tx, until: Date) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "SELECT d.id FROM due_items d JOIN plans pl ON pl.id = d.plan_id
        JOIN machines m ON m.id = pl.machine_id
        WHERE d.state = 'open' AND d.job_id IS NULL AND d.covered_by IS NULL AND d.due_on <= $1
            AND pl.minutes <= 60 AND pl.steps NOT LIKE '%ock%' AND pl.steps NOT LIKE '%lectric%'
        ORDER BY m.place_id, m.tag, d.id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(until).fetch_all(conn).await)
}

pub async fn fitted_motor(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Option<MotorId>> {
    const SQL: &str = "SELECT fitted_motor_id FROM machines WHERE id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_one(conn).await)
}

/// The first warranty of a machine.
pub async fn warranty_of(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT min(id) FROM warranties WHERE machine_id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_one(conn).await)
}
