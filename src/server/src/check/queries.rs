//! What the check asks the database.

use crate::db::Db;
use crate::on_db;

/// How many migrations have been applied; an error where the table of them is missing.
pub async fn applied(db: &Db) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM _sqlx_migrations WHERE success";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await)
}
