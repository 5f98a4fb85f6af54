//! `tests/reference/COVERAGE.md`: for each table how many rows, how many are run, and which differ.
//! Written afresh with `BRASSTAG_WRITE=1 cargo test -p brasstag-calc --test reference coverage`.

use super::table::{Check, folder};
use super::tables;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

const HEAD: &str = "\
# Coverage of the reference tables

Made by the test program `src/calc/tests/reference`, which runs every row of every table and fails
when this page is not what it would write. Write it afresh with
`BRASSTAG_WRITE=1 cargo test -p brasstag-calc --test reference coverage`.

`Rows` are the rows of the file, `run` those held against the program, `differ` those where the
printed answer is wrong or follows another convention, so that the program is asserted to give its
own; why is said below.

| Table | Rows | Run | Differ | Source |
|---|---|---|---|---|
";

fn page() -> String {
    let mut page = HEAD.to_owned();
    let mut reasons = String::new();
    let (mut rows, mut run, mut differ) = (0, 0, 0);
    for table in tables() {
        table.coverage(&mut page);
        table.reasons(&mut reasons);
        let tally = table.tally();
        rows += tally.rows;
        run += tally.agrees + tally.differs.len();
        differ += tally.differs.len();
    }
    page += &format!(
        "| all | {rows} | {run} | {differ} | |\n\n## What differs or is not run, and why\n\n"
    );
    page += &reasons;
    page
}

#[test]
fn coverage_page_is_fresh() {
    let path = folder().join("COVERAGE.md");
    let page = page();
    if std::env::var_os("BRASSTAG_WRITE").is_some() {
        fs::write(&path, &page).expect("the page can be written");
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == page,
        "COVERAGE.md is out of date; write it with\n  \
         BRASSTAG_WRITE=1 cargo test -p brasstag-calc --test reference coverage"
    );
}

#[test]
fn every_table_in_the_folder_is_listed_once() {
    let listed: Vec<&str> = tables().map(|table| table.file).collect();
    let once: BTreeSet<&str> = listed.iter().copied().collect();
    assert_eq!(once.len(), listed.len(), "a table is listed twice");
    let mut found = BTreeSet::new();
    collect(&folder(), "", &mut found);
    let found: BTreeSet<&str> = found.iter().map(String::as_str).collect();
    assert_eq!(found, once);
}

#[test]
fn prose_says_why() {
    for table in tables() {
        if let Check::Prose(why) = table.check {
            assert!(why.len() > 20, "{}: {why}", table.file);
        }
    }
}

fn collect(folder: &Path, under: &str, found: &mut BTreeSet<String>) {
    for entry in fs::read_dir(folder).expect("the folder is there") {
        let entry = entry.expect("an entry");
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{under}{name}");
        if entry.path().is_dir() {
            collect(&entry.path(), &format!("{path}/"), found);
        } else if name.ends_with(".csv") {
            found.insert(path);
        }
    }
}
