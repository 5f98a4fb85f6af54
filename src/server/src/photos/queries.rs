//! Photos in the database: one row per entry that holds one.

use super::{Photo, Seen};
use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::machines::MachineId;
use crate::motors::MotorId;
use crate::people::PersonId;
use crate::{on_db, on_tx};

/// A photo that is shown, with the name of who took it; empty for a report without sign-in.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct PhotoRow {
    pub entry_id: String,
    /// Of the entry in its job: what people tell two photos apart by.
    pub number: i64,
    pub job_id: JobId,
    pub person_id: Option<PersonId>,
    pub person: String,
    pub sha: String,
    pub thumb: String,
    pub width: i64,
    pub height: i64,
    pub caption: String,
    pub about: String,
    pub taken_at: Millis,
}

pub async fn insert(
    tx: &mut Tx,
    entry_id: &str,
    job: JobId,
    person: Option<PersonId>,
    photo: &Photo,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO photos (entry_id, job_id, person_id, sha, thumb, width, height,
            bytes, caption, about, taken_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(entry_id)
        .bind(job)
        .bind(person)
        .bind(&photo.sha)
        .bind(&photo.thumb)
        .bind(i64::from(photo.width))
        .bind(i64::from(photo.height))
        .bind(photo.bytes)
        .bind(&photo.caption)
        .bind(&photo.about)
        .bind(at)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn withdraw(tx: &mut Tx, of: &str, by_entry: &str) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE photos SET withdrawn_by = $2 WHERE entry_id = $1";
    on_tx!(tx, conn => sqlx::query(SQL).bind(of).bind(by_entry).execute(conn).await.map(|_| ()))
}

/// What the gate asks for an entry of this kind; nothing is read for others.
pub async fn seen(tx: &mut Tx, job: JobId, body: &Body) -> sqlx::Result<Seen> {
    const COUNT: &str = "SELECT COUNT(*) FROM photos WHERE job_id = $1 AND withdrawn_by IS NULL";
    const TAKER: &str = "SELECT person_id FROM photos
        WHERE entry_id = $1 AND job_id = $2 AND withdrawn_by IS NULL";
    let mut seen = Seen::default();
    match body {
        Body::Photo(_) => {
            seen.on_job = on_tx!(tx, conn =>
                sqlx::query_scalar(COUNT).bind(job).fetch_one(conn).await)?;
        }
        Body::PhotoWithdrawn { of, .. } => {
            seen.taken_by = on_tx!(tx, conn =>
                sqlx::query_scalar(TAKER).bind(of).bind(job).fetch_optional(conn).await)?;
        }
        _ => {}
    }
    Ok(seen)
}

/// Every file name a job's photos ever had: to tell a report sent again from one with other photos.
pub async fn shas_of_job(tx: &mut Tx, job: JobId) -> sqlx::Result<Vec<String>> {
    const SQL: &str = "SELECT sha FROM photos WHERE job_id = $1";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(job).fetch_all(conn).await)
}

/// Photos of reports without sign-in since then.
pub async fn from_anyone_since(db: &Db, since: Millis) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT COUNT(*) FROM photos WHERE person_id IS NULL AND taken_at > $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(since).fetch_one(pool).await)
}

/// The photos of a job that are shown, oldest first.
pub async fn of_job(db: &Db, job: JobId) -> sqlx::Result<Vec<PhotoRow>> {
    const SQL: &str =
        "SELECT p.entry_id, e.number, p.job_id, p.person_id, COALESCE(who.name, '') AS person,
            p.sha, p.thumb, p.width, p.height, p.caption, p.about, p.taken_at
        FROM photos p
        JOIN entries e ON e.id = p.entry_id
        LEFT JOIN people who ON who.id = p.person_id
        WHERE p.job_id = $1 AND p.withdrawn_by IS NULL ORDER BY e.number";
    on_db!(db, pool => sqlx::query_as(SQL).bind(job).fetch_all(pool).await)
}

/// The newest photos of all jobs of a machine.
pub async fn of_machine(db: &Db, machine: MachineId, most: i64) -> sqlx::Result<Vec<PhotoRow>> {
    const SQL: &str =
        "SELECT p.entry_id, e.number, p.job_id, p.person_id, COALESCE(who.name, '') AS person,
            p.sha, p.thumb, p.width, p.height, p.caption, p.about, p.taken_at
        FROM photos p
        JOIN jobs j ON j.id = p.job_id
        JOIN entries e ON e.id = p.entry_id
        LEFT JOIN people who ON who.id = p.person_id
        WHERE j.machine_id = $1 AND p.withdrawn_by IS NULL
        ORDER BY p.taken_at DESC, p.job_id DESC, e.number DESC LIMIT $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(machine).bind(most).fetch_all(pool).await)
}

/// How many photos a job shows.
pub async fn count_of_job(db: &Db, job: JobId) -> sqlx::Result<i64> {
    const SQL: &str = "SELECT COUNT(*) FROM photos WHERE job_id = $1 AND withdrawn_by IS NULL";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(job).fetch_one(pool).await)
}

/// The file and its small one, where a photo of this hash is shown.
pub async fn thumb_of(db: &Db, sha: &str) -> sqlx::Result<Option<String>> {
    const SQL: &str = "SELECT thumb FROM photos WHERE sha = $1 AND withdrawn_by IS NULL
        UNION SELECT thumb FROM thing_photos WHERE sha = $1 AND withdrawn_at IS NULL LIMIT 1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(sha).fetch_optional(pool).await)
}

/// The two files of the photo that this entry holds, withdrawn or not.
pub async fn files_of(db: &Db, entry_id: &str) -> sqlx::Result<Option<(String, String)>> {
    const SQL: &str = "SELECT sha, thumb FROM photos WHERE entry_id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(entry_id).fetch_optional(pool).await)
}

/// Whether a photo that is shown or a document needs this file.
pub async fn needed(db: &Db, file: &str) -> sqlx::Result<bool> {
    const SQL: &str = "SELECT
        (SELECT COUNT(*) FROM photos WHERE (sha = $1 OR thumb = $1) AND withdrawn_by IS NULL)
        + (SELECT COUNT(*) FROM thing_photos
            WHERE (sha = $1 OR thumb = $1) AND withdrawn_at IS NULL)
        + (SELECT COUNT(*) FROM machine_documents WHERE sha = $1)";
    let rows: i64 = on_db!(db, pool => sqlx::query_scalar(SQL).bind(file).fetch_one(pool).await)?;
    Ok(rows > 0)
}

/// Every file that a shown photo or a document needs; documents keep their older revisions.
pub async fn all_needed(db: &Db) -> sqlx::Result<Vec<String>> {
    const SQL: &str = "SELECT sha FROM photos WHERE withdrawn_by IS NULL
        UNION SELECT thumb FROM photos WHERE withdrawn_by IS NULL
        UNION SELECT sha FROM thing_photos WHERE withdrawn_at IS NULL
        UNION SELECT thumb FROM thing_photos WHERE withdrawn_at IS NULL
        UNION SELECT sha FROM machine_documents WHERE sha IS NOT NULL";
    on_db!(db, pool => sqlx::query_scalar(SQL).fetch_all(pool).await)
}

/// The photo that a motor's plate was read from.
pub async fn plate_source(db: &Db, motor: MotorId) -> sqlx::Result<Option<String>> {
    const SQL: &str = "SELECT sha FROM plate_photos WHERE motor_id = $1";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(motor).fetch_optional(pool).await)
}

/// Notes which photo it was; an earlier answer gives way, and the audit list has it.
pub async fn set_plate_source(
    tx: &mut Tx,
    motor: MotorId,
    sha: &str,
    by: PersonId,
    at: Millis,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO plate_photos (motor_id, sha, noted_by, noted_at)
        VALUES ($1, $2, $3, $4) ON CONFLICT (motor_id) DO UPDATE SET sha = EXCLUDED.sha,
        noted_by = EXCLUDED.noted_by, noted_at = EXCLUDED.noted_at";
    on_tx!(tx, conn => sqlx::query(SQL).bind(motor).bind(sha).bind(by).bind(at)
        .execute(conn).await.map(|_| ()))
}
