//! Two native pools behind one enum. Page reads take `&Db`; a write, and any read it relies on,
//! takes `&mut Tx`.

use sqlx::migrate::Migrator;
use sqlx::postgres::PgPoolOptions;
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{Connection, PgPool, Postgres, Sqlite, Transaction};
use std::path::Path;
use std::time::Duration;

pub static SQLITE: Migrator = sqlx::migrate!("../../migrations/sqlite");
pub static POSTGRES: Migrator = sqlx::migrate!("../../migrations/postgres");

/// The shop's database.
#[derive(Clone, Debug)]
pub enum Db {
    /// One writer connection and a pool of readers on the same file.
    Sqlite {
        read: SqlitePool,
        write: SqlitePool,
    },
    Postgres(PgPool),
}

/// A write transaction.
#[derive(Debug)]
pub enum Tx {
    Sqlite(Transaction<'static, Sqlite>),
    Postgres(Transaction<'static, Postgres>),
}

/// Runs one query text on whichever pool is there.
#[macro_export]
macro_rules! on_db {
    ($db:expr, $pool:ident => $run:expr) => {
        match $db {
            $crate::db::Db::Sqlite { read: $pool, .. } => $run,
            $crate::db::Db::Postgres($pool) => $run,
        }
    };
}

/// Runs one query text in whichever transaction is open.
#[macro_export]
macro_rules! on_tx {
    ($tx:expr, $conn:ident => $run:expr) => {
        match $tx {
            $crate::db::Tx::Sqlite(tx) => {
                let $conn = &mut **tx;
                $run
            }
            $crate::db::Tx::Postgres(tx) => {
                let $conn = &mut **tx;
                $run
            }
        }
    };
}

impl Db {
    /// Opens what the URL names: `sqlite:path/to/file` (made if missing) or `postgres://…`.
    pub async fn open(url: &str) -> sqlx::Result<Self> {
        match url.strip_prefix("sqlite:") {
            Some(path) => Self::open_sqlite(Path::new(path)).await,
            None => {
                let pool = PgPoolOptions::new()
                    .max_connections(16)
                    .acquire_timeout(Duration::from_secs(5))
                    .connect(url)
                    .await?;
                Ok(Db::Postgres(pool))
            }
        }
    }

    async fn open_sqlite(path: &Path) -> sqlx::Result<Self> {
        // Everything that keeps data whole is set here, never left to the host.
        let options = SqliteConnectOptions::new()
            .filename(path)
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .busy_timeout(Duration::from_secs(10));
        let write = SqlitePoolOptions::new()
            .max_connections(1)
            // SQLite itself rolls back when the disk is full; the driver then still counts an open
            // transaction, and every write after it would fail. Such a connection is closed.
            .before_acquire(|connection, _| {
                let clear = !connection.is_in_transaction();
                Box::pin(async move { Ok(clear) })
            })
            .acquire_timeout(Duration::from_secs(10))
            .connect_with(options.clone())
            .await?;
        let read = SqlitePoolOptions::new()
            .max_connections(8)
            .acquire_timeout(Duration::from_secs(5))
            .connect_with(options.read_only(true).create_if_missing(false))
            .await?;
        Ok(Db::Sqlite { read, write })
    }

    /// The migrations that this program knows.
    pub fn migrations(&self) -> &'static Migrator {
        match self {
            Db::Sqlite { .. } => &SQLITE,
            Db::Postgres(_) => &POSTGRES,
        }
    }

    /// Brings the schema up to date.
    pub async fn migrate(&self) -> Result<(), sqlx::migrate::MigrateError> {
        self.migrate_by(self.migrations()).await
    }

    /// Brings it as far as these migrations go.
    pub async fn migrate_by(&self, migrator: &Migrator) -> Result<(), sqlx::migrate::MigrateError> {
        match self {
            Db::Sqlite { write, .. } => migrator.run(write).await,
            Db::Postgres(pool) => migrator.run(pool).await,
        }
    }

    /// Locks SQLite now, so a busy file waits for the timeout instead of failing half way.
    pub async fn begin_write(&self) -> sqlx::Result<Tx> {
        Ok(match self {
            Db::Sqlite { write, .. } => Tx::Sqlite(write.begin_with("BEGIN IMMEDIATE").await?),
            Db::Postgres(pool) => Tx::Postgres(pool.begin().await?),
        })
    }

    /// Answers a trivial query: the database is there.
    pub async fn ping(&self) -> sqlx::Result<()> {
        on_db!(self, pool => sqlx::query("SELECT 1").execute(pool).await.map(|_| ()))
    }

    /// Connections that are open, and how many of them are idle.
    pub fn connections(&self) -> (usize, usize) {
        match self {
            Db::Sqlite { read, write } => (
                read.size() as usize + write.size() as usize,
                read.num_idle() + write.num_idle(),
            ),
            Db::Postgres(pool) => (pool.size() as usize, pool.num_idle()),
        }
    }

    pub async fn close(&self) {
        match self {
            Db::Sqlite { read, write } => {
                read.close().await;
                write.close().await;
            }
            Db::Postgres(pool) => pool.close().await,
        }
    }
}

impl Tx {
    pub async fn commit(self) -> sqlx::Result<()> {
        match self {
            Tx::Sqlite(tx) => tx.commit().await,
            Tx::Postgres(tx) => tx.commit().await,
        }
    }
}

/// A unique index was broken. SQLite does not say which, so a statement may be able to break
/// just one.
pub fn is_duplicate(error: &sqlx::Error) -> bool {
    error
        .as_database_error()
        .is_some_and(|e| e.is_unique_violation())
}
