//! Movements: only ever added to. The row of the part or of the shelved motor is locked first, so
//! that its balance is the sum of its movements at every commit.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::stores::amount::Amount;
use crate::stores::{Item, PartId};
use crate::{on_db, on_tx};
use sqlx::QueryBuilder;
use time::Date;

/// A balance as it stands under the lock.
#[derive(Clone, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct Balance {
    pub name: String,
    pub unit: String,
    pub on_hand: Amount,
    pub reserved: Amount,
    pub price_minor: Option<i64>,
}

/// Locks the row and says what stands; `None` where there is no such thing on the shelf.
pub async fn lock_balance(tx: &mut Tx, item: Item) -> sqlx::Result<Option<Balance>> {
    const PART: &str = "UPDATE parts SET on_hand = on_hand WHERE id = $1
        RETURNING name, unit, on_hand, reserved, price_minor";
    const MOTOR: &str = "UPDATE shelf_motors SET version = version + 1 WHERE motor_id = $1
        RETURNING (SELECT name FROM motors WHERE id = $1) AS name, 'piece' AS unit,
            held * 1000 AS on_hand, held * 0 AS reserved, price_minor";
    match item {
        Item::Part(id) => {
            on_tx!(tx, conn => sqlx::query_as(PART).bind(id).fetch_optional(conn).await)
        }
        Item::Motor(id) => {
            on_tx!(tx, conn => sqlx::query_as(MOTOR).bind(id).fetch_optional(conn).await)
        }
    }
}

/// A movement to be written. What it adds may be below zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Move<'a> {
    pub item: Item,
    pub kind: &'static str,
    pub amount: Amount,
    pub held_back: Amount,
    pub cost_minor: Option<i64>,
    pub job: Option<(JobId, Option<MachineId>)>,
    pub entry_id: Option<&'a str>,
    pub purchase_id: Option<i64>,
    pub expires_on: Option<Date>,
    pub why: &'a str,
    pub person: Option<PersonId>,
    pub at: Millis,
}

impl<'a> Move<'a> {
    pub fn new(item: Item, kind: &'static str, amount: Amount, at: Millis) -> Move<'a> {
        Move {
            item,
            kind,
            amount,
            held_back: Amount(0),
            cost_minor: None,
            job: None,
            entry_id: None,
            purchase_id: None,
            expires_on: None,
            why: "",
            person: None,
            at,
        }
    }
}

/// Writes the movement and brings the balance along.
pub async fn insert_move(tx: &mut Tx, new: &Move<'_>) -> sqlx::Result<()> {
    const MOVE: &str = "INSERT INTO stock_moves (part_id, motor_id, kind, amount, held_back,
            cost_minor, job_id, machine_id, entry_id, purchase_id, expires_on, why, person_id,
            moved_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)";
    const PART: &str = "UPDATE parts SET on_hand = on_hand + $2, reserved = reserved + $3
        WHERE id = $1";
    const MOTOR: &str = "UPDATE shelf_motors SET held = held + $2, version = version + 1
        WHERE motor_id = $1";
    match new.item {
        Item::Part(id) => on_tx!(tx, conn => sqlx::query(PART).bind(id).bind(new.amount)
            .bind(new.held_back).execute(conn).await.map(|_| ()))?,
        Item::Motor(id) => on_tx!(tx, conn => sqlx::query(MOTOR).bind(id)
            .bind(new.amount.0 / 1000).execute(conn).await.map(|_| ()))?,
    }
    on_tx!(tx, conn => sqlx::query(MOVE)
        .bind(new.item.part())
        .bind(new.item.motor())
        .bind(new.kind)
        .bind(new.amount)
        .bind(new.held_back)
        .bind(new.cost_minor)
        .bind(new.job.map(|(job, _)| job))
        .bind(new.job.and_then(|(_, machine)| machine))
        .bind(new.entry_id)
        .bind(new.purchase_id)
        .bind(new.expires_on)
        .bind(new.why)
        .bind(new.person)
        .bind(new.at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// A motor's first count, where its row was just made with it.
pub async fn note_first_count(
    tx: &mut Tx,
    motor: MotorId,
    held: i64,
    person: Option<PersonId>,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO stock_moves (motor_id, kind, amount, why, person_id, moved_at)
        SELECT CAST($1 AS BIGINT), 'counted', CAST($2 AS BIGINT), 'First count', $3, $4
        WHERE NOT EXISTS (SELECT 1 FROM stock_moves WHERE motor_id = $1)";
    if held == 0 {
        return Ok(());
    }
    on_tx!(tx, conn => sqlx::query(SQL).bind(motor).bind(held * 1000).bind(person).bind(at)
        .execute(conn).await.map(|_| ()))
}

/// The first counts of rows that were just made; of parts the balance comes along, motors have it.
pub async fn first_counts(
    tx: &mut Tx,
    counts: &[(Item, Amount)],
    person: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    const MOVES: &str = "INSERT INTO stock_moves (part_id, motor_id, kind, amount, why, person_id,
        moved_at) ";
    const PARTS: &str = "UPDATE parts SET on_hand =
        (SELECT CAST(sum(s.amount) AS BIGINT) FROM stock_moves s WHERE s.part_id = parts.id)
        WHERE id IN (";
    let counts = counts.iter().filter(|(_, amount)| amount.0 != 0);
    let counts: Vec<&(Item, Amount)> = counts.collect();
    if counts.is_empty() {
        return Ok(());
    }
    on_tx!(&mut *tx, conn => {
        let mut sql = QueryBuilder::new(MOVES);
        sql.push_values(&counts, |mut row, (item, amount)| {
            row.push_bind(item.part())
                .push_bind(item.motor())
                .push_bind("counted")
                .push_bind(*amount)
                .push_bind("First count")
                .push_bind(person)
                .push_bind(at);
        });
        sql.build().execute(conn).await.map(|_| ())
    })?;
    let parts: Vec<PartId> = counts.iter().filter_map(|(item, _)| item.part()).collect();
    if parts.is_empty() {
        return Ok(());
    }
    on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(PARTS);
        let mut ids = sql.separated(", ");
        for id in parts {
            ids.push_bind(id);
        }
        sql.push(")");
        sql.build().execute(conn).await.map(|_| ())
    })
}

/// A movement as pages show it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Moved {
    pub kind: String,
    pub amount: Amount,
    pub held_back: Amount,
    pub cost_minor: Option<i64>,
    pub job_id: Option<JobId>,
    pub expires_on: Option<Date>,
    pub why: String,
    pub person: String,
    pub moved_at: Millis,
}

/// The newest movements of a part or a motor.
pub async fn moves_of(db: &Db, item: Item, most: i64) -> sqlx::Result<Vec<Moved>> {
    const SQL: &str = "SELECT s.kind, s.amount, s.held_back, s.cost_minor, s.job_id, s.expires_on,
            s.why, COALESCE(p.name, '') AS person, s.moved_at
        FROM stock_moves s LEFT JOIN people p ON p.id = s.person_id
        WHERE s.part_id = $1 OR s.motor_id = $2 ORDER BY s.moved_at DESC, s.id DESC LIMIT $3";
    on_db!(db, pool => sqlx::query_as(SQL).bind(item.part()).bind(item.motor()).bind(most)
        .fetch_all(pool).await)
}

/// The sum of all movements of a motor, and what its row says is held: they may differ for one that
/// was put on the shelf by other ways than this program's pages.
pub async fn motor_sum(db: &Db, motor: MotorId) -> sqlx::Result<Amount> {
    const SQL: &str = "SELECT CAST(COALESCE(sum(amount), 0) AS BIGINT) FROM stock_moves
        WHERE motor_id = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(motor).fetch_one(pool).await)
}

/// What a job has of something: out with it, and kept for it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct OnJob {
    pub part_id: Option<PartId>,
    pub motor_id: Option<MotorId>,
    pub name: String,
    pub unit: String,
    pub out: Amount,
    pub kept: Amount,
    /// Net cost of what is out, as far as it is known, in hundredths.
    pub cost_minor: Option<i64>,
}

impl OnJob {
    pub fn item(&self) -> Option<Item> {
        match (self.part_id, self.motor_id) {
            (Some(id), _) => Some(Item::Part(id)),
            (_, Some(id)) => Some(Item::Motor(id)),
            _ => None,
        }
    }

    pub fn value(&self) -> String {
        self.item().map_or_else(String::new, Item::value)
    }

    pub fn out_words(&self) -> String {
        self.out.with_unit(&self.unit)
    }

    pub fn kept_words(&self) -> String {
        self.kept.with_unit(&self.unit)
    }
}

macro_rules! on_job_sql {
    ($rest:literal) => {
        concat!(
            "SELECT s.part_id, s.motor_id, COALESCE(p.name, mo.name, '') AS name, \
             COALESCE(p.unit, 'piece') AS unit, \
             CAST(-sum(CASE WHEN s.kind IN ('issued', 'returned') THEN s.amount ELSE 0 END) \
                AS BIGINT) AS out, \
             CAST(sum(s.held_back) AS BIGINT) AS kept, \
             CAST(sum(CASE s.kind WHEN 'issued' THEN s.cost_minor \
                WHEN 'returned' THEN -s.cost_minor END) AS BIGINT) AS cost_minor \
             FROM stock_moves s LEFT JOIN parts p ON p.id = s.part_id \
             LEFT JOIN motors mo ON mo.id = s.motor_id WHERE s.job_id = $1 ",
            $rest,
            " GROUP BY s.part_id, s.motor_id, p.name, mo.name, p.unit ORDER BY 3"
        )
    };
}

/// Everything that moved for a job.
pub async fn on_job(db: &Db, job: JobId) -> sqlx::Result<Vec<OnJob>> {
    const SQL: &str = on_job_sql!("");
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// What this job has of one thing, in the transaction that changes it.
pub async fn on_job_in(tx: &mut Tx, job: JobId, item: Item) -> sqlx::Result<Option<OnJob>> {
    const SQL: &str = on_job_sql!("AND (s.part_id = $2 OR s.motor_id = $3)");
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(job).bind(item.part()).bind(item.motor())
        .fetch_optional(conn).await)
}
