//! `brasstag backup`, `restore` and `move`.

use super::keep;
use super::upgrade::{self, Stand};
use super::{Tried, queries, write};
use crate::clock::{Clock, Millis, Zone};
use crate::config::{FOLDER, Settings};
use crate::db::Db;
use crate::exchange::archive::{self, Failure, Manifest, Secrets, read};
use crate::photos::store::Store;
use crate::{serve, shop};
use std::fs::File;
use std::path::{Path, PathBuf};

/// Photos where the settings say.
pub fn photos(settings: &Settings, default_folder: &str) -> Result<Store, String> {
    let folder = serve::folder(settings, default_folder)?;
    Store::of(&settings.photos, folder.join("photos"))
}

/// The database as it stands: nothing is made and nothing is brought up to date.
async fn open_as_it_is(settings: &Settings) -> Result<Db, String> {
    let url = serve::database_url(settings, FOLDER)?;
    if let Some(file) = url
        .strip_prefix("sqlite:")
        .filter(|f| !Path::new(f).exists())
    {
        return Err(format!("There is no database {file} yet."));
    }
    Db::open(&url)
        .await
        .map_err(|e| format!("The database cannot be opened: {e}"))
}

/// Writes a backup to a file, or into a folder under a name of its own.
///
/// # Errors
/// One sentence; then no file of that name was made.
pub async fn backup(
    settings: &Settings,
    clock: &Clock,
    to: Option<&Path>,
) -> Result<String, String> {
    let db = open_as_it_is(settings).await?;
    let said = backup_of(settings, &db, clock.now(), to).await;
    db.close().await;
    said
}

async fn backup_of(
    settings: &Settings,
    db: &Db,
    now: Millis,
    to: Option<&Path>,
) -> Result<String, String> {
    let photos = photos(settings, FOLDER)?;
    let file = target(settings, now, to)?;
    let made = write::make(db, Some(&photos), now, &file).await;
    let tried = Tried {
        tried_at: now,
        file: file.display().to_string(),
        bytes: made.as_ref().ok().and_then(|m| i64::try_from(m.bytes).ok()),
        row_count: made.as_ref().ok().and_then(|m| i64::try_from(m.rows).ok()),
        problem: made.as_ref().err().map(ToString::to_string),
    };
    // An older schema, or one that takes no writing, has a backup all the same.
    if let Err(cause) = queries::note(db, &tried).await {
        tracing::warn!(error = &cause as &dyn std::error::Error, "backup not noted");
    }
    let made = made.map_err(|e| e.to_string())?;
    let mut said = format!(
        "{}: {}, {} rows, read back and whole.",
        file.display(),
        super::size_words(tried.bytes.unwrap_or(i64::MAX)),
        made.rows
    );
    if made.photos_missing > 0 {
        said.push_str(&format!(" {} photos are missing.", made.photos_missing));
    }
    if let (Some(keep), Some(folder)) = (settings.backup.keep, file.parent()) {
        let shop = shop::queries::find(db).await.ok().flatten();
        let zone = shop.and_then(|shop| Zone::named(&shop.time_zone));
        let gone = write::rotate(folder, keep, &zone.unwrap_or_else(Zone::utc))
            .map_err(|e| format!("{said} Old backups could not be taken away: {e}"))?;
        said.push_str(&format!(" {gone} old ones were taken away."));
    }
    Ok(said)
}

/// A file is meant where the name ends in `.zip`; else a folder, made if missing.
fn target(settings: &Settings, now: Millis, to: Option<&Path>) -> Result<PathBuf, String> {
    let to = to.or(settings.backup.folder.as_deref()).ok_or(
        "Name a file or a folder for the backup, or set BRASSTAG_BACKUP_FOLDER.".to_owned(),
    )?;
    if to.extension().is_some_and(|end| end == "zip") && !to.is_dir() {
        return Ok(to.to_owned());
    }
    std::fs::create_dir_all(to).map_err(|e| format!("{} cannot be made: {e}", to.display()))?;
    Ok(to.join(keep::name_at(now)))
}

/// Reads an archive into the empty shop that the settings name.
///
/// # Errors
/// One sentence; then nothing was changed.
pub async fn restore(settings: &Settings, file: &Path) -> Result<String, String> {
    let photos = photos(settings, FOLDER)?;
    let url = serve::database_url(settings, FOLDER)?;
    let db = Db::open(&url)
        .await
        .map_err(|e| format!("The database cannot be opened: {e}"))?;
    let said = crate::exchange::command::restore(&db, &photos, file).await;
    db.close().await;
    said
}

/// Carries everything into another, empty database and compares every row. Photos stay where they lie.
///
/// # Errors
/// One sentence; the database that was read is never changed.
pub async fn move_to(settings: &Settings, clock: &Clock, to: &str) -> Result<String, String> {
    let from = open_as_it_is(settings).await?;
    match upgrade::stand(&from).await? {
        Stand::UpToDate => {}
        Stand::Newer(schema) => return Err(upgrade::too_new(schema, &from)),
        Stand::Older | Stand::Empty => {
            return Err("Start this program on the old database once, then move it.".to_owned());
        }
    }
    let folder = serve::folder(settings, FOLDER)?;
    let said = move_between(&from, &folder, clock.now(), to).await;
    from.close().await;
    said
}

async fn move_between(
    from: &Db,
    folder: &Path,
    now: Millis,
    address: &str,
) -> Result<String, String> {
    let to = Db::open(address)
        .await
        .map_err(|e| format!("The other database cannot be opened: {e}"))?;
    let ready = to.migrate().await;
    let moved = match ready {
        Ok(()) => carry(from, &to, folder, now)
            .await
            .map_err(|e| e.to_string()),
        Err(e) => Err(format!("The other database cannot be laid out: {e}")),
    };
    to.close().await;
    let rows: u64 = moved?.files.values().filter_map(|facts| facts.rows).sum();
    Ok(format!(
        "{rows} rows were carried over, each compared. Photos stay where they are. Set \
         BRASSTAG_DATABASE_URL to the new database and start; people sign in again. The old \
         database was left as it was: keep it until all is seen to be well."
    ))
}

/// Gone when this is, however it ended.
struct Passing(PathBuf);

impl Drop for Passing {
    fn drop(&mut self) {
        let _gone = std::fs::remove_file(&self.0);
    }
}

/// Through a file of the archive's format, then both sides are held against each other.
pub async fn carry(from: &Db, to: &Db, folder: &Path, now: Millis) -> Result<Manifest, Failure> {
    let name = format!(".move-{}.part", uuid::Uuid::now_v7().simple());
    let file = Passing(folder.join(name));
    let out = std::io::BufWriter::new(write::private(&file.0)?);
    let how = (now, Secrets::Kept);
    let wrote = archive::write::write(from, None, how, out).await?;
    let no_photos = Store::at(folder.join("photos"));
    read::read(to, &no_photos, File::open(&file.0)?).await?;
    let there = archive::write::write(to, None, how, std::io::sink()).await?;
    if there != wrote {
        return Err(Failure::Refused(
            "The other database does not hold the same as this one. Do not use it.".to_owned(),
        ));
    }
    Ok(wrote)
}
