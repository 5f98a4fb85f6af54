//! What became of an entry that a phone sent, in the database.

use crate::db::Db;
use crate::jobs::JobId;
use crate::on_db;
use crate::people::PersonId;

/// The job of this person's entry, and why it was set aside, where it was.
pub async fn entry(
    db: &Db,
    id: &str,
    person: PersonId,
) -> sqlx::Result<Option<(JobId, Option<String>)>> {
    const SQL: &str = "SELECT job_id, set_aside FROM entries WHERE id = $1 AND person_id = $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).bind(person).fetch_optional(pool).await)
}

/// The job's version; nothing where somebody else has added to it after this version. A job's version
/// is the number of its last entry.
pub async fn version_unless_others(
    db: &Db,
    job: JobId,
    seen: i64,
    person: PersonId,
) -> sqlx::Result<Option<i64>> {
    const SQL: &str = "SELECT j.version FROM jobs j WHERE j.id = $1 AND NOT EXISTS (
        SELECT 1 FROM entries e WHERE e.job_id = j.id AND e.number > $2
            AND (e.person_id IS NULL OR e.person_id <> $3))";
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(job).bind(seen).bind(person)
        .fetch_optional(pool).await)
}
