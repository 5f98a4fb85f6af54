//! Use, lots and what is on order, for the lists of the stores.

use crate::clock::{DAY, Millis};
use crate::db::Db;
use crate::on_db;
use crate::stores::amount::Amount;
use crate::stores::reorder::Use;
use crate::stores::{Part, PartId};
use std::collections::HashMap;
use time::Date;

/// What every part's use was since `since`, with its first movement and what is on order; of one
/// part only, where `one` says so (0: all).
pub async fn uses(db: &Db, since: Millis, one: i64) -> sqlx::Result<HashMap<PartId, Use>> {
    const BY_DAY: &str = "SELECT part_id, CAST(-sum(amount) AS BIGINT) FROM stock_moves
        WHERE kind IN ('issued', 'returned') AND part_id IS NOT NULL AND moved_at >= $1
            AND ($3 = 0 OR part_id = $3)
        GROUP BY part_id, moved_at / $2";
    const FIRST: &str = "SELECT part_id, min(moved_at) FROM stock_moves
        WHERE part_id IS NOT NULL AND ($1 = 0 OR part_id = $1) GROUP BY part_id";
    const ORDERED: &str = "SELECT part_id, CAST(sum(amount) AS BIGINT) FROM purchases
        WHERE part_id IS NOT NULL AND job_id IS NULL AND state IN ('needed', 'approved', 'ordered')
            AND ($1 = 0 OR part_id = $1) GROUP BY part_id";
    let mut all: HashMap<PartId, Use> = HashMap::new();
    let days: Vec<(PartId, Amount)> = on_db!(db, pool => sqlx::query_as(BY_DAY).bind(since)
        .bind(DAY).bind(one).fetch_all(pool).await)?;
    for (part, used) in days {
        let of = all.entry(part).or_default();
        of.by_day.push(used.figure());
    }
    let first: Vec<(PartId, Millis)> =
        on_db!(db, pool => sqlx::query_as(FIRST).bind(one).fetch_all(pool).await)?;
    for (part, at) in first {
        all.entry(part).or_default().first_at = Some(at);
    }
    let ordered: Vec<(PartId, Amount)> =
        on_db!(db, pool => sqlx::query_as(ORDERED).bind(one).fetch_all(pool).await)?;
    for (part, amount) in ordered {
        all.entry(part).or_default().on_order = amount;
    }
    Ok(all)
}

/// Lots with a date, the latest first within each part.
pub async fn lots(db: &Db) -> sqlx::Result<Vec<(PartId, Date, Amount)>> {
    const SQL: &str = "SELECT part_id, expires_on, amount FROM stock_moves
        WHERE kind = 'received' AND expires_on IS NOT NULL AND part_id IS NOT NULL
        ORDER BY part_id, expires_on DESC, id";
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}

/// Parts of which something lies on the shelf and some lot has a date.
pub async fn dated_parts(db: &Db) -> sqlx::Result<Vec<Part>> {
    const SQL: &str = part_sql!(
        "WHERE p.on_hand > 0 AND EXISTS (SELECT 1 FROM stock_moves s WHERE s.part_id = p.id \
         AND s.expires_on IS NOT NULL) ORDER BY p.name"
    );
    on_db!(db, pool => sqlx::query_as(SQL).fetch_all(pool).await)
}
