//! `brasstag restore`: reads an archive into an empty shop.

use super::archive::read;
use crate::db::Db;
use crate::photos::store::Store;
use std::fs::File;
use std::path::Path;

/// What was read, in one line for the person at the command line.
pub async fn restore(db: &Db, photos: &Store, file: &Path) -> Result<String, String> {
    let open = File::open(file).map_err(|e| format!("{} cannot be read: {e}", file.display()))?;
    let manifest = read::read(db, photos, open)
        .await
        .map_err(|e| e.to_string())?;
    let rows: u64 = manifest.files.values().filter_map(|file| file.rows).sum();
    let mut said = format!("{rows} rows of {} files were read.", manifest.files.len());
    if !manifest.photos_missing.is_empty() {
        let missing = manifest.photos_missing.len();
        said.push_str(&format!(" {missing} photos were missing when it was made."));
    }
    if manifest.secrets_left_out {
        said.push_str(
            " It holds no passwords: give each person one with `brasstag person new-password`.",
        );
    }
    Ok(said)
}
