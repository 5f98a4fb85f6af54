//! Reading an archive into an empty shop, in one transaction: all of it or nothing.

use super::schema::{Column, Kind};
use super::verify::{photo_of, verify};
use super::{Failure, Manifest, joined, stopped};
use super::{queries, schema, tables};
use crate::db::{Db, Tx};
use crate::photos::store::Store;
use std::fs::File;
use std::io::Read;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use zip::ZipArchive;

/// Values of one statement; the databases take some thirty thousand at most.
const MOST_VALUES: usize = 16_000;
const MOST_ROWS: usize = 200;
/// No row of ours comes near it.
const MOST_ROW: usize = 16 * 1024 * 1024;

type Values = Vec<Option<String>>;

/// Verifies the whole archive and answers with what it holds.
pub async fn look_through(file: File) -> Result<Manifest, Failure> {
    let verified = tokio::task::spawn_blocking(move || verify(&mut ZipArchive::new(file)?));
    joined(verified.await)
}

/// Verifies the whole archive, then reads it. The shop must be empty and its schema the archive's.
pub async fn read(db: &Db, photos: &Store, file: File) -> Result<Manifest, Failure> {
    let verified = tokio::task::spawn_blocking(move || {
        let mut zip = ZipArchive::new(file)?;
        let manifest = verify(&mut zip)?;
        Ok((zip, manifest))
    });
    let (zip, manifest) = joined(verified.await)?;
    let ours = queries::schema_version(db).await?;
    if manifest.schema != ours {
        return Err(Failure::Refused(format!(
            "The archive was written with schema {}, this program has {ours}. Use the version of the \
             program that wrote it, bring it up to date there, and write the archive anew.",
            manifest.schema
        )));
    }
    let mut tx = db.begin_write().await?;
    if queries::in_use(&mut tx).await? {
        return Err(Failure::refused(
            "There is a shop here already. An archive is only read into an empty one.",
        ));
    }
    queries::defer_references(&mut tx).await?;
    let _held = photos.hold().await;
    let zip = fill_all(db, &mut tx, zip, &manifest).await?;
    put_photos(photos, zip, &manifest).await?;
    queries::judge_references(&mut tx).await?;
    tx.commit().await?;
    Ok(manifest)
}

async fn fill_all(
    db: &Db,
    tx: &mut Tx,
    mut zip: ZipArchive<File>,
    manifest: &Manifest,
) -> Result<ZipArchive<File>, Failure> {
    // An earlier schema lacks the newest tables.
    let there = queries::tables_of(db).await?;
    let is_there = |name: &str| there.iter().any(|table| table == name);
    for (table, _) in tables::all_kept()
        .rev()
        .filter(|(table, _)| is_there(table.name))
    {
        queries::empty(tx, table.name).await?;
    }
    for (table, _) in tables::all_kept() {
        let name = format!("tables/{}.csv", table.name);
        if manifest.files.contains_key(&name) {
            let columns = queries::columns(db, table.name).await?;
            zip = fill(tx, zip, (table.name, name), columns).await?;
        }
    }
    for (table, number) in manifest.last_numbers.iter().filter(|(_, n)| **n > 0) {
        if let Some(table) = schema::carried(table) {
            queries::go_on_from(tx, table, *number).await?;
        }
    }
    Ok(zip)
}

/// One table: a thread unpacks, this side inserts.
async fn fill(
    tx: &mut Tx,
    zip: ZipArchive<File>,
    (table, name): (&'static str, String),
    columns: Vec<Column>,
) -> Result<ZipArchive<File>, Failure> {
    let (to, from) = channel(4);
    let unpacking = tokio::task::spawn_blocking(move || unpack(zip, &name, &columns, &to));
    let filled = insert_all(tx, table, from).await;
    let unpacked = joined(unpacking.await);
    filled?;
    unpacked
}

async fn insert_all(
    tx: &mut Tx,
    table: &'static str,
    mut from: Receiver<(Vec<Column>, Vec<Values>)>,
) -> Result<(), Failure> {
    while let Some((columns, rows)) = from.recv().await {
        queries::insert(tx, table, &columns, &rows).await?;
    }
    Ok(())
}

fn unpack(
    mut zip: ZipArchive<File>,
    name: &str,
    columns: &[Column],
    to: &Sender<(Vec<Column>, Vec<Values>)>,
) -> Result<ZipArchive<File>, Failure> {
    let mut rows = csv::Reader::from_reader(zip.by_name(name)?);
    let columns = in_order(name, rows.headers()?, columns)?;
    let most = (MOST_VALUES / columns.len()).clamp(1, MOST_ROWS);
    let mut batch = Vec::new();
    for record in rows.records() {
        let record = record?;
        if record.as_slice().len() > MOST_ROW {
            return Err(Failure::Refused(format!("A row of {name} is too long.")));
        }
        let mut values: Values = columns
            .iter()
            .zip(&record)
            .map(|(column, cell)| column.value(cell))
            .collect();
        values.resize(columns.len(), Some(String::new()));
        batch.push(values);
        if batch.len() == most {
            let full = std::mem::take(&mut batch);
            to.blocking_send((columns.clone(), full)).map_err(stopped)?;
        }
    }
    if !batch.is_empty() {
        to.blocking_send((columns, batch)).map_err(stopped)?;
    }
    drop(rows);
    Ok(zip)
}

/// The columns as the file has them; after them, to be filled with empty text, those that were left
/// out and must hold something.
fn in_order(
    name: &str,
    heads: &csv::StringRecord,
    columns: &[Column],
) -> Result<Vec<Column>, Failure> {
    let mut named = Vec::new();
    for head in heads {
        let column = columns.iter().find(|column| column.name == head);
        named.push(column.cloned().ok_or_else(|| {
            Failure::Refused(format!("{name} has a column that is not known: {head}."))
        })?);
    }
    let left_out: Vec<Column> = columns
        .iter()
        .filter(|column| column.kind == Kind::Text && !column.nullable)
        .filter(|column| !named.contains(column))
        .cloned()
        .collect();
    named.extend(left_out);
    Ok(named)
}

async fn put_photos(
    photos: &Store,
    mut zip: ZipArchive<File>,
    manifest: &Manifest,
) -> Result<(), Failure> {
    for name in manifest
        .files
        .keys()
        .filter(|name| photo_of(name).is_some())
    {
        let name = name.clone();
        let unpacking = tokio::task::spawn_blocking(move || {
            let mut bytes = Vec::new();
            // Verified before: it is no longer than a photo can be.
            zip.by_name(&name)?.read_to_end(&mut bytes)?;
            Ok((zip, bytes))
        });
        let (back, bytes) = joined(unpacking.await)?;
        zip = back;
        photos.put(bytes).await?;
    }
    Ok(())
}
