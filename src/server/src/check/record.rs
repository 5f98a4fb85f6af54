//! What `brasstag check` finds in the record itself: references to nothing, jobs and entries without
//! each other, photos without a file and files without a photo, entries from a time to come.

use super::{Finding, finding, queries};
use crate::backup::pages::age_words;
use crate::clock::{MINUTE, Millis, Zone};
use crate::db::Db;
use crate::photos::store::Store;
use std::collections::BTreeSet;
use std::time::Duration;

/// Clocks of several servers differ by less.
const CLOCKS_DIFFER: Millis = 2 * MINUTE;
/// A younger file may belong to an entry that is about to commit.
const ON_ITS_WAY: Duration = Duration::from_secs(3600);

/// Looks at everything in the record; changes nothing.
pub async fn look(db: &Db, photos: Result<Store, String>, now: Millis) -> Vec<Finding> {
    let mut findings = vec![
        finding("references", references(db).await),
        finding("entries", entries(db).await),
        finding("last entry", last_entry(db, now).await),
    ];
    findings.extend(match photos {
        Ok(photos) => pictures(db, &photos).await,
        Err(sentence) => vec![finding("photos", Err(sentence))],
    });
    findings
}

fn silent(error: impl std::fmt::Display) -> String {
    format!("not looked at: {error}")
}

async fn references(db: &Db) -> Result<String, String> {
    let whole = queries::structure(db).await.map_err(silent)?;
    if let Some(words) = whole {
        return Err(format!("the database file is damaged: {words}"));
    }
    let broken = queries::broken_references(db).await.map_err(silent)?;
    if broken.is_empty() {
        return Ok("every row that another names is there".to_owned());
    }
    let lines: Vec<String> = broken
        .iter()
        .map(|(table, to, rows)| format!("{rows} of {table} name a row of {to} that is not there"))
        .collect();
    Err(lines.join("; "))
}

async fn entries(db: &Db) -> Result<String, String> {
    let entries = queries::entries(db).await.map_err(silent)?;
    let stray = queries::entries_without_job(db).await.map_err(silent)?;
    let bare = queries::jobs_without_entries(db).await.map_err(silent)?;
    let gaps = queries::jobs_with_gaps(db).await.map_err(silent)?;
    let mut wrong = Vec::new();
    if stray > 0 {
        wrong.push(format!("{stray} entries without the row of their job"));
    }
    if !bare.is_empty() {
        wrong.push(format!("jobs without an entry: {}", listed(&bare)));
    }
    if !gaps.is_empty() {
        wrong.push(format!(
            "jobs whose entries are not numbered 1, 2, 3 …: {}",
            listed(&gaps)
        ));
    }
    if wrong.is_empty() {
        Ok(format!("{entries}, each with the row of its job"))
    } else {
        Err(wrong.join("; "))
    }
}

fn listed(jobs: &[i64]) -> String {
    let words: Vec<String> = jobs.iter().map(ToString::to_string).collect();
    words.join(", ")
}

async fn last_entry(db: &Db, now: Millis) -> Result<String, String> {
    match queries::last_entry_at(db).await.map_err(silent)? {
        None => Ok("none yet".to_owned()),
        Some(at) if at > now + CLOCKS_DIFFER => Err(format!(
            "received {} UTC, later than the clock says now: the clock went back, or was ahead",
            Zone::utc().minute_words(at)
        )),
        Some(at) => Ok(age_words((now - at).max(0))),
    }
}

async fn pictures(db: &Db, photos: &Store) -> Vec<Finding> {
    let needed = crate::photos::queries::all_needed(db).await;
    let (needed, there) = match (needed, photos.list().await) {
        (Ok(needed), Ok(there)) => (needed, there),
        (Err(e), _) => return vec![finding("photos", Err(silent(e)))],
        (_, Err(e)) => return vec![finding("photos", Err(silent(e)))],
    };
    let needed: BTreeSet<String> = needed.into_iter().collect();
    let have: BTreeSet<&String> = there.iter().map(|(sha, _)| sha).collect();
    let missing: Vec<&String> = needed.iter().filter(|sha| !have.contains(sha)).collect();
    let stray = there
        .iter()
        .filter(|(sha, age)| !needed.contains(sha) && *age >= ON_ITS_WAY)
        .count();
    let files = match missing.first() {
        None => Ok(format!("{} files, none missing", needed.len())),
        Some(first) => Err(format!(
            "{} of {} files are missing, such as {first}.jpg: bring them back from a backup",
            missing.len(),
            needed.len()
        )),
    };
    let strays = match stray {
        0 => Ok("none".to_owned()),
        stray => Err(format!(
            "{stray}; they are served to nobody and removed when the program is next started"
        )),
    };
    vec![
        finding("photos", files),
        finding("stray photo files", strays),
    ]
}
