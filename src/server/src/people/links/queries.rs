//! Password links in the database.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};

pub struct NewLink<'a> {
    pub token_hash: &'a str,
    pub person: PersonId,
    pub by: Option<PersonId>,
    pub at: Millis,
    pub ends_at: Millis,
}

pub async fn insert(tx: &mut Tx, link: &NewLink<'_>) -> sqlx::Result<()> {
    const SQL: &str =
        "INSERT INTO password_links (token_hash, person_id, made_by, made_at, ends_at)
        VALUES ($1, $2, $3, $4, $5)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(link.token_hash)
        .bind(link.person)
        .bind(link.by)
        .bind(link.at)
        .bind(link.ends_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// No link of the person opens any more.
pub async fn end_all(tx: &mut Tx, person: PersonId, at: Millis) -> sqlx::Result<()> {
    const SQL: &str =
        "UPDATE password_links SET used_at = $2 WHERE person_id = $1 AND used_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(at).execute(conn).await.map(|_| ()))
}

/// Whose link it is, where it still opens.
pub async fn whose(db: &Db, token_hash: &str, now: Millis) -> sqlx::Result<Option<PersonId>> {
    const SQL: &str = "SELECT l.person_id FROM password_links l JOIN people p ON p.id = l.person_id
        WHERE l.token_hash = $1 AND l.used_at IS NULL AND l.ends_at > $2 AND p.closed_at IS NULL";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(token_hash).bind(now).fetch_optional(pool).await)
}

/// Uses it up; `false` where somebody did so first.
pub async fn take(tx: &mut Tx, token_hash: &str, now: Millis) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE password_links SET used_at = $2
        WHERE token_hash = $1 AND used_at IS NULL AND ends_at > $2";
    on_tx!(tx, conn => sqlx::query(SQL).bind(token_hash).bind(now).execute(conn).await
        .map(|done| done.rows_affected() == 1))
}

/// Until when an unused link of the person opens.
pub async fn open_until(db: &Db, person: PersonId, now: Millis) -> sqlx::Result<Option<Millis>> {
    const SQL: &str = "SELECT max(ends_at) FROM password_links
        WHERE person_id = $1 AND used_at IS NULL AND ends_at > $2";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(person).bind(now).fetch_one(pool).await)
}
