//! Rounds in the database.

use super::{Item, Round};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

macro_rules! item_sql {
    ($rest:literal) => {
        concat!(
            "SELECT d.id, d.plan_id, pl.machine_id, m.tag, m.name AS machine, m.place_id, \
             pl.action, pl.steps, pl.rule, pl.needs, pl.window_days, pl.minutes, d.due_on, d.state, \
             d.done_on, p.name AS person, d.note, d.job_id, \
             COALESCE((SELECT max(other.round_id) FROM round_lines other \
                 WHERE other.item_id = d.id), 0) AS round \
             FROM due_items d JOIN plans pl ON pl.id = d.plan_id \
             JOIN machines m ON m.id = pl.machine_id \
             LEFT JOIN people p ON p.id = d.person_id ",
            $rest
        )
    };
}

/// What is open and due by a day in a place and below it, or in the whole shop where it is 0. What a
/// longer service covers, and what has its job, is not for a round.
pub async fn due_within(db: &Db, place: i64, until: Date, most: i64) -> sqlx::Result<Vec<Item>> {
    const SQL: &str = item_sql!(
        "WHERE d.state = 'open' AND d.due_on <= $2 AND d.job_id IS NULL AND d.covered_by IS NULL
         AND m.retired_on IS NULL AND ($1 = 0 OR m.place_id IN (
            WITH RECURSIVE down (id) AS (
                SELECT id FROM places WHERE id = $1
                UNION SELECT p.id FROM places p JOIN down ON p.parent_id = down.id)
            SELECT id FROM down))
         ORDER BY d.due_on, m.tag, d.id LIMIT $3"
    );
    on_db!(db, pool => sqlx::query_as(SQL)
        .bind(place).bind(until).bind(most).fetch_all(pool).await)
}

/// A round's lines in the order of the walk.
pub async fn lines(db: &Db, round: i64) -> sqlx::Result<Vec<Item>> {
    const SQL: &str = item_sql!(
        "JOIN round_lines l ON l.item_id = d.id WHERE l.round_id = $1 ORDER BY l.position"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(round).fetch_all(pool).await)
}

macro_rules! round_sql {
    ($rest:literal) => {
        concat!(
            "SELECT r.id, r.title, r.made_at, p.name AS made_by, \
             (SELECT count(*) FROM round_lines l WHERE l.round_id = r.id) AS lines, \
             (SELECT count(*) FROM round_lines l JOIN due_items d ON d.id = l.item_id \
                 WHERE l.round_id = r.id AND d.state = 'open') AS open \
             FROM rounds r JOIN people p ON p.id = r.made_by ",
            $rest
        )
    };
}

pub async fn find(db: &Db, id: i64) -> sqlx::Result<Option<Round>> {
    const SQL: &str = round_sql!("WHERE r.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// The newest rounds first.
pub async fn newest(db: &Db, most: i64) -> sqlx::Result<Vec<Round>> {
    const SQL: &str = round_sql!("ORDER BY r.id DESC LIMIT $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(most).fetch_all(pool).await)
}

pub async fn insert(
    tx: &mut Tx,
    title: &str,
    items: &[i64],
    by: PersonId,
    at: Millis,
) -> sqlx::Result<i64> {
    const ROUND: &str =
        "INSERT INTO rounds (title, made_at, made_by) VALUES ($1, $2, $3) RETURNING id";
    const LINE: &str = "INSERT INTO round_lines (round_id, position, item_id) VALUES ($1, $2, $3)";
    let round: i64 = on_tx!(tx, conn => sqlx::query_scalar(ROUND)
        .bind(title).bind(at).bind(by).fetch_one(conn).await)?;
    for (position, item) in (1_i64..).zip(items) {
        on_tx!(tx, conn => sqlx::query(LINE)
            .bind(round).bind(position).bind(item).execute(conn).await.map(|_| ()))?;
    }
    Ok(round)
}

/// Steps and needs of an item's plan, and of what would be done with it.
pub async fn asks(tx: &mut Tx, item: i64) -> sqlx::Result<Vec<(String, String)>> {
    const SQL: &str =
        "SELECT pl.steps, pl.needs FROM due_items d JOIN plans pl ON pl.id = d.plan_id
        WHERE d.id = $1 OR (d.covered_by = $1 AND d.state = 'open') ORDER BY d.id";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(item).fetch_all(conn).await)
}

/// Closes an open item as done; false where somebody closed it or made its job meanwhile.
pub async fn done(
    tx: &mut Tx,
    item: i64,
    on: Date,
    by: PersonId,
    note: &str,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE due_items SET state = 'done', done_on = $2, person_id = $3,
            note = $4, version = version + 1
        WHERE id = $1 AND state = 'open' AND job_id IS NULL RETURNING id";
    let row: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(item).bind(on).bind(by).bind(note).fetch_optional(conn).await)?;
    Ok(row.is_some())
}

/// What is done with each line's item, because it covers it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Covered {
    pub cover: i64,
    pub action: String,
    pub steps: String,
    pub needs: String,
}

pub async fn covered(db: &Db, round: i64) -> sqlx::Result<Vec<Covered>> {
    const SQL: &str =
        "SELECT d.covered_by AS cover, pl.action, pl.steps, pl.needs FROM round_lines l
        JOIN due_items d ON d.covered_by = l.item_id JOIN plans pl ON pl.id = d.plan_id
        WHERE l.round_id = $1 AND d.state = 'open' ORDER BY l.position, d.id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(round).fetch_all(pool).await)
}

/// One person's readings of meters since a day: how many, and how many were the same as the one before.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Same {
    pub person: String,
    pub readings: i64,
    pub same: i64,
}

pub async fn same_as_last(db: &Db, since: Date) -> sqlx::Result<Vec<Same>> {
    const SQL: &str = "SELECT p.name AS person, count(*) AS readings,
            sum(CASE WHEN r.same_as_last THEN 1 ELSE 0 END) AS same
        FROM meter_readings r JOIN people p ON p.id = r.person_id
        WHERE r.read_on >= $1 AND r.struck_at IS NULL GROUP BY p.id, p.name ORDER BY p.name";
    on_db!(db, pool => sqlx::query_as(SQL).bind(since).fetch_all(pool).await)
}

/// The numbers of what was done in a span of days.
pub async fn done_between(db: &Db, from: Date, to: Date) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "SELECT id FROM due_items
        WHERE state = 'done' AND done_on >= $1 AND done_on <= $2 AND person_id IS NOT NULL
        ORDER BY id";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(from).bind(to).fetch_all(pool).await)
}

pub async fn item(db: &Db, id: i64) -> sqlx::Result<Option<Item>> {
    const SQL: &str = item_sql!("WHERE d.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}
