//! Every motor that could be had, with where it is, in one query.

use super::candidates::{Candidate, Offer};
use crate::db::Db;
use crate::motors::MotorId;
use crate::on_db;
use time::Date;

#[derive(sqlx::FromRow)]
struct OfferRow {
    id: MotorId,
    name: String,
    plate: String,
    made: String,
    bin: Option<String>,
    held: Option<i64>,
    shelf_price: Option<i64>,
    list_id: Option<i64>,
    list_name: Option<String>,
    read_on: Option<Date>,
    list_price: Option<i64>,
    lead_days: Option<i64>,
}

macro_rules! offer_sql {
    ($rest:literal) => {
        concat!(
            "SELECT m.id, m.name, m.plate, m.made, s.bin, s.held, s.price_minor AS shelf_price, \
             sm.list_id, l.name AS list_name, l.read_on, sm.price_minor AS list_price, \
             sm.lead_days FROM motors m \
             LEFT JOIN shelf_motors s ON s.motor_id = m.id \
             LEFT JOIN supplier_motors sm ON sm.motor_id = m.id \
             LEFT JOIN supplier_lists l ON l.id = sm.list_id ",
            $rest
        )
    };
}

/// Motors held in the shop or named on a supplier list; what is only fitted somewhere is left out.
pub async fn candidates(db: &Db) -> sqlx::Result<Vec<Candidate>> {
    const SQL: &str =
        offer_sql!("WHERE s.held > 0 OR sm.list_id IS NOT NULL ORDER BY m.id, sm.lead_days, l.id");
    let rows: Vec<OfferRow> = on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)?;
    gathered(rows)
}

/// One motor, wherever it is.
pub async fn candidate(db: &Db, id: MotorId) -> sqlx::Result<Option<Candidate>> {
    const SQL: &str = offer_sql!("WHERE m.id = $1 ORDER BY m.id, sm.lead_days, l.id");
    let rows: Vec<OfferRow> =
        on_db!(db, pool => sqlx::query_as(SQL).bind(id).fetch_all(pool).await)?;
    Ok(gathered(rows)?.into_iter().next())
}

/// One candidate per motor: a motor on two lists comes as two rows, its plate is read once.
fn gathered(rows: Vec<OfferRow>) -> sqlx::Result<Vec<Candidate>> {
    let mut all: Vec<Candidate> = Vec::with_capacity(rows.len());
    for row in rows {
        if all.last().is_none_or(|last| last.id != row.id) {
            let plate =
                serde_json::from_str(&row.plate).map_err(|e| sqlx::Error::Decode(e.into()))?;
            let mut offers = Vec::new();
            if let (Some(bin), Some(held)) = (row.bin, row.held.filter(|held| *held > 0)) {
                offers.push(Offer::Shelf {
                    bin,
                    held,
                    price: row.shelf_price,
                });
            }
            let (id, name, made) = (row.id, row.name, row.made);
            all.push(Candidate {
                id,
                name,
                made,
                plate,
                offers,
            });
        }
        let list = row.list_id.zip(row.list_name).zip(row.read_on);
        if let (Some(((list_id, list), read_on)), Some(last)) = (list, all.last_mut()) {
            let (price, lead_days) = (row.list_price, row.lead_days);
            last.offers.push(Offer::List {
                list_id,
                list,
                read_on,
                price,
                lead_days,
            });
        }
    }
    Ok(all)
}
