//! The search columns in the database. Their names are calc's, never anything typed.

use crate::db::{Db, Tx};
use crate::motors::MotorId;
use crate::{on_db, on_tx};
use calc::fit::{Column, REVISION, Traits};
use sqlx::AssertSqlSafe;
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
