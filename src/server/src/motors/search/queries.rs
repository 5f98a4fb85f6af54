//! The search columns in the database. Their names are calc's, never anything typed.

use crate::db::{Db, Tx};
use crate::motors::MotorId;
use crate::{on_db, on_tx};
use calc::fit::{Column, REVISION, Traits};
use sqlx::{AssertSqlSafe, QueryBuilder};
use std::sync::LazyLock;

static WRITE: LazyLock<String> = LazyLock::new(|| {
    let mut sql = "UPDATE motor_search SET revision = $2, stamp = $3, listing = $4".to_owned();
    for (at, column) in Column::ALL.iter().enumerate() {
        sql += &format!(", {} = ${}", column.name(), at + 6);
    }
    sql + " WHERE motor_id = $1 AND ($5 < 0 OR changed = $5)"
});

/// Writes a row; with `changed`, only where the plate is still the one that was read.
pub async fn write(
    tx: &mut Tx,
    id: MotorId,
    traits: &Traits,
    stamp: i64,
    changed: Option<i64>,
) -> sqlx::Result<()> {
    on_tx!(tx, conn => {
        let mut query = sqlx::query(AssertSqlSafe(WRITE.as_str()))
            .bind(id)
            .bind(REVISION)
            .bind(stamp)
            .bind(&traits.listing)
            .bind(changed.unwrap_or(-1));
        for column in Column::ALL {
            query = query.bind(traits.get(*column));
        }
        query.execute(conn).await.map(|_| ())
    })
}

static ROWS: LazyLock<String> = LazyLock::new(|| {
    let names = Column::ALL.iter().map(|column| column.name());
    let names: Vec<&str> = names.collect();
    let names = names.join(", ");
    format!("INSERT INTO motor_search (motor_id, revision, stamp, listing, {names}) ")
});

static OVER: LazyLock<String> = LazyLock::new(|| {
    let mut sql = " ON CONFLICT (motor_id) DO UPDATE SET revision = excluded.revision, \
        stamp = excluded.stamp, listing = excluded.listing"
        .to_owned();
    for column in Column::ALL {
        sql += &format!(", {0} = excluded.{0}", column.name());
    }
    sql
});

/// Writes the rows of motors whose plates were just written.
pub async fn write_many(tx: &mut Tx, rows: &[(MotorId, Traits, i64)]) -> sqlx::Result<()> {
    on_tx!(tx, conn => {
        let mut sql = QueryBuilder::new(ROWS.as_str());
        sql.push_values(rows, |mut row, (id, traits, stamp)| {
            row.push_bind(*id)
                .push_bind(REVISION)
                .push_bind(*stamp)
                .push_bind(&traits.listing);
            for column in Column::ALL {
                row.push_bind(traits.get(*column));
            }
        });
        sql.push(OVER.as_str());
        sql.build().execute(conn).await.map(|_| ())
    })
}

/// A motor whose columns are blank or made another way.
#[derive(sqlx::FromRow)]
pub struct Blank {
    pub id: MotorId,
    pub plate: String,
    pub changed: i64,
}

pub async fn blank(db: &Db, most: i64) -> sqlx::Result<Vec<Blank>> {
    const SQL: &str = "SELECT m.id, m.plate, s.changed
        FROM motor_search s JOIN motors m ON m.id = s.motor_id
        WHERE s.revision IS NULL OR s.revision < $1 OR s.revision > $1
        ORDER BY s.motor_id LIMIT $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(REVISION).bind(most).fetch_all(pool).await)
}
