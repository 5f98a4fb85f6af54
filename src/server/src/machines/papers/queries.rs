//! Notes, documents and parent of a machine, in the database.

use crate::clock::{Millis, date_words};
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::people::PersonId;
use crate::{on_db, on_tx};
use time::Date;

/// What to know before going; `written_at` `None`: nobody knows since when.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Note {
    pub id: i64,
    pub text: String,
    pub person: Option<String>,
    pub written_at: Option<Millis>,
    pub ended_at: Option<Millis>,
}

const NOTES: &str = "SELECT n.id, n.text, p.name AS person, n.written_at, n.ended_at
    FROM machine_notes n LEFT JOIN people p ON p.id = n.written_by
    WHERE n.machine_id = $1 ORDER BY n.id LIMIT 200";

pub async fn notes(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Note>> {
    on_db!(db, pool => sqlx::query_as(NOTES).bind(machine).fetch_all(pool).await)
}

pub async fn notes_in(tx: &mut Tx, machine: MachineId) -> sqlx::Result<Vec<Note>> {
    on_tx!(tx, conn => sqlx::query_as(NOTES).bind(machine).fetch_all(conn).await)
}

pub async fn insert_note(
    tx: &mut Tx,
    machine: MachineId,
    text: &str,
    by: Option<PersonId>,
    at: Option<Millis>,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO machine_notes (machine_id, text, written_by, written_at)
        VALUES ($1, $2, $3, $4)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(machine)
        .bind(text)
        .bind(by)
        .bind(at)
        .execute(conn)
        .await
        .map(|_| ()))
}

/// `false` where it no longer stands.
pub async fn end_note(
    tx: &mut Tx,
    machine: MachineId,
    note: i64,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE machine_notes SET ended_by = $3, ended_at = $4
        WHERE id = $2 AND machine_id = $1 AND ended_at IS NULL RETURNING id";
    let ended: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine)
        .bind(note)
        .bind(by)
        .bind(at)
        .fetch_optional(conn)
        .await)?;
    Ok(ended.is_some())
}

/// The standing notes as the machine's pages, jobs and sheets show them.
pub async fn set_before_you_go(tx: &mut Tx, machine: MachineId, text: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE machines SET before_you_go = $2, version = version + 1 WHERE id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(machine).bind(text).execute(conn).await.map(|_| ()))
}

#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Document {
    pub id: i64,
    pub name: String,
    /// Empty: none is marked on it.
    pub revision: String,
    pub kept: String,
    /// Why it is out of date; empty: nobody found it so.
    pub stale: String,
    pub person: Option<String>,
    pub noted_at: Millis,
    /// The day on the document.
    pub dated_on: Option<Date>,
    /// Empty: there is no file of it here.
    pub file_name: String,
    pub bytes: i64,
}

impl Document {
    /// `Manual, revision B`
    pub fn words(&self) -> String {
        let revision = match self.revision.as_str() {
            "" => "no revision marked".to_owned(),
            revision => format!("revision {revision}"),
        };
        let revision = match self.dated_on {
            Some(on) => format!("{revision} of {}", date_words(on)),
            None => revision,
        };
        match self.stale.is_empty() {
            true => format!("{}, {revision}", self.name),
            false => format!("{}, {revision} (out of date)", self.name),
        }
    }

    /// `manual.pdf, 1.2 MB`
    pub fn file_words(&self) -> String {
        let size = match self.bytes {
            bytes if bytes < 1_000_000 => format!("{} kB", (bytes / 1000).max(1)),
            bytes => format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000),
        };
        format!("{}, {size}", self.file_name)
    }
}

macro_rules! document_sql {
    ($rest:literal) => {
        concat!(
            "SELECT d.id, d.name, d.revision, d.kept, d.stale, p.name AS person, d.noted_at, \
             d.dated_on, d.file_name, d.bytes \
             FROM machine_documents d LEFT JOIN people p ON p.id = d.noted_by ",
            $rest
        )
    };
}

/// The documents that count.
pub async fn documents(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Document>> {
    const SQL: &str = document_sql!(
        "WHERE d.machine_id = $1 AND d.ended_at IS NULL ORDER BY d.name, d.id LIMIT 200"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

/// Those whose place newer ones took, the newest first.
pub async fn earlier_documents(db: &Db, machine: MachineId) -> sqlx::Result<Vec<Document>> {
    const SQL: &str = document_sql!(
        "WHERE d.machine_id = $1 AND d.ended_at IS NOT NULL ORDER BY d.name, d.id DESC LIMIT 200"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}

/// Where the file of a document lies and how it is called.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct DocumentFile {
    pub sha: String,
    pub file_type: String,
    pub file_name: String,
    pub bytes: i64,
}

/// The file of a document, whether it counts or a newer one does.
pub async fn file(db: &Db, id: i64) -> sqlx::Result<Option<DocumentFile>> {
    const SQL: &str = "SELECT sha, file_type, file_name, bytes FROM machine_documents
        WHERE id = $1 AND sha IS NOT NULL";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// How many files a machine keeps, older revisions too.
pub async fn files_of(db: &Db, machine: MachineId) -> sqlx::Result<i64> {
    const SQL: &str =
        "SELECT count(*) FROM machine_documents WHERE machine_id = $1 AND sha IS NOT NULL";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(machine).fetch_one(pool).await)
}

/// A document as typed.
#[derive(Clone, Debug, PartialEq)]
pub struct NewDocument {
    pub name: String,
    pub revision: String,
    pub kept: String,
    pub dated_on: Option<Date>,
    pub file: Option<DocumentFile>,
}

/// Takes the place of the one of the same name, whatever its revision; that one stays to be read.
pub async fn insert_document(
    tx: &mut Tx,
    machine: MachineId,
    new: &NewDocument,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    const END: &str = "UPDATE machine_documents SET ended_at = $3, version = version + 1
        WHERE machine_id = $1 AND lower(name) = lower($2) AND ended_at IS NULL";
    const ADD: &str = "INSERT INTO machine_documents (machine_id, name, revision, kept, noted_by,
            noted_at, dated_on, sha, file_type, file_name, bytes)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
    on_tx!(tx, conn => sqlx::query(END)
        .bind(machine).bind(&new.name).bind(at).execute(conn).await.map(|_| ()))?;
    let file = new.file.as_ref();
    on_tx!(tx, conn => sqlx::query(ADD)
        .bind(machine)
        .bind(&new.name)
        .bind(&new.revision)
        .bind(&new.kept)
        .bind(by)
        .bind(at)
        .bind(new.dated_on)
        .bind(file.map(|file| &file.sha))
        .bind(file.map_or("", |file| &file.file_type))
        .bind(file.map_or("", |file| &file.file_name))
        .bind(file.map_or(0, |file| file.bytes))
        .execute(conn)
        .await
        .map(|_| ()))
}

/// Somebody found it out of date; `false` where it no longer counts.
pub async fn mark_stale(
    tx: &mut Tx,
    machine: MachineId,
    document: i64,
    why: &str,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE machine_documents SET stale = $3, version = version + 1
        WHERE id = $2 AND machine_id = $1 AND ended_at IS NULL RETURNING id";
    let marked: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine)
        .bind(document)
        .bind(why)
        .fetch_optional(conn)
        .await)?;
    Ok(marked.is_some())
}

/// Writes what the machine is part of.
pub async fn update(
    tx: &mut Tx,
    machine: MachineId,
    version: i64,
    parent: Option<MachineId>,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE machines SET parent_id = $3, version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let done: Option<MachineId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(machine)
        .bind(version)
        .bind(parent)
        .fetch_optional(conn)
        .await)?;
    Ok(done.is_some())
}

/// Number and tag of the machines that are parts of this one.
pub async fn parts_of(db: &Db, machine: MachineId) -> sqlx::Result<Vec<(i64, String, String)>> {
    const SQL: &str =
        "SELECT id, tag, name FROM machines WHERE parent_id = $1 ORDER BY tag LIMIT 200";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)
}
