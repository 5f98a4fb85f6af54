//! People and sessions in the database.

use super::kind::Kind;
use super::{Person, PersonId, Role, factor, links, tablet};
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

/// A session that begins.
pub struct Begun<'a> {
    pub token_hash: &'a str,
    pub person: PersonId,
    pub device: &'a str,
    pub address: &'a str,
    pub kind: Kind,
    pub tablet: Option<i64>,
    pub at: Millis,
    pub ends_at: Millis,
}

pub async fn add_session(tx: &mut Tx, begun: &Begun<'_>) -> sqlx::Result<()> {
    const SQL: &str =
        "INSERT INTO sessions (token_hash, person_id, device, address, kind, tablet_id,
            created_at, seen_at, ends_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $7, $8)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(begun.token_hash)
        .bind(begun.person)
        .bind(begun.device)
        .bind(begun.address)
        .bind(begun.kind.word())
        .bind(begun.tablet)
        .bind(begun.at)
        .bind(begun.ends_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Whose session it is.
pub struct Found {
    pub person: Person,
    pub kind: Kind,
    pub seen_at: Millis,
    /// Of the shop's settings, read with it so that every process sees a change at once.
    pub shop_version: i64,
}

/// The person of a session that has neither ended nor idled out: full, to be set up, and by PIN each
/// since an instant of its own.
pub async fn session_person(
    db: &Db,
    token_hash: &str,
    now: Millis,
    idle_since: [Millis; 3],
) -> sqlx::Result<Option<Found>> {
    const SQL: &str = "SELECT p.id, p.sign_in_name, p.name, p.role, p.authorised_on,
            p.qualified_on, p.hours_a_day, p.closed_at, s.seen_at, s.kind,
            COALESCE((SELECT version FROM shop WHERE id = 1), 0) AS shop_version
        FROM sessions s JOIN people p ON p.id = s.person_id
        WHERE s.token_hash = $1 AND s.ends_at > $2 AND p.closed_at IS NULL AND s.seen_at >
            CASE s.kind WHEN 'full' THEN CAST($3 AS BIGINT) WHEN 'factor' THEN CAST($4 AS BIGINT)
            ELSE CAST($5 AS BIGINT) END";
    #[derive(sqlx::FromRow)]
    struct Row {
        #[sqlx(flatten)]
        person: PersonRow,
        kind: String,
        seen_at: i64,
        shop_version: i64,
    }
    let [full, factor, pin] = idle_since;
    let row: Option<Row> = on_db!(db, pool => sqlx::query_as(SQL)
        .bind(token_hash)
        .bind(now)
        .bind(full)
        .bind(factor)
        .bind(pin)
        .fetch_optional(pool)
        .await)?;
    Ok(row.map(|row| Found {
        person: row.person.into(),
        kind: Kind::named(&row.kind),
        seen_at: row.seen_at,
        shop_version: row.shop_version,
    }))
}

pub async fn touch_session(
    tx: &mut Tx,
    token_hash: &str,
    address: &str,
    now: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE sessions SET seen_at = $2, address = $3 WHERE token_hash = $1";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(token_hash).bind(now).bind(address).execute(conn).await.map(|_| ()))
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

/// A new password ends every session of the person, links, PINs and sign-ins half way.
pub async fn set_password(tx: &mut Tx, id: PersonId, hash: &str, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE people SET password_hash = $2, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(hash).execute(conn).await.map(|_| ()))?;
    end_ways_in(tx, id, at).await
}

/// The sign-in closes; what the person did stays.
pub async fn close(tx: &mut Tx, id: PersonId, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE people SET closed_at = COALESCE(closed_at, $2), version = version + 1
        WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).bind(at).execute(conn).await.map(|_| ()))?;
    end_ways_in(tx, id, at).await
}

async fn end_ways_in(tx: &mut Tx, id: PersonId, at: Millis) -> sqlx::Result<()> {
    links::queries::end_all(tx, id, at).await?;
    tablet::queries::drop_pins_of(tx, id).await?;
    factor::queries::end_begun(tx, id).await?;
    end_sessions(tx, id).await
}

pub async fn end_sessions(tx: &mut Tx, id: PersonId) -> sqlx::Result<()> {
    const SQL: &str = "DELETE FROM sessions WHERE person_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(id).execute(conn).await.map(|_| ()))
}
