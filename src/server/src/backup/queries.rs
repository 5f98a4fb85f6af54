//! What became of backups, and the lock that lets one process make them.

use super::Tried;
use crate::db::Db;
use crate::on_db;
use std::collections::BTreeSet;

/// Held while a backup is made; the connection, and the lock with it, ends with this.
#[derive(Debug)]
pub enum Alone {
    /// One server writes such a file.
    Sqlite,
    Postgres(sqlx::pool::PoolConnection<sqlx::Postgres>),
}

/// `None` while another process makes one.
pub async fn try_alone(db: &Db) -> sqlx::Result<Option<Alone>> {
    // Any number that nothing else in the database uses; a second one for the schema.
    const SQL: &str = "SELECT pg_try_advisory_lock(1650553701, hashtext(current_schema()))";
    match db {
        Db::Sqlite { .. } => Ok(Some(Alone::Sqlite)),
        Db::Postgres(pool) => {
            let mut conn = pool.acquire().await?;
            conn.close_on_drop();
            let mine: bool = sqlx::query_scalar(SQL).fetch_one(&mut *conn).await?;
            Ok(mine.then_some(Alone::Postgres(conn)))
        }
    }
}

pub async fn note(db: &Db, tried: &Tried) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO backups (tried_at, file, bytes, row_count, problem) \
        VALUES ($1, $2, $3, $4, $5)";
    let mut tx = db.begin_write().await?;
    crate::on_tx!(&mut tx, conn => {
        let asked = sqlx::query(SQL).bind(tried.tried_at).bind(&tried.file);
        let asked = asked.bind(tried.bytes).bind(tried.row_count).bind(&tried.problem);
        asked.execute(conn).await.map(|_| ())
    })?;
    tx.commit().await
}

/// The last one that was tried, in the order of trying: the clock may have been wrong.
pub async fn last(db: &Db) -> sqlx::Result<Option<Tried>> {
    const SQL: &str = "SELECT tried_at, file, bytes, row_count, problem FROM backups \
        ORDER BY id DESC LIMIT 1";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_optional(pool).await)
}

/// The last one that is whole.
pub async fn last_good(db: &Db) -> sqlx::Result<Option<Tried>> {
    const SQL: &str = "SELECT tried_at, file, bytes, row_count, problem FROM backups \
        WHERE problem IS NULL ORDER BY id DESC LIMIT 1";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_optional(pool).await)
}

/// The latest ones, newest first.
pub async fn latest(db: &Db) -> sqlx::Result<Vec<Tried>> {
    const SQL: &str = "SELECT tried_at, file, bytes, row_count, problem FROM backups \
        ORDER BY id DESC LIMIT 30";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// The migrations that were applied; none where nothing was ever laid.
pub async fn applied(db: &Db) -> sqlx::Result<BTreeSet<i64>> {
    const SQLITE: &str = "SELECT count(*) FROM sqlite_master WHERE name = '_sqlx_migrations'";
    const POSTGRES: &str = "SELECT count(*) FROM information_schema.tables \
        WHERE table_schema = current_schema() AND table_name = '_sqlx_migrations'";
    const SQL: &str = "SELECT version FROM _sqlx_migrations WHERE success";
    let there: i64 = match db {
        Db::Sqlite { read, .. } => sqlx::query_scalar(SQLITE).fetch_one(read).await?,
        Db::Postgres(pool) => sqlx::query_scalar(POSTGRES).fetch_one(pool).await?,
    };
    if there == 0 {
        return Ok(BTreeSet::new());
    }
    let rows: Vec<i64> = on_db!(db, pool => sqlx::query_scalar(SQL).fetch_all(pool).await)?;
    Ok(rows.into_iter().collect())
}
