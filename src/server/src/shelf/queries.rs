//! The shelf and the suppliers' lists in the database.

use super::form::{MotorChange, NewList};
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::motors::{MotorId, search};
use crate::{on_db, on_tx};
use calc::plate::Plate;
use time::Date;

/// A motor held, with its place on the shelf.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Held {
    pub id: MotorId,
    pub name: String,
    #[sqlx(try_from = "String")]
    pub plate: Stamped,
    pub plate_text: String,
    pub made: String,
    pub bin: String,
    pub held: i64,
    pub price_minor: Option<i64>,
}

/// A motor on a supplier's list.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Listed {
    pub id: MotorId,
    pub name: String,
    #[sqlx(try_from = "String")]
    pub plate: Stamped,
    pub plate_text: String,
    pub made: String,
    pub list_id: i64,
    pub list_name: String,
    pub read_on: Date,
    pub price_minor: Option<i64>,
    pub lead_days: Option<i64>,
}

/// A plate as its column holds it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stamped(pub Plate);

impl TryFrom<String> for Stamped {
    type Error = serde_json::Error;

    fn try_from(text: String) -> serde_json::Result<Stamped> {
        serde_json::from_str(&text).map(Stamped)
    }
}

macro_rules! held_sql {
    ($rest:literal) => {
        concat!(
            "SELECT m.id, m.name, m.plate, m.plate_text, m.made, s.bin, s.held, s.price_minor \
             FROM shelf_motors s JOIN motors m ON m.id = s.motor_id ",
            $rest
        )
    };
}

/// Everything on the shelf, by bin; a bin that is empty is still shown.
pub async fn held(db: &Db) -> sqlx::Result<Vec<Held>> {
    const SQL: &str = held_sql!("ORDER BY s.bin, m.name, m.id");
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn held_one(db: &Db, id: MotorId) -> sqlx::Result<Option<Held>> {
    const SQL: &str = held_sql!("WHERE m.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

macro_rules! listed_sql {
    ($rest:literal) => {
        concat!(
            "SELECT m.id, m.name, m.plate, m.plate_text, m.made, l.id AS list_id, \
             l.name AS list_name, l.read_on, sm.price_minor, sm.lead_days \
             FROM supplier_motors sm JOIN motors m ON m.id = sm.motor_id \
             JOIN supplier_lists l ON l.id = sm.list_id ",
            $rest
        )
    };
}

pub async fn listed_on(db: &Db, list: i64) -> sqlx::Result<Vec<Listed>> {
    const SQL: &str = listed_sql!("WHERE l.id = $1 ORDER BY m.name, m.id");
    on_db!(db, pool => sqlx::query_as(SQL).bind(list).fetch_all(pool).await)
}

pub async fn listed_where(db: &Db, motor: MotorId) -> sqlx::Result<Vec<Listed>> {
    const SQL: &str = listed_sql!("WHERE m.id = $1 ORDER BY sm.lead_days, l.id");
    on_db!(db, pool => sqlx::query_as(SQL).bind(motor).fetch_all(pool).await)
}

#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct SupplierList {
    pub id: i64,
    pub name: String,
    pub read_on: Date,
    pub note: String,
    pub motors: i64,
}

/// The lists, the newest first, with the number of motors on each.
pub async fn lists(db: &Db) -> sqlx::Result<Vec<SupplierList>> {
    const SQL: &str = "SELECT l.id, l.name, l.read_on, l.note,
            (SELECT count(*) FROM supplier_motors sm WHERE sm.list_id = l.id) AS motors
        FROM supplier_lists l ORDER BY l.read_on DESC, l.id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn list(db: &Db, id: i64) -> sqlx::Result<Option<SupplierList>> {
    Ok(lists(db).await?.into_iter().find(|list| list.id == id))
}

/// A machine that has the motor, or was built with it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct OnMachine {
    pub id: MachineId,
    pub tag: String,
    pub name: String,
    pub design_motor_id: Option<MotorId>,
    pub fitted_motor_id: Option<MotorId>,
}

pub async fn on_machines(db: &Db, motor: MotorId) -> sqlx::Result<Vec<OnMachine>> {
    const SQL: &str = "SELECT id, tag, name, design_motor_id, fitted_motor_id FROM machines
        WHERE design_motor_id = $1 OR fitted_motor_id = $1 ORDER BY tag";
    on_db!(db, pool => sqlx::query_as(SQL).bind(motor).fetch_all(pool).await)
}

pub async fn insert_motor(tx: &mut Tx, new: &MotorChange, plate: &str) -> sqlx::Result<MotorId> {
    const SQL: &str = "INSERT INTO motors (name, plate, plate_text, made, note)
        VALUES ($1, $2, $3, $4, $5) RETURNING id";
    let id = on_tx!(&mut *tx, conn => sqlx::query_scalar(SQL)
        .bind(&new.name)
        .bind(plate)
        .bind(&new.plate_text)
        .bind(&new.made)
        .bind(&new.note)
        .fetch_one(conn)
        .await)?;
    search::fill(tx, id, plate).await?;
    Ok(id)
}

/// `false` where somebody changed the motor since `version`.
pub async fn update_motor(
    tx: &mut Tx,
    id: MotorId,
    version: i64,
    new: &MotorChange,
    plate: &str,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE motors SET name = $3, plate = $4, plate_text = $5, made = $6,
            note = $7, version = version + 1
        WHERE id = $1 AND version = $2";
    let changed = on_tx!(&mut *tx, conn => sqlx::query(SQL)
        .bind(id)
        .bind(version)
        .bind(&new.name)
        .bind(plate)
        .bind(&new.plate_text)
        .bind(&new.made)
        .bind(&new.note)
        .execute(conn)
        .await
        .map(|done| done.rows_affected() == 1))?;
    if changed {
        search::fill(tx, id, plate).await?;
    }
    Ok(changed)
}

/// Puts a motor on the shelf, or moves it to another bin; the count of one that is there stays.
pub async fn shelve(
    tx: &mut Tx,
    id: MotorId,
    bin: &str,
    held: i64,
    price: Option<i64>,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO shelf_motors (motor_id, bin, held, price_minor)
        VALUES ($1, $2, $3, $4)
        ON CONFLICT (motor_id) DO UPDATE SET bin = excluded.bin,
            price_minor = excluded.price_minor, version = shelf_motors.version + 1";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(id)
        .bind(bin)
        .bind(held)
        .bind(price)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Locks the shelf row and says what was counted before; `None` where it is not on the shelf.
pub async fn lock_count(tx: &mut Tx, id: MotorId) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "UPDATE shelf_motors SET version = version + 1 WHERE motor_id = $1
        RETURNING held";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(id).fetch_optional(conn).await)
}

pub async fn insert_list(tx: &mut Tx, new: &NewList) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO supplier_lists (name, read_on, note) VALUES ($1, $2, $3)
        RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(&new.name)
        .bind(new.read_on)
        .bind(&new.note)
        .fetch_one(conn)
        .await)
}

pub async fn add_to_list(
    tx: &mut Tx,
    list: i64,
    motor: MotorId,
    price: Option<i64>,
    lead_days: Option<i64>,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days)
        VALUES ($1, $2, $3, $4)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(list)
        .bind(motor)
        .bind(price)
        .bind(lead_days)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// What was done to the count of a motor, newest first: when, by whom, the details.
pub async fn counts(db: &Db, motor: MotorId) -> sqlx::Result<Vec<(i64, Option<String>, String)>> {
    const SQL: &str = "SELECT a.at, p.name, a.detail FROM audit a
        LEFT JOIN people p ON p.id = a.person_id
        WHERE a.thing = 'shelf_motors' AND a.thing_id = $1 AND a.act = 'count corrected'
        ORDER BY a.id DESC LIMIT 10";
    on_db!(db, pool => sqlx::query_as(SQL).bind(motor).fetch_all(pool).await)
}
