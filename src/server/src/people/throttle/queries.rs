//! Wrong tries and known browsers in the database.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// Counts one more, from one where it was quiet since `quiet_since`; how many there are, and until
/// when the last one made it wait.
pub async fn miss(
    tx: &mut Tx,
    key: &str,
    now: Millis,
    quiet_since: Millis,
) -> sqlx::Result<(i64, Millis)> {
    const SQL: &str = "INSERT INTO sign_in_tries (key_hash, misses, last_at, next_at)
        VALUES ($1, 1, $2, $2)
        ON CONFLICT (key_hash) DO UPDATE SET
            misses = CASE WHEN sign_in_tries.last_at < $3 THEN 1 ELSE sign_in_tries.misses + 1 END,
            last_at = $2
        RETURNING misses, next_at";
    on_tx!(tx, conn => sqlx::query_as(SQL)
        .bind(key).bind(now).bind(quiet_since).fetch_one(conn).await)
}

pub async fn wait_until(tx: &mut Tx, key: &str, next_at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE sign_in_tries SET next_at = $2 WHERE key_hash = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(key).bind(next_at).execute(conn).await.map(|_| ()))
}

pub async fn forgive(tx: &mut Tx, key: &str) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM sign_in_tries WHERE key_hash = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(key).execute(conn).await.map(|_| ()))
}

pub async fn give_back(tx: &mut Tx, key: &str, now: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE sign_in_tries SET misses = misses - 1, next_at = $2
        WHERE key_hash = $1 AND misses > 0";
    on_tx!(tx, conn => sqlx::query(SQL).bind(key).bind(now).execute(conn).await.map(|_| ()))
}

/// Forgets what is older, and the quietest beyond so many.
pub async fn forget(tx: &mut Tx, before: Millis, most: i64) -> sqlx::Result<()> {
    const OLD: &str = "DELETE FROM sign_in_tries WHERE last_at < $1";
    const MANY: &str = "DELETE FROM sign_in_tries WHERE key_hash IN
        (SELECT key_hash FROM sign_in_tries ORDER BY last_at DESC LIMIT 1000 OFFSET $1)";
    on_tx!(tx, conn => sqlx::query(OLD).bind(before).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(MANY).bind(most).execute(conn).await.map(|_| ()))
}

/// Whether whoever signs in by this name has done so with this browser before.
pub async fn knows(db: &Db, token_hash: &str, sign_in_name: &str) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT count(*) FROM known_devices d JOIN people p ON p.id = d.person_id
        WHERE d.token_hash = $1 AND lower(p.sign_in_name) = $2";
    let name = sign_in_name.trim().to_ascii_lowercase();
    let known: i64 = on_db!(db, pool => sqlx::query_scalar(SQL)
        .bind(token_hash).bind(&name).fetch_one(pool).await)?;
    Ok(known > 0)
}

/// From now on the browser is known under another token.
pub async fn rename(tx: &mut Tx, was: &str, is: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE known_devices SET token_hash = $2 WHERE token_hash = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(was).bind(is).execute(conn).await.map(|_| ()))
}

/// Remembers the browser for this person, and no more than their last twenty.
pub async fn remember(
    tx: &mut Tx,
    token_hash: &str,
    person: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO known_devices (token_hash, person_id, seen_at)
        VALUES ($1, $2, $3) ON CONFLICT (token_hash, person_id) DO UPDATE SET seen_at = $3";
    const MANY: &str = "DELETE FROM known_devices WHERE person_id = $1 AND token_hash IN
        (SELECT token_hash FROM known_devices WHERE person_id = $1
            ORDER BY seen_at DESC LIMIT 100 OFFSET 20)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(token_hash).bind(person).bind(at).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(MANY).bind(person).execute(conn).await.map(|_| ()))
}
