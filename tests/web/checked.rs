//! `brasstag check` on a record that was damaged: each kind of damage is found and named, and a whole
//! record has none.

use crate::app::{Folder, fresh_database};
use crate::demo::filled;
use brasstag::check::{Finding, record};
use brasstag::clock::{HOUR, MINUTE, Millis};
use brasstag::db::Db;
use brasstag::photos::store::Store;
use std::path::PathBuf;
use std::time::{Duration, SystemTime};

/// Does what no page of the program can: references are not looked at.
async fn damage(db: &Db, sql: &str) {
    let text = match db {
        Db::Sqlite { .. } => format!("PRAGMA foreign_keys = OFF; {sql}; PRAGMA foreign_keys = ON"),
        Db::Postgres(_) => format!(
            "SET session_replication_role = replica; {sql}; SET session_replication_role = origin"
        ),
    };
    let text = sqlx::AssertSqlSafe(text);
    let changed = match db {
        Db::Sqlite { write, .. } => sqlx::raw_sql(text)
            .execute(write)
            .await
            .map(|done| done.rows_affected()),
        Db::Postgres(pool) => sqlx::raw_sql(text)
            .execute(pool)
            .await
            .map(|done| done.rows_affected()),
    };
    assert!(changed.expect("the statement runs") > 0, "{sql}");
}

struct Record {
    db: Db,
    store: Store,
    photos: PathBuf,
    latest: Millis,
}

impl Record {
    async fn findings(&self, now: Millis) -> Vec<Finding> {
        record::look(&self.db, Ok(self.store.clone()), now).await
    }

    /// What is wrong, by what it was found looking at.
    async fn wrong(&self) -> Vec<(&'static str, String)> {
        let found = self.findings(self.latest + HOUR).await;
        let wrong = found.into_iter();
        wrong
            .filter_map(|f| Some((f.what, f.found.err()?)))
            .collect()
    }

    async fn number(&self, sql: &'static str) -> i64 {
        brasstag::on_db!(&self.db, pool =>
            sqlx::query_scalar(sql).fetch_one(pool).await.expect("a number"))
    }
}

/// The demo's record, nothing wrong with it.
async fn whole() -> (Record, impl Drop, Folder) {
    let (db, guard) = filled().await;
    let (spare, folder) = fresh_database(false).await;
    spare.close().await;
    let photos = folder.0.join("photos");
    let mut record = Record {
        db,
        store: Store::at(photos.clone()),
        photos,
        latest: 0,
    };
    record.latest = record.number("SELECT max(received_at) FROM entries").await;
    assert_eq!(record.wrong().await, []);
    (record, guard, folder)
}

/// Damages a whole record; exactly one thing is found wrong, in words that say what.
async fn one_thing(sql: &str, what: &str, words: &str) {
    let (record, _guard, _folder) = whole().await;
    damage(&record.db, sql).await;
    let wrong = record.wrong().await;
    assert_eq!(wrong.len(), 1, "{sql}: {wrong:?}");
    assert_eq!(wrong[0].0, what, "{wrong:?}");
    assert!(wrong[0].1.contains(words), "{wrong:?}");
}

#[tokio::test]
async fn a_reference_to_nothing_is_found() {
    let sql = "UPDATE jobs SET machine_id = 987654 WHERE id = (SELECT min(id) FROM jobs \
        WHERE machine_id IS NOT NULL)";
    let words = "1 of jobs name a row of machines that is not there";
    one_thing(sql, "references", words).await;
}

#[tokio::test]
async fn an_entry_that_is_gone_is_found() {
    let (record, _guard, _folder) = whole().await;
    let job = record.number("SELECT min(job_id) FROM entries").await;
    damage(
        &record.db,
        &format!("DELETE FROM entries WHERE job_id = {job} AND number = 2"),
    )
    .await;
    let wrong = record.wrong().await;
    let entries = wrong.iter().find(|found| found.0 == "entries");
    let words = format!("jobs whose entries are not numbered 1, 2, 3 …: {job}");
    assert_eq!(entries.map(|found| &found.1), Some(&words), "{wrong:?}");
}

#[tokio::test]
async fn a_job_without_entries_and_entries_without_a_job_are_found() {
    let (record, _guard, _folder) = whole().await;
    let job = record.number("SELECT min(job_id) FROM entries").await;
    let moved = format!("UPDATE entries SET job_id = 987654 WHERE job_id = {job}");
    damage(&record.db, &moved).await;
    let wrong = record.wrong().await;
    let said = |what: &str| {
        let found = wrong.iter().find(|found| found.0 == what);
        found.map(|found| found.1.clone()).unwrap_or_default()
    };
    assert!(
        said("entries").contains("entries without the row of their job"),
        "{wrong:?}"
    );
    assert!(
        said("entries").contains(&format!("jobs without an entry: {job}")),
        "{wrong:?}"
    );
    assert!(
        said("references").contains("of entries name a row of jobs"),
        "{wrong:?}"
    );
}

#[tokio::test]
async fn a_clock_that_went_back_behind_the_last_entry_is_found() {
    let (record, _guard, _folder) = whole().await;
    let early = record.findings(record.latest - 3 * MINUTE).await;
    let wrong: Vec<&Finding> = early.iter().filter(|f| f.found.is_err()).collect();
    let [Finding { what, found }] = &wrong[..] else {
        panic!("{wrong:?}");
    };
    assert_eq!(*what, "last entry");
    let words = found.as_ref().expect_err("too early");
    assert!(words.contains("the clock went back"), "{words}");
    // Servers' clocks differ by a little.
    let near = record.findings(record.latest - MINUTE).await;
    assert!(near.iter().all(|finding| finding.found.is_ok()));
}

#[tokio::test]
async fn a_photo_without_its_file_and_a_file_without_its_photo_are_found() {
    let (record, _guard, _folder) = whole().await;
    let sha = record.store.put(b"a picture".to_vec()).await;
    let sha = sha.expect("stored");
    let shown = format!(
        "INSERT INTO photos (entry_id, job_id, sha, thumb, width, height, bytes, about, taken_at) \
         SELECT id, job_id, '{sha}', '{sha}', 10, 10, 9, 'other', received_at FROM entries \
         ORDER BY id LIMIT 1"
    );
    damage(&record.db, &shown).await;
    assert_eq!(record.wrong().await, []);
    let file = record.photos.join(format!("{sha}.jpg"));
    let aside = record.photos.join("aside");
    std::fs::rename(&file, &aside).expect("taken away");
    let wrong = record.wrong().await;
    assert_eq!(wrong.len(), 1, "{wrong:?}");
    assert!(
        wrong[0].1.contains("files are missing") && wrong[0].1.contains(&sha),
        "{wrong:?}"
    );
    std::fs::rename(&aside, &file).expect("brought back");

    let stray = record
        .store
        .put(b"of nobody".to_vec())
        .await
        .expect("stored");
    let young = record.wrong().await;
    assert_eq!(young, [], "its entry may be about to commit");
    let old = SystemTime::UNIX_EPOCH + Duration::from_secs(3600);
    let open = std::fs::File::options()
        .write(true)
        .open(record.photos.join(format!("{stray}.jpg")));
    open.and_then(|file| file.set_modified(old))
        .expect("made older");
    let wrong = record.wrong().await;
    assert_eq!(wrong.len(), 1, "{wrong:?}");
    assert_eq!(wrong[0].0, "stray photo files");
}

#[tokio::test]
async fn a_damaged_database_file_is_found() {
    // PostgreSQL's own tools look at its files, so this is a file of SQLite's on both runs.
    let (_spare, folder) = fresh_database(false).await;
    let file = folder.0.join("damaged.sqlite");
    let url = format!("sqlite:{}", file.display());
    let db = Db::open(&url).await.expect("a database");
    db.migrate().await.expect("the schema");
    db.close().await;
    let mut bytes = std::fs::read(&file).expect("the file");
    let page = 4096;
    let last = bytes.len() / page * page - page;
    bytes[last..last + page].fill(0xa5);
    std::fs::write(&file, bytes).expect("damaged");
    let db = Db::open(&url).await.expect("it opens all the same");
    let found = record::look(&db, Ok(Store::at(folder.0.join("photos"))), 0).await;
    let references = found.iter().find(|finding| finding.what == "references");
    let words = references.and_then(|finding| finding.found.clone().err());
    let words = words.expect("found");
    assert!(
        words.contains("damaged") || words.contains("malformed"),
        "{words}"
    );
    db.close().await;
}
