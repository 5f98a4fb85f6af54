//! Writing: the database is read on one side, the zip is packed on a thread of its own, and a small
//! channel between them keeps memory small however large the shop is.

use super::queries::{self, Snapshot};
use super::schema::{self, Column};
use super::tables::{self, Part, TABLES};
use super::{FORMAT, Failure, FileFacts, MANIFEST, Manifest, README, Secrets};
use super::{hex, joined, stopped};
use crate::clock::Millis;
use crate::db::Db;
use crate::photos::store::Store;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use zip::CompressionMethod;
use zip::write::{SimpleFileOptions, StreamWriter, ZipWriter};

/// What goes to the packing thread.
pub enum Piece {
    Table(String, Vec<String>),
    Rows(Vec<Vec<String>>),
    File(String, Vec<u8>),
    /// Everything else was sent; the files are filled in by the packing thread.
    End(Box<Manifest>),
}

/// Writes the archive of the shop to `out`, which need not be able to seek, and answers with what it
/// holds; photos stay out where no store is given. Whoever sends it on must treat an error as a broken archive.
pub async fn write<W: Write + Send + 'static>(
    db: &Db,
    photos: Option<&Store>,
    (made_at, secrets): (Millis, Secrets),
    out: W,
) -> Result<Manifest, Failure> {
    let (to, from) = channel(8);
    let packing = tokio::task::spawn_blocking(move || pack(from, out));
    let sent = send_all(db, photos, made_at, secrets, to).await;
    // Where packing failed, sending was only broken off.
    let manifest = joined(packing.await)?;
    sent?;
    manifest.ok_or_else(|| Failure::refused("The archive was broken off."))
}

async fn send_all(
    db: &Db,
    photos: Option<&Store>,
    made_at: Millis,
    secrets: Secrets,
    to: Sender<Piece>,
) -> Result<(), Failure> {
    let mut readme = readme_head();
    let mut snapshot = Snapshot::begin(db).await?;
    let mut manifest = Manifest {
        format: FORMAT,
        schema: queries::schema_version(db).await?,
        made_at,
        secrets_left_out: secrets == Secrets::LeftOut,
        files: BTreeMap::new(),
        last_numbers: snapshot.last_numbers().await?,
        photos_missing: Vec::new(),
        photos_left_out: photos.is_none(),
    };
    // A database that waits to be brought up to date lacks the newest ones.
    let there = queries::tables_of(db).await?;
    let is_there = |name: &str| there.iter().any(|table| table == name);
    for (table, hidden) in tables::all_kept().filter(|(table, _)| is_there(table.name)) {
        let mut columns = queries::columns(db, table.name).await?;
        if secrets == Secrets::LeftOut {
            columns.retain(|column| !hidden.contains(&column.name.as_str()));
        }
        describe(&mut readme, table, &columns);
        let head = columns.iter().map(|column| column.name.clone()).collect();
        let name = format!("tables/{}.csv", table.name);
        to.send(Piece::Table(name, head)).await.map_err(stopped)?;
        let sql = schema::select(table.name, &columns, db);
        snapshot.rows(sql, &columns, &to).await?;
    }
    if let Some(photos) = photos.filter(|_| is_there("photos")) {
        manifest.photos_missing = send_photos(&mut snapshot, photos, &to).await?;
    }
    let readme = Piece::File(README.to_owned(), readme.into_bytes());
    to.send(readme).await.map_err(stopped)?;
    to.send(Piece::End(Box::new(manifest)))
        .await
        .map_err(stopped)
}

/// Answers with the hashes of those that the folder does not hold.
async fn send_photos(
    snapshot: &mut Snapshot,
    photos: &Store,
    to: &Sender<Piece>,
) -> Result<Vec<String>, Failure> {
    let mut missing = Vec::new();
    let pictures = queries::photo_names(snapshot).await?.into_iter();
    let mut files: Vec<(String, String)> = pictures
        .map(|sha| (format!("photos/{sha}.jpg"), sha))
        .collect();
    let documents = queries::document_names(snapshot).await?.into_iter();
    files.extend(documents.map(|(sha, end)| (format!("documents/{sha}.{end}"), sha)));
    for (name, sha) in files {
        match photos.get(&sha).await? {
            Some(bytes) => {
                let file = Piece::File(name, bytes);
                to.send(file).await.map_err(stopped)?;
            }
            None => missing.push(sha),
        }
    }
    Ok(missing)
}

/// Packs until the end or until nothing more comes; `None` where the end never came.
fn pack<W: Write>(mut from: Receiver<Piece>, out: W) -> Result<Option<Manifest>, Failure> {
    let mut zip = ZipWriter::new_stream(out);
    let mut files = BTreeMap::new();
    let mut open: Option<Open> = None;
    while let Some(piece) = from.blocking_recv() {
        match piece {
            Piece::Rows(rows) => {
                if let Some(open) = &mut open {
                    open.rows += rows.len() as u64;
                    open.add(&mut zip, &rows)?;
                }
            }
            Piece::Table(name, head) => {
                close(&mut open, &mut files);
                zip.start_file(&name, packed().large_file(true))?;
                let mut table = Open::new(name);
                table.add(&mut zip, &[head])?;
                open = Some(table);
            }
            Piece::File(name, bytes) => {
                close(&mut open, &mut files);
                files.insert(name.clone(), facts(&bytes));
                let how = if name == README { packed() } else { stored() };
                zip.start_file(name, how)?;
                zip.write_all(&bytes)?;
            }
            Piece::End(mut manifest) => {
                manifest.files = files;
                let json = serde_json::to_vec_pretty(&*manifest).map_err(std::io::Error::from)?;
                zip.start_file(MANIFEST, packed())?;
                zip.write_all(&json)?;
                zip.finish()?.into_inner().flush()?;
                return Ok(Some(*manifest));
            }
        }
    }
    Ok(None)
}

fn packed() -> SimpleFileOptions {
    SimpleFileOptions::default()
}

/// A photo cannot be made smaller by packing.
fn stored() -> SimpleFileOptions {
    SimpleFileOptions::default().compression_method(CompressionMethod::Stored)
}

fn facts(bytes: &[u8]) -> FileFacts {
    FileFacts {
        bytes: bytes.len() as u64,
        sha256: hex(&Sha256::digest(bytes)),
        rows: None,
    }
}

/// The table that is being written.
struct Open {
    name: String,
    digest: Sha256,
    bytes: u64,
    rows: u64,
}

impl Open {
    fn new(name: String) -> Self {
        Open {
            name,
            digest: Sha256::new(),
            bytes: 0,
            rows: 0,
        }
    }

    fn add<W: Write>(
        &mut self,
        zip: &mut ZipWriter<StreamWriter<W>>,
        rows: &[Vec<String>],
    ) -> Result<(), Failure> {
        let mut text = csv::Writer::from_writer(Vec::new());
        for row in rows {
            text.write_record(row)?;
        }
        let text = text
            .into_inner()
            .map_err(|e| std::io::Error::other(e.to_string()))?;
        self.digest.update(&text);
        self.bytes += text.len() as u64;
        zip.write_all(&text)?;
        Ok(())
    }
}

fn close(open: &mut Option<Open>, files: &mut BTreeMap<String, FileFacts>) {
    if let Some(open) = open.take() {
        let facts = FileFacts {
            bytes: open.bytes,
            sha256: hex(&open.digest.finalize()),
            rows: Some(open.rows),
        };
        files.insert(open.name, facts);
    }
}

fn readme_head() -> String {
    let mut text = String::from(
        "The whole record of a shop, written by Brasstag.\n\n\
        tables/     one CSV file (UTF-8, commas) for each kind of record; the first line names the columns\n\
        photos/     JPEG files, each named by the SHA-256 of what it holds\n\
        manifest.json  format, schema, and size, SHA-256 and count of rows of every file\n\n\
        Columns named ..._id hold the id of a row of another table. Columns named ..._at, and from_at \
        and to_at,\nare instants in milliseconds since 1970-01-01 UTC; ..._on and ..._until are dates. \
        Yes and no are\nwritten so. Prices are in the smallest unit of the shop's currency.\n\
        A blank cell is a value that nobody gave, or an empty text. A lone apostrophe is an empty text \
        where\nblank means not given. A text that a spreadsheet could take for a formula has an \
        apostrophe before it,\nwhich reading the archive takes off again.\n\nNot in here:\n",
    );
    for table in TABLES {
        if let Part::Left { why } = table.part {
            let _infallible = writeln!(text, "  {}: {why}", table.name);
        }
    }
    text.push_str("\nTables and their columns:\n");
    text
}

fn describe(readme: &mut String, table: &tables::Table, columns: &[Column]) {
    let names: Vec<&str> = columns.iter().map(|column| column.name.as_str()).collect();
    let _infallible = writeln!(
        readme,
        "\n{}.csv: {}\n    {}",
        table.name,
        table.what,
        names.join(", ")
    );
}
