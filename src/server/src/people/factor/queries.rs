//! Second factors, their recovery codes and sign-ins that wait for a code, in the database.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::PersonId;
use crate::{on_db, on_tx};

#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Factor {
    pub secret: String,
    pub confirmed_at: Option<Millis>,
    pub last_step: i64,
}

/// A secret that is shown and not yet confirmed; one in use stays as it is.
pub async fn propose(tx: &mut Tx, person: PersonId, secret: &str) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO second_factors (person_id, secret) VALUES ($1, $2)
        ON CONFLICT (person_id) DO UPDATE SET secret = $2, last_step = 0
        WHERE second_factors.confirmed_at IS NULL OR second_factors.secret = ''";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(secret).execute(conn).await.map(|_| ()))
}

pub async fn find(db: &Db, person: PersonId) -> sqlx::Result<Option<Factor>> {
    const SQL: &str =
        "SELECT secret, confirmed_at, last_step FROM second_factors WHERE person_id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(person).fetch_optional(pool).await)
}

/// Holds the row, so that one code is not taken twice at once.
pub async fn lock(tx: &mut Tx, person: PersonId) -> sqlx::Result<Option<Factor>> {
    const SQL: &str = "UPDATE second_factors SET last_step = last_step WHERE person_id = $1
        RETURNING secret, confirmed_at, last_step";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(person).fetch_optional(conn).await)
}

pub async fn taken(tx: &mut Tx, person: PersonId, step: i64) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE second_factors SET last_step = $2 WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(step).execute(conn).await.map(|_| ()))
}

pub async fn confirm(tx: &mut Tx, person: PersonId, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE second_factors SET confirmed_at = $2 WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(at).execute(conn).await.map(|_| ()))
}

pub async fn drop(tx: &mut Tx, person: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM second_factors WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).execute(conn).await.map(|_| ()))?;
    drop_codes(tx, person).await
}

/// Whether the person is asked for a code.
pub async fn in_use(db: &Db, person: PersonId) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT count(*) FROM second_factors
        WHERE person_id = $1 AND confirmed_at IS NOT NULL AND secret <> ''";
    let found: i64 =
        on_db!(db, pool => sqlx::query_scalar(SQL).bind(person).fetch_one(pool).await)?;
    Ok(found > 0)
}

/// Everybody who is asked for a code.
pub async fn users(db: &Db) -> sqlx::Result<Vec<PersonId>> {
    const SQL: &str = "SELECT person_id FROM second_factors
        WHERE confirmed_at IS NOT NULL AND secret <> ''";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_all(pool).await)
}

pub async fn drop_codes(tx: &mut Tx, person: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM recovery_codes WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).execute(conn).await.map(|_| ()))
}

pub async fn add_code(tx: &mut Tx, person: PersonId, code_hash: &str) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO recovery_codes (person_id, code_hash) VALUES ($1, $2)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(person).bind(code_hash).execute(conn).await.map(|_| ()))
}

/// Uses one up; `false` where it is none or was used.
pub async fn use_code(
    tx: &mut Tx,
    person: PersonId,
    code_hash: &str,
    at: Millis,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE recovery_codes SET used_at = $3
        WHERE person_id = $1 AND code_hash = $2 AND used_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(code_hash).bind(at).execute(conn).await
        .map(|done| done.rows_affected() == 1))
}

pub async fn codes_left(tx: &mut Tx, person: PersonId) -> sqlx::Result<i64> {
    const SQL: &str =
        "SELECT count(*) FROM recovery_codes WHERE person_id = $1 AND used_at IS NULL";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(person).fetch_one(conn).await)
}

pub async fn codes_left_of(db: &Db, person: PersonId) -> sqlx::Result<i64> {
    const SQL: &str =
        "SELECT count(*) FROM recovery_codes WHERE person_id = $1 AND used_at IS NULL";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(person).fetch_one(pool).await)
}

/// The password was right: the code is asked for until then, of this visit.
pub async fn begin(
    tx: &mut Tx,
    (token_hash, visit): (&str, &str),
    person: PersonId,
    (now, ends_at): (Millis, Millis),
) -> sqlx::Result<()> {
    const OLD: &str = "DELETE FROM begun_sign_ins WHERE ends_at <= $1";
    const SQL: &str = "INSERT INTO begun_sign_ins (token_hash, person_id, visit, ends_at)
        VALUES ($1, $2, $3, $4)";
    on_tx!(tx, conn => sqlx::query(OLD).bind(now).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(token_hash).bind(person).bind(visit).bind(ends_at).execute(conn).await.map(|_| ()))
}

/// Counts a try; who it is, while tries are left.
pub async fn try_one(
    tx: &mut Tx,
    token_hash: &str,
    visit: &str,
    now: Millis,
    most: i64,
) -> sqlx::Result<Option<PersonId>> {
    const SQL: &str = "UPDATE begun_sign_ins SET tries = tries + 1
        WHERE token_hash = $1 AND visit = $2 AND ends_at > $3 AND tries < $4 AND person_id IN
            (SELECT id FROM people WHERE closed_at IS NULL)
        RETURNING person_id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(token_hash).bind(visit).bind(now).bind(most).fetch_optional(conn).await)
}

/// None waits for this person's code any more.
pub async fn end_begun(tx: &mut Tx, person: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM begun_sign_ins WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).execute(conn).await.map(|_| ()))
}

/// Whether the shop asks its supervisors and keepers for a code.
pub async fn demanded(db: &Db) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT count(*) FROM shop WHERE id = 1 AND second_factor";
    let demanded: i64 = on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await)?;
    Ok(demanded > 0)
}

pub async fn set_demanded(tx: &mut Tx, demanded: bool) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE shop SET second_factor = $1 WHERE id = 1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(demanded).execute(conn).await.map(|_| ()))
}

/// Sessions of whoever must have one and has none lead to setting it up; those of others are freed.
pub async fn demand(tx: &mut Tx) -> sqlx::Result<()> {
    const ASK: &str = "UPDATE sessions SET kind = 'factor'
        WHERE kind = 'full' AND EXISTS (SELECT 1 FROM shop WHERE second_factor)
            AND person_id IN (SELECT id FROM people WHERE role IN ('supervisor', 'keeper'))
            AND person_id NOT IN (SELECT person_id FROM second_factors
                WHERE confirmed_at IS NOT NULL AND secret <> '')";
    const FREE: &str = "UPDATE sessions SET kind = 'full' WHERE kind = 'factor'
            AND (NOT EXISTS (SELECT 1 FROM shop WHERE second_factor) OR person_id NOT IN
                (SELECT id FROM people WHERE role IN ('supervisor', 'keeper')))";
    on_tx!(tx, conn => sqlx::query(ASK).execute(conn).await.map(|_| ()))?;
    on_tx!(tx, conn => sqlx::query(FREE).execute(conn).await.map(|_| ()))
}
