//! Hours, absences and skills in the database. Nothing is overwritten but hours; the rest is withdrawn.

use super::{Absence, Skill};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

/// Person, weekday from 1 Monday, minutes.
pub async fn hours(db: &Db) -> sqlx::Result<Vec<(i64, i64, i64)>> {
    const SQL: &str = "SELECT person_id, weekday, minutes FROM work_hours";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn absences(db: &Db, from: Date) -> sqlx::Result<Vec<Absence>> {
    const SQL: &str = "SELECT id, person_id, from_on, until_on, why FROM absences
        WHERE until_on >= $1 AND withdrawn_at IS NULL ORDER BY from_on, id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(from).fetch_all(pool).await)
}

pub async fn skills(db: &Db) -> sqlx::Result<Vec<Skill>> {
    const SQL: &str = "SELECT id, person_id, skill, valid_from, valid_until FROM person_skills
        WHERE withdrawn_at IS NULL ORDER BY lower(skill), id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// One person's skills, inside a write.
pub async fn skills_in(tx: &mut Tx, person: PersonId) -> sqlx::Result<Vec<Skill>> {
    const SQL: &str = "SELECT id, person_id, skill, valid_from, valid_until FROM person_skills
        WHERE person_id = $1 AND withdrawn_at IS NULL ORDER BY id";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(person).fetch_all(conn).await)
}

/// Needs (JSON) and steps of the plan that a job was made of.
pub async fn asks_in(tx: &mut Tx, job: JobId) -> sqlx::Result<Option<(String, String)>> {
    const SQL: &str = "SELECT pl.needs, pl.steps FROM jobs j
        JOIN due_items d ON d.id = j.due_item_id JOIN plans pl ON pl.id = d.plan_id
        WHERE j.id = $1";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(job).fetch_optional(conn).await)
}

pub async fn set_hours(
    tx: &mut Tx,
    person: PersonId,
    weekday: i64,
    minutes: Option<i64>,
) -> sqlx::Result<()> {
    const BLANK: &str = "DELETE FROM work_hours WHERE person_id = $1 AND weekday = $2";
    const SET: &str = "INSERT INTO work_hours (person_id, weekday, minutes) VALUES ($1, $2, $3)
        ON CONFLICT (person_id, weekday) DO UPDATE SET minutes = excluded.minutes";
    match minutes {
        None => on_tx!(tx, conn => sqlx::query(BLANK).bind(person).bind(weekday)
            .execute(conn).await.map(|_| ())),
        Some(minutes) => on_tx!(tx, conn => sqlx::query(SET).bind(person).bind(weekday)
            .bind(minutes).execute(conn).await.map(|_| ())),
    }
}

pub async fn insert_absence(
    tx: &mut Tx,
    person: PersonId,
    (from, until): (Date, Date),
    why: &str,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO absences (person_id, from_on, until_on, why, noted_at)
        VALUES ($1, $2, $3, $4, $5)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(from).bind(until).bind(why).bind(at)
        .execute(conn).await.map(|_| ()))
}

pub async fn insert_skill(
    tx: &mut Tx,
    person: PersonId,
    skill: &str,
    (from, until): (Date, Option<Date>),
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str =
        "INSERT INTO person_skills (person_id, skill, valid_from, valid_until, noted_at)
        VALUES ($1, $2, $3, $4, $5)";
    on_tx!(tx, conn => sqlx::query(SQL).bind(person).bind(skill).bind(from).bind(until).bind(at)
        .execute(conn).await.map(|_| ()))
}

/// False where it is not this person's or was withdrawn already.
pub async fn withdraw_absence(
    tx: &mut Tx,
    person: PersonId,
    id: i64,
    at: Millis,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE absences SET withdrawn_at = $3
        WHERE id = $1 AND person_id = $2 AND withdrawn_at IS NULL RETURNING id";
    let row: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(id).bind(person).bind(at)
        .fetch_optional(conn).await)?;
    Ok(row.is_some())
}

pub async fn withdraw_skill(
    tx: &mut Tx,
    person: PersonId,
    id: i64,
    at: Millis,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE person_skills SET withdrawn_at = $3
        WHERE id = $1 AND person_id = $2 AND withdrawn_at IS NULL RETURNING id";
    let row: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(id).bind(person).bind(at)
        .fetch_optional(conn).await)?;
    Ok(row.is_some())
}
