//! Panels and circuits in the database.

use super::form::NewCircuit;
use super::{CircuitId, PanelCircuit};
use crate::db::{Db, Tx};
use crate::{on_db, on_tx};
use time::Date;

#[derive(sqlx::FromRow)]
struct CircuitRow {
    id: CircuitId,
    panel_id: i64,
    panel: String,
    number: String,
    label_read: String,
    label_wrong: bool,
    label_note: String,
    label_proved_on: Option<Date>,
    label_proved_by: String,
    label_proved_how: String,
    wire_type: String,
    raceway: String,
    feeds: String,
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
            label_proved_on: row.label_proved_on,
            label_proved_by: row.label_proved_by,
            label_proved_how: row.label_proved_how,
            wire_type: row.wire_type,
            raceway: row.raceway,
            feeds: row.feeds,
            version: row.version,
        })
    }
}

macro_rules! circuit_sql {
    ($rest:literal) => {
        concat!(
            "SELECT c.id, c.panel_id, p.name AS panel, c.number, c.label_read, c.label_wrong, \
             c.label_note, c.label_proved_on, c.label_proved_by, c.label_proved_how, \
             c.wire_type, c.raceway, c.feeds, c.facts, c.version FROM circuits c JOIN panels p ON p.id = c.panel_id ",
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

/// Circuits of the same panel, and the circuit that feeds it, whose label was found wrong and is not
/// relabelled and proved: a caution for every machine fed from there (common practice).
pub async fn wrong_labels(db: &Db, panel: i64) -> sqlx::Result<Vec<PanelCircuit>> {
    const SQL: &str = circuit_sql!(
        "WHERE c.label_wrong AND (c.panel_id = $1
            OR c.id = (SELECT fed_from_id FROM panels WHERE id = $1)) ORDER BY c.id"
    );
    let rows: Vec<CircuitRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(panel).fetch_all(pool).await)?;
    rows.into_iter().map(PanelCircuit::try_from).collect()
}

/// Every circuit of every panel.
pub async fn all_circuits(db: &Db) -> sqlx::Result<Vec<PanelCircuit>> {
    const SQL: &str = circuit_sql!("ORDER BY p.name, c.id");
    let rows: Vec<CircuitRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    rows.into_iter().map(PanelCircuit::try_from).collect()
}

/// So many of them, to see whether they are more than a list holds.
pub async fn first_circuits(db: &Db, most: i64) -> sqlx::Result<Vec<PanelCircuit>> {
    const SQL: &str = circuit_sql!(
        "WHERE c.id IN (SELECT id FROM circuits ORDER BY id LIMIT $1) ORDER BY p.name, c.id"
    );
    let rows: Vec<CircuitRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(most).fetch_all(pool).await)?;
    rows.into_iter().map(PanelCircuit::try_from).collect()
}

/// By the name of its panel in small letters and its number.
pub async fn circuit_named(
    db: &Db,
    panel: &str,
    number: &str,
) -> sqlx::Result<Option<PanelCircuit>> {
    const SQL: &str = circuit_sql!("WHERE lower(p.name) = $1 AND c.number = $2");
    if panel.contains('\0') || number.contains('\0') {
        return Ok(None); // no text in PostgreSQL, so no circuit either
    }
    let row: Option<CircuitRow> = on_db!(db, pool =>
        sqlx::query_as(SQL).bind(panel).bind(number).fetch_optional(pool).await)?;
    row.map(PanelCircuit::try_from).transpose()
}

/// Which panel each panel is fed from.
pub async fn fed_from(db: &Db) -> sqlx::Result<Vec<(i64, i64)>> {
    const SQL: &str =
        "SELECT p.id, c.panel_id FROM panels p JOIN circuits c ON c.id = p.fed_from_id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// A machine on a circuit, as the page of its panel names it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct FedMachine {
    pub circuit_id: CircuitId,
    pub id: i64,
    pub tag: String,
    pub feed_proved_on: Option<Date>,
    /// How many are on the circuit.
    pub of: i64,
}

/// The machines on each circuit of a panel, of one circuit so many at most, by tag.
pub async fn fed_machines(db: &Db, panel: i64, most: i64) -> sqlx::Result<Vec<FedMachine>> {
    const SQL: &str = "SELECT circuit_id, id, tag, feed_proved_on, \"of\" FROM (
            SELECT m.circuit_id, m.id, m.tag, m.feed_proved_on,
                count(*) OVER (PARTITION BY m.circuit_id) AS \"of\",
                row_number() OVER (PARTITION BY m.circuit_id ORDER BY m.tag) AS at
            FROM machines m
            WHERE m.circuit_id IN (SELECT id FROM circuits WHERE panel_id = $1)) AS fed
        WHERE at <= $2 ORDER BY circuit_id, at";
    on_db!(db, pool => sqlx::query_as(SQL).bind(panel).bind(most).fetch_all(pool).await)
}

/// A panel with the place it hangs in.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Panel {
    pub id: i64,
    pub name: String,
    pub place_id: i64,
    /// As written on it: `208Y/120 V three-phase`.
    pub supply: String,
    pub note: String,
    /// The circuit of another panel that feeds this one; `None`: not known, or fed by the utility.
    pub fed_from_id: Option<CircuitId>,
    pub version: i64,
}

pub async fn panels(db: &Db) -> sqlx::Result<Vec<Panel>> {
    const SQL: &str = "SELECT id, name, place_id, supply, note, fed_from_id, version
        FROM panels ORDER BY name";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

pub async fn panel(db: &Db, id: i64) -> sqlx::Result<Option<Panel>> {
    const SQL: &str = "SELECT id, name, place_id, supply, note, fed_from_id, version
        FROM panels WHERE id = $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

/// The circuits of one panel in the order in which they were recorded.
pub async fn of_panel(db: &Db, panel: i64) -> sqlx::Result<Vec<PanelCircuit>> {
    const SQL: &str = circuit_sql!("WHERE c.panel_id = $1 ORDER BY c.id");
    let rows: Vec<CircuitRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(panel).fetch_all(pool).await)?;
    rows.into_iter().map(PanelCircuit::try_from).collect()
}

/// Of each panel that has circuits: how many, and how many with a label found wrong.
pub async fn circuit_counts(db: &Db) -> sqlx::Result<Vec<(i64, i64, i64)>> {
    const SQL: &str = "SELECT panel_id, count(*), sum(CASE WHEN label_wrong THEN 1 ELSE 0 END)
        FROM circuits GROUP BY panel_id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// What is typed of a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct NewPanel {
    pub name: String,
    pub place_id: i64,
    pub supply: String,
    pub note: String,
    pub fed_from_id: Option<CircuitId>,
}

pub async fn insert_panel(tx: &mut Tx, new: &NewPanel) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO panels (name, place_id, supply, note, fed_from_id)
        VALUES ($1, $2, $3, $4, $5) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(&new.name)
        .bind(new.place_id)
        .bind(&new.supply)
        .bind(&new.note)
        .bind(new.fed_from_id)
        .fetch_one(conn)
        .await)
}

/// `false` where somebody changed it since `version`.
pub async fn update_panel(
    tx: &mut Tx,
    id: i64,
    version: i64,
    new: &NewPanel,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE panels SET name = $3, place_id = $4, supply = $5, note = $6,
            fed_from_id = $7, version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let updated: Option<i64> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(version)
        .bind(&new.name)
        .bind(new.place_id)
        .bind(&new.supply)
        .bind(&new.note)
        .bind(new.fed_from_id)
        .fetch_optional(conn)
        .await)?;
    Ok(updated.is_some())
}

pub async fn insert_circuit(tx: &mut Tx, panel: i64, new: &NewCircuit) -> sqlx::Result<CircuitId> {
    const SQL: &str = "INSERT INTO circuits (panel_id, number, label_read, label_wrong, label_note,
            facts, wire_type, raceway, feeds)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) RETURNING id";
    let facts = serde_json::to_string(&new.facts).map_err(|e| sqlx::Error::Encode(e.into()))?;
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(panel)
        .bind(&new.number)
        .bind(&new.label_read)
        .bind(new.label_wrong)
        .bind(&new.label_note)
        .bind(&facts)
        .bind(&new.wire_type)
        .bind(&new.raceway)
        .bind(&new.feeds)
        .fetch_one(conn)
        .await)
}

/// `false` where somebody changed it since `version`.
pub async fn update_circuit(
    tx: &mut Tx,
    id: CircuitId,
    version: i64,
    new: &NewCircuit,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE circuits SET number = $3, label_read = $4, label_wrong = $5,
            label_note = $6, facts = $7, wire_type = $8, raceway = $9, feeds = $10,
            label_proved_on = CASE WHEN label_read = $4 AND label_wrong = $5 THEN label_proved_on END,
            version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let facts = serde_json::to_string(&new.facts).map_err(|e| sqlx::Error::Encode(e.into()))?;
    let updated: Option<CircuitId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(version)
        .bind(&new.number)
        .bind(&new.label_read)
        .bind(new.label_wrong)
        .bind(&new.label_note)
        .bind(&facts)
        .bind(&new.wire_type)
        .bind(&new.raceway)
        .bind(&new.feeds)
        .fetch_optional(conn)
        .await)?;
    Ok(updated.is_some())
}

/// What is noted of a label: found wrong, or as it reads now and who proved it how.
#[derive(Clone, Debug, PartialEq)]
pub struct LabelNoted<'a> {
    pub wrong: bool,
    pub note: &'a str,
    pub label_read: &'a str,
    pub proved_on: Option<Date>,
    pub proved_by: &'a str,
    pub proved_how: &'a str,
}

pub async fn mark_label(
    tx: &mut Tx,
    id: CircuitId,
    version: i64,
    noted: &LabelNoted<'_>,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE circuits SET label_wrong = $3, label_note = $4, label_read = $5,
            label_proved_on = $6, label_proved_by = $7, label_proved_how = $8,
            version = version + 1
        WHERE id = $1 AND version = $2 RETURNING id";
    let marked: Option<CircuitId> = on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(id)
        .bind(version)
        .bind(noted.wrong)
        .bind(noted.note)
        .bind(noted.label_read)
        .bind(noted.proved_on)
        .bind(noted.proved_by)
        .bind(noted.proved_how)
        .fetch_optional(conn)
        .await)?;
    Ok(marked.is_some())
}

/// The panels that circuits of this one feed.
pub async fn fed_panels(db: &Db, panel: i64) -> sqlx::Result<Vec<Panel>> {
    const SQL: &str = "SELECT id, name, place_id, supply, note, fed_from_id, version
        FROM panels WHERE fed_from_id IN (SELECT id FROM circuits WHERE panel_id = $1)
        ORDER BY name";
    on_db!(db, pool => sqlx::query_as(SQL).bind(panel).fetch_all(pool).await)
}
