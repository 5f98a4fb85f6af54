//! Machines, their places and their isolation sheets in the database.

use super::form::{NewMachine, NewMotor};
use super::{IsolationSheet, Machine, MachineId, Source};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::motors::{MotorId, search};
use crate::panels::CircuitId;
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
struct MachineRow {
    id: MachineId,
    tag: String,
    name: String,
    kind: String,
    serves: String,
    place_id: i64,
    parent_id: Option<MachineId>,
    criticality: String,
    before_you_go: String,
    facts: String,
    circuit_id: Option<CircuitId>,
    feed_proved_on: Option<Date>,
    feed_proved_by: String,
    design_motor_id: Option<MotorId>,
    fitted_motor_id: Option<MotorId>,
    installed_on: Option<Date>,
    retired_on: Option<Date>,
    version: i64,
}

impl TryFrom<MachineRow> for Machine {
    type Error = sqlx::Error;

    fn try_from(row: MachineRow) -> sqlx::Result<Machine> {
        Ok(Machine {
            facts: serde_json::from_str(&row.facts).map_err(|e| sqlx::Error::Decode(e.into()))?,
            id: row.id,
            tag: row.tag,
            name: row.name,
            kind: row.kind,
            serves: row.serves,
            place_id: row.place_id,
            parent_id: row.parent_id,
            criticality: row.criticality,
            before_you_go: row.before_you_go,
            circuit_id: row.circuit_id,
            feed_proved_on: row.feed_proved_on,
            feed_proved_by: row.feed_proved_by,
            design_motor_id: row.design_motor_id,
            fitted_motor_id: row.fitted_motor_id,
            installed_on: row.installed_on,
            retired_on: row.retired_on,
            version: row.version,
        })
    }
}

macro_rules! machine_sql {
    ($rest:literal) => {
        concat!(
            "SELECT id, tag, name, kind, serves, place_id, parent_id, criticality, before_you_go, \
             facts, circuit_id, feed_proved_on, feed_proved_by, design_motor_id, fitted_motor_id, \
             installed_on, retired_on, version FROM machines ",
            $rest
        )
    };
}

pub async fn find(db: &Db, id: MachineId) -> sqlx::Result<Option<Machine>> {
    const SQL: &str = machine_sql!("WHERE id = $1");
    let row: Option<MachineRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    row.map(Machine::try_from).transpose()
}

/// The same inside a transaction.
pub async fn find_in(tx: &mut Tx, id: MachineId) -> sqlx::Result<Option<Machine>> {
    const SQL: &str = machine_sql!("WHERE id = $1");
    let row: Option<MachineRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(id).fetch_optional(conn).await)?;
    row.map(Machine::try_from).transpose()
}

/// By the tag, whatever its case.
pub async fn find_by_tag(db: &Db, tag: &str) -> sqlx::Result<Option<Machine>> {
    const SQL: &str = machine_sql!("WHERE lower(tag) = $1");
    if tag.contains('\0') {
        return Ok(None); // no text in PostgreSQL, so no tag either
    }
    let tag = tag.trim().to_ascii_lowercase();
    let row: Option<MachineRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(&tag).fetch_optional(pool).await)?;
    row.map(Machine::try_from).transpose()
}

/// Every machine by tag.
pub async fn list(db: &Db) -> sqlx::Result<Vec<Machine>> {
    const SQL: &str = machine_sql!("ORDER BY tag");
    let rows: Vec<MachineRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    rows.into_iter().map(Machine::try_from).collect()
}

/// A place with the way to it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Place {
    pub id: i64,
    pub parent_id: Option<i64>,
    pub kind: String,
    pub name: String,
    pub access_note: String,
    /// `Mill, North range, Kiln hall roof`: from the site down.
    pub path: String,
}

const PLACES: &str = "WITH RECURSIVE tree AS (
        SELECT id, parent_id, kind, name, access_note, name AS path
        FROM places WHERE parent_id IS NULL
        UNION ALL
        SELECT p.id, p.parent_id, p.kind, p.name, p.access_note, tree.path || ', ' || p.name
        FROM places p JOIN tree ON p.parent_id = tree.id
    )
    SELECT id, parent_id, kind, name, access_note, path FROM tree ORDER BY path";

/// Every place, in the order of the tree.
pub async fn places(db: &Db) -> sqlx::Result<Vec<Place>> {
    on_db!(db, pool => sqlx::query_as(PLACES).fetch_all(pool).await)
}

/// One place; only it and those above it are read.
pub async fn place(db: &Db, id: i64) -> sqlx::Result<Option<Place>> {
    const SQL: &str = "WITH RECURSIVE up (id, parent_id, kind, name, access_note, path, above) AS (
            SELECT id, parent_id, kind, name, access_note, name, parent_id
            FROM places WHERE id = $1
            UNION ALL
            SELECT up.id, up.parent_id, up.kind, up.name, up.access_note, p.name || ', ' || up.path,
                p.parent_id
            FROM up JOIN places p ON p.id = up.above
        )
        SELECT id, parent_id, kind, name, access_note, path FROM up WHERE above IS NULL";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// The place and everything in it.
pub async fn places_within(db: &Db, id: i64) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "WITH RECURSIVE down (id) AS (
            SELECT id FROM places WHERE id = $1
            UNION
            SELECT p.id FROM places p JOIN down ON p.parent_id = down.id
        )
        SELECT id FROM down";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(id).fetch_all(pool).await)
}

/// The machines that have a job open.
pub async fn with_open_jobs(db: &Db) -> sqlx::Result<Vec<Machine>> {
    const SQL: &str = machine_sql!(
        "WHERE id IN (SELECT machine_id FROM jobs WHERE state IN ('reported', 'planned',
            'handed_out', 'isolated', 'on_test', 'back_in_service', 'held', 'test_owed'))"
    );
    let rows: Vec<MachineRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    rows.into_iter().map(Machine::try_from).collect()
}

/// What the list of machines is narrowed down to; empty or zero for all.
#[derive(Clone, Debug, Default)]
pub struct Narrow {
    pub kind: String,
    pub criticality: String,
    /// The place and everything in it.
    pub place: i64,
    /// In small letters: the list goes on behind this tag.
    pub after: String,
}

/// A page of machines by tag.
pub async fn page(db: &Db, narrow: &Narrow, limit: i64) -> sqlx::Result<Vec<Machine>> {
    const SQL: &str = machine_sql!(
        "WHERE lower(tag) > $1 AND ($2 = '' OR kind = $2) AND ($3 = '' OR criticality = $3)
         ORDER BY lower(tag) LIMIT $4"
    );
    const IN_PLACE: &str = machine_sql!(
        "WHERE lower(tag) > $1 AND ($2 = '' OR kind = $2) AND ($3 = '' OR criticality = $3)
            AND place_id IN (WITH RECURSIVE down (id) AS (
                SELECT id FROM places WHERE id = $5
                UNION
                SELECT p.id FROM places p JOIN down ON p.parent_id = down.id
            ) SELECT id FROM down)
         ORDER BY lower(tag) LIMIT $4"
    );
    let rows: Vec<MachineRow> = if narrow.place == 0 {
        on_db!(db, pool => sqlx::query_as(SQL).bind(&narrow.after).bind(&narrow.kind)
            .bind(&narrow.criticality).bind(limit).fetch_all(pool).await)?
    } else {
        on_db!(db, pool => sqlx::query_as(IN_PLACE).bind(&narrow.after).bind(&narrow.kind)
            .bind(&narrow.criticality).bind(limit).bind(narrow.place).fetch_all(pool).await)?
    };
    rows.into_iter().map(Machine::try_from).collect()
}

/// The newest isolation sheet of a machine; `None` where none was written.
pub async fn isolation_sheet(db: &Db, id: MachineId) -> sqlx::Result<Option<IsolationSheet>> {
    const SHEET: &str = "SELECT id, revision, steps, made_at, inspected_on, inspected_by
        FROM isolation_sheets WHERE machine_id = $1 ORDER BY revision DESC LIMIT 1";
    const SOURCES: &str = "SELECT s.id, s.kind, s.name, s.magnitude, s.device, s.device_place,
            s.label_read, s.locked_how, s.relieved_how, s.dead_test, s.circuit_id
        FROM isolation_sheet_sources iss JOIN energy_sources s ON s.id = iss.source_id
        WHERE iss.sheet_id = $1 ORDER BY iss.position";
    type Row = (i64, i64, String, i64, Option<Date>, String);
    let row: Option<Row> =
        on_db!(db, pool => sqlx::query_as(SHEET).bind(id).fetch_optional(pool).await)?;
    const BEFORE: &str = "SELECT tell_first, keys_needed, interlocks FROM isolation_sheets
        WHERE id = $1";
    let Some((sheet, revision, steps, made_at, inspected_on, inspected_by)) = row else {
        return Ok(None);
    };
    let sources: Vec<Source> =
        on_db!(db, pool => sqlx::query_as(SOURCES).bind(sheet).fetch_all(pool).await)?;
    let before = on_db!(db, pool => sqlx::query_as(BEFORE).bind(sheet).fetch_one(pool).await)?;
    Ok(Some(IsolationSheet {
        before,
        id: sheet,
        revision,
        steps,
        made_at,
        inspected_on,
        inspected_by,
        sources,
    }))
}

/// The machines whose record says that this circuit feeds them.
pub async fn fed_by(db: &Db, circuit: CircuitId) -> sqlx::Result<Vec<Machine>> {
    const SQL: &str = machine_sql!("WHERE circuit_id = $1 ORDER BY tag");
    let rows: Vec<MachineRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(circuit).fetch_all(pool).await)?;
    rows.into_iter().map(Machine::try_from).collect()
}

/// The machines on any circuit of a panel.
pub async fn fed_by_panel(db: &Db, panel: i64) -> sqlx::Result<Vec<Machine>> {
    const SQL: &str = machine_sql!(
        "WHERE circuit_id IN (SELECT c.id FROM circuits c WHERE c.panel_id = $1) ORDER BY tag"
    );
    let rows: Vec<MachineRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(panel).fetch_all(pool).await)?;
    rows.into_iter().map(Machine::try_from).collect()
}

/// Claims the machine for a change; `false` where somebody changed it since `version`.
pub async fn claim(tx: &mut Tx, id: MachineId, version: i64) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE machines SET version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let claimed: Option<MachineId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(version)
        .fetch_optional(conn)
        .await)?;
    Ok(claimed.is_some())
}

pub async fn insert_motor(tx: &mut Tx, motor: &NewMotor) -> sqlx::Result<MotorId> {
    const SQL: &str = "INSERT INTO motors (name, plate, plate_text, made)
        VALUES ($1, $2, $3, 'unknown') RETURNING id";
    let plate = serde_json::to_string(&motor.plate).map_err(|e| sqlx::Error::Encode(e.into()))?;
    let id = on_tx!(&mut *tx, conn => sqlx::query_scalar(SQL)
        .bind(&motor.name)
        .bind(&plate)
        .bind(&motor.plate_text)
        .fetch_one(conn)
        .await)?;
    search::fill(tx, id, &plate).await?;
    Ok(id)
}

/// The motors a machine has after a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Motors {
    pub design: Option<MotorId>,
    pub fitted: Option<MotorId>,
}

pub async fn insert(
    tx: &mut Tx,
    new: &NewMachine,
    motors: Motors,
    at: Millis,
) -> sqlx::Result<MachineId> {
    const SQL: &str = "INSERT INTO machines (tag, name, kind, serves, place_id, criticality,
            before_you_go, facts, circuit_id, feed_proved_on, feed_proved_by, design_motor_id,
            fitted_motor_id, installed_on, retired_on, created_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)
        RETURNING id";
    let facts = serde_json::to_string(&new.facts).map_err(|e| sqlx::Error::Encode(e.into()))?;
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(&new.tag)
        .bind(&new.name)
        .bind(&new.kind)
        .bind(&new.serves)
        .bind(new.place_id)
        .bind(&new.criticality)
        .bind(&new.before_you_go)
        .bind(&facts)
        .bind(new.circuit_id)
        .bind(new.feed_proved_on)
        .bind(&new.feed_proved_by)
        .bind(motors.design)
        .bind(motors.fitted)
        .bind(new.installed_on)
        .bind(new.retired_on)
        .bind(at)
        .fetch_one(conn)
        .await)
}

/// Starts a machine of which a name and a place are known, to be completed later.
pub async fn start(
    tx: &mut Tx,
    tag: &str,
    name: &str,
    place: i64,
    at: Millis,
) -> sqlx::Result<MachineId> {
    const SQL: &str = "INSERT INTO machines (tag, name, kind, place_id, facts, created_at,
            to_complete)
        VALUES ($1, $2, 'other', $3, '{}', $4, TRUE) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(tag).bind(name).bind(place).bind(at).fetch_one(conn).await)
}

/// Machines started at a job and not completed: number, tag, name.
pub async fn to_complete(db: &Db) -> sqlx::Result<Vec<(i64, String, String)>> {
    const SQL: &str = "SELECT id, tag, name FROM machines WHERE to_complete ORDER BY id LIMIT 100";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Writes a claimed machine. One that was started at a job is completed with a tag of its own.
pub async fn update(
    tx: &mut Tx,
    id: MachineId,
    new: &NewMachine,
    motors: Motors,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE machines SET tag = $2, name = $3, kind = $4, serves = $5,
            place_id = $6, criticality = $7, before_you_go = $8, facts = $9, circuit_id = $10,
            feed_proved_on = $11, feed_proved_by = $12, design_motor_id = $13,
            fitted_motor_id = $14, installed_on = $15, retired_on = $16,
            to_complete = to_complete AND $2 LIKE 'NEW-%'
        WHERE id = $1";
    let facts = serde_json::to_string(&new.facts).map_err(|e| sqlx::Error::Encode(e.into()))?;
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(id)
        .bind(&new.tag)
        .bind(&new.name)
        .bind(&new.kind)
        .bind(&new.serves)
        .bind(new.place_id)
        .bind(&new.criticality)
        .bind(&new.before_you_go)
        .bind(&facts)
        .bind(new.circuit_id)
        .bind(new.feed_proved_on)
        .bind(&new.feed_proved_by)
        .bind(motors.design)
        .bind(motors.fitted)
        .bind(new.installed_on)
        .bind(new.retired_on)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Somebody proved that the machine's circuit feeds it.
pub async fn prove_feed(
    tx: &mut Tx,
    id: MachineId,
    circuit: CircuitId,
    on: Date,
    by: &str,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE machines SET feed_proved_on = $3, feed_proved_by = $4,
            version = version + 1
        WHERE id = $1 AND circuit_id = $2 RETURNING id";
    let proved: Option<MachineId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(circuit)
        .bind(on)
        .bind(by)
        .fetch_optional(conn)
        .await)?;
    Ok(proved.is_some())
}
