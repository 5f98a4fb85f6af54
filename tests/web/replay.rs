//! Entries are the truth: a replay of all of them finds the job, lock and reading rows as they stand.

use crate::demo::filled;
use brasstag::db::Db;
use brasstag::jobs::body::Body;
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

#[derive(Default)]
struct Replayed {
    photos: BTreeMap<String, PhotoRow>,
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
            _ => {}
        }
    }
    found
}

#[tokio::test]
async fn a_replay_of_all_entries_finds_the_same_rows() {
    let (db, _guard) = filled().await;
    let mut found = replay(&db).await;

    let mut stored = jobs::queries::all(&db, 10_000)
        .await
        .expect("the jobs read");
    stored.sort_by_key(|job| job.id.0);
    assert_eq!(stored.len(), found.jobs.len());
    for job in stored {
        assert_eq!(found.jobs.get(&job.id.0), Some(&job), "job {}", job.id.0);
    }

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
