//! Files on their way into a register, and what registers hold, in the database.

use super::Import;
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::stores::PartId;
use crate::stores::amount::Amount;
use crate::{on_db, on_tx};
use time::Date;

pub async fn insert(tx: &mut Tx, import: &Import) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO imports (id, person_id, register, file_name, sheet, fields,
            made_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(&import.id)
        .bind(import.person_id)
        .bind(&import.register)
        .bind(&import.file_name)
        .bind(&import.sheet)
        .bind(&import.fields)
        .bind(import.made_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Forgets what was sent before this instant, and of one person all but the newest few.
pub async fn forget(tx: &mut Tx, before: Millis, person: PersonId, keep: i64) -> sqlx::Result<()> {
    const OLD: &str = "DELETE FROM imports WHERE made_at < $1";
    const MANY: &str = "DELETE FROM imports WHERE person_id = $1 AND id NOT IN
        (SELECT id FROM imports WHERE person_id = $1 ORDER BY made_at DESC, id LIMIT $2)";
    on_tx!(tx, conn => sqlx::query(OLD).bind(before).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(MANY).bind(person).bind(keep).execute(conn).await.map(|_| ()))
}

/// Somebody's own file that is not older than a day.
pub async fn find(
    db: &Db,
    id: &str,
    person: PersonId,
    since: Millis,
) -> sqlx::Result<Option<Import>> {
    const SQL: &str = "SELECT id, person_id, register, file_name, sheet, fields, made_at, begun_at,
            done_at, said
        FROM imports WHERE id = $1 AND person_id = $2 AND made_at >= $3";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).bind(person).bind(since)
        .fetch_optional(pool).await)
}

pub async fn set_fields(tx: &mut Tx, id: &str, fields: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE imports SET fields = $2, said = ''
        WHERE id = $1 AND done_at IS NULL AND begun_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(fields).execute(conn).await.map(|_| ()))
}

/// Begins to write; `false` where it is written, or somebody has begun since `stale`.
pub async fn begin(tx: &mut Tx, id: &str, at: Millis, stale: Millis) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE imports SET begun_at = $2, said = ''
        WHERE id = $1 AND done_at IS NULL AND (begun_at IS NULL OR begun_at < $3)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(at).bind(stale).execute(conn).await
        .map(|done| done.rows_affected() == 1))
}

/// In the transaction that writes the rows: `false` where another has written them.
pub async fn done(tx: &mut Tx, id: &str, at: Millis, said: &str) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE imports SET done_at = $2, said = $3, sheet = '{}'
        WHERE id = $1 AND done_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(at).bind(said).execute(conn).await
        .map(|done| done.rows_affected() == 1))
}

/// It came to nothing, and why.
pub async fn failed(tx: &mut Tx, id: &str, said: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE imports SET begun_at = NULL, said = $2
        WHERE id = $1 AND done_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(said).execute(conn).await.map(|_| ()))
}

pub async fn place_versions(db: &Db) -> sqlx::Result<Vec<(i64, i64)>> {
    const SQL: &str = "SELECT id, version FROM places";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// A motor on the shelf or on a list.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct MotorRow {
    pub id: MotorId,
    pub version: i64,
    pub name: String,
    pub plate: String,
    pub plate_text: String,
    pub made: String,
    pub note: String,
    pub bin: String,
    pub held: i64,
    pub price_minor: Option<i64>,
    pub lead_days: Option<i64>,
    pub list: String,
    pub read_on: Option<Date>,
}

pub async fn held(db: &Db) -> sqlx::Result<Vec<MotorRow>> {
    const SQL: &str =
        "SELECT m.id, m.version, m.name, m.plate, m.plate_text, m.made, m.note, s.bin,
            s.held, s.price_minor, CAST(NULL AS BIGINT) AS lead_days, '' AS list,
            CAST(NULL AS DATE) AS read_on
        FROM shelf_motors s JOIN motors m ON m.id = s.motor_id ORDER BY s.bin, m.name, m.id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn listed(db: &Db) -> sqlx::Result<Vec<MotorRow>> {
    const SQL: &str = "SELECT m.id, m.version, m.name, m.plate, m.plate_text, m.made, m.note,
            '' AS bin, CAST(0 AS BIGINT) AS held, sm.price_minor, sm.lead_days, l.name AS list,
            l.read_on
        FROM supplier_motors sm JOIN motors m ON m.id = sm.motor_id
            JOIN supplier_lists l ON l.id = sm.list_id
        ORDER BY l.name, m.name, m.id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Name, day and number of each list.
pub async fn lists(db: &Db) -> sqlx::Result<Vec<(i64, String, Date)>> {
    const SQL: &str = "SELECT id, name, read_on FROM supplier_lists ORDER BY id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// What a list says of a motor.
pub async fn update_listed(
    tx: &mut Tx,
    (list, motor): (i64, MotorId),
    price: Option<i64>,
    lead_days: Option<i64>,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE supplier_motors SET price_minor = $3, lead_days = $4
        WHERE list_id = $1 AND motor_id = $2";
    on_tx!(tx, conn => sqlx::query(SQL).bind(list).bind(motor).bind(price).bind(lead_days)
        .execute(conn).await.map(|_| ()))
}

/// Number and tag of every machine.
pub async fn tags(db: &Db) -> sqlx::Result<Vec<(MachineId, String)>> {
    const SQL: &str = "SELECT id, tag FROM machines";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Number and name of every part.
pub async fn part_names(db: &Db) -> sqlx::Result<Vec<(PartId, String)>> {
    const SQL: &str = "SELECT id, name FROM parts";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// A line of a machine's parts list.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct LineRow {
    pub id: i64,
    pub machine: String,
    pub position: String,
    pub part: String,
    pub amount: Amount,
    pub note: String,
}

pub async fn lines(db: &Db) -> sqlx::Result<Vec<LineRow>> {
    const SQL: &str = "SELECT l.id, m.tag AS machine, l.place AS position, p.name AS part,
            l.amount, l.note
        FROM machine_parts l JOIN machines m ON m.id = l.machine_id
            JOIN parts p ON p.id = l.part_id
        ORDER BY m.tag, l.place, p.name";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// `false` where the line is gone.
pub async fn update_line(tx: &mut Tx, id: i64, amount: Amount, note: &str) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE machine_parts SET amount = $2, note = $3 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(amount).bind(note).execute(conn).await
        .map(|done| done.rows_affected() == 1))
}

/// What a machine is a part of.
pub async fn set_part_of(tx: &mut Tx, id: i64, part_of: Option<i64>) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE machines SET parent_id = $2 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(part_of).execute(conn).await.map(|_| ()))
}

/// The circuit that feeds a panel; `of` is the one that fed it, and `false` says that it no longer does.
pub async fn set_feeder(
    tx: &mut Tx,
    panel: i64,
    of: Option<i64>,
    circuit: Option<i64>,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE panels SET fed_from_id = $3, version = version + 1
        WHERE id = $1 AND coalesce(fed_from_id, 0) = coalesce($2, 0)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(panel).bind(of).bind(circuit).execute(conn).await
        .map(|done| done.rows_affected() == 1))
}

/// When, by whom and how the label of a circuit was proved.
pub async fn set_label_proof(
    tx: &mut Tx,
    circuit: i64,
    on: Option<Date>,
    by: &str,
    how: &str,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE circuits SET label_proved_on = $2, label_proved_by = $3,
            label_proved_how = $4
        WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(circuit).bind(on).bind(by).bind(how).execute(conn)
        .await.map(|_| ()))
}

/// A plan that was over when it was written down.
pub async fn end_plan(tx: &mut Tx, plan: i64, on: Option<Date>) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE plans SET ended_on = $2 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(plan).bind(on).execute(conn).await.map(|_| ()))
}
