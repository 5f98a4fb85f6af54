//! The response columns of a job's row, and the shop's targets.

use super::super::priority::Level;
use super::super::response::{Response, long};
use crate::clock::{MINUTE, Millis};
use crate::db::{Db, Tx};
use crate::{on_db, on_tx};
use std::collections::BTreeMap;

#[derive(sqlx::FromRow)]
pub(super) struct ResponseRow {
    level: Option<String>,
    level_why: String,
    clock_from: i64,
    attended_at: Option<i64>,
    held_at: Option<i64>,
    paused_ms: i64,
    emergency: bool,
}

fn level(word: &str) -> sqlx::Result<Level> {
    Level::named(word).ok_or_else(|| sqlx::Error::Decode(format!("level {word:?}").into()))
}

impl TryFrom<ResponseRow> for Response {
    type Error = sqlx::Error;

    fn try_from(row: ResponseRow) -> sqlx::Result<Response> {
        Ok(Response {
            level: row.level.as_deref().map(level).transpose()?,
            level_why: row.level_why,
            clock_from: row.clock_from,
            attended_at: row.attended_at,
            held_at: row.held_at,
            paused_ms: row.paused_ms,
            emergency: row.emergency,
        })
    }
}

/// From report to first attendance, by level: the shop's own, else the usual one.
#[derive(Clone, Debug)]
pub struct Targets(BTreeMap<Level, Millis>);

impl Targets {
    pub fn of(&self, level: Level) -> Millis {
        self.0
            .get(&level)
            .copied()
            .unwrap_or_else(|| level.usual_target())
    }

    /// Each level with how long it may wait.
    pub fn in_words(&self) -> Vec<(&'static str, String)> {
        let all = Level::ALL.into_iter();
        all.map(|level| (level.words(), long(self.of(level))))
            .collect()
    }

    pub fn soonest(&self) -> Millis {
        self.of(Level::Danger)
    }
}

fn read(rows: Vec<(String, i64)>) -> sqlx::Result<Targets> {
    let targets = rows
        .into_iter()
        .map(|(word, minutes)| Ok((level(&word)?, minutes * MINUTE)));
    Ok(Targets(targets.collect::<sqlx::Result<_>>()?))
}

const TARGETS: &str = "SELECT level, minutes FROM response_targets";

pub async fn targets(db: &Db) -> sqlx::Result<Targets> {
    read(on_db!(db, pool => sqlx::query_as(TARGETS).fetch_all(pool).await)?)
}

/// The targets for a change: the shop's row is locked, so that two changes follow one another.
pub async fn lock_targets(tx: &mut Tx) -> sqlx::Result<Targets> {
    const LOCK: &str = "UPDATE shop SET version = version WHERE id = 1";
    on_tx!(tx, conn => sqlx::query(LOCK).execute(conn).await.map(|_| ()))?;
    read(on_tx!(tx, conn => sqlx::query_as(TARGETS).fetch_all(conn).await)?)
}

pub async fn set_target(tx: &mut Tx, level: Level, minutes: i64) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO response_targets (level, minutes) VALUES ($1, $2)
        ON CONFLICT (level) DO UPDATE SET minutes = excluded.minutes";
    on_tx!(tx, conn => sqlx::query(SQL).bind(level.word()).bind(minutes).execute(conn).await
        .map(|_| ()))
}
