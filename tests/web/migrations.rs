//! Every migration is tried on a database with rows in it, never on empty tables only.

use crate::app::fresh_database;
use brasstag::db::{Db, POSTGRES, SQLITE};
use sqlx::migrate::Migrator;
use std::collections::BTreeSet;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// Names without their ending, in order.
fn names(folder: &str) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(root().join(folder))
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "sql"))
        .map(|path| {
            path.file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn both_databases_have_the_same_migrations_and_each_has_its_sample() {
    let sqlite = names("migrations/sqlite");
    assert_eq!(sqlite, names("migrations/postgres"));
    assert_eq!(
        sqlite,
        names("tests/data/migrations"),
        "each migration has its sample rows"
    );
    let versions = |of: &Migrator| of.iter().map(|m| m.version).collect::<BTreeSet<_>>();
    assert_eq!(versions(&SQLITE), versions(&POSTGRES));
    assert_eq!(
        versions(&SQLITE).len(),
        sqlite.len(),
        "all of them are compiled in"
    );
}

async fn run(db: &Db, sql: String) {
    // The text is a file of this repository.
    let sql = sqlx::AssertSqlSafe(sql);
    let done = match db {
        Db::Sqlite { write, .. } => sqlx::raw_sql(sql).execute(write).await.map(|_| ()),
        Db::Postgres(pool) => sqlx::raw_sql(sql).execute(pool).await.map(|_| ()),
    };
    done.expect("the statements run");
}

#[tokio::test]
async fn each_migration_goes_over_the_rows_of_the_ones_before_it() {
    let (db, _guard) = fresh_database(false).await;
    let kind = match &db {
        Db::Sqlite { .. } => "migrations/sqlite",
        Db::Postgres(_) => "migrations/postgres",
    };
    for name in names(kind) {
        for folder in [kind, "tests/data/migrations"] {
            let file = root().join(folder).join(format!("{name}.sql"));
            run(&db, std::fs::read_to_string(file).expect("the file reads")).await;
        }
    }
    // The sample rows reach every table.
    for sql in [
        "SELECT count(*) FROM shop",
        "SELECT count(*) FROM sessions",
        "SELECT count(*) FROM audit",
        "SELECT count(*) FROM supplier_motors",
        "SELECT count(*) FROM isolation_sheet_sources",
        "SELECT count(*) FROM locks",
        "SELECT count(*) FROM readings",
        "SELECT count(*) FROM meter_readings",
        "SELECT count(*) FROM due_items",
        "SELECT count(*) FROM photos",
        "SELECT count(*) FROM procedure_steps",
        "SELECT count(*) FROM job_step_answers",
        "SELECT count(*) FROM part_conditions",
        "SELECT count(*) FROM cause_reviews",
        "SELECT count(*) FROM follow_ups",
        "SELECT count(*) FROM temporary_fixes",
        "SELECT count(*) FROM motor_search WHERE power_w > 0",
        "SELECT count(*) FROM machine_parts",
        "SELECT count(*) FROM purchases",
        "SELECT count(*) FROM warranty_answers",
        "SELECT count(*) FROM removed_units",
        "SELECT count(*) FROM alternates",
    ] {
        let rows: i64 = brasstag::on_db!(&db, pool =>
            sqlx::query_scalar(sql).fetch_one(pool).await.expect("a count"));
        assert!(rows > 0, "{sql}");
    }
    // And they read as the program reads them.
    let plans = brasstag::preventive::queries::plans(&db)
        .await
        .expect("the plans read");
    assert_eq!(plans.len(), 3);
    let machines = brasstag::machines::queries::list(&db)
        .await
        .expect("the machines read");
    assert_eq!(machines.len(), 2);
    assert_eq!(
        brasstag::jobs::queries::open(&db)
            .await
            .expect("the jobs read")
            .len(),
        2
    );
}
