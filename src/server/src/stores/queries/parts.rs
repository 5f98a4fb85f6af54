//! The register of parts and the parts lists of machines.

use crate::clock::Millis;
use crate::db::{Db, Tx};
use crate::machines::MachineId;
use crate::stores::amount::Amount;
use crate::stores::form::PartChange;
use crate::stores::{Part, PartId};
use crate::{on_db, on_tx};

macro_rules! part_sql {
    ($rest:literal) => {
        concat!(
            "SELECT p.id, p.name, p.kind, p.description, p.maker_number, p.unit, p.bins, \
             p.standing, p.last_buy, p.lead_days, p.price_minor, p.order_at, p.critical, \
             p.on_hand, p.reserved, p.version FROM parts p ",
            $rest
        )
    };
}

pub async fn part(db: &Db, id: PartId) -> sqlx::Result<Option<Part>> {
    const SQL: &str = part_sql!("WHERE p.id = $1");
    on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)
}

pub async fn part_in(tx: &mut Tx, id: PartId) -> sqlx::Result<Option<Part>> {
    const SQL: &str = part_sql!("WHERE p.id = $1");
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(id).fetch_optional(conn).await)
}

/// Parts whose words hold `words` (already lower case, `%` around), of a kind or of all (empty).
pub async fn parts(db: &Db, words: &str, kind: &str, most: i64) -> sqlx::Result<Vec<Part>> {
    const SQL: &str = part_sql!(
        "WHERE ($1 = '' OR p.kind = $1) AND ($2 = '%%' OR lower(p.name || ' ' || p.description \
         || ' ' || p.maker_number || ' ' || p.bins) LIKE $2) ORDER BY p.kind, p.name LIMIT $3"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(kind).bind(words).bind(most).fetch_all(pool).await)
}

/// Everything that is kept or has been, by bin: the counting list.
pub async fn counting(db: &Db, most: i64) -> sqlx::Result<Vec<Part>> {
    const SQL: &str = part_sql!(
        "WHERE p.standing = 'held' OR p.on_hand > 0 ORDER BY p.bins, p.name, p.id LIMIT $1"
    );
    on_db!(db, pool => sqlx::query_as(SQL).bind(most).fetch_all(pool).await)
}

/// Names for a choice, those still to be had first.
pub async fn part_names(db: &Db, most: i64) -> sqlx::Result<Vec<(PartId, String, String)>> {
    const SQL: &str = "SELECT id, name, kind FROM parts
        ORDER BY CASE standing WHEN 'ended' THEN 1 ELSE 0 END, kind, name LIMIT $1";
    on_db!(db, pool => sqlx::query_as(SQL).bind(most).fetch_all(pool).await)
}

/// By its name, whatever its case.
pub async fn part_named(db: &Db, name: &str) -> sqlx::Result<Option<PartId>> {
    const SQL: &str = "SELECT id FROM parts WHERE lower(name) = lower($1)";
    if name.is_empty() || name.contains('\0') {
        return Ok(None);
    }
    on_db!(db, pool => sqlx::query_scalar(SQL).bind(name).fetch_optional(pool).await)
}

pub async fn insert_part(tx: &mut Tx, new: &PartChange, now: Millis) -> sqlx::Result<PartId> {
    const SQL: &str = "INSERT INTO parts (name, kind, description, maker_number, unit, bins,
            standing, last_buy, lead_days, price_minor, order_at, critical, created_at)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL)
        .bind(&new.name)
        .bind(&new.kind)
        .bind(&new.description)
        .bind(&new.maker_number)
        .bind(&new.unit)
        .bind(&new.bins)
        .bind(&new.standing)
        .bind(&new.last_buy)
        .bind(new.lead_days)
        .bind(new.price_minor)
        .bind(new.order_at)
        .bind(new.critical)
        .bind(now)
        .fetch_one(conn)
        .await)
}

/// `false` where somebody changed it since `version`.
pub async fn update_part(
    tx: &mut Tx,
    id: PartId,
    version: i64,
    new: &PartChange,
) -> sqlx::Result<bool> {
    const SQL: &str = "UPDATE parts SET name = $3, kind = $4, description = $5, maker_number = $6,
            unit = $7, bins = $8, standing = $9, last_buy = $10, lead_days = $11,
            price_minor = $12, order_at = $13, critical = $14, version = version + 1
        WHERE id = $1 AND version = $2";
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(id)
        .bind(version)
        .bind(&new.name)
        .bind(&new.kind)
        .bind(&new.description)
        .bind(&new.maker_number)
        .bind(&new.unit)
        .bind(&new.bins)
        .bind(&new.standing)
        .bind(&new.last_buy)
        .bind(new.lead_days)
        .bind(new.price_minor)
        .bind(new.order_at)
        .bind(new.critical)
        .execute(conn)
        .await
        .map(|done| done.rows_affected() == 1))
}

/// A line of a machine's parts list, with the part's balance.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct ListLine {
    pub id: i64,
    pub place: String,
    pub needs: Amount,
    pub note: String,
    #[sqlx(flatten)]
    pub part: Part,
}

impl ListLine {
    pub fn part_id(&self) -> i64 {
        self.part.id.0
    }

    pub fn needs_words(&self) -> String {
        self.needs.with_unit(&self.part.unit)
    }
}

pub async fn machine_list(db: &Db, machine: MachineId) -> sqlx::Result<Vec<ListLine>> {
    const SQL: &str = "SELECT l.id AS line_id, l.place, l.amount AS needs, l.note, p.id, p.name,
            p.kind, p.description, p.maker_number, p.unit, p.bins, p.standing, p.last_buy,
            p.lead_days, p.price_minor, p.order_at, p.critical, p.on_hand, p.reserved, p.version
        FROM machine_parts l JOIN parts p ON p.id = l.part_id
        WHERE l.machine_id = $1 ORDER BY l.place, p.name";
    let rows: Vec<LineRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(machine).fetch_all(pool).await)?;
    Ok(rows.into_iter().map(LineRow::line).collect())
}

/// The line's id under a name of its own, beside the part's.
#[derive(sqlx::FromRow)]
struct LineRow {
    line_id: i64,
    place: String,
    needs: Amount,
    note: String,
    #[sqlx(flatten)]
    part: Part,
}

impl LineRow {
    fn line(self) -> ListLine {
        ListLine {
            id: self.line_id,
            place: self.place,
            needs: self.needs,
            note: self.note,
            part: self.part,
        }
    }
}

/// A machine that uses a part, and where in it.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct WhereUsed {
    pub id: MachineId,
    pub tag: String,
    pub name: String,
    pub place: String,
    pub amount: Amount,
    pub criticality: String,
}

pub async fn where_used(db: &Db, part: PartId, most: i64) -> sqlx::Result<Vec<WhereUsed>> {
    const SQL: &str = "SELECT m.id, m.tag, m.name, l.place, l.amount, m.criticality
        FROM machine_parts l JOIN machines m ON m.id = l.machine_id
        WHERE l.part_id = $1 ORDER BY m.tag, l.place LIMIT $2";
    on_db!(db, pool => sqlx::query_as(SQL).bind(part).bind(most).fetch_all(pool).await)
}

pub async fn insert_line(
    tx: &mut Tx,
    machine: MachineId,
    place: &str,
    part: PartId,
    amount: Amount,
    note: &str,
) -> sqlx::Result<i64> {
    const SQL: &str = "INSERT INTO machine_parts (machine_id, place, part_id, amount, note)
        VALUES ($1, $2, $3, $4, $5) RETURNING id";
    on_tx!(tx, conn => sqlx::query_scalar(SQL).bind(machine).bind(place).bind(part).bind(amount)
        .bind(note).fetch_one(conn).await)
}

/// What stood on the line that goes.
pub async fn delete_line(
    tx: &mut Tx,
    machine: MachineId,
    line: i64,
) -> sqlx::Result<Option<(String, PartId)>> {
    const SQL: &str = "DELETE FROM machine_parts WHERE id = $1 AND machine_id = $2
        RETURNING place, part_id";
    on_tx!(tx, conn => sqlx::query_as(SQL).bind(line).bind(machine).fetch_optional(conn).await)
}
