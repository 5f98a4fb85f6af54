//! What is to be bought, for a job or for the shelf.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::stores::PartId;
use crate::stores::amount::Amount;
use crate::{on_db, on_tx};
use time::Date;

/// One thing to buy.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Purchase {
    pub id: i64,
    pub job_id: Option<JobId>,
    pub part_id: Option<PartId>,
    pub motor_id: Option<MotorId>,
    pub what: String,
    pub amount: Amount,
    pub why: String,
    pub state: String,
    pub needed: String,
    pub needed_at: Millis,
    pub approved: String,
    pub order_number: String,
    pub supplier: String,
    pub expected_on: Option<Date>,
    pub cost_minor: Option<i64>,
    pub arrived_at: Option<Millis>,
    pub cancelled_why: String,
    pub version: i64,
}

impl Purchase {
    /// Ordered and not here on the day it was promised.
    pub fn late(&self, today: Date) -> bool {
        self.state == "ordered" && self.expected_on.is_some_and(|day| day < today)
    }

    pub fn over(&self) -> bool {
        matches!(self.state.as_str(), "arrived" | "cancelled")
    }
}

macro_rules! purchase_sql {
    ($rest:literal) => {
        concat!(
            "SELECT b.id, b.job_id, b.part_id, b.motor_id, b.what, b.amount, b.why, b.state, \
             COALESCE(n.name, '') AS needed, b.needed_at, COALESCE(a.name, '') AS approved, \
             b.order_number, b.supplier, b.expected_on, b.cost_minor, b.arrived_at, \
             b.cancelled_why, b.version FROM purchases b \
             LEFT JOIN people n ON n.id = b.needed_by LEFT JOIN people a ON a.id = b.approved_by ",
            $rest
        )
    };
}

pub async fn purchase(db: &Db, id: i64) -> sqlx::Result<Option<Purchase>> {
    const SQL: &str = purchase_sql!("WHERE b.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// What is still to come, in the order in which it is promised.
pub async fn open_purchases(db: &Db) -> sqlx::Result<Vec<Purchase>> {
    const SQL: &str = purchase_sql!(
        "WHERE b.state IN ('needed', 'approved', 'ordered') \
         ORDER BY b.expected_on NULLS LAST, b.id LIMIT 1000"
    );
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn purchases_over(db: &Db, most: i64) -> sqlx::Result<Vec<Purchase>> {
    const SQL: &str =
        purchase_sql!("WHERE b.state IN ('arrived', 'cancelled') ORDER BY b.id DESC LIMIT $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(most).fetch_all(pool).await)
}

pub async fn purchases_of_job(db: &Db, job: JobId) -> sqlx::Result<Vec<Purchase>> {
    const SQL: &str = purchase_sql!("WHERE b.job_id = $1 ORDER BY b.id");
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// A thing to buy, as it is asked for.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct NewPurchase {
    pub job: Option<JobId>,
    pub part: Option<PartId>,
    pub what: String,
    pub amount: Amount,
    pub why: String,
}

pub async fn insert_purchase(
    tx: &mut Tx,
    new: &NewPurchase,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO purchases (job_id, part_id, what, amount, why, state, needed_by,
            needed_at)
        VALUES ($1, $2, $3, $4, $5, 'needed', $6, $7) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(new.job).bind(new.part).bind(&new.what)
        .bind(new.amount).bind(&new.why).bind(by).bind(at).fetch_one(conn).await)
}

/// What is done with a thing to buy.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    Approved,
    Ordered {
        number: String,
        supplier: String,
        expected_on: Date,
        cost_minor: Option<i64>,
    },
    Arrived,
    Cancelled {
        why: String,
    },
}

/// `false` where somebody was faster.
pub async fn step_purchase(
    tx: &mut Tx,
    id: i64,
    version: i64,
    step: &Step,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<bool> {
    const APPROVED: &str = "UPDATE purchases SET state = 'approved', approved_by = $3,
            approved_at = $4, version = version + 1 WHERE id = $1 AND version = $2";
    const ORDERED: &str = "UPDATE purchases SET state = 'ordered', order_number = $3,
            supplier = $4, expected_on = $5, cost_minor = $6, ordered_at = $7,
            version = version + 1
        WHERE id = $1 AND version = $2";
    const ARRIVED: &str = "UPDATE purchases SET state = 'arrived', arrived_at = $3,
            version = version + 1 WHERE id = $1 AND version = $2";
    const CANCELLED: &str = "UPDATE purchases SET state = 'cancelled', cancelled_at = $3,
            cancelled_why = $4, version = version + 1 WHERE id = $1 AND version = $2";
    let rows = match step {
        Step::Approved => on_tx!(tx, conn => sqlx::query(APPROVED).bind(id).bind(version).bind(by)
            .bind(at).execute(conn).await.map(|done| done.rows_affected())),
        Step::Ordered {
            number,
            supplier,
            expected_on,
            cost_minor,
        } => on_tx!(tx, conn => sqlx::query(ORDERED).bind(id).bind(version).bind(number)
            .bind(supplier).bind(expected_on).bind(cost_minor).bind(at).execute(conn).await
            .map(|done| done.rows_affected())),
        Step::Arrived => on_tx!(tx, conn => sqlx::query(ARRIVED).bind(id).bind(version).bind(at)
            .execute(conn).await.map(|done| done.rows_affected())),
        Step::Cancelled { why } => on_tx!(tx, conn => sqlx::query(CANCELLED).bind(id).bind(version)
            .bind(at).bind(why).execute(conn).await.map(|done| done.rows_affected())),
    }?;
    Ok(rows == 1)
}
