//! The rows behind the ledger's list and figures.

use crate::db::Db;
use crate::jobs::JobId;
use crate::machines::MachineId;
use crate::on_db;

/// One job as the ledger lists it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Row {
    pub id: JobId,
    pub state: String,
    pub machine_id: Option<MachineId>,
    pub tag: Option<String>,
    pub machine: Option<String>,
    /// The machine's place, else the one the reporter named.
    pub place_id: Option<i64>,
    pub due_item_id: Option<i64>,
    pub words: String,
    pub reported_at: i64,
    pub signed_at: Option<i64>,
    pub component: String,
    pub cause: String,
}

/// Every job, newest first: a shop's ledger of years is a few thousand rows, filtered here in one
/// place for the list and for every figure alike.
pub async fn rows(db: &Db) -> sqlx::Result<Vec<Row>> {
    const SQL: &str = "SELECT j.id, j.state, j.machine_id, m.tag, m.name AS machine,
            coalesce(m.place_id, j.place_id) AS place_id, j.due_item_id, j.words, j.reported_at,
            j.signed_at, j.component, j.cause
        FROM jobs j LEFT JOIN machines m ON m.id = j.machine_id
        ORDER BY j.id DESC";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}
