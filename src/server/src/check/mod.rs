//! `brasstag check`: configuration, database, clock and disk, a line each.

mod queries;
pub mod record;

use crate::backup::upgrade::{self, Stand};
use crate::clock::{Clock, DAY, Millis, Zone};
use crate::config::{Config, Settings};
use crate::db::Db;
use crate::{backup, serve, shop};
use std::path::Path;

/// 2026-01-01: this program did not exist before.
const BUILT_AFTER: Millis = 1_767_225_600_000;
/// Room that a busy month needs with ease.
const ENOUGH_BYTES: u64 = 500 * 1024 * 1024;

/// One thing looked at: what was found, and whether it will do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    pub what: &'static str,
    pub found: Result<String, String>,
}

impl Finding {
    pub fn line(&self) -> String {
        match &self.found {
            Ok(words) => format!("good  {}: {words}", self.what),
            Err(words) => format!("WRONG {}: {words}", self.what),
        }
    }
}

fn finding(what: &'static str, found: Result<String, String>) -> Finding {
    Finding { what, found }
}

/// Looks at everything, even after something was found wrong.
pub async fn run(settings: &Settings, clock: &Clock, default_folder: &str) -> Vec<Finding> {
    let config = Config::new(settings, settings.listen, false)
        .map(|config| format!("pages at {}{}", config.public_url, config.base_path));
    let mut findings = vec![
        finding("configuration", config),
        finding("clock", sane(clock.now())),
    ];
    match serve::folder(settings, default_folder) {
        Ok(folder) => {
            findings.push(finding("folder", writable(&folder)));
            findings.push(finding("disk", room(&folder)));
        }
        Err(sentence) => findings.push(finding("folder", Err(sentence))),
    }
    findings.extend(database(settings, clock, default_folder).await);
    findings
}

fn sane(now: Millis) -> Result<String, String> {
    let words = Zone::utc().minute_words(now);
    if now > BUILT_AFTER && now < BUILT_AFTER + 100 * 365 * DAY {
        Ok(format!("{words} UTC"))
    } else {
        Err(format!("it says {words} UTC, which cannot be right"))
    }
}

fn writable(folder: &Path) -> Result<String, String> {
    let probe = folder.join(".brasstag-check");
    std::fs::write(&probe, b"check")
        .and_then(|()| std::fs::remove_file(&probe))
        .map(|()| format!("{} can be written", folder.display()))
        .map_err(|e| format!("{} cannot be written: {e}", folder.display()))
}

/// The standard library does not tell free room, so the system's own `df` is asked.
fn room(folder: &Path) -> Result<String, String> {
    let asked = std::process::Command::new("df")
        .arg("-Pk")
        .arg(folder)
        .output();
    let text = asked.map(|out| String::from_utf8_lossy(&out.stdout).into_owned());
    let kilobytes = text.ok().and_then(|text| {
        text.lines()
            .nth(1)?
            .split_whitespace()
            .nth(3)?
            .parse::<u64>()
            .ok()
    });
    match kilobytes.map(|kilobytes| kilobytes * 1024) {
        None => Ok("free room not known: this system has no df".to_owned()),
        Some(bytes) if bytes < ENOUGH_BYTES => Err(format!(
            "{} MB free; 500 MB are wanted",
            bytes / 1024 / 1024
        )),
        Some(bytes) => Ok(format!("{} MB free", bytes / 1024 / 1024)),
    }
}

/// Looks without changing anything: nothing is made and nothing is brought up to date.
async fn database(settings: &Settings, clock: &Clock, default_folder: &str) -> Vec<Finding> {
    let url = match serve::database_url(settings, default_folder) {
        Ok(url) => url,
        Err(sentence) => return vec![finding("database", Err(sentence))],
    };
    if url
        .strip_prefix("sqlite:")
        .is_some_and(|file| !Path::new(file).exists())
    {
        let words = "none yet; it is made when the program is first started".to_owned();
        return vec![finding("database", Ok(words))];
    }
    let db = match Db::open(&url).await {
        Ok(db) => db,
        Err(e) => {
            return vec![finding(
                "database",
                Err(format!("it cannot be opened: {e}")),
            )];
        }
    };
    let answers = db.ping().await.map(|()| "it answers".to_owned());
    let mut findings = vec![
        finding(
            "database",
            answers.map_err(|e| format!("it does not answer: {e}")),
        ),
        finding("schema", schema(&db).await),
        finding("shop", shop_words(&db).await),
        finding("backup", backup_words(settings, clock.now(), &db).await),
    ];
    // Looked through only as this program knows it: the schema's line says what stands against it.
    if upgrade::stand(&db).await == Ok(Stand::UpToDate) {
        let photos = backup::command::photos(settings, default_folder);
        findings.extend(record::look(&db, photos, clock.now()).await);
    }
    db.close().await;
    findings
}

async fn schema(db: &Db) -> Result<String, String> {
    match upgrade::stand(db).await? {
        Stand::Empty => Ok("empty; it is laid when the program is first started".to_owned()),
        Stand::UpToDate => Ok("up to date".to_owned()),
        Stand::Older => Ok("older; it is brought up to date at the next start".to_owned()),
        Stand::Newer(schema) => Err(upgrade::too_new(schema, db)),
    }
}

async fn backup_words(settings: &Settings, now: Millis, db: &Db) -> Result<String, String> {
    let scheduled = settings.backup.folder.is_some();
    let tried = (
        backup::queries::last(db).await,
        backup::queries::last_good(db).await,
    );
    let (Ok(last), Ok(good)) = tried else {
        return Ok("none known yet".to_owned()); // the schema's own line says why
    };
    match backup::pages::trouble(last.as_ref(), good.as_ref(), scheduled, now) {
        Some(words) => Err(words),
        None => Ok(match good {
            Some(good) => format!(
                "{}, {}",
                good.file,
                backup::pages::age_words(now - good.tried_at)
            ),
            None => "none is made by the program: BRASSTAG_BACKUP_FOLDER is not set".to_owned(),
        }),
    }
}

async fn shop_words(db: &Db) -> Result<String, String> {
    match shop::queries::find(db).await {
        Ok(Some(shop)) if Zone::named(&shop.time_zone).is_none() => {
            Err(format!("time zone {:?} is not known here", shop.time_zone))
        }
        Ok(Some(shop)) => Ok(format!(
            "{}, {}, {}",
            shop.name,
            shop.time_zone,
            shop.rule_set.words()
        )),
        Ok(None) | Err(_) => Ok("not set up yet".to_owned()), // the schema's own line says why
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_lost_its_battery_is_found() {
        assert!(sane(0).is_err());
        assert!(sane(BUILT_AFTER + DAY).is_ok());
    }

    #[test]
    fn a_missing_folder_is_found() {
        assert!(writable(Path::new("/no/such/folder")).is_err());
        assert!(writable(&std::env::temp_dir()).is_ok());
    }
}
