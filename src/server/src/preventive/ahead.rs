//! Working out what is due next, and making the items that say so.

use super::steps::{self, Dates, Item, Step};
use super::{DueItem, NewPlan, Plan, ahead_queries as rows, queries, wide};
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

/// The same of the items that the steps see.
pub fn last_done_of(past: &[Item]) -> Option<Date> {
    past.iter()
        .filter(|item| item.state == "done")
        .filter_map(|item| item.done_on)
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

/// The next ten dates of a plan as typed, each as if the one before were done on its day.
pub fn preview(new: &NewPlan, today: Date, readings: Vec<MeterReading>) -> Vec<Due> {
    let yesterday = today.previous_day().unwrap_or(today);
    let meter = meter(readings, None);
    due::upcoming(&new.rule, new.anchor_on, None, yesterday, &meter, 10)
}

/// Brings every plan's items up to today, and answers how many it made.
///
/// Running it twice, late, or in two processes at once comes to the same: on Postgres one at a time goes
/// through, the unique index on plan and day lets an item in once, and the steps follow from what is there.
///
/// # Errors
/// The database's own.
pub async fn make_ahead(app: &AppState) -> Result<usize, AppError> {
    let mut tx = app.db.begin_write().await?;
    let made = make_ahead_in(&mut tx, app.today()).await?;
    tx.commit().await?;
    Ok(made)
}

/// The same inside a transaction.
pub async fn make_ahead_in(tx: &mut Tx, today: Date) -> Result<usize, AppError> {
    rows::alone(tx).await?;
    wide::queries::spread(tx, today).await?;
    let mut made = settle(tx, today).await?;
    for plan in queries::waiting(tx, today).await? {
        made += advance(tx, &plan, today).await?;
    }
    cover(tx).await?;
    Ok(made)
}

/// One plan only, after it was written or one of its items closed.
pub async fn make_ahead_of(tx: &mut Tx, plan: i64, today: Date) -> Result<usize, AppError> {
    rows::alone(tx).await?;
    let mut made = settle(tx, today).await?;
    if let Some(plan) = queries::going_on(tx, plan).await? {
        made += advance(tx, &plan, today).await?;
    }
    cover(tx).await?;
    Ok(made)
}

/// The plan of an item that was closed.
pub async fn after_item(tx: &mut Tx, item: i64, today: Date) -> Result<(), AppError> {
    if let Some(plan) = rows::plan_of(tx, item).await? {
        make_ahead_of(tx, plan, today).await?;
    }
    Ok(())
}

async fn advance(tx: &mut Tx, plan: &Plan, today: Date) -> Result<usize, AppError> {
    let past: Vec<Item> = rows::past(tx, plan.id)
        .await?
        .into_iter()
        .map(|item| Item {
            id: item.id,
            due_on: item.due_on,
            state: item.state,
            done_on: item.done_on,
            at_work: item.job_id.is_some(),
        })
        .collect();
    let readings = match steps::fixed(&plan.rule) {
        true => Vec::new(),
        false => queries::meter_in(tx, plan.machine_id).await?,
    };
    let dates = Dates {
        rule: &plan.rule,
        anchor: plan.anchor_on,
        since: plan.since_on,
    };
    let mut made = 0;
    for step in steps::steps(dates, &past, &readings, today) {
        match step {
            Step::Make(due) => {
                let new = rows::insert_item(tx, plan.id, plan.version, due.on, &due.reason).await?;
                made += usize::from(new.is_some());
            }
            Step::Passed(due) => {
                let (id, version) = (plan.id, plan.version);
                rows::insert_missed(tx, id, version, due.on, &due.reason, PASSED).await?;
                made += 1;
            }
            Step::Miss { item, on } => rows::miss(tx, item, on).await?,
        }
    }
    Ok(made)
}

/// What stands beside a date that passed without being open.
const PASSED: &str = "passed before the one before it was closed";

/// Covered items follow the item that covers them.
async fn settle(tx: &mut Tx, today: Date) -> Result<usize, AppError> {
    let mut made = 0;
    for covered in rows::closed_covers(tx).await? {
        if covered.state != "done" {
            rows::uncover(tx, covered.item).await?;
            continue;
        }
        let due = crate::clock::date_words(covered.cover_due);
        let note = format!("done with the longer service due {due}");
        rows::done_with(tx, &covered, &note).await?;
        if let Some(plan) = queries::going_on(tx, covered.plan_id).await? {
            made += advance(tx, &plan, today).await?;
        }
    }
    Ok(made)
}

/// Where both fall due within the window, the longer service covers the shorter.
async fn cover(tx: &mut Tx) -> Result<(), AppError> {
    for pair in rows::pairs(tx).await? {
        if (pair.cover_due - pair.due_on).whole_days().abs() <= pair.window_days {
            rows::cover(tx, pair.item, pair.cover).await?;
        }
    }
    Ok(())
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
