//! What was changed in the registers and in the installation, by whom: a list only ever added to.

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
