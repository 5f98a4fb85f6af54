//! A database of every earlier schema, with rows in it, comes up to date with nothing lost, and so does
//! a backup of it that is read into the other kind of database.

use crate::app::{Folder, NOON, fresh_database};
use brasstag::backup::upgrade::{self, Stand};
use brasstag::db::Db;
use brasstag::exchange::archive::{Manifest, Secrets, write};
use brasstag::photos::store::Store;
use sqlx::migrate::Migrator;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::path::{Path, PathBuf};

/// What a later migration changed on purpose: table, column, and why.
const CHANGED: &[(&str, &str, &str)] = &[
    ("machines", "warranty_until", "a row of warranties"),
    ("machines", "warranty_note", "a row of warranties"),
];

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

async fn run(db: &Db, sql: &str) {
    // The text is a file of this repository, or of this test.
    let sql = sqlx::AssertSqlSafe(sql.to_owned());
    let done = match db {
        Db::Sqlite { write, .. } => sqlx::raw_sql(sql).execute(write).await.map(|_| ()),
        Db::Postgres(pool) => sqlx::raw_sql(sql).execute(pool).await.map(|_| ()),
    };
    done.expect("the statements run");
}

/// Each migration's version and sample rows, in order.
fn stages(db: &Db) -> Vec<(i64, String)> {
    let sample = |version: i64| {
        let folder = root().join("tests/data/migrations");
        let files = std::fs::read_dir(folder).expect("the samples");
        let mut paths = files.map(|file| file.expect("a file").path());
        let named = paths.find(|path| {
            let name = path.file_name().expect("a name").to_string_lossy();
            name.starts_with(&format!("{version}_"))
        });
        std::fs::read_to_string(named.expect("a sample")).expect("the sample reads")
    };
    let versions = db.migrations().iter().map(|step| step.version);
    versions.map(|version| (version, sample(version))).collect()
}

/// A database as a shop that stopped at this stage has it.
async fn as_of(stage: usize) -> (Db, Folder) {
    let (db, folder) = fresh_database(false).await;
    for (version, sample) in &stages(&db)[..=stage] {
        let until = db.migrations().iter();
        let until = until.filter(|step| step.version <= *version).cloned();
        let migrator = Migrator::with_migrations(until.collect());
        db.migrate_by(&migrator).await.expect("the stage is laid");
        run(&db, sample).await;
    }
    (db, folder)
}

struct Table {
    columns: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// Everything that is carried, as text that is the same on both databases.
async fn everything(db: &Db, folder: &Path) -> (Manifest, BTreeMap<String, Table>) {
    let file = folder.join(format!("{}.zip", uuid::Uuid::now_v7().simple()));
    let out = File::create(&file).expect("a file");
    let manifest = write::write(db, None, (NOON, Secrets::Kept), out).await;
    let manifest = manifest.expect("an archive");
    let mut zip = zip::ZipArchive::new(File::open(&file).expect("the file")).expect("a zip");
    let mut tables = BTreeMap::new();
    for name in manifest.files.keys() {
        let Some(table) = name
            .strip_prefix("tables/")
            .and_then(|name| name.strip_suffix(".csv"))
        else {
            continue;
        };
        let mut read = csv::Reader::from_reader(zip.by_name(name).expect("the table"));
        let columns = read.headers().expect("a head");
        let columns = columns.iter().map(str::to_owned).collect();
        let rows = read.records().map(|row| {
            let row = row.expect("a row");
            row.iter().map(str::to_owned).collect()
        });
        let rows = rows.collect();
        tables.insert(table.to_owned(), Table { columns, rows });
    }
    (manifest, tables)
}

/// What stood in these columns before stands there still.
fn nothing_lost(stage: i64, name: &str, before: &Table, after: &Table) {
    let changed = |column: &str| CHANGED.iter().any(|c| c.0 == name && c.1 == column);
    let kept: Vec<(usize, usize)> = before
        .columns
        .iter()
        .enumerate()
        .filter(|(_, column)| !changed(column))
        .map(|(was, column)| {
            let is = after.columns.iter().position(|other| other == column);
            (
                was,
                is.unwrap_or_else(|| panic!("{name}.{column} of {stage} is gone")),
            )
        })
        .collect();
    let mut there: BTreeMap<Vec<&str>, usize> = BTreeMap::new();
    for row in &after.rows {
        let row = kept.iter().map(|(_, is)| row[*is].as_str()).collect();
        *there.entry(row).or_default() += 1;
    }
    for row in &before.rows {
        let row: Vec<&str> = kept.iter().map(|(was, _)| row[*was].as_str()).collect();
        let left = there.get_mut(&row).filter(|left| **left > 0);
        *left.unwrap_or_else(|| panic!("{name} of {stage} lost or changed {row:?}")) -= 1;
    }
}

/// What the two columns named above held is in rows of its own.
fn warranties_moved(before: &BTreeMap<String, Table>, after: &BTreeMap<String, Table>) {
    let column = |table: &Table, name: &str| table.columns.iter().position(|c| c == name);
    let Some(machines) = before.get("machines") else {
        return;
    };
    let (Some(id), Some(until)) = (column(machines, "id"), column(machines, "warranty_until"))
    else {
        return;
    };
    let now = &after["warranties"];
    let of = column(now, "machine_id").expect("its machine");
    let ends = column(now, "until_on").expect("its end");
    for row in machines.rows.iter().filter(|row| !row[until].is_empty()) {
        let moved = now
            .rows
            .iter()
            .any(|other| other[of] == row[id] && other[ends] == row[until]);
        assert!(moved, "the warranty of machine {}", row[id]);
    }
}

fn backups(folder: &Path) -> Vec<PathBuf> {
    let files = std::fs::read_dir(folder).expect("the folder of backups");
    files.map(|file| file.expect("a file").path()).collect()
}

async fn comes_up_to_date(stage: usize) {
    let (db, folder) = as_of(stage).await;
    let version = stages(&db)[stage].0;
    let (_, before) = everything(&db, &folder.0).await;
    assert!(before.values().any(|table| !table.rows.is_empty()));
    let kept_in = folder.0.join("backups");
    let done = upgrade::bring_up_to_date(&db, &kept_in, NOON).await;
    done.expect("it comes up to date");
    assert_eq!(upgrade::stand(&db).await, Ok(Stand::UpToDate));
    let (manifest, after) = everything(&db, &folder.0).await;
    for (name, table) in &before {
        let now = after
            .get(name)
            .unwrap_or_else(|| panic!("table {name} of {version} is gone"));
        nothing_lost(version, name, table, now);
    }
    warranties_moved(&before, &after);

    // The backup made on the way goes into an empty database of the other kind and comes up to date.
    let [backup] = &backups(&kept_in)[..] else {
        panic!("one backup for {version}");
    };
    let name = backup.file_name().expect("a name").to_string_lossy();
    assert!(name.contains(&version.to_string()), "{name}");
    let other = Db::open(&format!(
        "sqlite:{}",
        folder.0.join("other.sqlite").display()
    ))
    .await;
    let other = other.expect("an empty database");
    let store = Store::at(folder.0.join("other_photos"));
    let said = brasstag::exchange::command::restore(&other, &store, backup).await;
    said.expect("the backup is read");
    let (restored, _) = everything(&other, &folder.0).await;
    assert_eq!(restored.files, manifest.files, "restored from {version}");
    other.close().await;
    // A second start finds nothing to do and makes no second backup.
    let again = upgrade::bring_up_to_date(&db, &kept_in, NOON).await;
    again.expect("nothing to do");
    assert_eq!(backups(&kept_in).len(), 1);
    db.close().await;
}

#[tokio::test]
async fn a_database_of_every_earlier_schema_comes_up_to_date_with_nothing_lost() {
    let (db, _folder) = fresh_database(false).await;
    let last = stages(&db).len() - 1;
    assert!(last > 20, "every stage is there");
    for stage in 0..last {
        comes_up_to_date(stage).await;
    }
    let names: BTreeSet<_> = CHANGED.iter().map(|c| (c.0, c.1)).collect();
    assert_eq!(names.len(), CHANGED.len());
}

#[tokio::test]
async fn a_database_of_a_newer_program_is_refused_in_a_plain_sentence_and_left_alone() {
    let (db, folder) = fresh_database(true).await;
    run(
        &db,
        "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) \
         SELECT 29990101000000, 'later', success, checksum, execution_time \
         FROM _sqlx_migrations ORDER BY version LIMIT 1",
    )
    .await;
    let kept_in = folder.0.join("backups");
    let said = upgrade::bring_up_to_date(&db, &kept_in, NOON).await;
    let said = said.expect_err("it is too new");
    assert!(said.contains("newer version of this program"), "{said}");
    assert!(said.contains("29990101000000"), "{said}");
    assert!(!kept_in.exists(), "nothing was written");
    assert_eq!(
        upgrade::stand(&db).await,
        Ok(Stand::Newer(29_990_101_000_000))
    );
    db.close().await;
}

#[tokio::test]
async fn without_its_backup_an_older_database_stays_as_it_was() {
    let (db, folder) = as_of(3).await;
    let in_the_way = folder.0.join("backups");
    std::fs::write(&in_the_way, "a file, no folder").expect("written");
    let said = upgrade::bring_up_to_date(&db, &in_the_way, NOON).await;
    let said = said.expect_err("no room for the backup");
    assert!(said.contains("must be backed up"), "{said}");
    assert!(said.ends_with("Nothing was changed."), "{said}");
    assert_eq!(upgrade::stand(&db).await, Ok(Stand::Older));
    db.close().await;
}

#[tokio::test]
async fn an_archive_of_a_newer_program_is_refused() {
    let (db, _folder) = fresh_database(false).await;
    let said = upgrade::lay_as_of(&db, 29_990_101_000_000).await;
    let said = said.expect_err("not known");
    assert!(said.contains("written by a newer version"), "{said}");
    assert_eq!(upgrade::stand(&db).await, Ok(Stand::Empty));
    db.close().await;
}
