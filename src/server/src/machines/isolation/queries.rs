//! Energy sources and the revisions of isolation sheets in the database.

use super::form::{NewSheet, NewSource};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::machines::{MachineId, Source};
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

macro_rules! source_sql {
    ($rest:literal) => {
        concat!(
            "SELECT s.id, s.kind, s.name, s.magnitude, s.device, s.device_place, s.label_read, \
             s.locked_how, s.relieved_how, s.dead_test, s.circuit_id FROM energy_sources s ",
            $rest
        )
    };
}

/// So many of them, to see whether they are more than a list holds.
pub async fn first_sources(db: &Db, most: i64) -> sqlx::Result<Vec<Source>> {
    const SQL: &str = source_sql!(
        "WHERE s.id IN (SELECT id FROM energy_sources ORDER BY id LIMIT $1) ORDER BY s.name, s.id"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(most).fetch_all(pool).await)
}

pub async fn source(db: &Db, id: i64) -> sqlx::Result<Option<Source>> {
    const SQL: &str = source_sql!("WHERE s.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// Sources on the sheets of the machine, of those on its circuit and of those in its place.
pub async fn sources_near(db: &Db, machine: MachineId, most: i64) -> sqlx::Result<Vec<Source>> {
    const SQL: &str = source_sql!(
        "WHERE s.id IN (SELECT ss.source_id FROM isolation_sheet_sources ss
                JOIN isolation_sheets i ON i.id = ss.sheet_id
            WHERE i.machine_id IN (
                SELECT near.id FROM machines m JOIN machines near ON near.place_id = m.place_id
                WHERE m.id = $1
                UNION SELECT near.id FROM machines m
                    JOIN machines near ON near.circuit_id = m.circuit_id
                WHERE m.id = $1))
         ORDER BY s.name, s.id LIMIT $2"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).bind(most).fetch_all(pool).await)
}

/// Every source any sheet may name.
pub async fn all_sources(db: &Db) -> sqlx::Result<Vec<Source>> {
    const SQL: &str = "SELECT id, kind, name, magnitude, device, device_place, label_read,
            locked_how, relieved_how, dead_test, circuit_id
        FROM energy_sources ORDER BY name, id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Holds the machine's row, so that two new revisions wait for each other.
pub async fn hold(tx: &mut Tx, machine: MachineId) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE machines SET version = version WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(machine).execute(conn).await.map(|_| ()))
}

/// The newest revision; 0 where no sheet was written.
pub async fn newest(tx: &mut Tx, machine: MachineId) -> sqlx::Result<i64> {
    const SQL: &str =
        "SELECT COALESCE(MAX(revision), 0) FROM isolation_sheets WHERE machine_id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_one(conn).await)
}

pub async fn insert_source(tx: &mut Tx, new: &NewSource) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO energy_sources (kind, name, magnitude, device, device_place,
            label_read, locked_how, relieved_how, dead_test, circuit_id)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(&new.kind)
        .bind(&new.name)
        .bind(&new.magnitude)
        .bind(&new.device)
        .bind(&new.device_place)
        .bind(&new.label_read)
        .bind(&new.locked_how)
        .bind(&new.relieved_how)
        .bind(&new.dead_test)
        .bind(new.circuit_id)
        .fetch_one(conn)
        .await)
}

pub async fn insert_sheet(
    tx: &mut Tx,
    machine: MachineId,
    revision: i64,
    new: &NewSheet,
    at: Millis,
    by: PersonId,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO isolation_sheets (machine_id, revision, steps, made_at, made_by,
            tell_first, keys_needed, interlocks)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine)
        .bind(revision)
        .bind(&new.steps)
        .bind(at)
        .bind(by)
        .bind(&new.before.tell_first)
        .bind(&new.before.keys_needed)
        .bind(&new.before.interlocks)
        .fetch_one(conn)
        .await)
}

pub async fn add_source(tx: &mut Tx, sheet: i64, source: i64, position: i64) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO isolation_sheet_sources (sheet_id, source_id, position)
        VALUES ($1, $2, $3)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(sheet)
        .bind(source)
        .bind(position)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Notes an inspection on a sheet.
pub async fn inspect(tx: &mut Tx, sheet: i64, on: Date, by: &str) -> sqlx::Result<()> {
    const SQL: &str =
        "UPDATE isolation_sheets SET inspected_on = $2, inspected_by = $3 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(sheet).bind(on).bind(by).execute(conn).await
        .map(|_| ()))
}

/// Revision, when it was made and by whom, and its inspection.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Revision {
    pub revision: i64,
    pub made_at: i64,
    pub made_by: Option<String>,
    pub inspected_on: Option<Date>,
    pub inspected_by: String,
}

/// All revisions of a machine's sheet, newest first.
pub async fn revisions(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Revision>> {
    const SQL: &str = "SELECT s.revision, s.made_at, p.name AS made_by, s.inspected_on,
            s.inspected_by
        FROM isolation_sheets s LEFT JOIN people p ON p.id = s.made_by
        WHERE s.machine_id = $1 ORDER BY s.revision DESC";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}
