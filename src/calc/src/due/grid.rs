//! Dates on a grid: steps from an anchor, yearly dates, nth weekdays. None restarts from the anchor.

use super::{Every, MonthDay, NoDue};
use time::{Date, Duration, Month, Weekday};

/// `date` plus `count` steps; a day that the month does not have becomes its last day.
///
/// Counted from `date` itself, never from a date already clamped, so that the 31st comes back.
/// Source: common practice.
/// # Errors
/// [`NoDue::Calendar`] where the date lies outside the calendar.
pub fn add(date: Date, every: Every, count: u32) -> Result<Date, NoDue> {
    let days = |per: u32| {
        let days = i64::from(per) * i64::from(count);
        date.checked_add(Duration::days(days))
            .ok_or(NoDue::Calendar)
    };
    let months = |per: u64| {
        let months = i64::try_from(per * u64::from(count)).map_err(|_| NoDue::Calendar)?;
        let total = month_index(date)
            .checked_add(months)
            .ok_or(NoDue::Calendar)?;
        let year = i32::try_from(total.div_euclid(12)).map_err(|_| NoDue::Calendar)?;
        let month = u8::try_from(total.rem_euclid(12) + 1).map_err(|_| NoDue::Calendar)?;
        clamped(year, month, date.day())
    };
    match every {
        Every::Days(n) => days(n),
        Every::Weeks(n) => days(n.checked_mul(7).ok_or(NoDue::Calendar)?),
        Every::Months(n) => months(u64::from(n)),
        Every::Years(n) => months(u64::from(n) * 12),
    }
}

/// Months since the year nought.
fn month_index(date: Date) -> i64 {
    i64::from(date.year()) * 12 + i64::from(u8::from(date.month())) - 1
}

pub(super) fn clamped(year: i32, month: u8, day: u8) -> Result<Date, NoDue> {
    let month = Month::try_from(month).map_err(|_| NoDue::Rule)?;
    if !(1..=31).contains(&day) {
        return Err(NoDue::Rule);
    }
    let day = day.min(month.length(year));
    Date::from_calendar_date(year, month, day).map_err(|_| NoDue::Calendar)
}

/// First date of the grid `anchor + i every` that is strictly later than `after`.
///
/// The place on the grid is worked out, not counted up to. Source: the calendar; a day that a month
/// does not have is its last one (common practice).
/// # Errors
/// [`NoDue::Interval`] for a step of zero, [`NoDue::Calendar`] beyond the calendar.
pub fn grid_after(anchor: Date, every: Every, after: Date) -> Result<Date, NoDue> {
    let days = (after - anchor).whole_days();
    let months = month_index(after) - month_index(anchor);
    let (gap, step) = match every {
        Every::Days(n) => (days, i64::from(n)),
        Every::Weeks(n) => (days, i64::from(n) * 7),
        Every::Months(n) => (months, i64::from(n)),
        Every::Years(n) => (months, i64::from(n) * 12),
    };
    if step == 0 {
        return Err(NoDue::Interval);
    }
    let count = u32::try_from(gap.max(0) / step).map_err(|_| NoDue::Calendar)?;
    let date = add(anchor, every, count)?;
    if date > after {
        return Ok(date);
    }
    add(anchor, every, count.checked_add(1).ok_or(NoDue::Calendar)?)
}

/// Next date of a fixed grid after a piece of work, and the dates that passed unserved.
///
/// First grid date after both the date served and the day of completion; a grid date that is the
/// very day of completion counts as missed, for one piece of work serves one date.
/// Source: common practice.
/// # Errors
/// As [`grid_after`].
pub fn fixed_next(
    anchor: Date,
    every: Every,
    served: Date,
    completed: Date,
) -> Result<(Date, Vec<Date>), NoDue> {
    let mut missed = Vec::new();
    let mut date = grid_after(anchor, every, served)?;
    while date <= completed {
        missed.push(date);
        date = grid_after(anchor, every, date)?;
    }
    Ok((date, missed))
}

/// The first `n` dates as they come out wrong when each is counted from the one before: a day once
/// clamped stays lost. Kept to show what it would do; no due date is made this way.
pub fn chained(anchor: Date, every: Every, n: usize) -> Vec<Date> {
    let step = |date: &Date| add(*date, every, 1).ok().filter(|next| next > date);
    std::iter::successors(Some(anchor), step).take(n).collect()
}

/// First yearly date, moved forward by `lead` days, that is strictly later than `after`.
pub(super) fn yearly(at: MonthDay, lead: u32, after: Date) -> Result<Date, NoDue> {
    for year in after.year().saturating_sub(1)..=after.year().saturating_add(2) {
        let date = before_season(at, lead, year)?;
        if date > after {
            return Ok(date);
        }
    }
    Err(NoDue::Calendar)
}

/// The day so many days (366 at most) before the season that begins in `year`.
/// Source: common practice.
/// # Errors
/// [`NoDue::Rule`] for a day that no year has, [`NoDue::Calendar`] outside the calendar.
pub fn before_season(start: MonthDay, lead_days: u32, year: i32) -> Result<Date, NoDue> {
    clamped(year, start.month, start.day)?
        .checked_sub(Duration::days(i64::from(lead_days.min(366))))
        .ok_or(NoDue::Calendar)
}

/// First nth weekday later than `since` in the months of the grid, not before the anchor.
pub(super) fn nth_after(
    anchor: Date,
    nth: i8,
    weekday: Weekday,
    every_months: u32,
    since: Date,
) -> Result<Date, NoDue> {
    if every_months == 0 {
        return Err(NoDue::Interval);
    }
    if nth == 0 || !(-5..=5).contains(&nth) {
        return Err(NoDue::Rule);
    }
    let first = anchor.replace_day(1).map_err(|_| NoDue::Calendar)?;
    let gap = (month_index(since) - month_index(first)).max(0);
    let skip = u32::try_from(gap / i64::from(every_months)).map_err(|_| NoDue::Calendar)?;
    // A fifth weekday comes back within 40 years of any pattern; 500 steps cover every interval.
    for count in skip..skip.saturating_add(500) {
        let month = add(first, Every::Months(every_months), count)?;
        if let Some(date) = nth_in(month, nth, weekday)
            && date > since
            && date >= anchor
        {
            return Ok(date);
        }
    }
    Err(NoDue::Calendar)
}

fn nth_in(first: Date, nth: i8, weekday: Weekday) -> Option<Date> {
    let length = i16::from(first.month().length(first.year()));
    let offset = i16::from(weekday.number_days_from_monday())
        - i16::from(first.weekday().number_days_from_monday());
    let earliest = offset.rem_euclid(7) + 1;
    let day = if nth > 0 {
        earliest + 7 * (i16::from(nth) - 1)
    } else {
        earliest + 7 * ((length - earliest) / 7 + i16::from(nth) + 1)
    };
    let day = (1..=length).contains(&day).then_some(day)?;
    first.replace_day(u8::try_from(day).ok()?).ok()
}
