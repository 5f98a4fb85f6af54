//! Writing a backup: beside its place under another name, flushed, read back, and only then named.

use super::keep::{self, Keep};
use crate::clock::{Millis, Zone};
use crate::db::Db;
use crate::exchange::archive::{Failure, Secrets, read, write};
use crate::photos::store::Store;
use std::fs::{File, OpenOptions};
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// A half-written file that is older was left by a process that ended.
const LEFT_BEHIND: Duration = Duration::from_secs(24 * 3600);

/// A backup that is there, whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    pub file: PathBuf,
    pub bytes: u64,
    pub rows: u64,
    pub photos_missing: usize,
}

/// A file that goes when this does, unless it got its name before.
struct Unfinished(PathBuf);

impl Drop for Unfinished {
    fn drop(&mut self) {
        let _renamed = std::fs::remove_file(&self.0);
    }
}

/// Writes the archive to `file`, which must not be there yet. Without a store, photos stay out: for a
/// backup beside the folder that holds them.
pub async fn make(
    db: &Db,
    photos: Option<&Store>,
    now: Millis,
    file: &Path,
) -> Result<Made, Failure> {
    let beside = beside(file)?;
    let part = Unfinished(beside);
    let out = private(&part.0)?;
    let flushed = out.try_clone()?;
    let buffered = BufWriter::with_capacity(256 * 1024, out);
    let wrote = write::write(db, photos, (now, Secrets::Kept), buffered).await?;
    let bytes = flushed.metadata()?.len();
    tokio::task::spawn_blocking(move || flushed.sync_all())
        .await
        .map_err(std::io::Error::from)??;
    if read::look_through(File::open(&part.0)?).await? != wrote {
        return Err(Failure::Refused(
            "The backup does not read as it was written.".to_owned(),
        ));
    }
    std::fs::rename(&part.0, file)?;
    if let Some(folder) = file.parent().filter(|f| !f.as_os_str().is_empty()) {
        File::open(folder)?.sync_all()?;
    }
    Ok(Made {
        file: file.to_owned(),
        bytes,
        rows: wrote.files.values().filter_map(|facts| facts.rows).sum(),
        photos_missing: wrote.photos_missing.len(),
    })
}

fn beside(file: &Path) -> Result<PathBuf, Failure> {
    if file.exists() {
        return Err(Failure::Refused(format!(
            "{} is there already. A backup overwrites nothing.",
            file.display()
        )));
    }
    let Some(name) = file.file_name() else {
        let words = format!("{} is no name of a file.", file.display());
        return Err(Failure::Refused(words));
    };
    let own = uuid::Uuid::now_v7().simple();
    Ok(file.with_file_name(format!(".{}.{own}.part", name.to_string_lossy())))
}

/// It holds what opens doors: nobody but the program's own account reads it.
pub fn private(file: &Path) -> std::io::Result<File> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(file)
}

/// Takes away what the rule no longer keeps, and what a killed process left half written; answers how
/// many. Files with other names are never touched.
pub fn rotate(folder: &Path, keep: Keep, zone: &Zone) -> std::io::Result<usize> {
    let mut made = Vec::new();
    let mut gone = 0;
    for file in std::fs::read_dir(folder)? {
        let file = file?;
        let name = file.file_name().to_string_lossy().into_owned();
        let half = name
            .strip_prefix('.')
            .and_then(|name| name.strip_suffix(".part")?.rsplit_once('.'));
        if let Some(at) = keep::at_of(&name) {
            made.push(at);
        } else if half.is_some_and(|(name, _)| keep::at_of(name).is_some()) {
            let age = file.metadata()?.modified()?.elapsed().unwrap_or_default();
            if age > LEFT_BEHIND {
                std::fs::remove_file(file.path())?;
                gone += 1;
            }
        }
    }
    for at in keep::no_longer_kept(made, keep, zone) {
        std::fs::remove_file(folder.join(keep::name_at(at)))?;
        gone += 1;
    }
    Ok(gone)
}
