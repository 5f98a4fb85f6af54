//! Shared tablets and their PINs in the database.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};

pub async fn find(db: &Db, token_hash: &str) -> sqlx::Result<Option<(i64, String)>> {
    const SQL: &str = "SELECT id, name FROM tablets WHERE token_hash = $1 AND ended_at IS NULL";
    on_db!(db, pool => sqlx::query_as(SQL).bind(token_hash).fetch_optional(pool).await)
}

pub async fn insert(
    tx: &mut Tx,
    token_hash: &str,
    name: &str,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO tablets (token_hash, name, made_by, made_at)
        VALUES ($1, $2, $3, $4) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(token_hash).bind(name).bind(by).bind(at).fetch_one(conn).await)
}

/// It is a shared tablet no more: its PINs and sessions go. `false` where it was none.
pub async fn end(tx: &mut Tx, tablet: i64, at: Millis) -> sqlx::Result<bool> {
    const END: &str = "UPDATE tablets SET ended_at = $2 WHERE id = $1 AND ended_at IS NULL";
    const PINS: &str = "DELETE FROM tablet_pins WHERE tablet_id = $1";
    const SESSIONS: &str = "DELETE FROM sessions WHERE tablet_id = $1";
    let ended = on_tx!(tx, conn => sqlx::query(END).bind(tablet).bind(at).execute(conn).await
        .map(|done| done.rows_affected() == 1))?;
    on_tx!(tx, conn => sqlx::query(PINS).bind(tablet).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(SESSIONS).bind(tablet).execute(conn).await.map(|_| ()))?;
    Ok(ended)
}

/// A tablet in the list of the Shop.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Listed {
    pub id: i64,
    pub name: String,
    pub made_by: String,
    pub made_at: Millis,
    pub pins: i64,
}

pub async fn list(db: &Db) -> sqlx::Result<Vec<Listed>> {
    const SQL: &str = "SELECT t.id, t.name, p.name AS made_by, t.made_at,
            (SELECT count(*) FROM tablet_pins n WHERE n.tablet_id = t.id) AS pins
        FROM tablets t JOIN people p ON p.id = t.made_by
        WHERE t.ended_at IS NULL ORDER BY t.name, t.id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Who has a PIN on the tablet, by name.
pub async fn people(db: &Db, tablet: i64) -> sqlx::Result<Vec<(PersonId, String)>> {
    const SQL: &str = "SELECT p.id, p.name FROM tablet_pins n JOIN people p ON p.id = n.person_id
        WHERE n.tablet_id = $1 AND p.closed_at IS NULL ORDER BY p.name, p.id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(tablet).fetch_all(pool).await)
}

pub async fn has_pin(db: &Db, tablet: i64, person: PersonId) -> sqlx::Result<bool> {
    const SQL: &str =
        "SELECT count(*) FROM tablet_pins WHERE tablet_id = $1 AND person_id = $2 AND misses < 5";
    let found: i64 = on_db!(db, pool => sqlx::query_scalar(SQL)
        .bind(tablet).bind(person).fetch_one(pool).await)?;
    Ok(found > 0)
}

pub async fn set_pin(
    tx: &mut Tx,
    tablet: i64,
    person: PersonId,
    pin_hash: &str,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO tablet_pins (tablet_id, person_id, pin_hash, set_at)
        VALUES ($1, $2, $3, $4)
        ON CONFLICT (tablet_id, person_id) DO UPDATE SET pin_hash = $3, set_at = $4, misses = 0";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(tablet).bind(person).bind(pin_hash).bind(at).execute(conn).await.map(|_| ()))
}

pub async fn drop_pin(tx: &mut Tx, tablet: i64, person: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM tablet_pins WHERE tablet_id = $1 AND person_id = $2";
    const SESSIONS: &str = "DELETE FROM sessions WHERE tablet_id = $1 AND person_id = $2";
    for sql in [SQL, SESSIONS] {
        on_tx!(tx, conn => sqlx::query(sql).bind(tablet).bind(person).execute(conn).await
            .map(|_| ()))?;
    }
    Ok(())
}

/// The person's PINs everywhere.
pub async fn drop_pins_of(tx: &mut Tx, person: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM tablet_pins WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).execute(conn).await.map(|_| ()))
}

/// Counts a try as wrong before it is looked at; the PIN's hash and how many are left after this one.
/// `None` where there is no PIN, or it is gone.
pub async fn try_one(
    tx: &mut Tx,
    tablet: i64,
    person: PersonId,
    most: i64,
) -> sqlx::Result<Option<(String, i64)>> {
    const SQL: &str = "UPDATE tablet_pins SET misses = misses + 1
        WHERE tablet_id = $1 AND person_id = $2 AND misses < $3
            AND person_id IN (SELECT id FROM people WHERE closed_at IS NULL)
        RETURNING pin_hash, $3 - misses";
    on_tx!(tx, conn => sqlx::query_as(SQL)
        .bind(tablet).bind(person).bind(most).fetch_optional(conn).await)
}

pub async fn right(tx: &mut Tx, tablet: i64, person: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE tablet_pins SET misses = 0 WHERE tablet_id = $1 AND person_id = $2";
    on_tx!(tx, conn => sqlx::query(SQL).bind(tablet).bind(person).execute(conn).await.map(|_| ()))
}
