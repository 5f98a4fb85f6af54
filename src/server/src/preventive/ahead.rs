//! Working out what is due next, and making the items that say so.

use super::{DueItem, Plan, queries};
use crate::db::Tx;
use crate::error::AppError;
use crate::state::AppState;
use calc::due::{self, Due, Meter, MeterReading, Rule};
use std::time::Duration;
use time::Date;

/// A plan's items so far: day, state, closing day.
pub type Past = [(Date, String, Option<Date>)];

/// The meter as the rule needs it: its readings, and what it showed when the work was last done.
pub fn meter(readings: Vec<MeterReading>, last_done: Option<Date>) -> Meter {
    let last_service = match last_done {
        // The reading of that day, else the last one before it, else the first there is.
        Some(done) => readings
            .iter()
            .rev()
            .find(|r| r.on <= done)
            .or(readings.first()),
        None => readings.first(),
    }
    .map(|r| r.value);
    Meter {
        readings,
        last_service,
    }
}

pub fn last_done(past: &Past) -> Option<Date> {
    past.iter()
        .filter(|(_, state, _)| state == "done")
        .filter_map(|(.., on)| *on)
        .max()
}

/// What a plan with nothing open is due next; `None` where its rule gives no date, such as a meter
/// that was read once only.
pub fn next(rule: &Rule, anchor: Date, past: &Past, readings: &[MeterReading]) -> Option<Due> {
    let taken = |on: Date| past.iter().any(|(due, ..)| *due == on);
    let done = last_done(past);
    let day_before = anchor.previous_day().unwrap_or(anchor);
    let after = past
        .iter()
        .map(|(due, ..)| *due)
        .max()
        .unwrap_or(day_before);
    let ask = |done: Option<Date>| {
        let meter = meter(readings.to_vec(), done);
        due::next(rule, anchor, done, after, &meter).ok()
    };
    let found = ask(done)?;
    if !taken(found.on) {
        return Some(found);
    }
    // Rules that float count from work done. Where the last item could not be done, the interval
    // starts again on the day that was said.
    let closed = past.iter().filter_map(|(.., on)| *on).max();
    ask(closed.max(done)).filter(|found| !taken(found.on))
}

/// The next dates as a page shows them: the open item first, the others as if that one were done on
/// its day, or today where its day has passed.
pub fn shown(
    plan: &Plan,
    past: &Past,
    readings: Vec<MeterReading>,
    open: Option<&DueItem>,
    today: Date,
    count: usize,
) -> Vec<Due> {
    let Some(open) = open else {
        let mut meter = meter(readings, last_done(past));
        meter.readings.retain(|r| r.on <= today);
        let from = today.previous_day().unwrap_or(today);
        return due::upcoming(
            &plan.rule,
            plan.anchor_on,
            last_done(past),
            from,
            &meter,
            count,
        );
    };
    let supposed = open.due_on.max(today);
    let mut meter = meter(readings, last_done(past));
    if let (Ok((_, rate, ..)), Some(last)) = (due::forecast(&meter, 1.0), meter.readings.last()) {
        let days = (supposed - last.on).whole_days().max(0) as f64;
        meter.last_service = Some(last.value + rate * days);
    }
    let first = Due {
        on: open.due_on,
        reason: open.reason.clone(),
    };
    let rest = due::upcoming(
        &plan.rule,
        plan.anchor_on,
        Some(supposed),
        supposed,
        &meter,
        count - 1,
    );
    std::iter::once(first).chain(rest).collect()
}

/// Gives every plan that has nothing open its next due item, and answers how many it made.
///
/// Running it twice, or in two processes at once, changes nothing: the unique index on plan and day
/// lets an item in once, so no process needs to be the only one.
///
/// # Errors
/// The database's own.
pub async fn make_ahead(app: &AppState) -> Result<usize, AppError> {
    let mut tx = app.db.begin_write().await?;
    let made = make_ahead_in(&mut tx).await?;
    tx.commit().await?;
    Ok(made)
}

/// The same inside a transaction that closed an item or made a plan.
pub async fn make_ahead_in(tx: &mut Tx) -> Result<usize, AppError> {
    let mut made = 0;
    for plan in queries::idle(tx).await? {
        let past = queries::past(tx, plan.id).await?;
        let readings = queries::meter_in(tx, plan.machine_id).await?;
        let Some(due) = next(&plan.rule, plan.anchor_on, &past, &readings) else {
            continue;
        };
        if queries::insert_item(tx, plan.id, due.on, &due.reason)
            .await?
            .is_some()
        {
            made += 1;
        }
    }
    Ok(made)
}

/// Makes items at start and once an hour, for as long as the server runs.
pub fn keep_ahead(app: AppState) -> tokio::task::JoinHandle<()> {
    tokio::spawn(async move {
        let mut hour = tokio::time::interval(Duration::from_secs(3600));
        loop {
            hour.tick().await;
            match make_ahead(&app).await {
                Ok(0) => {}
                Ok(made) => tracing::info!(made, "due items made"),
                Err(cause) => tracing::error!(%cause, "due items could not be made"),
            }
        }
    })
}
