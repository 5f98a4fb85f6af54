//! The one place with SQL of its own for each database: full text is SQLite's FTS5 here and
//! PostgreSQL's `tsvector` there. Newest first, so that a common word is answered from the end of
//! the list and never sorted.

use super::terms::Terms;
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::on_db;

/// One index: its statement for SQLite and for PostgreSQL.
#[derive(Clone, Copy, Debug)]
pub struct Index {
    sqlite: &'static str,
    postgres: &'static str,
}

macro_rules! index {
    ($table:literal) => {
        Index {
            sqlite: concat!(
                "SELECT rowid FROM ",
                $table,
                " WHERE ",
                $table,
                " MATCH $1 ORDER BY rowid DESC LIMIT $2"
            ),
            postgres: concat!(
                "SELECT id FROM ",
                $table,
                " WHERE words @@ CAST(search_fold($1) AS tsquery) ORDER BY id DESC LIMIT $2"
            ),
        }
    };
}

pub const MACHINES: Index = index!("search_machines");
pub const JOBS: Index = index!("search_jobs");
pub const MOTORS: Index = index!("search_motors");
pub const PANELS: Index = index!("search_panels");

/// The newest rows with all words; where they are few, also those whose last word only begins so.
pub async fn ids(db: &Db, index: Index, terms: &Terms, limit: i64) -> sqlx::Result<Vec<i64>> {
    if terms.is_empty() {
        return Ok(Vec::new());
    }
    let whole = matching(db, index, terms, false, limit).await?;
    if i64::try_from(whole.len()).is_ok_and(|found| found >= limit) {
        return Ok(whole);
    }
    let mut all = matching(db, index, terms, true, limit).await?;
    all.retain(|id| !whole.contains(id));
    all.splice(0..0, whole);
    all.truncate(usize::try_from(limit).unwrap_or(0));
    Ok(all)
}

async fn matching(
    db: &Db,
    index: Index,
    terms: &Terms,
    begins: bool,
    limit: i64,
) -> sqlx::Result<Vec<i64>> {
    match db {
        Db::Sqlite { read, .. } => {
            sqlx::query_scalar(index.sqlite)
                .bind(terms.fts5(begins))
                .bind(limit)
                .fetch_all(read)
                .await
        }
        Db::Postgres(pool) => {
            sqlx::query_scalar(index.postgres)
                .bind(terms.tsquery(begins))
                .bind(limit)
                .fetch_all(pool)
                .await
        }
    }
}

macro_rules! by_key {
    ($which:literal) => {
        concat!(
            "SELECT id FROM machines WHERE replace(replace(replace(replace(replace(replace( \
             replace(replace(lower(tag), '-', ''), ' ', ''), '.', ''), '/', ''), '_', ''), \
             'o', '0'), 'i', '1'), 'l', '1') ",
            $which,
            " ORDER BY id LIMIT 10"
        )
    };
}

/// Machines whose tag has one of these keys.
pub async fn with_keys(db: &Db, keys: &[String]) -> sqlx::Result<Vec<MachineId>> {
    const SQLITE: &str = by_key!("IN (SELECT value FROM json_each($1))");
    const POSTGRES: &str = by_key!("= ANY ($1)");
    if keys.is_empty() {
        return Ok(Vec::new());
    }
    match db {
        Db::Sqlite { read, .. } => {
            let list = serde_json::to_string(keys).map_err(|e| sqlx::Error::Encode(e.into()))?;
            sqlx::query_scalar(SQLITE).bind(list).fetch_all(read).await
        }
        Db::Postgres(pool) => {
            sqlx::query_scalar(POSTGRES)
                .bind(keys)
                .fetch_all(pool)
                .await
        }
    }
}

/// A panel or motor that was found: its name and what else there is to tell it by.
pub async fn motor(db: &Db, id: i64) -> sqlx::Result<Option<(String, String)>> {
    const SQL: &str = "SELECT name, plate_text FROM motors WHERE id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// Writes every index anew, from the views that the triggers use.
pub async fn rebuild(tx: &mut Tx) -> sqlx::Result<()> {
    const SQLITE: &str = "DELETE FROM search_machines;
        INSERT INTO search_machines (rowid, words) SELECT id, words FROM search_machine_words;
        DELETE FROM search_jobs;
        INSERT INTO search_jobs (rowid, words) SELECT id, words FROM search_job_words;
        DELETE FROM search_motors;
        INSERT INTO search_motors (rowid, words) SELECT id, words FROM search_motor_words;
        DELETE FROM search_panels;
        INSERT INTO search_panels (rowid, words) SELECT id, words FROM search_panel_words;";
    const POSTGRES: &str = "TRUNCATE search_machines, search_jobs, search_motors, search_panels;
        INSERT INTO search_machines SELECT id, search_vector(words) FROM search_machine_words;
        INSERT INTO search_jobs SELECT id, search_vector(words) FROM search_job_words;
        INSERT INTO search_motors SELECT id, search_vector(words) FROM search_motor_words;
        INSERT INTO search_panels SELECT id, search_vector(words) FROM search_panel_words;";
    match tx {
        Tx::Sqlite(tx) => sqlx::raw_sql(SQLITE).execute(&mut **tx).await.map(|_| ()),
        Tx::Postgres(tx) => sqlx::raw_sql(POSTGRES).execute(&mut **tx).await.map(|_| ()),
    }
}
