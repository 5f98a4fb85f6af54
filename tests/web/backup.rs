//! Backups: whole or not there, once a day over several processes, and back again on either database.

use crate::app::{Folder, NOON, TestApp, fresh_database};
use crate::demo::filled;
use axum::http::StatusCode;
use brasstag::backup::keep::{self, Keep};
use brasstag::backup::schedule::{Daily, make_due};
use brasstag::backup::{command, queries, write};
use brasstag::clock::{DAY, HOUR, Zone};
use brasstag::db::{Db, Tx};
use brasstag::exchange::archive::{Secrets, write as archive};
use brasstag::photos::store::Store;
use std::path::{Path, PathBuf};

struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("brasstag_{name}_{}", std::process::id()));
        let _old = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).expect("a folder");
        Scratch(folder)
    }

    fn names(&self) -> Vec<String> {
        let listed = std::fs::read_dir(&self.0).expect("the folder");
        let name = |file: std::io::Result<std::fs::DirEntry>| {
            let file = file.expect("a file");
            file.file_name().to_string_lossy().into_owned()
        };
        let mut names: Vec<String> = listed.map(name).collect();
        names.sort();
        names
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _gone = std::fs::remove_dir_all(&self.0);
    }
}

async fn sqlite(file: &Path) -> Db {
    let db = Db::open(&format!("sqlite:{}", file.display())).await;
    let db = db.expect("a database");
    db.migrate().await.expect("the schema");
    db
}

fn daily(folder: &Path) -> Daily {
    Daily {
        folder: folder.to_owned(),
        at: "02:00".parse().expect("a time"),
        keep: Keep::default(),
    }
}

#[tokio::test]
async fn a_backup_is_whole_private_and_overwrites_nothing() {
    let scratch = Scratch::new("backup_whole");
    let app = TestApp::start().await;
    let sha = app.state.photos.put(b"a picture".to_vec()).await;
    let sha = sha.expect("a photo");
    let file = scratch.0.join("one.zip");
    let (db, photos) = (&app.state.db, &app.state.photos);
    let made = write::make(db, Some(photos), NOON, &file).await;
    let made = made.expect("a backup");
    assert_eq!(
        made.bytes,
        std::fs::metadata(&file).expect("the file").len()
    );
    assert_eq!(scratch.names(), ["one.zip"], "nothing half written stays");
    let mode = std::os::unix::fs::PermissionsExt::mode(
        &std::fs::metadata(&file).expect("the file").permissions(),
    );
    assert_eq!(mode & 0o077, 0, "passwords are in it");
    let before = std::fs::read(&file).expect("bytes");
    let twice = write::make(db, Some(photos), NOON, &file).await;
    let words = twice.expect_err("it is there").to_string();
    assert!(words.ends_with("A backup overwrites nothing."), "{words}");
    assert_eq!(std::fs::read(&file).expect("bytes"), before);
    // Into a folder that is not there nothing goes, and a sentence says so.
    let lost = scratch.0.join("no/such/one.zip");
    assert!(write::make(db, Some(photos), NOON, &lost).await.is_err());

    // It goes back in with passwords, and a damaged one does not.
    let restored = sqlite(&scratch.0.join("other.sqlite")).await;
    let mut damaged = before.clone();
    let middle = damaged.len() / 2;
    damaged[middle] ^= 0x55;
    let bad = scratch.0.join("bad.zip");
    std::fs::write(&bad, damaged).expect("written");
    let store = Store::at(scratch.0.join("photos"));
    let refused = brasstag::exchange::command::restore(&restored, &store, &bad).await;
    assert!(refused.is_err(), "{refused:?}");
    let said = brasstag::exchange::command::restore(&restored, &store, &file).await;
    assert!(said.is_ok(), "{said:?}");
    let hashes: i64 = brasstag::on_db!(&restored, pool => sqlx::query_scalar(
        "SELECT count(*) FROM people WHERE password_hash LIKE '$argon2%'",
    ).fetch_one(pool).await.expect("rows"));
    assert_eq!(hashes, 6, "people sign in as before");
    let again = brasstag::exchange::command::restore(&restored, &store, &file).await;
    let words = again.expect_err("the shop is not empty");
    assert!(words.contains("only read into an empty one"), "{words}");
    assert_eq!(
        store.get(&sha).await.expect("a store"),
        None,
        "no row names it"
    );
    restored.close().await;
}

#[tokio::test]
async fn the_backup_of_the_day_is_made_once_and_shown_to_the_keeper() {
    let scratch = Scratch::new("backup_daily");
    let app = TestApp::start().await;
    let keeper = app.sign_in("keeper").await;
    let page = keeper.get("/shop/backups").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.words().contains("none was made by the program"));
    assert!(page.words().contains("names no folder"));
    for role in ["reporter", "technician", "storekeeper", "auditor"] {
        let visit = app.sign_in(role).await;
        let page = visit.get("/shop/backups").await;
        assert_eq!(page.status, StatusCode::FORBIDDEN, "{role}");
    }

    let daily = daily(&scratch.0);
    let (one, two) = (app.state.clone(), app.state.clone());
    let made = match &one.db {
        Db::Postgres(_) => tokio::join!(make_due(&one, &daily), make_due(&two, &daily)),
        // One server has such a file.
        Db::Sqlite { .. } => (make_due(&one, &daily).await, make_due(&two, &daily).await),
    };
    let made = [made.0.expect("looked at"), made.1.expect("looked at")];
    let whole = made.iter().flatten().filter(|t| t.problem.is_none());
    assert_eq!(whole.count(), 1, "{made:?}");
    assert_eq!(make_due(&one, &daily).await.expect("looked at"), None);
    assert_eq!(scratch.names(), [keep::name_at(NOON)]);
    let page = keeper.get("/shop/backups").await;
    assert!(page.words().contains(&keep::name_at(NOON)));
    assert!(page.words().contains("0 minutes ago"));

    app.state.clock.advance(DAY);
    let next = make_due(&one, &daily).await.expect("looked at");
    assert_eq!(next.expect("the next day's").problem, None);
    assert_eq!(scratch.names().len(), 2);
}

#[tokio::test]
async fn a_backup_that_fails_is_said_and_tried_again() {
    let scratch = Scratch::new("backup_fails");
    let app = TestApp::start().await;
    let blocked = scratch.0.join("backups");
    std::fs::write(&blocked, "a file where the folder should be").expect("written");
    let daily = daily(&blocked);
    let failed = make_due(&app.state, &daily).await.expect("looked at");
    assert!(failed.expect("tried").problem.is_some());
    let keeper = app.sign_in("keeper").await;
    let page = keeper.get("/shop/backups").await;
    assert!(page.words().contains("The last backup failed:"));

    app.state.clock.advance(HOUR / 60);
    assert_eq!(make_due(&app.state, &daily).await.expect("looked at"), None);
    std::fs::remove_file(&blocked).expect("out of the way");
    app.state.clock.advance(HOUR / 4);
    let again = make_due(&app.state, &daily).await.expect("looked at");
    assert_eq!(again.expect("tried again").problem, None);
    let page = keeper.get("/shop/backups").await;
    assert!(!page.words().contains("The last backup failed:"));
    assert!(page.words().contains("failed:"), "the list keeps it");
}

/// Only where the run is on a database that several processes share.
#[tokio::test]
async fn while_one_process_makes_it_no_other_does() {
    let app = TestApp::start().await;
    let held = queries::try_alone(&app.state.db).await.expect("asked");
    assert!(held.is_some());
    let other = queries::try_alone(&app.state.db).await.expect("asked");
    let shared = matches!(app.state.db, Db::Postgres(_));
    assert_eq!(other.is_none(), shared);
    drop(held);
    if shared {
        for _ in 0..100 {
            if queries::try_alone(&app.state.db)
                .await
                .expect("asked")
                .is_some()
            {
                return;
            }
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
        panic!("the lock goes with its connection");
    }
}

#[test]
fn old_ones_go_by_rule_and_files_of_others_stay() {
    let scratch = Scratch::new("backup_rotate");
    for back in 0..40 {
        let name = keep::name_at(NOON - back * DAY);
        std::fs::write(scratch.0.join(name), "x").expect("written");
    }
    for name in ["notes.txt", "brasstag-before-1.zip", ".brasstag-x.zip.part"] {
        std::fs::write(scratch.0.join(name), "x").expect("written");
    }
    let keep: Keep = "3,2,1".parse().expect("a rule");
    let gone = write::rotate(&scratch.0, keep, &Zone::utc()).expect("rotated");
    assert_eq!(gone, 36);
    let names = scratch.names();
    assert_eq!(names.len(), 4 + 3);
    assert!(names.contains(&keep::name_at(NOON)));
    let again = write::rotate(&scratch.0, keep, &Zone::utc()).expect("rotated");
    assert_eq!(again, 0);
}

/// Every row as the archive's format has it, by its hash.
async fn rows_of(db: &Db) -> brasstag::exchange::archive::Manifest {
    let how = (NOON, Secrets::Kept);
    let wrote = archive::write(db, None, how, std::io::sink()).await;
    wrote.expect("it is written")
}

/// On SQLite within it, on Postgres to SQLite and back: both directions.
#[tokio::test]
async fn a_move_carries_every_row_there_and_back() {
    let scratch = Scratch::new("move");
    let (from, _guard) = filled().await;
    let middle = sqlite(&scratch.0.join("middle.sqlite")).await;
    command::carry(&from, &middle, &scratch.0, NOON)
        .await
        .expect("carried");
    let (last, _last): (Db, Folder) = fresh_database(true).await;
    command::carry(&middle, &last, &scratch.0, NOON)
        .await
        .expect("carried back");
    let (first, there, back) = (
        rows_of(&from).await,
        rows_of(&middle).await,
        rows_of(&last).await,
    );
    assert!(first.files["tables/entries.csv"].rows > Some(100));
    assert_eq!(first, there);
    assert_eq!(first, back);
    let left: Vec<String> = scratch.names();
    assert!(!left.iter().any(|n| n.contains("move")), "{left:?}");

    for db in [&middle, &last] {
        let refused = command::carry(&from, db, &scratch.0, NOON).await;
        let words = refused.expect_err("not empty").to_string();
        assert!(words.contains("only read into an empty one"), "{words}");
        const ADD: &str = "INSERT INTO places (kind, name) VALUES ('site', 'new') RETURNING id";
        let mut tx = db.begin_write().await.expect("a transaction");
        let new: i64 = match &mut tx {
            Tx::Sqlite(tx) => sqlx::query_scalar(ADD).fetch_one(&mut **tx).await,
            Tx::Postgres(tx) => sqlx::query_scalar(ADD).fetch_one(&mut **tx).await,
        }
        .expect("the next insert works");
        assert!(new > 1);
    }
    assert_eq!(first, rows_of(&from).await, "the source is as it was");
    middle.close().await;
}
