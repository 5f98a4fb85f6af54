//! Looking through an archive before a word of it is believed: names, sizes, hashes.

use super::{FORMAT, Failure, FileFacts, MANIFEST, Manifest, hex, schema};
use crate::machines::papers::files::FILES;
use crate::photos::store::is_hash;
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::Read;
use zip::ZipArchive;

const MOST_MANIFEST: u64 = 64 * 1024 * 1024;
/// A photo is shrunk to far less before it is kept.
const MOST_PHOTO: u64 = 32 * 1024 * 1024;

/// Reads every file of the archive once and holds it against the manifest.
pub fn verify(zip: &mut ZipArchive<File>) -> Result<Manifest, Failure> {
    let manifest = manifest(zip)?;
    if manifest.format != FORMAT {
        return Err(Failure::Refused(format!(
            "This archive has format {}, and this program reads format {FORMAT}.",
            manifest.format
        )));
    }
    if zip.len() != manifest.files.len() + 1 {
        return Err(Failure::refused(
            "The archive does not hold the files that its manifest lists.",
        ));
    }
    for (name, facts) in &manifest.files {
        if !known(name) {
            return Err(Failure::Refused(format!(
                "The archive holds a file that does not belong there: {}.",
                name.chars().take(80).collect::<String>()
            )));
        }
        hold_against(zip, name, facts)?;
    }
    Ok(manifest)
}

fn manifest(zip: &mut ZipArchive<File>) -> Result<Manifest, Failure> {
    let file = zip.by_name(MANIFEST).map_err(|_| {
        Failure::refused("This is no archive of the program: it has no manifest.json.")
    })?;
    let mut json = Vec::new();
    file.take(MOST_MANIFEST + 1).read_to_end(&mut json)?;
    if json.len() as u64 > MOST_MANIFEST {
        return Err(Failure::refused("The archive's manifest is too large."));
    }
    serde_json::from_slice(&json)
        .map_err(|_| Failure::refused("The archive's manifest cannot be read."))
}

/// The only names that are ever opened; none of them leads out of its folder.
fn known(name: &str) -> bool {
    let table = name
        .strip_prefix("tables/")
        .and_then(|rest| rest.strip_suffix(".csv"));
    let photo = photo_of(name);
    name == super::README || table.is_some_and(|t| schema::carried(t).is_some()) || photo.is_some()
}

/// The hash in the name of a photo or of a document.
pub fn photo_of(name: &str) -> Option<&str> {
    let photo = name
        .strip_prefix("photos/")
        .and_then(|n| n.strip_suffix(".jpg"));
    let document = || {
        let (sha, end) = name.strip_prefix("documents/")?.split_once('.')?;
        FILES.iter().any(|kind| kind.end == end).then_some(sha)
    };
    photo.or_else(document).filter(|sha| is_hash(sha))
}

fn hold_against(zip: &mut ZipArchive<File>, name: &str, facts: &FileFacts) -> Result<(), Failure> {
    let damaged = || Failure::Refused(format!("{name} in the archive is damaged."));
    if photo_of(name).is_some_and(|sha| sha != facts.sha256 || facts.bytes > MOST_PHOTO) {
        return Err(damaged());
    }
    let file = zip.by_name(name).map_err(|_| damaged())?;
    // What it says of its size is not believed: reading stops where the manifest's size ends.
    let mut file = file.take(facts.bytes + 1);
    let mut digest = Sha256::new();
    let mut bytes = 0;
    let mut block = vec![0; 64 * 1024];
    loop {
        let read = file.read(&mut block).map_err(|_| damaged())?;
        if read == 0 {
            break;
        }
        bytes += read as u64;
        digest.update(&block[..read]);
    }
    if bytes == facts.bytes && hex(&digest.finalize()) == facts.sha256 {
        Ok(())
    } else {
        Err(damaged())
    }
}
