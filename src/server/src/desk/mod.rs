//! The Desk: what came in, what waits and why, who has what and how many hours; handing out, the week,
//! the month, a proposal for a week, and the backlog.

pub mod act;
pub mod backlog;
pub mod board;
pub mod page;
pub mod proposal;
pub mod week;

use crate::clock::date_value;
use crate::jobs::{Job, State};
use time::{Date, Duration};

/// The Monday of a day's week.
fn monday(day: Date) -> Date {
    day - Duration::days(i64::from(day.weekday().number_days_from_monday()))
}

/// The day in a query string, or another where there is none.
fn from_day(text: &str, other: Date) -> Date {
    crate::form::optional_date(text)
        .ok()
        .flatten()
        .filter(|day| (2000..2200).contains(&day.year()))
        .unwrap_or(other)
}

/// Handed out and not yet over: it takes the hours of the day it is planned for.
fn takes_hours(job: &Job) -> bool {
    matches!(
        job.state,
        State::HandedOut | State::Isolated | State::OnTest
    )
}

/// `2.5`, as hours are shown.
fn hours(minutes: i64) -> String {
    format!("{:.1}", minutes as f64 / 60.0)
}

/// `?from=2026-11-30`
fn at(day: Date) -> String {
    format!("?from={}", date_value(day))
}
