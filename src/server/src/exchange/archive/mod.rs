//! The shop's whole record as one zip of CSV files, photos included: written from one snapshot of
//! either database, read into an empty shop on either. It knows nothing of web pages.

pub mod cells;
mod queries;
pub mod read;
mod schema;
pub mod tables;
mod verify;
pub mod write;

use crate::clock::Millis;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

pub use queries::tables_of;

/// Raised when an older program could no longer read what this one writes.
pub const FORMAT: u32 = 1;
const MANIFEST: &str = "manifest.json";
const README: &str = "README.txt";

/// What an archive holds; the last file in it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    pub format: u32,
    /// The newest migration of the database it was read from.
    pub schema: i64,
    pub made_at: Millis,
    /// Without passwords: for people's own use, not for a restore that they can sign in to.
    pub secrets_left_out: bool,
    pub files: BTreeMap<String, FileFacts>,
    /// The last number given in each table, so that none is given twice.
    pub last_numbers: BTreeMap<String, i64>,
    /// Photos that rows name and the folder did not hold.
    pub photos_missing: Vec<String>,
    /// Photos were not asked for: they lie where the database's server finds them.
    #[serde(default)]
    pub photos_left_out: bool,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileFacts {
    pub bytes: u64,
    pub sha256: String,
    /// Of tables only.
    pub rows: Option<u64>,
}

/// Whether what opens doors goes along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Secrets {
    /// For backup and move.
    Kept,
    /// For download by people.
    LeftOut,
}

#[derive(Debug, thiserror::Error)]
pub enum Failure {
    #[error("{0}")]
    Refused(String),
    #[error("The database did not answer as it should. Nothing was changed.")]
    Database(#[from] sqlx::Error),
    #[error("The archive cannot be read or written: {0}")]
    File(#[from] std::io::Error),
    #[error("The archive is not whole, or it is no archive of this program: {0}")]
    Zip(#[from] zip::result::ZipError),
    #[error("A table of the archive cannot be read: {0}")]
    Table(#[from] csv::Error),
    #[error("Photos cannot be read or written: {0}")]
    Photos(#[from] object_store::Error),
}

impl Failure {
    fn refused(sentence: impl Into<String>) -> Self {
        Failure::Refused(sentence.into())
    }
}

/// The other end of a channel went away: its own error says why.
fn stopped<E>(_: E) -> Failure {
    Failure::refused("The archive was broken off.")
}

fn joined<T>(result: Result<Result<T, Failure>, tokio::task::JoinError>) -> Result<T, Failure> {
    result.unwrap_or_else(|e| Err(Failure::Refused(format!("The archive was broken off: {e}"))))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
