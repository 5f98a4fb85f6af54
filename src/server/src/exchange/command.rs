//! `brasstag restore`: reads an archive into an empty shop.

use super::archive::read;
use crate::backup::upgrade;
use crate::db::Db;
use crate::photos::store::Store;
use std::fs::File;
use std::path::Path;

/// What was read, in one line for the person at the command line.
pub async fn restore(db: &Db, photos: &Store, file: &Path) -> Result<String, String> {
    let open = File::open(file).map_err(|e| format!("{} cannot be read: {e}", file.display()))?;
    let again = open.try_clone().map_err(|e| e.to_string())?;
    let manifest = read::look_through(open).await.map_err(|e| e.to_string())?;
    // An archive of an earlier schema goes in as it was, and is then brought up to date.
    if upgrade::stand(db).await? == upgrade::Stand::Empty {
        upgrade::lay_as_of(db, manifest.schema).await?;
    }
    read::read(db, photos, again)
        .await
        .map_err(|e| e.to_string())?;
    db.migrate()
        .await
        .map_err(|e| format!("It was read, but cannot be brought up to date: {e}"))?;
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
