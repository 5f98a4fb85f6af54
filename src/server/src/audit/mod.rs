//! What was changed in the registers and in the installation, by whom: a list only ever added to.

pub mod list_queries;
pub mod pages;
mod queries;

use crate::clock::Millis;
use crate::db::Tx;
use crate::people::PersonId;
use serde::Serialize;

/// Notes one change in the transaction that makes it. `person` is `None` for the program itself.
pub async fn audit(
    tx: &mut Tx,
    at: Millis,
    person: Option<PersonId>,
    (thing, id): (&'static str, i64),
    act: &'static str,
    detail: &impl Serialize,
) -> sqlx::Result<()> {
    let detail = serde_json::to_string(detail).map_err(|e| sqlx::Error::Encode(e.into()))?;
    queries::insert(tx, at, person, (thing, id), act, &detail).await
}

/// A change as it goes into the list with others.
pub struct Line {
    pub thing: &'static str,
    pub id: i64,
    pub act: &'static str,
    /// JSON.
    pub detail: String,
}

/// Notes many changes of one moment at once.
pub async fn audit_many(
    tx: &mut Tx,
    at: Millis,
    person: Option<PersonId>,
    lines: &[Line],
) -> sqlx::Result<()> {
    if lines.is_empty() {
        return Ok(());
    }
    queries::insert_many(tx, at, person, lines).await
}
