//! The audit list in the database.

use super::Line;
use crate::clock::Millis;
use crate::db::Tx;
use crate::on_tx;
use crate::people::PersonId;
use sqlx::QueryBuilder;

pub async fn insert(
    tx: &mut Tx,
    at: Millis,
    person: Option<PersonId>,
    (thing, id): (&str, i64),
    act: &str,
    detail: &str,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO audit (at, person_id, thing, thing_id, act, detail)
        VALUES ($1, $2, $3, $4, $5, $6)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(at)
        .bind(person)
        .bind(thing)
        .bind(id)
        .bind(act)
        .bind(detail)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn insert_many(
    tx: &mut Tx,
    at: Millis,
    person: Option<PersonId>,
    lines: &[Line],
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO audit (at, person_id, thing, thing_id, act, detail) ";
    on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(SQL);
        sql.push_values(lines, |mut row, line| {
            row.push_bind(at)
                .push_bind(person)
                .push_bind(line.thing)
                .push_bind(line.id)
                .push_bind(line.act)
                .push_bind(&line.detail);
        });
        sql.build().execute(conn).await.map(|_| ())
    })
}
