//! Boxes, removed locks and permits.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::control::body::Control;
use crate::jobs::control::{Around, BoxLock, LockBox, Removal};
use crate::jobs::{Job, JobId};
use crate::machines::{Before, MachineId};
use crate::people::PersonId;
use crate::{on_db, on_tx};

#[derive(sqlx::FromRow)]
struct BoxRow {
    entry_id: String,
    job_id: JobId,
    name: String,
    coordinator_id: PersonId,
    coordinator: String,
    locked_at: i64,
    key_of: String,
}

#[derive(sqlx::FromRow)]
struct BoxLockRow {
    box_entry_id: String,
    entry_id: String,
    person_id: PersonId,
    person: String,
    lock_number: String,
    on_at: i64,
}

/// A box stands while a lock does whose key is in it.
macro_rules! boxes_sql {
    ($rest:literal) => {
        concat!(
            "SELECT b.entry_id, b.job_id, b.name, b.coordinator_id, c.name AS coordinator, \
             b.locked_at, l.entry_id AS key_of FROM lock_boxes b \
             JOIN people c ON c.id = b.coordinator_id \
             JOIN lock_box_keys k ON k.box_entry_id = b.entry_id \
             JOIN locks l ON l.entry_id = k.lock_entry_id WHERE l.off_at IS NULL",
            $rest,
            " ORDER BY b.locked_at, b.entry_id, l.entry_id"
        )
    };
}

const BOXES: &str = boxes_sql!(
    " AND (l.machine_id = $1 OR l.source_id IN (
        SELECT iss.source_id FROM isolation_sheet_sources iss
        WHERE iss.sheet_id = (SELECT id FROM isolation_sheets WHERE machine_id = $1
                              ORDER BY revision DESC LIMIT 1)))"
);

const BOX_LOCKS: &str = "SELECT bl.box_entry_id, bl.entry_id, bl.person_id, p.name AS person,
        bl.lock_number, bl.on_at
    FROM box_locks bl JOIN people p ON p.id = bl.person_id
    WHERE bl.off_at IS NULL ORDER BY bl.on_at, bl.entry_id";

fn boxes_of(rows: Vec<BoxRow>, locks: Vec<BoxLockRow>) -> Vec<LockBox> {
    let mut boxes: Vec<LockBox> = Vec::new();
    for row in rows {
        match boxes.iter_mut().find(|b| b.entry_id == row.entry_id) {
            Some(found) => found.keys.push(row.key_of),
            None => boxes.push(LockBox {
                entry_id: row.entry_id,
                job_id: row.job_id,
                name: row.name,
                coordinator_id: row.coordinator_id,
                coordinator: row.coordinator,
                locked_at: row.locked_at,
                keys: vec![row.key_of],
                locks: Vec::new(),
            }),
        }
    }
    for lock in locks {
        if let Some(found) = boxes.iter_mut().find(|b| b.entry_id == lock.box_entry_id) {
            found.locks.push(BoxLock {
                entry_id: lock.entry_id,
                person_id: lock.person_id,
                person: lock.person,
                lock_number: lock.lock_number,
                on_at: lock.on_at,
            });
        }
    }
    boxes
}

/// Every box that stands anywhere.
pub async fn all_boxes(db: &Db) -> sqlx::Result<Vec<LockBox>> {
    const SQL: &str = boxes_sql!("");
    let rows: Vec<BoxRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    let locks: Vec<BoxLockRow> =
        on_db!(db, pool => sqlx::query_as(BOX_LOCKS).fetch_all(pool).await)?;
    Ok(boxes_of(rows, locks))
}

macro_rules! removals_sql {
    ($rest:literal) => {
        concat!(
            "SELECT r.entry_id, r.lock_entry_id, r.job_id, r.owner_id, o.name AS owner, \
             r.lock_number, r.point, b.name AS removed_by, r.removed_at, r.told_at \
             FROM lock_removals r JOIN people o ON o.id = r.owner_id \
             JOIN people b ON b.id = r.removed_by WHERE ",
            $rest,
            " ORDER BY r.removed_at, r.entry_id"
        )
    };
}

/// Removals whose owner was not told yet, anywhere.
pub async fn untold_removals(db: &Db) -> sqlx::Result<Vec<Removal>> {
    const SQL: &str = removals_sql!("r.told_at IS NULL");
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

const PERMITS: &str = "SELECT entry_id, permit_kind, number, issued_by, issued_to, valid_from,
        valid_to, conditions, closed_at
    FROM permits WHERE job_id = $1 ORDER BY valid_from, entry_id";

const INTERLOCKS: &str = "SELECT interlocks FROM isolation_sheets WHERE machine_id = $1
    ORDER BY revision DESC LIMIT 1";

fn interlocks_of(text: Option<String>) -> Vec<String> {
    let text = text.unwrap_or_default();
    Before::lines(&text)
        .into_iter()
        .map(str::to_owned)
        .collect()
}

/// What the gate looks at, under the locks of the write.
pub async fn control_around(
    tx: &mut Tx,
    job: &Job,
    person: PersonId,
    named: Option<&str>,
    now: Millis,
) -> sqlx::Result<Around> {
    const REMOVALS: &str =
        removals_sql!("r.job_id = $1 OR (r.owner_id = $2 AND r.told_at IS NULL)");
    const ELSEWHERE: &str = "SELECT b.job_id FROM lock_boxes b
        JOIN lock_box_keys k ON k.box_entry_id = b.entry_id
        JOIN locks l ON l.entry_id = k.lock_entry_id
        WHERE l.off_at IS NULL AND lower(b.name) = lower($1) LIMIT 1";
    let boxes = match job.machine_id {
        Some(machine) => boxes_in(tx, machine).await?,
        None => Vec::new(),
    };
    let box_elsewhere = match named {
        Some(name) => on_tx!(tx, conn => sqlx::query_scalar(ELSEWHERE)
            .bind(name.trim()).fetch_optional(conn).await)?,
        None => None,
    };
    let interlocks: Option<String> = on_tx!(tx, conn => sqlx::query_scalar(INTERLOCKS)
        .bind(job.machine_id).fetch_optional(conn).await)?;
    Ok(Around {
        boxes,
        interlocks: interlocks_of(interlocks),
        removals: on_tx!(tx, conn => sqlx::query_as(REMOVALS)
            .bind(job.id).bind(person).fetch_all(conn).await)?,
        box_elsewhere,
        permits: on_tx!(tx, conn => sqlx::query_as(PERMITS).bind(job.id).fetch_all(conn).await)?,
        now,
    })
}

async fn boxes_in(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<LockBox>> {
    let rows: Vec<BoxRow> =
        on_tx!(tx, conn => sqlx::query_as(BOXES).bind(machine).fetch_all(conn).await)?;
    let locks: Vec<BoxLockRow> = if rows.is_empty() {
        Vec::new()
    } else {
        on_tx!(tx, conn => sqlx::query_as(BOX_LOCKS).fetch_all(conn).await)?
    };
    Ok(boxes_of(rows, locks))
}

/// The same for a page.
pub async fn control_shown(db: &Db, job: &Job, now: Millis) -> sqlx::Result<Around> {
    const REMOVALS: &str = removals_sql!("r.job_id = $1");
    let rows: Vec<BoxRow> = match job.machine_id {
        Some(machine) => {
            on_db!(db, pool => sqlx::query_as(BOXES).bind(machine).fetch_all(pool).await)?
        }
        None => Vec::new(),
    };
    let locks: Vec<BoxLockRow> = if rows.is_empty() {
        Vec::new()
    } else {
        on_db!(db, pool => sqlx::query_as(BOX_LOCKS).fetch_all(pool).await)?
    };
    let interlocks: Option<String> = on_db!(db, pool => sqlx::query_scalar(INTERLOCKS)
        .bind(job.machine_id).fetch_optional(pool).await)?;
    Ok(Around {
        boxes: boxes_of(rows, locks),
        interlocks: interlocks_of(interlocks),
        removals: on_db!(db, pool => sqlx::query_as(REMOVALS).bind(job.id).fetch_all(pool).await)?,
        box_elsewhere: None,
        permits: on_db!(db, pool => sqlx::query_as(PERMITS).bind(job.id).fetch_all(pool).await)?,
        now,
    })
}

pub async fn insert_removal(
    tx: &mut Tx,
    entry_id: &str,
    removal: &Removal,
    by: PersonId,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO lock_removals (entry_id, lock_entry_id, job_id, owner_id,
            lock_number, point, removed_by, removed_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(entry_id)
        .bind(&removal.lock_entry_id)
        .bind(removal.job_id)
        .bind(removal.owner_id)
        .bind(&removal.lock_number)
        .bind(&removal.point)
        .bind(by)
        .bind(removal.removed_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn owner_told(
    tx: &mut Tx,
    lock: &str,
    job: JobId,
    entry_id: &str,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE lock_removals SET told_entry_id = $3, told_at = $4
        WHERE lock_entry_id = $1 AND job_id = $2 AND told_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(lock).bind(job).bind(entry_id).bind(at)
        .execute(conn).await.map(|_| ()))
}

/// The box of a `BoxLocked` entry and its keys.
pub async fn insert_box(
    tx: &mut Tx,
    entry_id: &str,
    job: JobId,
    control: &Control,
    at: Millis,
) -> sqlx::Result<()> {
    const BOX: &str = "INSERT INTO lock_boxes (entry_id, job_id, name, coordinator_id, locked_at)
        VALUES ($1, $2, $3, $4, $5)";
    const KEY: &str = "INSERT INTO lock_box_keys (box_entry_id, lock_entry_id) VALUES ($1, $2)";
    let Control::BoxLocked {
        box_name,
        coordinator,
        keys_of,
    } = control
    else {
        return Ok(());
    };
    on_tx!(tx, conn => sqlx::query(BOX).bind(entry_id).bind(job).bind(box_name)
        .bind(*coordinator).bind(at).execute(conn).await.map(|_| ()))?;
    for key in keys_of {
        on_tx!(tx, conn => sqlx::query(KEY).bind(entry_id).bind(key).execute(conn).await
            .map(|_| ()))?;
    }
    Ok(())
}

pub struct BoxLockToWrite<'a> {
    pub entry_id: &'a str,
    pub of: &'a str,
    pub job_id: JobId,
    pub person_id: PersonId,
    pub lock_number: &'a str,
    pub on_at: Millis,
}

pub async fn insert_box_lock(tx: &mut Tx, lock: &BoxLockToWrite<'_>) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO box_locks (entry_id, box_entry_id, job_id, person_id,
            lock_number, on_at)
        VALUES ($1, $2, $3, $4, $5, $6)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(lock.entry_id)
        .bind(lock.of)
        .bind(lock.job_id)
        .bind(lock.person_id)
        .bind(lock.lock_number)
        .bind(lock.on_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn take_box_lock_off(
    tx: &mut Tx,
    lock_entry: &str,
    off_entry: &str,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE box_locks SET off_entry_id = $2, off_at = $3
        WHERE entry_id = $1 AND off_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(lock_entry).bind(off_entry).bind(at)
        .execute(conn).await.map(|_| ()))
}

/// Jobs handed over to this person and not proved dead by them yet, with the outgoing name.
pub async fn taken_over(db: &Db, person: PersonId) -> sqlx::Result<Vec<(JobId, String, String)>> {
    const SQL: &str = "SELECT j.id, m.tag, p.name FROM jobs j
        JOIN machines m ON m.id = j.machine_id
        JOIN people p ON p.id = j.handover_from
        WHERE j.handover_to = $1 ORDER BY j.id";
    on_db!(db, pool => sqlx::query_as(SQL).bind(person).fetch_all(pool).await)
}

/// A lock of a job, on or off: for the account at sign-off.
#[derive(Clone, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct LockAccount {
    pub lock_number: String,
    pub point: String,
    pub person: String,
    pub on_at: Millis,
    pub off_at: Option<Millis>,
    /// Who took it off; empty while it stands.
    pub off_by: String,
    pub off_kind: String,
}

/// Every lock that this job ever put on.
pub async fn lock_account(db: &Db, job: JobId) -> sqlx::Result<Vec<LockAccount>> {
    const SQL: &str = "SELECT l.lock_number, s.name AS point, p.name AS person, l.on_at, l.off_at,
            COALESCE(o.name, '') AS off_by, COALESCE(e.kind, '') AS off_kind
        FROM locks l JOIN energy_sources s ON s.id = l.source_id
        JOIN people p ON p.id = l.person_id
        LEFT JOIN entries e ON e.id = l.off_entry_id LEFT JOIN people o ON o.id = e.person_id
        WHERE l.job_id = $1
        UNION ALL
        SELECT l.lock_number, b.name AS point, p.name AS person, l.on_at, l.off_at,
            COALESCE(o.name, '') AS off_by, COALESCE(e.kind, '') AS off_kind
        FROM box_locks l JOIN lock_boxes b ON b.entry_id = l.box_entry_id
        JOIN people p ON p.id = l.person_id
        LEFT JOIN entries e ON e.id = l.off_entry_id LEFT JOIN people o ON o.id = e.person_id
        WHERE l.job_id = $1
        ORDER BY on_at, lock_number";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// Owner, number and point of a lock on a source or a box.
pub async fn lock_of_entry(
    tx: &mut Tx,
    lock: &str,
) -> sqlx::Result<Option<(PersonId, String, String)>> {
    const SQL: &str = "SELECT l.person_id, l.lock_number, s.name
        FROM locks l JOIN energy_sources s ON s.id = l.source_id WHERE l.entry_id = $1
        UNION ALL
        SELECT l.person_id, l.lock_number, b.name
        FROM box_locks l JOIN lock_boxes b ON b.entry_id = l.box_entry_id WHERE l.entry_id = $1";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(lock).fetch_optional(conn).await)
}
