//! Motors, the shelf and suppliers' lists in the database.

use super::{Motor, MotorId};
use crate::db::Db;
use crate::on_db;

#[derive(sqlx::FromRow)]
struct MotorRow {
    id: MotorId,
    name: String,
    plate: String,
    plate_text: String,
    made: String,
    note: String,
    version: i64,
}

impl TryFrom<MotorRow> for Motor {
    type Error = sqlx::Error;

    fn try_from(row: MotorRow) -> sqlx::Result<Motor> {
        Ok(Motor {
            plate: serde_json::from_str(&row.plate).map_err(|e| sqlx::Error::Decode(e.into()))?,
            id: row.id,
            name: row.name,
            plate_text: row.plate_text,
            made: row.made,
            note: row.note,
            version: row.version,
        })
    }
}

pub async fn find(db: &Db, id: MotorId) -> sqlx::Result<Option<Motor>> {
    const SQL: &str = "SELECT id, name, plate, plate_text, made, note, version
        FROM motors WHERE id = $1";
    let row: Option<MotorRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_optional(pool).await)?;
    row.map(Motor::try_from).transpose()
}
