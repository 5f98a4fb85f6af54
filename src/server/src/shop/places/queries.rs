//! Places in the database.

use crate::db::{Db, Tx};
use crate::{on_db, on_tx};

/// What is typed of a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPlace {
    pub parent_id: Option<i64>,
    pub kind: String,
    pub name: String,
    pub access_note: String,
}

pub async fn version(db: &Db, id: i64) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT version FROM places WHERE id = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(id).fetch_optional(pool).await)
}

pub async fn insert(tx: &mut Tx, new: &NewPlace) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO places (parent_id, kind, name, access_note)
        VALUES ($1, $2, $3, $4) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(new.parent_id)
        .bind(&new.kind)
        .bind(&new.name)
        .bind(&new.access_note)
        .fetch_one(conn)
        .await)
}

/// `false` where somebody changed it since `version`.
pub async fn update(tx: &mut Tx, id: i64, version: i64, new: &NewPlace) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE places SET parent_id = $3, kind = $4, name = $5, access_note = $6,
            version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let updated: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(version)
        .bind(new.parent_id)
        .bind(&new.kind)
        .bind(&new.name)
        .bind(&new.access_note)
        .fetch_optional(conn)
        .await)?;
    Ok(updated.is_some())
}

/// Serialises changes of the tree: two moves made at once could tie it into a ring.
pub async fn hold_tree(tx: &mut Tx) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE shop SET version = version WHERE id = 1";
    on_tx!(tx, conn => sqlx::query(SQL).execute(conn).await.map(|_| ()))
}

/// The place and everything below it.
pub async fn below(tx: &mut Tx, id: i64) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "WITH RECURSIVE tree AS (
            SELECT id FROM places WHERE id = $1
            UNION ALL
            SELECT p.id FROM places p JOIN tree ON p.parent_id = tree.id
        )
        SELECT id FROM tree";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(id).fetch_all(conn).await)
}

/// How many machines stand in each place itself; retired ones do not count.
pub async fn machines(db: &Db) -> sqlx::Result<Vec<(i64, i64)>> {
    const SQL: &str = "SELECT place_id, count(*) FROM machines
        WHERE retired_on IS NULL GROUP BY place_id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}
