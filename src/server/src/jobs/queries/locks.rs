//! Sources and the locks that stand on them.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::jobs::gate::{Lock, SheetSource};
use crate::machines::MachineId;
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// Locks a machine and the sources of its isolation sheet, so that a lock going on and power
/// coming on, in whatever jobs, wait for each other.
pub async fn guard_machine(tx: &mut Tx, machine: MachineId) -> sqlx::Result<()> {
    const MACHINE: &str = "UPDATE machines SET version = version WHERE id = $1";
    const SOURCE: &str = "UPDATE energy_sources SET version = version WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(MACHINE).bind(machine).execute(conn).await.map(|_| ()))?;
    // One by one in the order of ids: two machines with shared sources cannot block each other.
    let mut ids: Vec<i64> = sources(tx, machine)
        .await?
        .into_iter()
        .map(|s| s.source_id)
        .collect();
    ids.sort_unstable();
    for id in ids {
        on_tx!(tx, conn => sqlx::query(SOURCE).bind(id).execute(conn).await.map(|_| ()))?;
    }
    Ok(())
}

const SOURCES: &str = "SELECT s.id, s.name, s.relieved_how, s.dead_test
    FROM isolation_sheet_sources iss
    JOIN energy_sources s ON s.id = iss.source_id
    WHERE iss.sheet_id = (SELECT id FROM isolation_sheets WHERE machine_id = $1
                          ORDER BY revision DESC LIMIT 1)
    ORDER BY iss.position";

/// The sources of the machine's newest isolation sheet.
pub async fn sources(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<SheetSource>> {
    let rows: Vec<(i64, String, String, String)> =
        on_tx!(tx, conn => sqlx::query_as(SOURCES).bind(machine).fetch_all(conn).await)?;
    Ok(rows
        .into_iter()
        .map(|(source_id, name, relieved, dead_test)| SheetSource {
            tested: dead_test != "none",
            source_id,
            name,
            stores: crate::machines::stores_energy(&relieved),
        })
        .collect())
}

#[derive(sqlx::FromRow)]
struct LockRow {
    entry_id: String,
    job_id: JobId,
    machine_id: MachineId,
    source_id: i64,
    source: String,
    person_id: PersonId,
    person: String,
    lock_number: String,
    on_at: i64,
}

impl From<LockRow> for Lock {
    fn from(row: LockRow) -> Lock {
        Lock {
            entry_id: row.entry_id,
            job_id: row.job_id,
            machine_id: row.machine_id,
            source_id: row.source_id,
            source: row.source,
            person_id: row.person_id,
            person: row.person,
            lock_number: row.lock_number,
            on_at: row.on_at,
        }
    }
}

/// Locks that stand on the machine or on any source of its newest sheet, of every job.
const STANDING: &str = "SELECT l.entry_id, l.job_id, l.machine_id, l.source_id, s.name AS source,
        l.person_id, p.name AS person, l.lock_number, l.on_at
    FROM locks l
    JOIN energy_sources s ON s.id = l.source_id
    JOIN people p ON p.id = l.person_id
    WHERE l.off_at IS NULL
      AND (l.machine_id = $1 OR l.source_id IN (
            SELECT iss.source_id FROM isolation_sheet_sources iss
            WHERE iss.sheet_id = (SELECT id FROM isolation_sheets WHERE machine_id = $1
                                  ORDER BY revision DESC LIMIT 1)))
    ORDER BY l.on_at, l.entry_id";

pub async fn standing_locks(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<Lock>> {
    let rows: Vec<LockRow> =
        on_tx!(tx, conn => sqlx::query_as(STANDING).bind(machine).fetch_all(conn).await)?;
    Ok(rows.into_iter().map(Lock::from).collect())
}

/// The same for a page.
pub async fn locks_shown(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Lock>> {
    let rows: Vec<LockRow> =
        on_db!(db, pool => sqlx::query_as(STANDING).bind(machine).fetch_all(pool).await)?;
    Ok(rows.into_iter().map(Lock::from).collect())
}

/// Every lock that stands anywhere.
pub async fn all_locks(db: &Db) -> sqlx::Result<Vec<Lock>> {
    const SQL: &str = "SELECT l.entry_id, l.job_id, l.machine_id, l.source_id, s.name AS source,
            l.person_id, p.name AS person, l.lock_number, l.on_at
        FROM locks l
        JOIN energy_sources s ON s.id = l.source_id
        JOIN people p ON p.id = l.person_id
        WHERE l.off_at IS NULL
        ORDER BY l.on_at, l.entry_id";
    let rows: Vec<LockRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    Ok(rows.into_iter().map(Lock::from).collect())
}

/// The tags of the machines with a lock on them.
pub async fn tags_locked(db: &Db) -> sqlx::Result<Vec<(MachineId, String)>> {
    const SQL: &str = "SELECT id, tag FROM machines
        WHERE id IN (SELECT machine_id FROM locks WHERE off_at IS NULL
            ORDER BY on_at, entry_id LIMIT 10000)"; // the order leads SQLite to the standing ones
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub struct LockToWrite<'a> {
    pub entry_id: &'a str,
    pub job_id: JobId,
    pub machine_id: MachineId,
    pub source_id: i64,
    pub person_id: PersonId,
    pub lock_number: &'a str,
    pub on_at: Millis,
}

pub async fn insert_lock(tx: &mut Tx, lock: &LockToWrite<'_>) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO locks (entry_id, job_id, machine_id, source_id, person_id,
            lock_number, on_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(lock.entry_id)
        .bind(lock.job_id)
        .bind(lock.machine_id)
        .bind(lock.source_id)
        .bind(lock.person_id)
        .bind(lock.lock_number)
        .bind(lock.on_at)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn take_lock_off(
    tx: &mut Tx,
    lock_entry: &str,
    off_entry: &str,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE locks SET off_entry_id = $2, off_at = $3
        WHERE entry_id = $1 AND off_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(lock_entry)
        .bind(off_entry)
        .bind(at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// When the newest isolation sheet of the machine was made.
pub async fn sheet_made_at(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Option<Millis>> {
    const SQL: &str = "SELECT made_at FROM isolation_sheets WHERE machine_id = $1
        ORDER BY revision DESC LIMIT 1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).fetch_optional(conn).await)
}

/// Locks of this person that stand anywhere.
pub async fn standing_of_person(tx: &mut Tx, person: PersonId) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT (SELECT count(*) FROM locks WHERE person_id = $1 AND off_at IS NULL)
        + (SELECT count(*) FROM box_locks WHERE person_id = $1 AND off_at IS NULL)";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(person).fetch_one(conn).await)
}
