//! New rows many at a time: one statement for each table, so that a large file is soon written.

use crate::clock::Millis;
use crate::db::Tx;
use crate::machines::form::NewMachine;
use crate::machines::queries::Motors;
use crate::motors::MotorId;
use crate::on_tx;
use crate::shelf::form::MotorChange;
use crate::shop::places::queries::NewPlace;
use crate::stores::form::PartChange;
use sqlx::QueryBuilder;

/// So many rows go in one statement: far below what either database binds at most.
pub const AT_ONCE: usize = 200;

/// The numbers of rows that were just added, in the order in which they were given: both databases
/// number them in that order, which the names that come back prove.
fn numbered<'a>(
    mut made: Vec<(i64, String)>,
    names: impl Iterator<Item = &'a str>,
) -> sqlx::Result<Vec<i64>> {
    made.sort_unstable();
    if !made.iter().map(|(_, name)| name.as_str()).eq(names) {
        let message = "rows were not numbered in their order";
        return Err(sqlx::Error::Protocol(message.to_owned()));
    }
    Ok(made.into_iter().map(|(id, _)| id).collect())
}

fn json(value: &impl serde::Serialize) -> sqlx::Result<String> {
    serde_json::to_string(value).map_err(|e| sqlx::Error::Encode(e.into()))
}

pub async fn places(tx: &mut Tx, new: &[NewPlace]) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "INSERT INTO places (parent_id, kind, name, access_note) ";
    let made = on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(SQL);
        sql.push_values(new, |mut row, new| {
            row.push_bind(new.parent_id)
                .push_bind(&new.kind)
                .push_bind(&new.name)
                .push_bind(&new.access_note);
        });
        sql.push(" RETURNING id, name");
        sql.build_query_as().fetch_all(conn).await
    })?;
    numbered(made, new.iter().map(|new| new.name.as_str()))
}

pub async fn machines(
    tx: &mut Tx,
    new: &[(&NewMachine, Motors)],
    at: Millis,
) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "INSERT INTO machines (tag, name, kind, serves, place_id, criticality,
        before_you_go, facts, circuit_id, feed_proved_on, feed_proved_by, design_motor_id,
        fitted_motor_id, installed_on, retired_on, created_at) ";
    let facts = new.iter().map(|(new, _)| json(&new.facts));
    let facts: Vec<String> = facts.collect::<Result<_, _>>()?;
    let made = on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(SQL);
        sql.push_values(new.iter().zip(&facts), |mut row, ((new, motors), facts)| {
            row.push_bind(&new.tag)
                .push_bind(&new.name)
                .push_bind(&new.kind)
                .push_bind(&new.serves)
                .push_bind(new.place_id)
                .push_bind(&new.criticality)
                .push_bind(&new.before_you_go)
                .push_bind(facts)
                .push_bind(new.circuit_id)
                .push_bind(new.feed_proved_on)
                .push_bind(&new.feed_proved_by)
                .push_bind(motors.design)
                .push_bind(motors.fitted)
                .push_bind(new.installed_on)
                .push_bind(new.retired_on)
                .push_bind(at);
        });
        sql.push(" RETURNING id, tag");
        sql.build_query_as().fetch_all(conn).await
    })?;
    numbered(made, new.iter().map(|(new, _)| new.tag.as_str()))
}

/// The motors themselves, with plates as they are stored; not yet on a shelf or a list.
pub async fn motors(
    tx: &mut Tx,
    new: &[&MotorChange],
    plates: &[String],
) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "INSERT INTO motors (name, plate, plate_text, made, note) ";
    let made = on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(SQL);
        sql.push_values(new.iter().zip(plates), |mut row, (new, plate)| {
            row.push_bind(&new.name)
                .push_bind(plate)
                .push_bind(&new.plate_text)
                .push_bind(&new.made)
                .push_bind(&new.note);
        });
        sql.push(" RETURNING id, name");
        sql.build_query_as().fetch_all(conn).await
    })?;
    numbered(made, new.iter().map(|new| new.name.as_str()))
}

pub async fn shelve(tx: &mut Tx, new: &[(MotorId, &MotorChange)]) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO shelf_motors (motor_id, bin, held, price_minor) ";
    on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(SQL);
        sql.push_values(new, |mut row, (id, new)| {
            row.push_bind(*id)
                .push_bind(new.bin.as_deref().unwrap_or(""))
                .push_bind(new.held)
                .push_bind(new.price);
        });
        sql.build().execute(conn).await.map(|_| ())
    })
}

/// Motors on lists: the list, the motor, its price and days.
pub async fn add_to_lists(tx: &mut Tx, new: &[(i64, MotorId, &MotorChange)]) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO supplier_motors (list_id, motor_id, price_minor, lead_days) ";
    on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(SQL);
        sql.push_values(new, |mut row, (list, id, new)| {
            row.push_bind(*list)
                .push_bind(*id)
                .push_bind(new.price)
                .push_bind(new.lead_days);
        });
        sql.build().execute(conn).await.map(|_| ())
    })
}

pub async fn parts(tx: &mut Tx, new: &[&PartChange], at: Millis) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "INSERT INTO parts (name, kind, description, maker_number, unit, bins,
        standing, last_buy, lead_days, price_minor, order_at, critical, created_at) ";
    let made = on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(SQL);
        sql.push_values(new, |mut row, new| {
            row.push_bind(&new.name)
                .push_bind(&new.kind)
                .push_bind(&new.description)
                .push_bind(&new.maker_number)
                .push_bind(&new.unit)
                .push_bind(&new.bins)
                .push_bind(&new.standing)
                .push_bind(&new.last_buy)
                .push_bind(new.lead_days)
                .push_bind(new.price_minor)
                .push_bind(new.order_at)
                .push_bind(new.critical)
                .push_bind(at);
        });
        sql.push(" RETURNING id, name");
        sql.build_query_as().fetch_all(conn).await
    })?;
    numbered(made, new.iter().map(|new| new.name.as_str()))
}
