//! Panels and circuits in the database.

use super::{CircuitId, PanelCircuit};
use crate::db::Db;
use crate::on_db;

#[derive(sqlx::FromRow)]
struct CircuitRow {
    id: CircuitId,
    panel_id: i64,
    panel: String,
    number: String,
    label_read: String,
    label_wrong: bool,
    label_note: String,
    facts: String,
    version: i64,
}

impl TryFrom<CircuitRow> for PanelCircuit {
    type Error = sqlx::Error;

    fn try_from(row: CircuitRow) -> sqlx::Result<PanelCircuit> {
        Ok(PanelCircuit {
            facts: serde_json::from_str(&row.facts).map_err(|e| sqlx::Error::Decode(e.into()))?,
            id: row.id,
            panel_id: row.panel_id,
            panel: row.panel,
            number: row.number,
            label_read: row.label_read,
            label_wrong: row.label_wrong,
            label_note: row.label_note,
            version: row.version,
        })
    }
}

macro_rules! circuit_sql {
    ($rest:literal) => {
        concat!(
            "SELECT c.id, c.panel_id, p.name AS panel, c.number, c.label_read, c.label_wrong, \
             c.label_note, c.facts, c.version FROM circuits c JOIN panels p ON p.id = c.panel_id ",
            $rest
        )
    };
}

pub async fn circuit(db: &Db, id: CircuitId) -> sqlx::Result<Option<PanelCircuit>> {
    const SQL: &str = circuit_sql!("WHERE c.id = $1");
    let row: Option<CircuitRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    row.map(PanelCircuit::try_from).transpose()
}

/// Circuits of the same panel whose label was found wrong and not put right: a caution for every
/// machine fed from there (common practice).
pub async fn wrong_labels(db: &Db, panel: i64) -> sqlx::Result<Vec<PanelCircuit>> {
    const SQL: &str = circuit_sql!("WHERE c.panel_id = $1 AND c.label_wrong ORDER BY c.id");
    let rows: Vec<CircuitRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(panel).fetch_all(pool).await)?;
    rows.into_iter().map(PanelCircuit::try_from).collect()
}
