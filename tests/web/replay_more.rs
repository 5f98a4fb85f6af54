//! Instruments used and outside firms' locks come from entries alone: replayed, they are found as they
//! stand.

use crate::demo::filled;
use brasstag::db::Db;
use brasstag::instruments::used;
use brasstag::jobs::body::Body;
use brasstag::jobs::ways::Ways;
use brasstag::jobs::{self, Job, apply};
use std::collections::BTreeMap;

/// Entry, job, machine, instrument, number, when.
type UseRow = (String, i64, Option<i64>, Option<i64>, String, i64);
/// Entry, job, machine, source, firm, owner, number, recorded by, on, off by, off at.
type OutsideRow = (
    String,
    i64,
    i64,
    i64,
    String,
    String,
    String,
    i64,
    i64,
    Option<String>,
    Option<i64>,
);

#[derive(Default)]
struct Found {
    jobs: BTreeMap<i64, Job>,
    uses: Vec<UseRow>,
    outside: BTreeMap<String, OutsideRow>,
}

async fn replay(db: &Db) -> Found {
    let mut found = Found::default();
    for entry in jobs::queries::all_entries(db).await.expect("they read") {
        let (id, at) = (entry.job_id, entry.received_at);
        if entry.number == 1 {
            let job = apply::begin(id, &entry.body, at).expect("a report");
            found.jobs.insert(id.0, job);
            continue;
        }
        let job = found.jobs.get_mut(&id.0).expect("it was reported");
        if entry.set_aside.is_some() {
            apply::set_aside(job, at);
            continue;
        }
        apply::apply(job, &entry.body, entry.person_id, at);
        if let Some(used) = used::of(&entry.body) {
            let (machine, instrument) = (job.machine_id.map(|m| m.0), used.id.map(|i| i.0));
            let row = (entry.id.clone(), id.0, machine, instrument, used.number, at);
            found.uses.push(row);
        }
        match &entry.body {
            Body::Ways(Ways::OutsideLockOn {
                machine_id,
                source_id,
                owner,
                lock_number,
            }) => {
                let row = (
                    entry.id.clone(),
                    id.0,
                    machine_id.0,
                    *source_id,
                    job.way.outside_firm.clone(),
                    owner.clone(),
                    lock_number.clone(),
                    entry.person_id.expect("somebody wrote it down").0,
                    at,
                    None,
                    None,
                );
                found.outside.insert(entry.id.clone(), row);
            }
            Body::Ways(Ways::OutsideLockOff { lock, .. }) => {
                let row = found.outside.get_mut(lock).expect("it was on");
                (row.9, row.10) = (Some(entry.id.clone()), Some(at));
            }
            _ => {}
        }
    }
    found
}

/// The outside firms' locks in the database are those of the entries; how many there are.
pub async fn same_outside_locks(db: &Db) -> usize {
    const SQL: &str = "SELECT entry_id, job_id, machine_id, source_id, firm, owner, lock_number,
        recorded_by, on_at, off_entry_id, off_at FROM outside_locks ORDER BY entry_id";
    let rows: Vec<OutsideRow> = brasstag::on_db!(db, pool =>
        sqlx::query_as(SQL).fetch_all(pool).await.expect("the locks read"));
    let found = replay(db).await;
    assert_eq!(rows, found.outside.into_values().collect::<Vec<_>>());
    rows.len()
}

#[tokio::test]
async fn a_replay_finds_the_instruments_that_were_used() {
    let (db, _guard) = filled().await;
    const SQL: &str = "SELECT entry_id, job_id, machine_id, instrument_id, number, used_at
        FROM instrument_uses";
    let mut rows: Vec<UseRow> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(SQL).fetch_all(pool).await.expect("the uses read"));
    rows.sort();
    let mut found = replay(&db).await;
    found.uses.sort();
    assert!(rows.len() > 20, "{}", rows.len());
    assert_eq!(rows, found.uses);
}
