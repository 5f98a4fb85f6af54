//! Kept forms and whose session was whose, in the database.

use super::Kept;
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// Remembers whose session this is, for when it has ended.
pub async fn remember(
    tx: &mut Tx,
    token_hash: &str,
    person: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO begun_sessions (token_hash, person_id, begun_at)
        VALUES ($1, $2, $3)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(token_hash).bind(person).bind(at).execute(conn).await
        .map(|_| ()))
}

/// Forgets the sessions begun and the forms kept before these instants.
pub async fn forget(tx: &mut Tx, sessions: Millis, forms: Millis) -> sqlx::Result<()> {
    const SESSIONS: &str = "DELETE FROM begun_sessions WHERE begun_at < $1";
    const FORMS: &str = "DELETE FROM kept_forms WHERE kept_at < $1";
    on_tx!(tx, conn => sqlx::query(SESSIONS).bind(sessions).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(FORMS).bind(forms).execute(conn).await.map(|_| ()))
}

/// Whose session it was; nobody's where the token was never given out.
pub async fn whose(db: &Db, token_hash: &str) -> sqlx::Result<Option<PersonId>> {
    const SQL: &str = "SELECT person_id FROM begun_sessions WHERE token_hash = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(token_hash).fetch_optional(pool).await)
}

pub async fn count_of(tx: &mut Tx, person: PersonId) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM kept_forms WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(person).fetch_one(conn).await)
}

pub async fn insert(tx: &mut Tx, kept: &Kept) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO kept_forms (id, person_id, path, fields, had_files, kept_at)
        VALUES ($1, $2, $3, $4, $5, $6)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(&kept.id)
        .bind(kept.person_id)
        .bind(&kept.path)
        .bind(&kept.fields)
        .bind(kept.had_files)
        .bind(kept.kept_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn find(db: &Db, id: &str) -> sqlx::Result<Option<Kept>> {
    const SQL: &str = "SELECT id, person_id, path, fields, had_files, kept_at, sent_at
        FROM kept_forms WHERE id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// Marks it as sent on; `false` where it was before.
pub async fn send(tx: &mut Tx, id: &str, at: Millis) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE kept_forms SET sent_at = $2 WHERE id = $1 AND sent_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(at).execute(conn).await
        .map(|done| done.rows_affected() == 1))
}

pub async fn delete(tx: &mut Tx, id: &str) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM kept_forms WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).execute(conn).await.map(|_| ()))
}
