//! People and sessions in the database.

use super::{Person, PersonId, Role};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
struct PersonRow {
    id: PersonId,
    sign_in_name: String,
    name: String,
    role: String,
    authorised_on: Option<Date>,
    qualified_on: Option<Date>,
    hours_a_day: Option<f64>,
    closed_at: Option<i64>,
}

impl From<PersonRow> for Person {
    fn from(row: PersonRow) -> Self {
        Person {
            id: row.id,
            sign_in_name: row.sign_in_name,
            name: row.name,
            // The CHECK on the column lets no other word in.
            role: Role::named(&row.role).unwrap_or(Role::Reporter),
            authorised_on: row.authorised_on,
            qualified_on: row.qualified_on,
            hours_a_day: row.hours_a_day,
            closed: row.closed_at.is_some(),
        }
    }
}

pub struct NewPerson {
    pub sign_in_name: String,
    pub name: String,
    pub role: Role,
    pub password_hash: String,
    pub authorised_on: Option<Date>,
    pub qualified_on: Option<Date>,
    pub hours_a_day: Option<f64>,
}

pub async fn list(db: &Db) -> sqlx::Result<Vec<Person>> {
    const SQL: &str = "SELECT id, sign_in_name, name, role, authorised_on, qualified_on,
            hours_a_day, closed_at
        FROM people ORDER BY name, id";
    let rows: Vec<PersonRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    Ok(rows.into_iter().map(Person::from).collect())
}

pub async fn find(db: &Db, id: PersonId) -> sqlx::Result<Option<Person>> {
    const SQL: &str = "SELECT id, sign_in_name, name, role, authorised_on, qualified_on,
            hours_a_day, closed_at
        FROM people WHERE id = $1";
    let row: Option<PersonRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    Ok(row.map(Person::from))
}

/// The same inside a transaction.
pub async fn find_in(tx: &mut Tx, id: PersonId) -> sqlx::Result<Option<Person>> {
    const SQL: &str = "SELECT id, sign_in_name, name, role, authorised_on, qualified_on,
            hours_a_day, closed_at
        FROM people WHERE id = $1";
    let row: Option<PersonRow> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(id).fetch_optional(conn).await)?;
    Ok(row.map(Person::from))
}

/// The id and password hash of an open sign-in.
pub async fn credentials(db: &Db, sign_in_name: &str) -> sqlx::Result<Option<(PersonId, String)>> {
    const SQL: &str = "SELECT id, password_hash FROM people
        WHERE lower(sign_in_name) = $1 AND closed_at IS NULL";
    let name = sign_in_name.trim().to_ascii_lowercase();
    on_db!(db, pool => sqlx::query_as(SQL).bind(&name).fetch_optional(pool).await)
}

pub async fn insert(tx: &mut Tx, new: &NewPerson, at: Millis) -> sqlx::Result<PersonId> {
    const SQL: &str = "INSERT INTO people (sign_in_name, name, role, password_hash, authorised_on,
            qualified_on, hours_a_day, created_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(&new.sign_in_name)
        .bind(&new.name)
        .bind(new.role.word())
        .bind(&new.password_hash)
        .bind(new.authorised_on)
        .bind(new.qualified_on)
        .bind(new.hours_a_day)
        .bind(at)
        .fetch_one(conn)
        .await)
}

pub async fn add_session(
    tx: &mut Tx,
    token_hash: &str,
    person: PersonId,
    device: &str,
    at: Millis,
    ends_at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO sessions (token_hash, person_id, device, created_at, seen_at,
            ends_at)
        VALUES ($1, $2, $3, $4, $4, $5)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(token_hash)
        .bind(person)
        .bind(device)
        .bind(at)
        .bind(ends_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// The person of a session that has neither ended nor idled out, and when it was last seen.
pub async fn session_person(
    db: &Db,
    token_hash: &str,
    now: Millis,
    idle_since: Millis,
) -> sqlx::Result<Option<(Person, Millis)>> {
    const SQL: &str = "SELECT p.id, p.sign_in_name, p.name, p.role, p.authorised_on,
            p.qualified_on, p.hours_a_day, p.closed_at, s.seen_at
        FROM sessions s JOIN people p ON p.id = s.person_id
        WHERE s.token_hash = $1 AND s.ends_at > $2 AND s.seen_at > $3 AND p.closed_at IS NULL";
    #[derive(sqlx::FromRow)]
    struct Row {
        #[sqlx(flatten)]
        person: PersonRow,
        seen_at: i64,
    }
    let row: Option<Row> = on_db!(db, pool => sqlx::query_as(SQL)
        .bind(token_hash)
        .bind(now)
        .bind(idle_since)
        .fetch_optional(pool)
        .await)?;
    Ok(row.map(|row| (row.person.into(), row.seen_at)))
}

pub async fn touch_session(tx: &mut Tx, token_hash: &str, now: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE sessions SET seen_at = $2 WHERE token_hash = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(token_hash).bind(now).execute(conn).await.map(|_| ()))
}

pub async fn end_session(tx: &mut Tx, token_hash: &str) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM sessions WHERE token_hash = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(token_hash).execute(conn).await.map(|_| ()))
}

/// Whoever has this sign-in name, closed or not.
pub async fn find_by_sign_in(db: &Db, sign_in_name: &str) -> sqlx::Result<Option<PersonId>> {
    const SQL: &str = "SELECT id FROM people WHERE lower(sign_in_name) = $1";
    let name = sign_in_name.trim().to_ascii_lowercase();
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(&name).fetch_optional(pool).await)
}

pub async fn version(db: &Db, id: PersonId) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT version FROM people WHERE id = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(id).fetch_one(pool).await)
}

/// What can be changed of a person; the password has a statement of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct PersonChange {
    pub sign_in_name: String,
    pub name: String,
    pub role: Role,
    pub authorised_on: Option<Date>,
    pub qualified_on: Option<Date>,
    pub hours_a_day: Option<f64>,
}

/// `false` where somebody changed the person since `version`.
pub async fn update(
    tx: &mut Tx,
    id: PersonId,
    version: i64,
    change: &PersonChange,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE people SET sign_in_name = $3, name = $4, role = $5,
            authorised_on = $6, qualified_on = $7, hours_a_day = $8, version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let updated: Option<PersonId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(version)
        .bind(&change.sign_in_name)
        .bind(&change.name)
        .bind(change.role.word())
        .bind(change.authorised_on)
        .bind(change.qualified_on)
        .bind(change.hours_a_day)
        .fetch_optional(conn)
        .await)?;
    Ok(updated.is_some())
}

pub async fn set_role(tx: &mut Tx, id: PersonId, role: Role) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE people SET role = $2, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(role.word()).execute(conn).await.map(|_| ()))
}

/// A new password ends every session of the person.
pub async fn set_password(tx: &mut Tx, id: PersonId, hash: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE people SET password_hash = $2, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(hash).execute(conn).await.map(|_| ()))?;
    end_sessions(tx, id).await
}

/// The sign-in closes; what the person did stays.
pub async fn close(tx: &mut Tx, id: PersonId, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE people SET closed_at = COALESCE(closed_at, $2), version = version + 1
        WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(at).execute(conn).await.map(|_| ()))?;
    end_sessions(tx, id).await
}

pub async fn end_sessions(tx: &mut Tx, id: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM sessions WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).execute(conn).await.map(|_| ()))
}
