//! Where photos lie: files in the shop's folder, or in a store that several servers share; each named
//! by the hash of what it holds.

use super::shrink::{self, Problem, Shrunk};
use crate::config::{PhotoSettings, secret};
use object_store::aws::AmazonS3Builder;
use object_store::local::LocalFileSystem;
use object_store::path::Path as Name;
use object_store::prefix::PrefixStore;
use object_store::{ObjectStore, ObjectStoreExt};
use sha2::{Digest, Sha256};
use std::collections::HashSet;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{
    OwnedRwLockReadGuard, OwnedRwLockWriteGuard, RwLock, Semaphore, SemaphorePermit,
};

/// Decoding takes a few hundred megabytes at worst; this many photos are decoded at once.
const SHRINKING: usize = 2;
/// Photos of signed-in people that are received at once, each up to 15 MB in memory.
const RECEIVING: usize = 6;
/// The same for reports without sign-in, who must not push the others out.
const RECEIVING_FROM_ANYONE: usize = 3;

/// The folder, and what keeps it and the machine in shape.
#[derive(Clone, Debug)]
pub struct Store(Arc<Inner>);

#[derive(Debug)]
enum Place {
    Folder(PathBuf),
    Shared(Arc<dyn ObjectStore>),
}

#[derive(Debug)]
struct Inner {
    place: Place,
    /// Read: a photo is on its way into the database. Written: files without a row are removed.
    in_hand: Arc<RwLock<()>>,
    shrinking: Semaphore,
    receiving: Semaphore,
    receiving_from_anyone: Semaphore,
}

impl Store {
    /// The folder is made with the first photo.
    pub fn at(folder: PathBuf) -> Self {
        Self::with(Place::Folder(folder))
    }

    /// Where the settings say; the folder if they say nothing.
    ///
    /// # Errors
    /// One sentence that names the setting which cannot be used.
    pub fn of(settings: &PhotoSettings, folder: PathBuf) -> Result<Self, String> {
        match &settings.store {
            None => Ok(Self::at(folder)),
            Some(address) => shared(address, settings).map(|s| Self::with(Place::Shared(s))),
        }
    }

    fn with(place: Place) -> Self {
        Store(Arc::new(Inner {
            place,
            in_hand: Arc::default(),
            shrinking: Semaphore::new(SHRINKING),
            receiving: Semaphore::new(RECEIVING),
            receiving_from_anyone: Semaphore::new(RECEIVING_FROM_ANYONE),
        }))
    }

    /// Leave to hold a photo in memory; reports without sign-in do not wait for it.
    pub async fn receive(&self, signed_in: bool) -> Result<SemaphorePermit<'_>, Problem> {
        if signed_in {
            self.0.receiving.acquire().await.map_err(|_| Problem::Busy)
        } else {
            let permit = self.0.receiving_from_anyone.try_acquire();
            permit.map_err(|_| Problem::Busy)
        }
    }

    /// Re-encodes off the threads that serve pages.
    pub async fn shrink(&self, bytes: Vec<u8>) -> Result<Shrunk, Problem> {
        let permit = self.0.shrinking.acquire().await;
        let _permit = permit.map_err(|_| Problem::Busy)?;
        tokio::task::spawn_blocking(move || shrink::shrink(&bytes))
            .await
            .unwrap_or_else(|broken| {
                tracing::error!(error = &broken as &dyn std::error::Error, "photo decoder");
                Err(Problem::Unreadable)
            })
    }

    /// While this is held no file is removed: from before a photo is put until its entry is
    /// committed. It binds this process; another one on the same folder could remove a file only
    /// where the very same picture is withdrawn there at this moment.
    pub async fn hold(&self) -> OwnedRwLockReadGuard<()> {
        Arc::clone(&self.0.in_hand).read_owned().await
    }

    /// While this is held no photo is on its way in: what no row names is needed by nobody.
    pub async fn alone(&self) -> OwnedRwLockWriteGuard<()> {
        Arc::clone(&self.0.in_hand).write_owned().await
    }

    fn files(&self) -> object_store::Result<Arc<dyn ObjectStore>> {
        Ok(match &self.0.place {
            // Written aside, flushed, renamed, and the folder flushed: whole or not there at all.
            Place::Folder(folder) => {
                Arc::new(LocalFileSystem::new_with_prefix(folder)?.with_fsync(true))
            }
            Place::Shared(store) => Arc::clone(store),
        })
    }

    /// Makes the folder where it is missing, and flushes the one it stands in.
    async fn made(&self) -> std::io::Result<()> {
        let Place::Folder(folder) = &self.0.place else {
            return Ok(());
        };
        let folder = folder.clone();
        let made = move || {
            if folder.is_dir() {
                return Ok(());
            }
            std::fs::create_dir_all(&folder)?;
            match folder.parent().filter(|parent| parent.is_dir()) {
                Some(parent) => std::fs::File::open(parent)?.sync_all(),
                None => Ok(()),
            }
        };
        tokio::task::spawn_blocking(made).await?
    }

    /// Stores a file and answers with its hash, once it is on the disk.
    pub async fn put(&self, bytes: Vec<u8>) -> object_store::Result<String> {
        let sha = hash(&bytes);
        self.made()
            .await
            .map_err(|e| object_store::Error::Generic {
                store: "photos",
                source: e.into(),
            })?;
        self.files()?.put(&name(&sha), bytes.into()).await?;
        Ok(sha)
    }

    /// The file of this hash, if it is there.
    pub async fn get(&self, sha: &str) -> object_store::Result<Option<Vec<u8>>> {
        if matches!(&self.0.place, Place::Folder(folder) if !folder.is_dir()) {
            return Ok(None);
        }
        let found = match self.files() {
            Ok(files) => files.get(&name(sha)).await,
            Err(e) => Err(e),
        };
        match found {
            Ok(file) => Ok(Some(file.bytes().await?.to_vec())),
            Err(object_store::Error::NotFound { .. }) => Ok(None),
            Err(e) => Err(e),
        }
    }

    /// Removes a file; the caller holds [`Store::alone`] and found that no row needs it.
    pub async fn remove(&self, sha: &str) {
        let removed = match self.files() {
            Ok(files) => files.delete(&name(sha)).await,
            Err(e) => Err(e),
        };
        match removed {
            Ok(()) | Err(object_store::Error::NotFound { .. }) => {}
            // The sweep at the next start tries again.
            Err(e) => tracing::warn!(error = &e as &dyn std::error::Error, "photo not removed"),
        }
    }

    /// Every whole file's hash, and its age.
    ///
    /// # Errors
    /// Where the folder or the store cannot be listed.
    pub async fn list(&self) -> std::io::Result<Vec<(String, Duration)>> {
        if let Place::Folder(folder) = &self.0.place {
            let folder = folder.clone();
            return tokio::task::spawn_blocking(move || list_folder(&folder)).await?;
        }
        let listed = self.files()?.list_with_delimiter(None).await?.objects;
        let newest = listed.iter().map(|file| file.last_modified).max();
        let whole = listed.iter().filter_map(|file| {
            let (sha, _) = ours(file.location.as_ref()).filter(|(_, whole)| *whole)?;
            let age = newest.and_then(|newest| (newest - file.last_modified).to_std().ok());
            Some((sha, age.unwrap_or_default()))
        });
        Ok(whole.collect())
    }

    /// Removes files, whole or half written, that are not among the needed and older than this;
    /// the caller holds [`Store::alone`]. Answers how many.
    pub async fn sweep(
        &self,
        needed: HashSet<String>,
        older_than: Duration,
    ) -> std::io::Result<usize> {
        let folder = match &self.0.place {
            Place::Folder(folder) => folder.clone(),
            Place::Shared(store) => return sweep_shared(store, &needed, older_than).await,
        };
        let sweep = move || {
            let mut removed = 0;
            let listed = match std::fs::read_dir(&folder) {
                Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(0),
                listed => listed?,
            };
            for file in listed {
                let file = file?;
                let Some((sha, whole)) = ours(&file.file_name().to_string_lossy()) else {
                    continue;
                };
                let age = file.metadata()?.modified()?.elapsed().unwrap_or_default();
                if age >= older_than && !(whole && needed.contains(&sha)) {
                    std::fs::remove_file(file.path())?;
                    removed += 1;
                }
            }
            Ok(removed)
        };
        tokio::task::spawn_blocking(sweep).await?
    }
}

fn list_folder(folder: &std::path::Path) -> std::io::Result<Vec<(String, Duration)>> {
    let files = match std::fs::read_dir(folder) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        files => files?,
    };
    let mut found = Vec::new();
    for file in files {
        let file = file?;
        if let Some((sha, true)) = ours(&file.file_name().to_string_lossy()) {
            let age = file.metadata()?.modified()?.elapsed().unwrap_or_default();
            found.push((sha, age));
        }
    }
    Ok(found)
}

/// The same in a shared store, by the store's own clock.
async fn sweep_shared(
    store: &Arc<dyn ObjectStore>,
    needed: &HashSet<String>,
    older_than: Duration,
) -> std::io::Result<usize> {
    let listed = store.list_with_delimiter(None).await?;
    let newest = listed.objects.iter().map(|file| file.last_modified).max();
    let mut removed = 0;
    for file in listed.objects {
        let known = ours(file.location.as_ref());
        let age = newest
            .and_then(|newest| (newest - file.last_modified).to_std().ok())
            .unwrap_or_default();
        if known.is_some_and(|(sha, _)| !needed.contains(&sha)) && age >= older_than {
            store.delete(&file.location).await?;
            removed += 1;
        }
    }
    Ok(removed)
}

fn shared(address: &str, settings: &PhotoSettings) -> Result<Arc<dyn ObjectStore>, String> {
    let Some(rest) = address
        .strip_prefix("s3://")
        .filter(|rest| !rest.is_empty())
    else {
        return Err(format!(
            "BRASSTAG_PHOTO_STORE must look like s3://BUCKET: {address:?}"
        ));
    };
    let (bucket, prefix) = rest.split_once('/').unwrap_or((rest, ""));
    let mut builder = AmazonS3Builder::new()
        .with_bucket_name(bucket)
        .with_region(&settings.s3_region);
    if let Some(endpoint) = &settings.s3_endpoint {
        builder = builder
            .with_endpoint(endpoint)
            .with_allow_http(endpoint.starts_with("http://"));
    }
    if let Some(id) = &settings.s3_key_id {
        builder = builder.with_access_key_id(id);
    }
    if let Some(file) = &settings.s3_secret_file {
        builder = builder.with_secret_access_key(secret(file)?);
    }
    let store = builder
        .build()
        .map_err(|e| format!("The photo store cannot be used: {e}"))?;
    Ok(match prefix.trim_matches('/') {
        "" => Arc::new(store),
        prefix => Arc::new(PrefixStore::new(store, prefix)),
    })
}

fn name(sha: &str) -> Name {
    Name::from(format!("{sha}.jpg"))
}

/// The hash in a file's name and whether the file is whole: `abc….jpg`, or `abc….jpg#1` while it is
/// being written. `None` for anything that somebody else put there.
fn ours(file: &str) -> Option<(String, bool)> {
    let (sha, rest) = file.split_at_checked(64)?;
    let rest = rest.strip_prefix(".jpg")?;
    let half = rest.strip_prefix('#');
    let known = rest.is_empty() || half.is_some_and(|n| n.chars().all(|c| c.is_ascii_digit()));
    (known && is_hash(sha)).then(|| (sha.to_owned(), rest.is_empty()))
}

/// 64 small hexadecimal digits: the only names that reach the folder.
pub fn is_hash(text: &str) -> bool {
    text.len() == 64
        && text
            .bytes()
            .all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

fn hash(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_our_own_are_touched() {
        let sha = hash(b"abc");
        assert!(sha.starts_with("ba7816bf"));
        assert_eq!(ours(&format!("{sha}.jpg")), Some((sha.clone(), true)));
        assert_eq!(ours(&format!("{sha}.jpg#12")), Some((sha.clone(), false)));
        for other in [
            "brasstag.sqlite".to_owned(),
            format!("{sha}.png"),
            format!("{sha}.jpg#a"),
            format!("{}.jpg", sha.to_uppercase()),
            format!("../{sha}.jpg"),
        ] {
            assert_eq!(ours(&other), None, "{other}");
        }
        assert!(!is_hash("../../etc/passwd"));
    }
}
