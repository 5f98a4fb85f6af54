//! Due items behind the figure of planned work.

use super::due::{Alike, part, state_of};
use super::queries::With;
use super::rows::Listed;
use crate::db::Db;
use crate::jobs::JobId;
use crate::on_db;
use crate::preventive::pages::day;
use time::Date;

/// The items of the span: `$1` and `$2` days, `$3` machine, `$4` place, `$5` kind.
macro_rules! items {
    () => {
        "FROM due_items d JOIN plans pl ON pl.id = d.plan_id
         WHERE d.due_on >= $1 AND d.due_on <= $2 AND ($3 = 0 OR pl.machine_id = $3)
             AND ($5 = '' OR pl.machine_id IN (SELECT k.id FROM machines k WHERE k.kind = $5))
             AND ($4 = 0 OR pl.machine_id IN (SELECT w.id FROM machines w WHERE w.place_id IN
                 (WITH RECURSIVE down (id) AS (SELECT id FROM places WHERE id = $4 UNION
                 SELECT p.id FROM places p JOIN down ON p.parent_id = down.id)
                 SELECT id FROM down)))"
    };
}

pub async fn alike(db: &Db, with: &With<'_>) -> sqlx::Result<Vec<Alike>> {
    const SQL: &str = concat!(
        "SELECT d.state, d.due_on, d.done_on, pl.window_days, (d.note <> '') AS noted,
             count(*) AS items ",
        items!(),
        " GROUP BY 1, 2, 3, 4, 5"
    );
    let span = with.span;
    on_db!(db, pool => sqlx::query_as(SQL).bind(span.first).bind(span.last).bind(span.machine)
        .bind(span.place).bind(span.kind.clone()).fetch_all(pool).await)
}

#[derive(sqlx::FromRow)]
struct ItemRow {
    id: i64,
    plan_id: i64,
    job_id: Option<JobId>,
    action: String,
    note: String,
    tag: String,
    machine: String,
    #[sqlx(flatten)]
    alike: Alike,
}

/// A batch of items, the latest date first, behind a date and number.
async fn batch(
    db: &Db,
    with: &With<'_>,
    before: (Date, i64),
    state: &str,
) -> sqlx::Result<Vec<ItemRow>> {
    const SQL: &str = concat!(
        "SELECT d.id, d.plan_id, d.job_id, pl.action, d.note, m.tag, m.name AS machine, d.state,
             d.due_on, d.done_on, pl.window_days, (d.note <> '') AS noted, pl.version AS items
         FROM due_items d JOIN plans pl ON pl.id = d.plan_id
             JOIN machines m ON m.id = pl.machine_id
         WHERE d.id IN (SELECT d.id ",
        items!(),
        " AND (d.due_on < $6 OR (d.due_on = $6 AND d.id < $7)) AND ($8 = '' OR d.state = $8)
          ORDER BY d.due_on DESC, d.id DESC LIMIT 1000)
         ORDER BY d.due_on DESC, d.id DESC"
    );
    let span = with.span;
    on_db!(db, pool => sqlx::query_as(SQL).bind(span.first).bind(span.last).bind(span.machine)
        .bind(span.place).bind(span.kind.clone()).bind(before.0).bind(before.1)
        .bind(state.to_owned()).fetch_all(pool).await)
}

/// The items of the wanted parts. What tells them apart is days, so they are gone through in batches.
pub async fn behind(
    db: &Db,
    with: &With<'_>,
    today: Date,
    before: (i64, i64),
    limit: i64,
) -> sqlx::Result<Vec<Listed>> {
    let wanted: Vec<&str> = with.key.split('|').filter(|key| !key.is_empty()).collect();
    let mut states: Vec<&str> = wanted.iter().map(|part| state_of(part)).collect();
    states.dedup();
    let state = if states.len() == 1 { states[0] } else { "" };
    let start = i32::try_from(before.0)
        .ok()
        .and_then(|n| Date::from_julian_day(n).ok());
    let mut at = (
        start.unwrap_or(Date::MAX.replace_year(9000).unwrap_or(with.span.last)),
        before.1,
    );
    let mut found = Vec::new();
    loop {
        let rows = batch(db, with, at, state).await?;
        let full = rows.len() == 1000;
        for row in rows {
            at = (row.alike.due_on, row.id);
            let is = part(&row.alike, today);
            if wanted.is_empty() || wanted.contains(&is) {
                found.push(listed(row, is));
            }
            if found.len() as i64 >= limit {
                return Ok(found);
            }
        }
        if !full {
            return Ok(found);
        }
    }
}

fn listed(row: ItemRow, part: &'static str) -> Listed {
    let (path, name) = match row.job_id {
        Some(job) => (format!("/jobs/{}", job.0), format!("job\u{a0}{}", job.0)),
        None => (
            format!("/preventive/{}", row.plan_id),
            format!("due\u{a0}item\u{a0}{}", row.id),
        ),
    };
    let stands = match row.alike.done_on {
        Some(on) => format!("{} {}", row.alike.state.replace('_', " "), day(&on)),
        None => row.alike.state.clone(),
    };
    let note = if row.note.is_empty() {
        String::new()
    } else {
        format!(": {}", row.note)
    };
    Listed {
        at: i64::from(row.alike.due_on.to_julian_day()),
        id: row.id,
        path,
        name,
        tag: Some(row.tag),
        machine: Some(row.machine),
        day: day(&row.alike.due_on),
        stands,
        part: part.to_owned(),
        sub: "all".to_owned(),
        words: format!("{}{note}", row.action),
        amount: None,
    }
}
