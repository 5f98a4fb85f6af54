//! The archive: every table in it, the same record after a round trip, and nothing taken from a
//! damaged or hostile file.

use crate::app::{Folder, NOON, TestApp, fresh_database};
use crate::demo::filled;
use axum::http::StatusCode;
use brasstag::db::{Db, Tx};
use brasstag::exchange::archive::{Failure, Manifest, Secrets, read, tables, write};
use brasstag::photos::store::Store;
use std::collections::BTreeSet;
use std::fs::File;
use std::io::{Cursor, Read, Write};
use std::path::{Path, PathBuf};
use zip::write::SimpleFileOptions;

#[tokio::test]
async fn every_table_is_carried_or_left_out_for_a_reason() {
    let (db, _guard) = fresh_database(true).await;
    let there: BTreeSet<String> = brasstag::exchange::archive::tables_of(&db)
        .await
        .expect("tables")
        .into_iter()
        .collect();
    let listed: BTreeSet<String> = tables::TABLES.iter().map(|t| t.name.to_owned()).collect();
    let missing: Vec<_> = there.difference(&listed).collect();
    assert!(
        missing.is_empty(),
        "add a line for each to exchange/archive/tables.rs: {missing:?}"
    );
    for (table, _) in tables::all_kept() {
        assert!(there.contains(table.name), "{} is gone", table.name);
    }
    assert_eq!(listed.len(), tables::TABLES.len(), "no table twice");
}

fn scratch(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("brasstag_{name}_{}", std::process::id()));
    let _old = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

async fn run(db: &Db, sql: String) {
    // The text is the test's own.
    let sql = sqlx::AssertSqlSafe(sql);
    let done = match db {
        Db::Sqlite { write, .. } => sqlx::raw_sql(sql).execute(write).await.map(|_| ()),
        Db::Postgres(pool) => sqlx::raw_sql(sql).execute(pool).await.map(|_| ()),
    };
    done.expect("the statement runs");
}

async fn sqlite(folder: &Path) -> Db {
    let db = Db::open(&format!("sqlite:{}", folder.join("shop.sqlite").display())).await;
    let db = db.expect("a database");
    db.migrate().await.expect("the schema");
    db
}

async fn packed(db: &Db, photos: &Store, file: &Path) -> Manifest {
    let out = File::create(file).expect("a file");
    write::write(db, Some(photos), (NOON, Secrets::Kept), out)
        .await
        .expect("the archive is written")
}

async fn take(db: &Db, photos: &Store, file: &Path) -> Result<Manifest, Failure> {
    read::read(db, photos, File::open(file).expect("the file")).await
}

fn csv_of(file: &Path, table: &str) -> String {
    let mut zip = zip::ZipArchive::new(File::open(file).expect("the file")).expect("a zip");
    let mut text = String::new();
    let mut found = zip
        .by_name(&format!("tables/{table}.csv"))
        .expect("a table");
    found.read_to_string(&mut text).expect("text");
    text
}

/// The demo, with text that spreadsheets and databases stumble over, and a photo.
async fn full_shop(photos: &Store) -> (Db, impl Drop + use<>) {
    let (db, guard) = filled().await;
    let sha = photos.put(b"a picture".to_vec()).await.expect("a photo");
    run(
        &db,
        format!(
            "INSERT INTO photos (entry_id, job_id, person_id, sha, thumb, width, height, bytes, \
             caption, about, taken_at) SELECT e.id, e.job_id, NULL, '{sha}', '{sha}', 4, 3, 9, \
             '=1+1', 'other', 5 FROM entries e WHERE e.number = 1 AND e.job_id = 1 LIMIT 1"
        ),
    )
    .await;
    let manual = photos
        .put(b"%PDF-1.7 a manual".to_vec())
        .await
        .expect("a document");
    run(
        &db,
        format!(
            "INSERT INTO machine_documents (machine_id, name, sha, file_type, file_name, bytes, \
             noted_at) VALUES (1, 'Old manual', '{manual}', 'pdf', 'manual.pdf', 17, 5); \
             INSERT INTO thing_photos (part_id, sha, thumb, width, height, bytes, taken_at) \
             SELECT min(id), '{sha}', '{sha}', 4, 3, 9, 5 FROM parts"
        ),
    )
    .await;
    run(
        &db,
        "INSERT INTO places (parent_id, kind, name, access_note) VALUES \
         (1, 'room', '''=A1', 'two\nlines, \"quoted\"; süß'), (1, 'room', '-5', '@x'); \
         INSERT INTO motors (name, plate, plate_text) VALUES ('+1', '{}', '\t'); \
         INSERT INTO meters (machine_id, name, unit) VALUES (1, 'hours', 'h'); \
         INSERT INTO meter_readings (meter_id, read_on, value) \
         SELECT max(id), '2026-02-28', 0.1 FROM meters; \
         INSERT INTO meter_readings (meter_id, read_on, value) \
         SELECT max(id), '2026-02-27', 123456789.12345678 FROM meters; \
         INSERT INTO places (parent_id, kind, name) VALUES (1, 'room', 'to be gone'); \
         DELETE FROM places WHERE name = 'to be gone'; \
         UPDATE panels SET fed_from_id = (SELECT max(id) FROM circuits)"
            .to_owned(),
    )
    .await;
    (db, guard)
}

/// From this run's database to SQLite and back to an empty one of this run's: both ways across
/// where the run is on Postgres.
#[tokio::test]
async fn a_round_trip_keeps_every_row_on_both_databases() {
    let folder = scratch("round_trip");
    let photos = |name: &str| Store::at(folder.join(name));
    let (first, _guard) = full_shop(&photos("a")).await;
    let one = folder.join("one.zip");
    let wrote = packed(&first, &photos("a"), &one).await;

    let other = sqlite(&folder).await;
    take(&other, &photos("b"), &one).await.expect("it is read");
    let two = folder.join("two.zip");
    let again = packed(&other, &photos("b"), &two).await;
    other.close().await;

    let (last, _last_guard): (Db, Folder) = fresh_database(true).await;
    take(&last, &photos("c"), &two)
        .await
        .expect("it is read back");
    let three = folder.join("three.zip");
    let back = packed(&last, &photos("c"), &three).await;

    for (table, _) in tables::all_kept() {
        let rows = csv_of(&one, table.name);
        assert_eq!(rows, csv_of(&two, table.name), "{}", table.name);
        assert_eq!(rows, csv_of(&three, table.name), "{}", table.name);
    }
    assert_eq!(wrote, again);
    assert_eq!(wrote, back);
    assert!(csv_of(&one, "entries").lines().count() > 100);
    assert_eq!(wrote.photos_missing, Vec::<String>::new());
    whole_in(&last).await;
    let sha = wrote
        .files
        .keys()
        .find_map(|name| name.strip_prefix("photos/"));
    let sha = sha.and_then(|name| name.strip_suffix(".jpg")).expect("one");
    let picture = photos("c").get(sha).await.expect("the store");
    assert_eq!(picture.as_deref(), Some(&b"a picture"[..]));
    let _gone = std::fs::remove_dir_all(folder);
}

/// Asked of the database itself, so that a loss in both writing and reading would show.
async fn whole_in(db: &Db) {
    for (sql, wanted) in [
        (
            "SELECT count(*) FROM places WHERE name = '''=A1' AND access_note LIKE 'two%süß'",
            1,
        ),
        (
            "SELECT count(*) FROM places WHERE name = '-5' AND access_note = '@x'",
            1,
        ),
        (
            "SELECT count(*) FROM motors WHERE name = '+1' AND plate_text = '\t'",
            1,
        ),
        (
            "SELECT count(*) FROM meter_readings WHERE value = 123456789.12345678",
            1,
        ),
        (
            "SELECT count(*) FROM meter_readings WHERE value = 0.1 AND read_on = '2026-02-28'",
            1,
        ),
        ("SELECT count(*) FROM panels WHERE fed_from_id IS NULL", 0),
        (
            "SELECT count(*) FROM photos WHERE caption = '=1+1' AND person_id IS NULL",
            1,
        ),
    ] {
        let rows: i64 = brasstag::on_db!(db, pool =>
            sqlx::query_scalar(sql).fetch_one(pool).await.expect("a count"));
        assert_eq!(rows, wanted, "{sql}");
    }
    // The number of the row that is gone is not given again.
    let last: i64 = brasstag::on_db!(db, pool =>
        sqlx::query_scalar("SELECT max(id) FROM places").fetch_one(pool).await.expect("an id"));
    let mut tx = db.begin_write().await.expect("a transaction");
    const ADD: &str = "INSERT INTO places (kind, name) VALUES ('site', 'new') RETURNING id";
    let new: i64 = match &mut tx {
        Tx::Sqlite(tx) => sqlx::query_scalar(ADD).fetch_one(&mut **tx).await,
        Tx::Postgres(tx) => sqlx::query_scalar(ADD).fetch_one(&mut **tx).await,
    }
    .expect("a place");
    assert_eq!(new, last + 2);
}

type Files = Vec<(String, Vec<u8>)>;

fn unpacked(file: &Path) -> Files {
    let mut zip = zip::ZipArchive::new(File::open(file).expect("the file")).expect("a zip");
    (0..zip.len())
        .map(|i| {
            let mut file = zip.by_index(i).expect("a file");
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes).expect("bytes");
            (file.name().expect("a name").into_owned(), bytes)
        })
        .collect()
}

fn repacked(files: &Files, file: &Path) {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(name, SimpleFileOptions::default())
            .expect("a file");
        zip.write_all(bytes).expect("bytes");
    }
    let bytes = zip.finish().expect("a zip").into_inner();
    std::fs::write(file, bytes).expect("written");
}

fn sha256(bytes: &[u8]) -> String {
    use sha2::Digest;
    let digest = sha2::Sha256::digest(bytes);
    digest.iter().map(|b| format!("{b:02x}")).collect()
}

/// Puts a file in, with a manifest that vouches for it.
fn vouched(files: &Files, name: &str, bytes: &[u8]) -> Files {
    let mut files = files.clone();
    files.retain(|(n, _)| n != name);
    files.insert(0, (name.to_owned(), bytes.to_vec()));
    let rows = name.starts_with("tables/").then_some(1u64);
    let facts = serde_json::json!({
        "bytes": bytes.len(), "sha256": sha256(bytes), "rows": rows,
    });
    edit(&mut files, |manifest| manifest["files"][name] = facts);
    files
}

fn edit(files: &mut Files, change: impl FnOnce(&mut serde_json::Value)) {
    let (_, json) = files.last_mut().expect("the manifest is last");
    let mut manifest = serde_json::from_slice(json).expect("json");
    change(&mut manifest);
    *json = serde_json::to_vec(&manifest).expect("json");
}

#[tokio::test]
async fn a_damaged_or_hostile_archive_changes_nothing() {
    let folder = scratch("hostile");
    let photos = Store::at(folder.join("photos"));
    let from = TestApp::start().await;
    let good = folder.join("good.zip");
    packed(&from.state.db, &photos, &good).await;
    let files = unpacked(&good);
    let (db, _guard): (Db, Folder) = fresh_database(true).await;
    let bad = folder.join("bad.zip");

    let whole = std::fs::read(&good).expect("bytes");
    let mut changed = files.clone();
    changed[1].1.push(b'x');
    let mut newer = files.clone();
    edit(&mut newer, |manifest| manifest["format"] = 99.into());
    let mut other_schema = files.clone();
    edit(&mut other_schema, |manifest| manifest["schema"] = 7.into());
    let mut fewer = files.clone();
    fewer.remove(2);
    let outside = vouched(&files, "../../../etc/cron.d/x", b"x");
    let outside_photo = vouched(&files, "photos/../../x.jpg", b"x");
    let false_photo = vouched(&files, &format!("photos/{}.jpg", "a".repeat(64)), b"x");
    let column = vouched(
        &files,
        "tables/places.csv",
        b"id,kind,\"name\"\" = 1; --\"\n1,site,x\n",
    );
    let dangling = vouched(
        &files,
        "tables/places.csv",
        b"id,parent_id,kind,name\n1,99,room,x\n",
    );
    let broken_text = vouched(
        &files,
        "tables/places.csv",
        b"id,kind,name\n1,site,\xff\xfe\n",
    );
    let ragged = vouched(&files, "tables/places.csv", b"id,kind,name\n1,site\n");
    let mut bomb = vouched(&files, "README.txt", &vec![0; 50_000_000]);
    edit(&mut bomb, |manifest| {
        manifest["files"]["README.txt"]["bytes"] = 10.into()
    });

    let mut cases = vec![
        ("no zip", b"PK\x03\x04 not really".to_vec()),
        ("cut short", whole[..whole.len() / 2].to_vec()),
        ("empty", Vec::new()),
    ];
    for (what, files) in [
        ("changed by a byte", changed),
        ("newer format", newer),
        ("other schema", other_schema),
        ("a file missing", fewer),
        ("a name that leads out", outside),
        ("a photo that leads out", outside_photo),
        ("a photo under another name", false_photo),
        ("a column that is a statement", column),
        ("a reference to nothing", dangling),
        ("broken text", broken_text),
        ("ragged rows", ragged),
        ("larger than it says", bomb),
    ] {
        repacked(&files, &bad);
        cases.push((what, std::fs::read(&bad).expect("bytes")));
    }
    for (what, bytes) in cases {
        std::fs::write(&bad, bytes).expect("written");
        let refused = take(&db, &photos, &bad).await.expect_err(what);
        let words = refused.to_string();
        assert!(
            words.ends_with('.') || words.contains(": "),
            "{what}: {words}"
        );
        let rows: i64 = brasstag::on_db!(&db, pool =>
            sqlx::query_scalar("SELECT count(*) FROM people").fetch_one(pool).await.expect("rows"));
        assert_eq!(rows, 0, "{what}");
    }
    // The good one still goes in afterwards, once.
    take(&db, &photos, &good).await.expect("the good one");
    let twice = take(&db, &photos, &good).await.expect_err("twice");
    assert!(twice.to_string().contains("only read into an empty one"));
    let _gone = std::fs::remove_dir_all(folder);
}

#[tokio::test]
async fn everything_is_downloaded_without_what_opens_doors() {
    let app = TestApp::start().await;
    for role in ["reporter", "technician", "storekeeper", "auditor"] {
        let visit = app.sign_in(role).await;
        for page in ["/exchange", "/exchange/everything.zip"] {
            assert_eq!(
                visit.get(page).await.status,
                StatusCode::FORBIDDEN,
                "{role}"
            );
        }
    }
    let keeper = app.sign_in("keeper").await;
    let page = keeper.get("/exchange").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.words().contains("entries.csv"));
    let answer = keeper.get("/exchange/everything.zip").await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(answer.headers["cache-control"], "no-store");
    let folder = scratch("download");
    let file = folder.join("all.zip");
    std::fs::write(&file, &answer.bytes).expect("written");
    assert!(csv_of(&file, "people").contains("The keeper"));
    for (name, bytes) in unpacked(&file) {
        let text = String::from_utf8_lossy(&bytes);
        assert!(!text.contains("argon2"), "{name} holds a password");
    }
    // It reads into an empty shop, where nobody can sign in before a new password.
    let (db, _guard): (Db, Folder) = fresh_database(true).await;
    let said =
        brasstag::exchange::command::restore(&db, &Store::at(folder.join("photos")), &file).await;
    assert!(said.expect("it is read").contains("holds no passwords"));
    let shut: i64 = brasstag::on_db!(&db, pool =>
        sqlx::query_scalar("SELECT count(*) FROM people WHERE password_hash = ''")
            .fetch_one(pool).await.expect("rows"));
    assert_eq!(shut, 6);
    let _gone = std::fs::remove_dir_all(folder);
}
