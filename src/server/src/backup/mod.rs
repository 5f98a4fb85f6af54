//! Backups: the archive of everything, written to a file that is whole or not there, read back and
//! verified, once a day by one process, with old ones taken away by rule. `restore` and `move` too.

pub mod command;
pub mod keep;
pub mod pages;
pub mod queries;
pub mod schedule;
pub mod upgrade;
pub mod write;

use crate::clock::Millis;

/// One backup that was tried, as the database remembers it.
#[derive(Clone, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct Tried {
    pub tried_at: Millis,
    pub file: String,
    pub bytes: Option<i64>,
    pub row_count: Option<i64>,
    /// One sentence where it failed.
    pub problem: Option<String>,
}

/// `3.4 MB`
pub fn size_words(bytes: i64) -> String {
    let kilobytes = (bytes as f64 / 1000.0).ceil();
    if kilobytes < 1000.0 {
        format!("{kilobytes:.0} kB")
    } else {
        format!("{:.1} MB", kilobytes / 1000.0)
    }
}
