//! Statements over tables that the schema names. Names come from the program's own list and from
//! the database's catalogue, never from a file.

use super::schema::{self, Column, Kind};
use super::{Failure, stopped};
use crate::db::{Db, Tx};
use sqlx::{AssertSqlSafe, Executor, PgConnection, Row, SqliteConnection};
use std::collections::BTreeMap;
use tokio::sync::mpsc::Sender;

#[derive(Debug, sqlx::FromRow)]
pub struct ColumnRow {
    pub name: String,
    pub declared: String,
    pub nullable: bool,
    pub in_key: bool,
}

const SQLITE_TABLES: &str = "SELECT name FROM pragma_table_list \
    WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' \
    AND name <> '_sqlx_migrations' ORDER BY name";
const POSTGRES_TABLES: &str = "SELECT CAST(table_name AS TEXT) FROM information_schema.tables \
    WHERE table_schema = current_schema() AND table_type = 'BASE TABLE' \
    AND table_name <> '_sqlx_migrations' ORDER BY table_name";

const SQLITE_COLUMNS: &str = "SELECT name, type AS declared, \
    (\"notnull\" = 0 AND pk = 0) AS nullable, pk > 0 AS in_key \
    FROM pragma_table_info($1) ORDER BY cid";
const POSTGRES_COLUMNS: &str = "SELECT CAST(c.column_name AS TEXT) AS name, \
    CAST(c.data_type AS TEXT) AS declared, c.is_nullable = 'YES' AS nullable, \
    EXISTS (SELECT 1 FROM information_schema.key_column_usage k \
        JOIN information_schema.table_constraints t ON t.constraint_name = k.constraint_name \
            AND t.table_schema = k.table_schema AND t.table_name = k.table_name \
        WHERE t.constraint_type = 'PRIMARY KEY' AND k.table_schema = c.table_schema \
            AND k.table_name = c.table_name AND k.column_name = c.column_name) AS in_key \
    FROM information_schema.columns c \
    WHERE c.table_schema = current_schema() AND c.table_name = $1 AND c.is_generated = 'NEVER' \
    ORDER BY c.ordinal_position";

/// Every table of the schema, made by migrations.
pub async fn tables_of(db: &Db) -> sqlx::Result<Vec<String>> {
    match db {
        Db::Sqlite { read, .. } => sqlx::query_scalar(SQLITE_TABLES).fetch_all(read).await,
        Db::Postgres(pool) => sqlx::query_scalar(POSTGRES_TABLES).fetch_all(pool).await,
    }
}

pub async fn columns(db: &Db, table: &str) -> Result<Vec<Column>, Failure> {
    let rows: Vec<ColumnRow> = match db {
        Db::Sqlite { read, .. } => {
            let asked = sqlx::query_as(SQLITE_COLUMNS).bind(table);
            asked.fetch_all(read).await?
        }
        Db::Postgres(pool) => {
            let asked = sqlx::query_as(POSTGRES_COLUMNS).bind(table);
            asked.fetch_all(pool).await?
        }
    };
    if rows.is_empty() {
        return Err(Failure::Refused(format!("There is no table {table} here.")));
    }
    rows.into_iter().map(Column::read).collect()
}

/// The newest migration that was applied.
pub async fn schema_version(db: &Db) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT max(version) FROM _sqlx_migrations";
    crate::on_db!(db, pool => sqlx::query_scalar(SQL).fetch_one(pool).await)
}

/// Set up, or with people in it: not a shop to read an archive into.
pub async fn in_use(tx: &mut Tx) -> sqlx::Result<bool> {
    // Tables of the first schema; without a shop nothing else can be there.
    const SQL: &str = "SELECT (SELECT count(*) FROM shop) + (SELECT count(*) FROM people)";
    let rows: i64 = crate::on_tx!(tx, conn => sqlx::query_scalar(SQL).fetch_one(conn).await)?;
    Ok(rows > 0)
}

/// One read transaction in which the whole archive is read.
pub enum Snapshot {
    Sqlite(sqlx::pool::PoolConnection<sqlx::Sqlite>),
    Postgres(sqlx::pool::PoolConnection<sqlx::Postgres>),
}

impl Snapshot {
    pub async fn begin(db: &Db) -> sqlx::Result<Self> {
        Ok(match db {
            Db::Sqlite { read, .. } => {
                let mut conn = read.acquire().await?;
                // Never given back: a download broken off must not leave its snapshot open.
                conn.close_on_drop();
                conn.execute("BEGIN").await?;
                Snapshot::Sqlite(conn)
            }
            Db::Postgres(pool) => {
                let mut conn = pool.acquire().await?;
                conn.close_on_drop();
                conn.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
                    .await?;
                Snapshot::Postgres(conn)
            }
        })
    }

    /// The last numbers given, by table.
    pub async fn last_numbers(&mut self) -> sqlx::Result<BTreeMap<String, i64>> {
        const SQLITE: &str = "SELECT name, seq FROM sqlite_sequence WHERE seq > 0";
        const POSTGRES: &str = "SELECT CAST(c.relname AS TEXT), s.last_value \
            FROM pg_sequences s JOIN pg_class q ON q.relname = s.sequencename \
            JOIN pg_namespace n ON n.oid = q.relnamespace AND n.nspname = s.schemaname \
            JOIN pg_depend d ON d.objid = q.oid AND d.deptype IN ('a', 'i') \
                AND d.classid = 'pg_class'::regclass \
            JOIN pg_class c ON c.oid = d.refobjid \
            WHERE s.schemaname = current_schema() AND s.last_value IS NOT NULL";
        let rows: Vec<(String, i64)> = match self {
            Snapshot::Sqlite(conn) => sqlx::query_as(SQLITE).fetch_all(&mut **conn).await?,
            Snapshot::Postgres(conn) => sqlx::query_as(POSTGRES).fetch_all(&mut **conn).await?,
        };
        Ok(rows
            .into_iter()
            .filter(|(table, _)| schema::carried(table).is_some())
            .collect())
    }

    /// Sends every row of a table, as cells.
    pub async fn rows(
        &mut self,
        sql: String,
        columns: &[Column],
        to: &Sender<super::write::Piece>,
    ) -> Result<(), Failure> {
        match self {
            Snapshot::Sqlite(conn) => sqlite_rows(conn, sql, columns, to).await,
            Snapshot::Postgres(conn) => postgres_rows(conn, sql, columns, to).await,
        }
    }
}

/// One text for both: their row types differ, what is asked of them does not.
macro_rules! send_rows {
    ($name:ident, $conn:ty) => {
        async fn $name(
            conn: &mut $conn,
            sql: String,
            columns: &[Column],
            to: &Sender<super::write::Piece>,
        ) -> Result<(), Failure> {
            let mut rows = sqlx::query(AssertSqlSafe(sql)).fetch(conn);
            let mut batch = Vec::new();
            while let Some(row) = futures_util::TryStreamExt::try_next(&mut rows).await? {
                let mut cells = Vec::with_capacity(columns.len());
                for (i, column) in columns.iter().enumerate() {
                    let value = match column.kind {
                        Kind::Real => row.try_get::<Option<f64>, _>(i)?.map(|n| n.to_string()),
                        _ => row.try_get::<Option<String>, _>(i)?,
                    };
                    cells.push(column.cell(value));
                }
                batch.push(cells);
                if batch.len() == 64 {
                    let full = std::mem::take(&mut batch);
                    to.send(super::write::Piece::Rows(full))
                        .await
                        .map_err(stopped)?;
                }
            }
            to.send(super::write::Piece::Rows(batch))
                .await
                .map_err(stopped)
        }
    };
}
send_rows!(sqlite_rows, SqliteConnection);
send_rows!(postgres_rows, PgConnection);

const POSTGRES_LINKS: &str = "SELECT CAST(c.relname AS TEXT), CAST(k.conname AS TEXT) \
    FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid \
    JOIN pg_namespace n ON n.oid = c.relnamespace \
    WHERE k.contype = 'f' AND n.nspname = current_schema()";

/// References are judged at the end, since some go in circles.
pub async fn defer_references(tx: &mut Tx) -> sqlx::Result<()> {
    match tx {
        Tx::Sqlite(tx) => {
            tx.execute("PRAGMA defer_foreign_keys = ON").await?;
        }
        Tx::Postgres(tx) => {
            alter_links(tx, "DEFERRABLE INITIALLY DEFERRED").await?;
        }
    }
    Ok(())
}

/// Judges them and puts the schema back as it was; SQLite does both at the commit.
pub async fn judge_references(tx: &mut Tx) -> sqlx::Result<()> {
    if let Tx::Postgres(tx) = tx {
        tx.execute("SET CONSTRAINTS ALL IMMEDIATE").await?;
        alter_links(tx, "NOT DEFERRABLE").await?;
    }
    Ok(())
}

async fn alter_links(conn: &mut PgConnection, how: &str) -> sqlx::Result<()> {
    let links: Vec<(String, String)> = sqlx::query_as(POSTGRES_LINKS).fetch_all(&mut *conn).await?;
    for (table, link) in links {
        let sql = format!("ALTER TABLE \"{table}\" ALTER CONSTRAINT \"{link}\" {how}");
        sqlx::raw_sql(AssertSqlSafe(sql))
            .execute(&mut *conn)
            .await?;
    }
    Ok(())
}

/// Takes out what migrations put into a new database: the archive has it, or has it otherwise.
pub async fn empty(tx: &mut Tx, table: &'static str) -> sqlx::Result<()> {
    let sql = AssertSqlSafe(format!("DELETE FROM \"{table}\""));
    crate::on_tx!(tx, conn => sqlx::query(sql).execute(conn).await.map(|_| ()))
}

/// Binds every value and runs; the statement has a place for each.
pub async fn insert(
    tx: &mut Tx,
    table: &str,
    columns: &[Column],
    rows: &[Vec<Option<String>>],
) -> Result<(), Failure> {
    let postgres = matches!(tx, Tx::Postgres(_));
    let sql = schema::insert(table, columns, rows.len(), postgres);
    macro_rules! run {
        ($conn:expr) => {{
            let mut query = sqlx::query(AssertSqlSafe(sql));
            for row in rows {
                for (column, value) in columns.iter().zip(row) {
                    query = match column.kind {
                        Kind::Real => query.bind(number(value.as_deref())?),
                        _ => query.bind(value.as_deref()),
                    };
                }
            }
            query.execute($conn).await?;
        }};
    }
    match tx {
        Tx::Sqlite(tx) => run!(&mut **tx),
        Tx::Postgres(tx) => run!(&mut **tx),
    }
    Ok(())
}

fn number(text: Option<&str>) -> Result<Option<f64>, Failure> {
    let unreadable = |_| Failure::refused("A number of the archive cannot be read.");
    text.map(|text| text.parse::<f64>().map_err(unreadable))
        .transpose()
}

/// The next row gets the number after this.
pub async fn go_on_from(tx: &mut Tx, table: &str, number: i64) -> sqlx::Result<()> {
    match tx {
        Tx::Sqlite(tx) => {
            sqlx::query("DELETE FROM sqlite_sequence WHERE name = $1")
                .bind(table)
                .execute(&mut **tx)
                .await?;
            sqlx::query("INSERT INTO sqlite_sequence (name, seq) VALUES ($1, $2)")
                .bind(table)
                .bind(number)
                .execute(&mut **tx)
                .await?;
        }
        Tx::Postgres(tx) => {
            sqlx::query("SELECT setval(pg_get_serial_sequence($1, 'id'), $2)")
                .bind(table)
                .bind(number)
                .execute(&mut **tx)
                .await?;
        }
    }
    Ok(())
}

/// The hashes of all photos that rows name.
pub async fn photo_names(snapshot: &mut Snapshot) -> sqlx::Result<Vec<String>> {
    const SQL: &str = "SELECT sha FROM photos UNION SELECT thumb FROM photos
        UNION SELECT sha FROM thing_photos UNION SELECT thumb FROM thing_photos ORDER BY 1";
    match snapshot {
        Snapshot::Sqlite(conn) => sqlx::query_scalar(SQL).fetch_all(&mut **conn).await,
        Snapshot::Postgres(conn) => sqlx::query_scalar(SQL).fetch_all(&mut **conn).await,
    }
}

/// The hashes of all documents that rows name, each with the end of its name.
pub async fn document_names(snapshot: &mut Snapshot) -> sqlx::Result<Vec<(String, String)>> {
    const SQL: &str = "SELECT DISTINCT sha, file_type FROM machine_documents
        WHERE sha IS NOT NULL ORDER BY 1, 2";
    match snapshot {
        Snapshot::Sqlite(conn) => sqlx::query_as(SQL).fetch_all(&mut **conn).await,
        Snapshot::Postgres(conn) => sqlx::query_as(SQL).fetch_all(&mut **conn).await,
    }
}
