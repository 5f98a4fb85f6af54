//! Due items a page at a time, for programs that read all of them.

use super::{DueItem, ItemRow, items};
use crate::db::Db;
use crate::on_db;
use time::Date;

/// Items of a state up to a day, behind another, by date and number: for programs.
pub async fn page(
    db: &Db,
    state: &str,
    (day, id): (Date, i64),
    until: Date,
    limit: i64,
) -> sqlx::Result<Vec<DueItem>> {
    const SQL: &str = item_sql!(
        "WHERE d.state = $1 AND (d.due_on, d.id) > ($2, $3) AND d.due_on <= $4
         ORDER BY d.due_on, d.id LIMIT $5"
    );
    let rows: Vec<ItemRow> = on_db!(db, pool => sqlx::query_as(SQL).bind(state).bind(day).bind(id).bind(until)
        .bind(limit).fetch_all(pool).await)?;
    items(rows)
}
