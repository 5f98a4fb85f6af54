//! What passes the sieve, its plates, and where each motor is.

use super::candidates::{Candidate, Offer};
use super::plates::Plates;
use super::search::Brief;
use crate::db::Db;
use crate::motors::MotorId;
use crate::on_db;
use calc::fit::{Cut, REVISION, Sieve};
use calc::plate::Plate;
use sqlx::AssertSqlSafe;
use std::collections::HashMap;
use std::sync::Arc;
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

/// Ids asked for in one statement.
const AT_ONCE: usize = 500;

/// Where each of these motors is, in the order asked for.
pub async fn candidates(db: &Db, ids: &[MotorId]) -> sqlx::Result<Vec<Candidate>> {
    let mut all = Vec::with_capacity(ids.len());
    for some in ids.chunks(AT_ONCE) {
        let rest = format!(
            "WHERE m.id IN ({}) ORDER BY m.id, sm.lead_days, l.id",
            numbered(some.len())
        );
        let sql = offer_sql!("").to_owned() + &rest;
        let rows: Vec<OfferRow> = on_db!(db, pool => {
            let mut query = sqlx::query_as(AssertSqlSafe(sql.as_str()));
            for id in some {
                query = query.bind(*id);
            }
            query.fetch_all(pool).await
        })?;
        all.extend(gathered(rows)?);
    }
    let place: HashMap<MotorId, usize> = ids.iter().copied().zip(0..).collect();
    all.sort_by_key(|candidate| place.get(&candidate.id).copied());
    Ok(all)
}

/// `$1, $2, $3`
fn numbered(count: usize) -> String {
    let marks: Vec<String> = (1..=count).map(|at| format!("${at}")).collect();
    marks.join(", ")
}

/// Plates by motor, read and kept.
pub async fn plates(
    db: &Db,
    ids: &[MotorId],
    kept: &Plates,
) -> sqlx::Result<HashMap<MotorId, Arc<Plate>>> {
    let mut all = HashMap::with_capacity(ids.len());
    for some in ids.chunks(AT_ONCE) {
        let marks = numbered(some.len());
        let sql = format!("SELECT id, plate FROM motors WHERE id IN ({marks})");
        let rows: Vec<(MotorId, String)> = on_db!(db, pool => {
            let mut query = sqlx::query_as(AssertSqlSafe(sql.as_str()));
            for id in some {
                query = query.bind(*id);
            }
            query.fetch_all(pool).await
        })?;
        for (id, text) in rows {
            let plate = kept
                .read(&text)
                .map_err(|e| sqlx::Error::Decode(e.into()))?;
            all.insert(id, plate);
        }
    }
    Ok(all)
}

/// Motors that could be had, and how many of them the shop holds.
pub async fn available(db: &Db) -> sqlx::Result<(usize, usize)> {
    const SQL: &str = "SELECT
            (SELECT count(*) FROM (SELECT DISTINCT motor_id FROM supplier_motors) AS listed),
            (SELECT count(*) FROM shelf_motors WHERE held > 0),
            (SELECT count(*) FROM shelf_motors h WHERE h.held > 0
                AND EXISTS (SELECT 1 FROM supplier_motors l WHERE l.motor_id = h.motor_id))";
    let (listed, held, both): (i64, i64, i64) =
        on_db!(db, pool => sqlx::query_as(SQL).fetch_one(pool).await)?;
    Ok(((listed + held - both) as usize, held as usize))
}

/// A motor that passed the sieve.
#[derive(Clone, Debug, Default)]
pub struct Survivor {
    pub id: MotorId,
    pub stamp: Option<i64>,
    pub offer: Brief,
}

/// Motors of the shelf and the lists that the sieve lets through, the nearest in power first, from
/// at most so many offers; `true` where there are more.
///
/// The answer is one text, a line for each offer: fetching tens of thousands of rows one by one
/// takes longer than finding them.
pub async fn survivors(
    db: &Db,
    sieve: &Sieve,
    power: Option<f64>,
    most: usize,
) -> sqlx::Result<(Vec<Survivor>, bool)> {
    let (passes, binds) = condition(sieve);
    let near = binds.len() + 2;
    let sql = format!(
        "SELECT string_agg(
            CAST(c.motor_id AS TEXT) || ',' || COALESCE(CAST(c.stamp AS TEXT), '')
            || ',' || COALESCE(CAST(c.held AS TEXT), '')
            || ',' || COALESCE(CAST(c.held_price AS TEXT), '')
            || ',' || COALESCE(CAST(c.list_id AS TEXT), '')
            || ',' || COALESCE(CAST(c.lead_days AS TEXT), '')
            || ',' || COALESCE(CAST(c.list_price AS TEXT), ''), ';')
        FROM (SELECT s.motor_id, s.stamp, h.held, h.price_minor AS held_price, l.list_id,
                l.lead_days, l.price_minor AS list_price
            FROM motor_search s
            LEFT JOIN shelf_motors h ON h.motor_id = s.motor_id AND h.held > 0
            LEFT JOIN supplier_motors l ON l.motor_id = s.motor_id
            WHERE ((s.revision <> $1) IS NOT FALSE OR ({passes}))
            AND (h.motor_id IS NOT NULL OR l.motor_id IS NOT NULL)
            ORDER BY COALESCE(abs(s.power_w - ${near}), 1000000000), s.motor_id
            LIMIT ${}) AS c",
        near + 1
    );
    let text: Option<String> = on_db!(db, pool => {
        let mut query = sqlx::query_scalar(AssertSqlSafe(sql.as_str())).bind(REVISION);
        for bind in &binds {
            query = match bind {
                Bind::Figure(figure) => query.bind(*figure),
                Bind::Text(text) => query.bind(text),
            };
        }
        query.bind(power).bind(most as i64 + 1).fetch_one(pool).await
    })?;
    let text = text.unwrap_or_default();
    let cut = text.split(';').count() > most;
    Ok((read_offers(&text), cut))
}

enum Bind<'a> {
    Figure(f64),
    Text(&'a str),
}

/// The sieve as a condition on `motor_search s`, its values from `$2` on. A blank column makes a
/// comparison NULL, which is not true and rules nothing out.
fn condition(sieve: &Sieve) -> (String, Vec<Bind<'_>>) {
    let mut binds = Vec::new();
    let mut all = Vec::new();
    for misfit in &sieve.misfits {
        let cuts: Vec<String> = misfit.iter().map(|cut| compare(cut, &mut binds)).collect();
        all.push(format!("({}) IS NOT TRUE", cuts.join(" AND ")));
    }
    if all.is_empty() {
        all.push("1 = 1".to_owned());
    }
    (all.join(" AND "), binds)
}

fn compare<'a>(cut: &'a Cut, binds: &mut Vec<Bind<'a>>) -> String {
    let mut put = |bind| {
        binds.push(bind);
        format!("${}", binds.len() + 1)
    };
    match cut {
        Cut::Below(column, limit) => format!("s.{} < {}", column.name(), put(Bind::Figure(*limit))),
        Cut::Above(column, limit) => format!("s.{} > {}", column.name(), put(Bind::Figure(*limit))),
        Cut::Other(column, value) => {
            format!("s.{} <> {}", column.name(), put(Bind::Figure(*value)))
        }
        Cut::OneOf(column, values) => {
            let marks: Vec<String> = values.iter().map(|v| put(Bind::Figure(*v))).collect();
            format!("s.{} IN ({})", column.name(), marks.join(", "))
        }
        Cut::Unlisted(listing) => format!("s.listing <> {}", put(Bind::Text(listing))),
    }
}

/// One motor per run of lines; a motor on two lists has two.
fn read_offers(text: &str) -> Vec<Survivor> {
    let mut all: Vec<Survivor> = Vec::new();
    let mut place: HashMap<i64, usize> = HashMap::new();
    for line in text.split(';').filter(|line| !line.is_empty()) {
        let mut figures = line.split(',').map(|figure| figure.parse::<i64>().ok());
        let mut next = || figures.next().flatten();
        let Some(id) = next() else { continue };
        let at = *place.entry(id).or_insert_with(|| {
            all.push(Survivor {
                id: MotorId(id),
                ..Survivor::default()
            });
            all.len() - 1
        });
        let motor = &mut all[at];
        motor.stamp = next();
        let offer = &mut motor.offer;
        offer.held = next();
        let held_price = next();
        offer.listed |= next().is_some();
        let (days, price) = (next(), next());
        let least = |a: Option<i64>, b: Option<i64>| a.into_iter().chain(b).min();
        offer.soonest = least(offer.soonest, days);
        offer.cheapest = least(offer.cheapest, least(held_price, price));
    }
    all
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
            let plate: Plate =
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
                plate: Arc::new(plate),
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
