//! What the check asks the database.

use crate::db::Db;
use crate::on_db;

/// What the database's own look at its file finds wrong; PostgreSQL has no such question.
pub async fn structure(db: &Db) -> sqlx::Result<Option<String>> {
    let Db::Sqlite { read, .. } = db else {
        return Ok(None);
    };
    let said: String = sqlx::query_scalar("PRAGMA quick_check(1)")
        .fetch_one(read)
        .await?;
    Ok((said != "ok").then_some(said))
}

/// Child, parent, and how many rows of the child name nothing.
pub async fn broken_references(db: &Db) -> sqlx::Result<Vec<(String, String, i64)>> {
    match db {
        Db::Sqlite { read, .. } => {
            const SQL: &str = "SELECT \"table\", parent, count(*) FROM pragma_foreign_key_check \
                GROUP BY \"table\", parent ORDER BY \"table\", parent";
            sqlx::query_as(SQL).fetch_all(read).await
        }
        Db::Postgres(pool) => broken_on_postgres(pool).await,
    }
}

/// PostgreSQL has no question for it, so each reference of one column is asked for itself; the
/// names come from its catalogue.
async fn broken_on_postgres(pool: &sqlx::PgPool) -> sqlx::Result<Vec<(String, String, i64)>> {
    const LINKS: &str = "SELECT CAST(c.relname AS TEXT), CAST(a.attname AS TEXT), \
        CAST(p.relname AS TEXT), CAST(b.attname AS TEXT) \
        FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid \
        JOIN pg_class p ON p.oid = k.confrelid JOIN pg_namespace n ON n.oid = c.relnamespace \
        JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = k.conkey[1] \
        JOIN pg_attribute b ON b.attrelid = p.oid AND b.attnum = k.confkey[1] \
        WHERE k.contype = 'f' AND cardinality(k.conkey) = 1 AND n.nspname = current_schema() \
        ORDER BY 1, 3, 2";
    let links: Vec<(String, String, String, String)> =
        sqlx::query_as(LINKS).fetch_all(pool).await?;
    let mut broken = Vec::new();
    for (child, column, parent, key) in links {
        let sql = format!(
            "SELECT count(*) FROM \"{child}\" c WHERE c.\"{column}\" IS NOT NULL AND NOT EXISTS \
             (SELECT 1 FROM \"{parent}\" p WHERE p.\"{key}\" = c.\"{column}\")"
        );
        let rows: i64 = sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
            .fetch_one(pool)
            .await?;
        if rows > 0 {
            broken.push((child, parent, rows));
        }
    }
    Ok(broken)
}

pub async fn entries(db: &Db) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM entries";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await)
}

pub async fn entries_without_job(db: &Db) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT count(*) FROM entries e \
        WHERE NOT EXISTS (SELECT 1 FROM jobs j WHERE j.id = e.job_id)";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await)
}

/// The first few of them.
pub async fn jobs_without_entries(db: &Db) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "SELECT j.id FROM jobs j \
        WHERE NOT EXISTS (SELECT 1 FROM entries e WHERE e.job_id = j.id) ORDER BY j.id LIMIT 20";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_all(pool).await)
}

/// Jobs that lost an entry: the first few of them.
pub async fn jobs_with_gaps(db: &Db) -> sqlx::Result<Vec<i64>> {
    const SQL: &str = "SELECT job_id FROM entries GROUP BY job_id \
        HAVING max(number) <> count(*) OR min(number) <> 1 ORDER BY job_id LIMIT 20";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_all(pool).await)
}

pub async fn last_entry_at(db: &Db) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT max(received_at) FROM entries";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await)
}
