//! The audit list of one thing, in the database.

use crate::clock::Millis;
use crate::db::Db;
use crate::on_db;

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Line {
    pub at: Millis,
    /// `None`: the program itself.
    pub person: Option<String>,
    pub act: String,
    pub detail: String,
}

/// The newest first.
pub async fn of(db: &Db, thing: &str, id: i64, most: i64) -> sqlx::Result<Vec<Line>> {
    const SQL: &str = "SELECT a.at, p.name AS person, a.act, a.detail
        FROM audit a LEFT JOIN people p ON p.id = a.person_id
        WHERE a.thing = $1 AND a.thing_id = $2 ORDER BY a.id DESC LIMIT $3";
    on_db!(db, pool => sqlx::query_as(SQL)
        .bind(thing)
        .bind(id)
        .bind(most)
        .fetch_all(pool)
        .await)
}
