//! The columns and rows of small work, exceptions, outside firms and acceptance.

use super::super::ways::gate::OutsideLock;
use super::super::ways::{Exception, Touches, Way, Ways};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::{Job, JobId};
use crate::machines::{self, MachineId};
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
pub(super) struct WayRow {
    touches: Option<String>,
    hands: Option<String>,
    exception: Option<String>,
    exception_by: Option<PersonId>,
    short_proof: bool,
    finished: bool,
    accepted_by: String,
    saw_working: String,
    outside_firm: String,
    outside_exchanged: bool,
}

impl TryFrom<WayRow> for Way {
    type Error = sqlx::Error;

    fn try_from(row: WayRow) -> sqlx::Result<Way> {
        let unknown = |word: &str| sqlx::Error::Decode(format!("way {word:?}").into());
        let touches = |word: &str| Touches::named(word).ok_or_else(|| unknown(word));
        let exception = |word: &str| Exception::named(word).ok_or_else(|| unknown(word));
        Ok(Way {
            touches: row.touches.as_deref().map(touches).transpose()?,
            hands: row.hands.as_deref().map(touches).transpose()?,
            exception: row.exception.as_deref().map(exception).transpose()?,
            exception_by: row.exception_by,
            short_proof: row.short_proof,
            finished: row.finished,
            accepted_by: row.accepted_by,
            saw_working: row.saw_working,
            outside_firm: row.outside_firm,
            outside_exchanged: row.outside_exchanged,
        })
    }
}

/// Outside firms' locks that stand on the machine or on a source of its newest sheet, of every job.
const OUTSIDE: &str = "SELECT o.entry_id, o.job_id, o.machine_id, o.source_id, s.name AS source,
        o.firm, o.owner, o.lock_number, o.on_at
    FROM outside_locks o
    JOIN energy_sources s ON s.id = o.source_id
    WHERE o.off_at IS NULL
      AND (o.machine_id = $1 OR o.source_id IN (
            SELECT iss.source_id FROM isolation_sheet_sources iss
            WHERE iss.sheet_id = (SELECT id FROM isolation_sheets WHERE machine_id = $1
                                  ORDER BY revision DESC LIMIT 1)))
    ORDER BY o.on_at, o.entry_id";

pub async fn outside_locks_in(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<OutsideLock>> {
    on_tx!(tx, conn => sqlx::query_as(OUTSIDE).bind(machine).fetch_all(conn).await)
}

/// The same for a page.
pub async fn outside_locks(db: &Db, machine: MachineId) -> sqlx::Result<Vec<OutsideLock>> {
    on_db!(db, pool => sqlx::query_as(OUTSIDE).bind(machine).fetch_all(pool).await)
}

/// Every outside firm's lock that stands anywhere.
pub async fn all_outside_locks(db: &Db) -> sqlx::Result<Vec<OutsideLock>> {
    const SQL: &str = "SELECT o.entry_id, o.job_id, o.machine_id, o.source_id, s.name AS source,
            o.firm, o.owner, o.lock_number, o.on_at
        FROM outside_locks o
        JOIN energy_sources s ON s.id = o.source_id
        WHERE o.off_at IS NULL ORDER BY o.on_at, o.entry_id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Another job that is at work on this machine under an exception.
pub async fn excepted_elsewhere(
    tx: &mut Tx,
    machine: MachineId,
    but: JobId,
) -> sqlx::Result<Option<JobId>> {
    const SQL: &str = "SELECT id FROM jobs
        WHERE machine_id = $1 AND id <> $2 AND exception IS NOT NULL ORDER BY id LIMIT 1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).bind(but).fetch_optional(conn).await)
}

/// What of the machine's record decides what is asked for: its criticality, and whether it is
/// plugged in.
pub async fn warrants(
    tx: &mut Tx,
    machine: MachineId,
) -> sqlx::Result<(Option<String>, Option<bool>)> {
    const SQL: &str = "SELECT criticality, facts FROM machines WHERE id = $1";
    let row: Option<(String, String)> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(machine).fetch_optional(conn).await)?;
    let Some((criticality, facts)) = row else {
        return Ok((None, None));
    };
    let facts = serde_json::from_str(&facts).map_err(|e| sqlx::Error::Decode(e.into()))?;
    Ok((Some(criticality), machines::plugged_in(&facts)))
}

/// Whether the machine is on a roof: by its place, or because its record knows the edge.
pub async fn on_roof(tx: &mut Tx, machine: MachineId) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT p.kind, m.facts FROM machines m JOIN places p ON p.id = m.place_id
        WHERE m.id = $1";
    let row: Option<(String, String)> =
        on_tx!(tx, conn => sqlx::query_as(SQL).bind(machine).fetch_optional(conn).await)?;
    let Some((kind, facts)) = row else {
        return Ok(false);
    };
    let facts: calc::installation::Installation =
        serde_json::from_str(&facts).map_err(|e| sqlx::Error::Decode(e.into()))?;
    Ok(kind == "roof" || facts.site.roof_edge.is_some())
}

/// A place alone, on a roof.
pub async fn place_on_roof(tx: &mut Tx, place: i64) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT kind FROM places WHERE id = $1";
    let kind: Option<String> =
        on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(place).fetch_optional(conn).await)?;
    Ok(kind.as_deref() == Some("roof"))
}

/// What a warranty of the machine covers that runs on this day, with no answer on this job.
pub async fn warranty_open(
    tx: &mut Tx,
    machine: MachineId,
    job: JobId,
    day: Date,
) -> sqlx::Result<Option<String>> {
    const SQL: &str = "SELECT w.covers FROM warranties w JOIN machines m ON m.id = w.machine_id
        WHERE w.machine_id = $1 AND NOT w.ended AND w.until_on >= $2
            AND (w.motor_id IS NULL OR w.motor_id = m.fitted_motor_id)
            AND NOT EXISTS (SELECT 1 FROM warranty_answers a
                WHERE a.warranty_id = w.id AND a.job_id = $3)
        ORDER BY w.until_on DESC, w.id LIMIT 1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).bind(day).bind(job)
        .fetch_optional(conn).await)
}

/// The typed rows made from these entries.
pub async fn write_ways(
    tx: &mut Tx,
    job: &Job,
    entry_id: &str,
    ways: &Ways,
    by: PersonId,
    now: Millis,
) -> sqlx::Result<()> {
    const ON: &str = "INSERT INTO outside_locks (entry_id, job_id, machine_id, source_id, firm,
            owner, lock_number, recorded_by, on_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    const OFF: &str = "UPDATE outside_locks SET off_entry_id = $2, off_at = $3
        WHERE entry_id = $1 AND off_at IS NULL";
    match ways {
        Ways::OutsideLockOn {
            machine_id,
            source_id,
            owner,
            lock_number,
        } => on_tx!(tx, conn => sqlx::query(ON)
            .bind(entry_id)
            .bind(job.id)
            .bind(*machine_id)
            .bind(*source_id)
            .bind(&job.way.outside_firm)
            .bind(owner)
            .bind(lock_number)
            .bind(by)
            .bind(now)
            .execute(conn)
            .await
            .map(|_| ())),
        Ways::OutsideLockOff { lock, .. } => on_tx!(tx, conn => sqlx::query(OFF)
            .bind(lock).bind(entry_id).bind(now).execute(conn).await.map(|_| ())),
        _ => Ok(()),
    }
}
