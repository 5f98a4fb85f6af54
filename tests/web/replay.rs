//! Entries are the truth: a replay of all of them finds the job, lock and reading rows as they stand.

use crate::demo::filled;
use brasstag::db::Db;
use brasstag::jobs::body::{Body, Control};
use brasstag::jobs::{self, Job, apply};
use std::collections::BTreeMap;

type LockRow = (
    String,
    i64,
    i64,
    i64,
    i64,
    String,
    i64,
    Option<String>,
    Option<i64>,
);
/// Entry, job, person, kind, from, to, note, withdrawn by.
type SpellRow = (
    String,
    i64,
    Option<i64>,
    String,
    i64,
    i64,
    String,
    Option<String>,
);
type ReadingRow = (
    String,
    i64,
    i64,
    Option<i64>,
    String,
    String,
    String,
    Option<f64>,
    i64,
);

/// Entry, job, who, file, small file, width, height, bytes, caption, about, when, withdrawn by.
type PhotoRow = (
    String,
    i64,
    Option<i64>,
    String,
    String,
    i64,
    i64,
    i64,
    String,
    String,
    i64,
    Option<String>,
);
/// Entry, lock, job, owner, number, by, at, told by, told at.
type RemovalRow = (
    String,
    String,
    i64,
    i64,
    String,
    i64,
    i64,
    Option<String>,
    Option<i64>,
);
/// Entry, job, name, coordinator, at.
type BoxRow = (String, i64, String, i64, i64);
/// Entry, box, job, person, number, on, off by, off at.
type BoxLockRow = (
    String,
    String,
    i64,
    i64,
    String,
    i64,
    Option<String>,
    Option<i64>,
);
/// Entry, job, kind, number, from, to, closed by, closed at.
type PermitRow = (
    String,
    i64,
    String,
    String,
    i64,
    i64,
    Option<String>,
    Option<i64>,
);

#[derive(Default)]
struct Replayed {
    photos: BTreeMap<String, PhotoRow>,
    removals: BTreeMap<String, RemovalRow>,
    boxes: BTreeMap<String, BoxRow>,
    keys: Vec<(String, String)>,
    box_locks: BTreeMap<String, BoxLockRow>,
    permits: BTreeMap<String, PermitRow>,
    jobs: BTreeMap<i64, Job>,
    locks: BTreeMap<String, LockRow>,
    readings: Vec<ReadingRow>,
    spells: BTreeMap<String, SpellRow>,
}

async fn replay(db: &Db) -> Replayed {
    let mut found = Replayed::default();
    for entry in jobs::queries::all_entries(db)
        .await
        .expect("every entry reads")
    {
        let (id, at) = (entry.job_id, entry.received_at);
        if entry.number == 1 {
            let job = apply::begin(id, &entry.body, at).expect("a job begins with a report");
            found.jobs.insert(id.0, job);
            continue;
        }
        let job = found
            .jobs
            .get_mut(&id.0)
            .expect("entries follow their report");
        assert_eq!(entry.number, job.entry_count + 1, "no entry is missing");
        if entry.set_aside.is_some() {
            apply::set_aside(job, at);
            continue;
        }
        apply::apply(job, &entry.body, entry.person_id, at);
        for (position, reading) in (0..).zip(apply::readings(&entry.body)) {
            found.readings.push((
                entry.id.clone(),
                position,
                id.0,
                job.machine_id.map(|m| m.0),
                reading.point.clone(),
                reading.quantity.clone(),
                reading.as_shown.clone(),
                reading.value,
                at,
            ));
        }
        match &entry.body {
            Body::LockOn {
                machine_id,
                source_id,
                lock_number,
                ..
            } => {
                let person = entry.person_id.expect("a lock has an owner").0;
                let row = (
                    entry.id.clone(),
                    id.0,
                    machine_id.0,
                    *source_id,
                    person,
                    lock_number.clone(),
                    at,
                    None,
                    None,
                );
                found.locks.insert(entry.id.clone(), row);
            }
            Body::LockOff { lock } => {
                let row = found
                    .locks
                    .get_mut(lock)
                    .expect("a lock comes off once it was on");
                (row.7, row.8) = (Some(entry.id.clone()), Some(at));
            }
            Body::TimeSpent {
                person,
                spent,
                from,
                to,
                note,
            } => {
                let person = person.map(|person| person.0);
                let (id, spent) = (entry.id.clone(), spent.clone());
                let row = (id, job.id.0, person, spent, *from, *to, note.clone(), None);
                found.spells.insert(entry.id.clone(), row);
            }
            Body::Photo(photo) => {
                let row = (
                    entry.id.clone(),
                    id.0,
                    entry.person_id.map(|p| p.0),
                    photo.sha.clone(),
                    photo.thumb.clone(),
                    i64::from(photo.width),
                    i64::from(photo.height),
                    photo.bytes,
                    photo.caption.clone(),
                    photo.about.clone(),
                    at,
                    None,
                );
                found.photos.insert(entry.id.clone(), row);
            }
            Body::PhotoWithdrawn { of, .. } => {
                let row = found.photos.get_mut(of).expect("it was taken");
                row.11 = Some(entry.id.clone());
            }
            Body::TimeWithdrawn { of, .. } => {
                let row = found.spells.get_mut(of).expect("it was written down");
                row.7 = Some(entry.id.clone());
            }
            Body::Control(control) => {
                let by = entry.person_id.expect("somebody signed in").0;
                replay_control(&mut found, &entry.id, id.0, control, by, at);
            }
            _ => {}
        }
    }
    found
}

/// Every job's row is what its entries make of it.
pub async fn same_jobs(db: &Db) {
    compare_jobs(db, &replay(db).await).await;
}

fn replay_control(
    found: &mut Replayed,
    entry: &str,
    job: i64,
    control: &Control,
    by: i64,
    at: i64,
) {
    let entry = entry.to_owned();
    match control {
        Control::LockRemovedForOwner { lock, .. } => {
            let (owner, number) = if let Some(row) = found.locks.get_mut(lock) {
                (row.7, row.8) = (Some(entry.clone()), Some(at));
                (row.4, row.5.clone())
            } else {
                let row = found.box_locks.get_mut(lock).expect("it was on a box");
                (row.6, row.7) = (Some(entry.clone()), Some(at));
                (row.3, row.4.clone())
            };
            let row = (
                entry.clone(),
                lock.clone(),
                job,
                owner,
                number,
                by,
                at,
                None,
                None,
            );
            found.removals.insert(lock.clone(), row);
        }
        Control::OwnerTold { lock, .. } => {
            let row = found.removals.get_mut(lock).expect("it was taken off");
            (row.7, row.8) = (Some(entry), Some(at));
        }
        Control::BoxLocked {
            box_name,
            coordinator,
            keys_of,
        } => {
            found
                .keys
                .extend(keys_of.iter().map(|key| (entry.clone(), key.clone())));
            let row = (entry.clone(), job, box_name.clone(), coordinator.0, at);
            found.boxes.insert(entry, row);
        }
        Control::BoxLockOn { of, lock_number } => {
            let number = lock_number.clone();
            let row = (entry.clone(), of.clone(), job, by, number, at, None, None);
            found.box_locks.insert(entry, row);
        }
        Control::BoxLockOff { lock } => {
            let row = found.box_locks.get_mut(lock).expect("it was on");
            (row.6, row.7) = (Some(entry), Some(at));
        }
        Control::PermitOpened {
            permit_kind,
            number,
            valid_from,
            valid_to,
            ..
        } => {
            let row = (
                entry.clone(),
                job,
                permit_kind.clone(),
                number.clone(),
                *valid_from,
                *valid_to,
                None,
                None,
            );
            found.permits.insert(entry, row);
        }
        Control::PermitClosed { of, .. } => {
            let row = found.permits.get_mut(of).expect("it was opened");
            (row.6, row.7) = (Some(entry), Some(at));
        }
        Control::HandedOver { .. }
        | Control::PermitsNeeded { .. }
        | Control::InterlocksRestored { .. } => {}
    }
}

/// The rows of absent owners, boxes and permits as a replay and as the database have them.
async fn same_control(db: &Db, found: &mut Replayed) {
    const REMOVALS: &str = "SELECT entry_id, lock_entry_id, job_id, owner_id, lock_number,
        removed_by, removed_at, told_entry_id, told_at FROM lock_removals ORDER BY lock_entry_id";
    let rows: Vec<RemovalRow> = brasstag::on_db!(db, pool =>
        sqlx::query_as(REMOVALS).fetch_all(pool).await.expect("the removals read"));
    assert_eq!(rows, found.removals.values().cloned().collect::<Vec<_>>());
    const BOXES: &str = "SELECT entry_id, job_id, name, coordinator_id, locked_at
        FROM lock_boxes ORDER BY entry_id";
    let rows: Vec<BoxRow> = brasstag::on_db!(db, pool =>
        sqlx::query_as(BOXES).fetch_all(pool).await.expect("the boxes read"));
    assert_eq!(rows, found.boxes.values().cloned().collect::<Vec<_>>());
    const KEYS: &str = "SELECT box_entry_id, lock_entry_id FROM lock_box_keys";
    let mut rows: Vec<(String, String)> = brasstag::on_db!(db, pool =>
        sqlx::query_as(KEYS).fetch_all(pool).await.expect("the keys read"));
    rows.sort();
    found.keys.sort();
    assert_eq!(rows, found.keys);
    const BOX_LOCKS: &str = "SELECT entry_id, box_entry_id, job_id, person_id, lock_number, on_at,
        off_entry_id, off_at FROM box_locks ORDER BY entry_id";
    let rows: Vec<BoxLockRow> = brasstag::on_db!(db, pool =>
        sqlx::query_as(BOX_LOCKS).fetch_all(pool).await.expect("the box locks read"));
    assert_eq!(rows, found.box_locks.values().cloned().collect::<Vec<_>>());
    const PERMITS: &str = "SELECT entry_id, job_id, permit_kind, number, valid_from, valid_to,
        closed_entry_id, closed_at FROM permits ORDER BY entry_id";
    let rows: Vec<PermitRow> = brasstag::on_db!(db, pool =>
        sqlx::query_as(PERMITS).fetch_all(pool).await.expect("the permits read"));
    assert_eq!(rows, found.permits.values().cloned().collect::<Vec<_>>());
}

/// The replay of everything in this database finds the jobs, locks and the rows beside them.
pub async fn control_replays(db: &Db) {
    let mut found = replay(db).await;
    for job in jobs::queries::all(db, 1000).await.expect("the jobs read") {
        assert_eq!(found.jobs.get(&job.id.0), Some(&job), "job {}", job.id.0);
    }
    same_control(db, &mut found).await;
    const LOCKS: &str = "SELECT entry_id, job_id, machine_id, source_id, person_id, lock_number,
        on_at, off_entry_id, off_at FROM locks ORDER BY entry_id";
    let locks: Vec<LockRow> = brasstag::on_db!(db, pool =>
        sqlx::query_as(LOCKS).fetch_all(pool).await.expect("the locks read"));
    assert_eq!(locks, found.locks.into_values().collect::<Vec<_>>());
}

async fn compare_jobs(db: &Db, found: &Replayed) {
    let mut stored = jobs::queries::all(db, 10_000).await.expect("the jobs read");
    stored.sort_by_key(|job| job.id.0);
    assert_eq!(stored.len(), found.jobs.len());
    for job in stored {
        assert_eq!(found.jobs.get(&job.id.0), Some(&job), "job {}", job.id.0);
    }
}

#[tokio::test]
async fn a_replay_of_all_entries_finds_the_same_rows() {
    let (db, _guard) = filled().await;
    let mut found = replay(&db).await;
    compare_jobs(&db, &found).await;
    same_control(&db, &mut found).await;

    const LOCKS: &str = "SELECT entry_id, job_id, machine_id, source_id, person_id, lock_number,
        on_at, off_entry_id, off_at FROM locks ORDER BY entry_id";
    let locks: Vec<LockRow> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(LOCKS).fetch_all(pool).await.expect("the locks read"));
    assert!(locks.len() > 20);
    assert_eq!(locks, found.locks.into_values().collect::<Vec<_>>());

    const SPELLS: &str = "SELECT entry_id, job_id, person_id, spent, from_at, to_at, note,
        withdrawn_by FROM job_spells ORDER BY entry_id";
    let spells: Vec<SpellRow> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(SPELLS).fetch_all(pool).await.expect("the stretches read"));
    assert!(!spells.is_empty());
    assert_eq!(spells, found.spells.into_values().collect::<Vec<_>>());

    const READINGS: &str = "SELECT entry_id, position, job_id, machine_id, point, quantity,
        as_shown, value, taken_at FROM readings";
    let mut readings: Vec<ReadingRow> = brasstag::on_db!(&db, pool =>
        sqlx::query_as(READINGS).fetch_all(pool).await.expect("the readings read"));
    let key = |row: &ReadingRow| (row.0.clone(), row.1);
    readings.sort_by_key(key);
    found.readings.sort_by_key(key);
    assert!(readings.len() > 60);
    assert_eq!(readings, found.readings);
}

#[tokio::test]
async fn a_replay_finds_the_photos_as_they_stand() {
    let app = crate::app::TestApp::start().await;
    crate::photos::three_photos_one_withdrawn(&app).await;
    let found = replay(app.db()).await;
    let stored = jobs::queries::all(app.db(), 10).await.expect("the jobs");
    assert_eq!(stored.len(), 1);
    assert_eq!(found.jobs.get(&stored[0].id.0), Some(&stored[0]));

    const PHOTOS: &str = "SELECT entry_id, job_id, person_id, sha, thumb, width, height, bytes,
        caption, about, taken_at, withdrawn_by FROM photos ORDER BY entry_id";
    let photos: Vec<PhotoRow> = brasstag::on_db!(app.db(), pool =>
        sqlx::query_as(PHOTOS).fetch_all(pool).await.expect("the photos read"));
    assert_eq!(photos.len(), 3);
    assert_eq!(photos.iter().filter(|row| row.11.is_some()).count(), 1);
    assert_eq!(photos, found.photos.into_values().collect::<Vec<_>>());
}
