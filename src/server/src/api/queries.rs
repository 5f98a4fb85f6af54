//! Integrations, their tokens and the answers kept for a repeat, in the database.

use super::scopes::Scope;
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::people::{Person, PersonId, Role};
use crate::{on_db, on_tx};

/// An integration whose token is in force.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Found {
    pub id: i64,
    pub person_id: PersonId,
    pub sign_in_name: String,
    pub name: String,
    pub role: String,
    pub scopes: String,
    pub a_minute: i64,
    pub used_at: Option<i64>,
}

impl Found {
    /// As its entries carry it: trained and qualified for nothing, and never signed in.
    pub fn person(&self) -> Person {
        Person {
            id: self.person_id,
            sign_in_name: self.sign_in_name.clone(),
            name: self.name.clone(),
            role: Role::named(&self.role).unwrap_or(Role::Reporter),
            authorised_on: None,
            qualified_on: None,
            hours_a_day: None,
            closed: true,
        }
    }
}

pub async fn by_token(db: &Db, token_hash: &str, now: Millis) -> sqlx::Result<Option<Found>> {
    const SQL: &str = "SELECT i.id, i.person_id, p.sign_in_name, p.name, p.role, i.scopes,
            i.a_minute, i.used_at
        FROM integrations i JOIN people p ON p.id = i.person_id
        WHERE i.token_hash = $1 AND i.revoked_at IS NULL AND i.expires_at > $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(token_hash).bind(now).fetch_optional(pool).await)
}

pub async fn used(tx: &mut Tx, id: i64, now: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE integrations SET used_at = $2 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(now).execute(conn).await.map(|_| ()))
}

/// An integration as the keeper sees it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Integration {
    pub id: i64,
    pub name: String,
    pub role: String,
    pub scopes: String,
    pub token_end: String,
    pub a_minute: i64,
    pub created_at: i64,
    pub made_by: String,
    pub expires_at: i64,
    pub used_at: Option<i64>,
    pub revoked_at: Option<i64>,
    pub revoked_by: Option<String>,
}

impl Integration {
    pub fn scopes(&self) -> Vec<Scope> {
        Scope::listed(&self.scopes)
    }
}

/// Those in force first, then by name.
pub async fn list(db: &Db) -> sqlx::Result<Vec<Integration>> {
    const SQL: &str =
        "SELECT i.id, p.name, p.role, i.scopes, i.token_end, i.a_minute, i.created_at,
            m.name AS made_by, i.expires_at, i.used_at, i.revoked_at, r.name AS revoked_by
        FROM integrations i JOIN people p ON p.id = i.person_id
        JOIN people m ON m.id = i.created_by LEFT JOIN people r ON r.id = i.revoked_by
        ORDER BY CASE WHEN i.revoked_at IS NULL THEN 0 ELSE 1 END, p.name, i.id LIMIT 500";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// An integration about to be made.
pub struct NewIntegration<'a> {
    pub name: &'a str,
    pub role: Role,
    pub scopes: &'a [Scope],
    pub a_minute: i64,
    pub token_hash: &'a str,
    pub token_end: &'a str,
    pub expires_at: Millis,
}

/// Its own row among the people keeps its name beside what it wrote. Nobody signs in with that: the
/// row is closed from its first day, its sign-in name has a blank, and its password is no hash.
pub async fn insert(
    tx: &mut Tx,
    new: &NewIntegration<'_>,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<i64> {
    const PERSON: &str = "INSERT INTO people (sign_in_name, name, role, password_hash, created_at,
            closed_at) VALUES ($1, $2, $3, '', $4, $4) RETURNING id";
    const SQL: &str =
        "INSERT INTO integrations (person_id, scopes, token_hash, token_end, a_minute,
            created_at, created_by, expires_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id";
    let sign_in = format!("integration {}", &new.token_hash[..16]);
    let person: PersonId = on_tx!(&mut *tx, conn => sqlx::query_scalar(PERSON)
        .bind(&sign_in).bind(new.name).bind(new.role.word()).bind(at)
        .fetch_one(conn).await)?;
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(person).bind(Scope::written(new.scopes)).bind(new.token_hash).bind(new.token_end)
        .bind(new.a_minute).bind(at).bind(by).bind(new.expires_at)
        .fetch_one(conn).await)
}

/// Whether an integration that is not revoked has this name.
pub async fn name_taken(tx: &mut Tx, name: &str) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT i.id FROM integrations i JOIN people p ON p.id = i.person_id
        WHERE i.revoked_at IS NULL AND lower(p.name) = lower($1)";
    let found: Option<i64> =
        on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(name).fetch_optional(conn).await)?;
    Ok(found.is_some())
}

/// Ends a token for good; its name and what was written with it stay.
pub async fn revoke(
    tx: &mut Tx,
    id: i64,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<Option<String>> {
    const SQL: &str = "UPDATE integrations SET revoked_at = $2, revoked_by = $3
        WHERE id = $1 AND revoked_at IS NULL RETURNING person_id";
    const NAME: &str = "SELECT name FROM people WHERE id = $1";
    let person: Option<PersonId> = on_tx!(&mut *tx, conn => sqlx::query_scalar(SQL)
        .bind(id).bind(at).bind(by).fetch_optional(conn).await)?;
    let Some(person) = person else {
        return Ok(None);
    };
    on_tx!(tx, conn => sqlx::query_scalar(NAME).bind(person).fetch_optional(conn).await)
}

/// A place as programs see it.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct PlaceRow {
    pub id: i64,
    pub parent_id: Option<i64>,
    pub kind: String,
    pub name: String,
}

/// Places behind a number, by number.
pub async fn places_after(db: &Db, after: i64, limit: i64) -> sqlx::Result<Vec<PlaceRow>> {
    const SQL: &str = "SELECT id, parent_id, kind, name FROM places WHERE id > $1
        ORDER BY id LIMIT $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(after).bind(limit).fetch_all(pool).await)
}

/// An answer as it is kept for a repeat.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Kept {
    pub asked_hash: String,
    pub status: i64,
    pub headers: String,
    pub body: String,
}

/// Takes a key for the change of this transaction; `false` where it was taken before. On PostgreSQL
/// it waits here for a transaction that has it.
pub async fn claim_key(
    tx: &mut Tx,
    integration: i64,
    key: &str,
    asked_hash: &str,
    at: Millis,
) -> sqlx::Result<bool> {
    const SQL: &str =
        "INSERT INTO api_answers (integration_id, idempotency_key, asked_hash, status,
            headers, body, at) VALUES ($1, $2, $3, 0, '', '', $4)
        ON CONFLICT (integration_id, idempotency_key) DO NOTHING RETURNING at";
    let claimed: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(integration).bind(key).bind(asked_hash).bind(at).fetch_optional(conn).await)?;
    Ok(claimed.is_some())
}

pub async fn answer(tx: &mut Tx, integration: i64, key: &str) -> sqlx::Result<Option<Kept>> {
    const SQL: &str = "SELECT asked_hash, status, headers, body FROM api_answers
        WHERE integration_id = $1 AND idempotency_key = $2 AND status > 0";
    on_tx!(tx, conn => sqlx::query_as(SQL)
        .bind(integration).bind(key).fetch_optional(conn).await)
}

pub async fn keep_answer(
    tx: &mut Tx,
    integration: i64,
    key: &str,
    kept: &Kept,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE api_answers SET status = $3, headers = $4, body = $5
        WHERE integration_id = $1 AND idempotency_key = $2";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(integration).bind(key).bind(kept.status).bind(&kept.headers).bind(&kept.body)
        .execute(conn).await.map(|_| ()))
}

pub async fn forget_answers(tx: &mut Tx, before: Millis) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM api_answers WHERE at < $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(before).execute(conn).await.map(|_| ()))
}
