//! What schema a database stands at, and bringing it up to date: never without a backup of what was
//! there, and never a database that a newer program wrote.

use super::{keep, queries, write};
use crate::clock::Millis;
use crate::db::Db;
use sqlx::migrate::Migrator;
use std::path::Path;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    /// Nothing was ever laid.
    Empty,
    UpToDate,
    Older,
    /// A newer program's, by the first migration that this one does not know.
    Newer(i64),
}

/// Where the database stands against the migrations that this program knows.
///
/// # Errors
/// One sentence, where the database does not answer.
pub async fn stand(db: &Db) -> Result<Stand, String> {
    let applied = queries::applied(db)
        .await
        .map_err(|e| format!("The database does not say what schema it has: {e}"))?;
    let known = db.migrations();
    let newer = applied
        .iter()
        .find(|version| !known.version_exists(**version));
    Ok(match newer {
        Some(version) => Stand::Newer(*version),
        None if applied.is_empty() => Stand::Empty,
        None if applied.len() == known.iter().count() => Stand::UpToDate,
        None => Stand::Older,
    })
}

pub fn too_new(schema: i64, db: &Db) -> String {
    format!(
        "This database was last opened by a newer version of this program: it has schema {schema}, \
         this program knows up to {}. Nothing was changed. Install the newer version again, or restore \
         a backup made before the upgrade into an empty database.",
        newest(db)
    )
}

fn newest(db: &Db) -> i64 {
    let known = db.migrations().iter();
    known.map(|step| step.version).max().unwrap_or_default()
}

/// Brings the database up to date. One that holds anything is first backed up into `backups`, without
/// its photos, which no migration touches.
///
/// # Errors
/// One sentence; without its backup an older database stays as it was.
pub async fn bring_up_to_date(db: &Db, backups: &Path, now: Millis) -> Result<(), String> {
    match stand(db).await? {
        Stand::UpToDate => return Ok(()),
        Stand::Newer(schema) => return Err(too_new(schema, db)),
        Stand::Older => back_up(db, backups, now).await?,
        Stand::Empty => {}
    }
    db.migrate()
        .await
        .map_err(|e| format!("The database cannot be brought up to date: {e}"))
}

async fn back_up(db: &Db, backups: &Path, now: Millis) -> Result<(), String> {
    let refused = |cause: String| {
        format!(
            "The database is of an earlier version and must be backed up before it is brought up to \
             date, which failed: {cause} Nothing was changed."
        )
    };
    let applied = queries::applied(db)
        .await
        .map_err(|e| refused(format!("{e}.")))?;
    let schema = applied.last().copied().unwrap_or_default();
    let file = backups.join(name(schema, now));
    std::fs::create_dir_all(backups)
        .map_err(|e| refused(format!("{} cannot be made: {e}.", backups.display())))?;
    let made = write::make(db, None, now, &file)
        .await
        .map_err(|e| refused(e.to_string()))?;
    tracing::info!(file = %made.file.display(), "backed up before the upgrade");
    println!("Backed up before the upgrade: {}", made.file.display());
    if let Err(error) = thin_out(backups, schema) {
        tracing::warn!(%error, "old backups before upgrades not taken away");
    }
    Ok(())
}

const BEGINS: &str = "before-upgrade-from-";
/// A start that fails again and again must not fill the disk.
const KEPT_OF_ONE_SCHEMA: usize = 3;

/// Named by the schema it holds, and sorted by time within it. The rotation of the daily backups takes
/// only its own names away, so these stay.
fn name(schema: i64, now: Millis) -> String {
    let own = uuid::Uuid::now_v7().simple().to_string();
    let at = keep::name_at(now);
    let at = at.trim_end_matches(".zip");
    format!("{BEGINS}{schema}-{at}-{}.zip", &own[24..])
}

fn thin_out(folder: &Path, schema: i64) -> std::io::Result<()> {
    let begins = format!("{BEGINS}{schema}-");
    let mut made = Vec::new();
    for file in std::fs::read_dir(folder)? {
        let name = file?.file_name().to_string_lossy().into_owned();
        if name.starts_with(&begins) && name.ends_with(".zip") {
            made.push(name);
        }
    }
    made.sort();
    let gone = made.len().saturating_sub(KEPT_OF_ONE_SCHEMA);
    for name in &made[..gone] {
        std::fs::remove_file(folder.join(name))?;
    }
    Ok(())
}

/// Lays an empty database as far as an archive's schema goes.
///
/// # Errors
/// One sentence, where the archive is of a schema that this program does not know.
pub async fn lay_as_of(db: &Db, schema: i64) -> Result<(), String> {
    let known = db.migrations();
    if !known.version_exists(schema) {
        return Err(format!(
            "The archive has schema {schema}, this program knows up to {}: it was written by a newer \
             version. Install that one and read it there.",
            newest(db)
        ));
    }
    let until = known.iter().filter(|step| step.version <= schema).cloned();
    let migrator = Migrator::with_migrations(until.collect());
    let laid = db.migrate_by(&migrator).await;
    laid.map_err(|e| format!("The database cannot be laid out: {e}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_start_that_fails_again_and_again_keeps_three_backups() {
        let folder = std::env::temp_dir().join(format!("brasstag_thin_{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder");
        let of = |schema: i64, hour: i64| name(schema, hour * 3_600_000);
        let other = of(7, 0);
        let mut made: Vec<String> = (0..5).map(|hour| of(8, hour)).collect();
        for file in made.iter().chain([&other]) {
            std::fs::write(folder.join(file), b"").expect("a file");
        }
        thin_out(&folder, 8).expect("the folder is read");
        let left = std::fs::read_dir(&folder).expect("the folder");
        let left = left.map(|file| file.expect("a file").file_name());
        let mut left: Vec<String> = left
            .map(|name| name.to_string_lossy().into_owned())
            .collect();
        left.sort();
        let mut wanted = made.split_off(2);
        wanted.push(other);
        wanted.sort();
        assert_eq!(left, wanted, "the newest of one schema, and every other");
        std::fs::remove_dir_all(&folder).expect("gone");
    }
}
