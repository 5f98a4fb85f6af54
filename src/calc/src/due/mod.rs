//! When planned work is due: calendar, from completion, season, weekday, run hours, whichever first.

use crate::shown::iso_date;
use serde::{Deserialize, Serialize};
use time::{Date, Duration, Weekday};

mod grid;

pub use grid::{add, fixed_next, grid_after};
use grid::{nth_after, yearly};

/// A step of the calendar, written `{"months": 3}`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Every {
    /// So many days.
    Days(u32),
    /// So many weeks.
    Weeks(u32),
    /// So many months.
    Months(u32),
    /// So many years.
    Years(u32),
}

/// A month and day; a day that a month does not have is its last one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct MonthDay {
    /// Month, 1 to 12.
    pub month: u8,
    /// Day, 1 to 31.
    pub day: u8,
}

/// A window of the year, both ends included; a start later than the end goes over the year end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Season {
    /// First day.
    pub start: MonthDay,
    /// Last day.
    pub end: MonthDay,
}

impl Season {
    /// Whether the date lies in the window; both ends belong to it.
    pub fn holds(self, date: Date) -> bool {
        let at = MonthDay {
            month: u8::from(date.month()),
            day: date.day(),
        };
        if self.start <= self.end {
            self.start <= at && at <= self.end
        } else {
            at >= self.start || at <= self.end
        }
    }
}

/// A preventive plan's rule.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Rule {
    /// A grid of dates counted from the anchor; work done late or early does not move it.
    Calendar {
        /// The step.
        every: Every,
    },
    /// From the day the work was last done.
    AfterDone {
        /// The step.
        every: Every,
    },
    /// From the day last done, inside a season only; outside it the next first day of the season.
    InSeason {
        /// The step.
        every: Every,
        /// The part of the year in which work falls due.
        season: Season,
    },
    /// In these months each year, on this day.
    Months {
        /// Months, 1 to 12.
        months: Vec<u8>,
        /// Day of the month, 1 to 31; a day that a month does not have is its last one.
        day: u8,
    },
    /// Some days before a season begins.
    BeforeSeason {
        /// First day of the season.
        start: MonthDay,
        /// Days before it.
        lead_days: u32,
    },
    /// Such as the second Tuesday of every third month; `nth` counts from the end below zero.
    /// Months without that day are left out.
    NthWeekday {
        /// Which one of the month, 1 to 5, or -1 to -5 from the end.
        nth: i8,
        /// The day of the week.
        weekday: Weekday,
        /// Every so many months.
        every_months: u32,
    },
    /// After so many units (run hours, cycles) since the last service.
    Meter {
        /// Units of the meter, above zero.
        every: f64,
    },
    /// Whichever comes first.
    FirstOf {
        /// The rules that run side by side.
        rules: Vec<Rule>,
    },
}

/// One reading of a run-hour or other meter.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeterReading {
    /// Day of the reading.
    #[serde(with = "iso_date")]
    pub on: Date,
    /// What the meter showed.
    pub value: f64,
}

/// A machine's meter, oldest reading first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Meter {
    /// All readings, oldest first.
    pub readings: Vec<MeterReading>,
    /// Reading at the last service.
    pub last_service: Option<f64>,
}

/// A due date and why it is that one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Due {
    /// The due date.
    #[serde(with = "iso_date")]
    pub on: Date,
    /// Why it is this date, in words.
    pub reason: String,
}

/// Why no date can be stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoDue {
    /// The interval is zero.
    #[error("the interval is zero")]
    Interval,
    /// The rule names a month, day or weekday that does not exist.
    #[error("the rule names a month, day or weekday that does not exist")]
    Rule,
    /// The date lies outside the calendar.
    #[error("the date lies outside the calendar")]
    Calendar,
    /// The meter tells too little for a forecast.
    #[error(
        "no forecast: the meter needs two readings that rise, and the reading at the last service"
    )]
    NoForecast,
    /// The readings fall or do not follow in time.
    #[error("the meter's readings fall or do not follow in time")]
    Readings,
}

/// A meter's forecast: (reading at which it is due, units a day, units left, date).
///
/// `date = last reading + ceil(left / rate)`, `rate` from the first to the last reading; passed
/// already: the date of the first reading that passed it. Source: common practice.
pub fn forecast(meter: &Meter, every: f64) -> Result<(f64, f64, f64, Date), NoDue> {
    if !(every.is_finite() && every > 0.0) {
        return Err(NoDue::Interval);
    }
    let last_service = meter
        .last_service
        .filter(|v| v.is_finite())
        .ok_or(NoDue::NoForecast)?;
    let falls = |pair: &[MeterReading]| pair[1].value < pair[0].value || pair[1].on < pair[0].on;
    if meter.readings.iter().any(|r| !r.value.is_finite()) || meter.readings.windows(2).any(falls) {
        return Err(NoDue::Readings);
    }
    let (Some(first), Some(last)) = (meter.readings.first(), meter.readings.last()) else {
        return Err(NoDue::NoForecast);
    };
    let due_at = last_service + every;
    let days = (last.on - first.on).whole_days() as f64;
    let rate = if days > 0.0 {
        (last.value - first.value) / days
    } else {
        0.0
    };
    let left = due_at - last.value;
    if let Some(passed) = meter.readings.iter().find(|r| r.value >= due_at) {
        return Ok((due_at, rate, left, passed.on));
    }
    if rate <= 0.0 {
        return Err(NoDue::NoForecast);
    }
    let days = (left / rate).ceil();
    // Beyond the calendar's own length a forecast says nothing.
    if !days.is_finite() || days > 4_000_000.0 {
        return Err(NoDue::Calendar);
    }
    let date = last
        .on
        .checked_add(Duration::days(days as i64))
        .ok_or(NoDue::Calendar)?;
    Ok((due_at, rate, left, date))
}

/// The slope of readings over days by least squares, units a day. Source: textbook.
pub fn rate_least_squares(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len() as f64;
    let (sx, sy) = points
        .iter()
        .fold((0.0, 0.0), |(x, y), p| (x + p.0, y + p.1));
    let (mx, my) = (sx / n, sy / n);
    let over: f64 = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    let under: f64 = points.iter().map(|p| (p.0 - mx).powi(2)).sum();
    let slope = over / under;
    slope.is_finite().then_some(slope)
}

/// The next due date of a rule.
///
/// Grids give the first date later than both `after` and `last_done`. Rules that float give the date
/// that follows from `last_done` even where it has passed: it is overdue, not skipped; never done, the
/// anchor is the first due date. Source: common practice; the reason names the rule.
/// # Errors
/// [`NoDue`] says why there is no date.
pub fn next(
    rule: &Rule,
    anchor: Date,
    last_done: Option<Date>,
    after: Date,
    meter: &Meter,
) -> Result<Due, NoDue> {
    let since = last_done.map_or(after, |done| done.max(after));
    let due = |on, reason: String| Ok(Due { on, reason });
    match rule {
        Rule::Calendar { every } => due(
            grid_after(anchor, *every, since)?,
            format!("{} from {anchor}", words(*every)),
        ),
        Rule::AfterDone { every } => match last_done {
            Some(done) => {
                let on = add(done, *every, 1).and_then(|on| {
                    if on > done {
                        Ok(on)
                    } else {
                        Err(NoDue::Interval)
                    }
                })?;
                due(
                    on,
                    format!("{} after {done}, when it was last done", words(*every)),
                )
            }
            None => due(anchor, "never done; first due on the anchor date".into()),
        },
        Rule::InSeason { every, season } => {
            let on = last_done.map_or(Ok(anchor), |done| add(done, *every, 1))?;
            if last_done == Some(on) {
                return Err(NoDue::Interval);
            }
            if season.holds(on) {
                return due(on, format!("{} after the last, in season", words(*every)));
            }
            let start = yearly(season.start, 0, on.previous_day().unwrap_or(on))?;
            due(start, "first day of the season".into())
        }
        Rule::Months { months, day } => {
            let mut best: Option<Date> = None;
            for month in months {
                let at = MonthDay {
                    month: *month,
                    day: *day,
                };
                let date = yearly(at, 0, since.max(anchor.previous_day().unwrap_or(anchor)))?;
                best = Some(best.map_or(date, |best| best.min(date)));
            }
            due(
                best.ok_or(NoDue::Rule)?,
                format!("day {day} of the months named"),
            )
        }
        Rule::BeforeSeason { start, lead_days } => due(
            yearly(*start, *lead_days, since)?,
            format!(
                "{lead_days} days before the season of {}-{:02}",
                start.month, start.day
            ),
        ),
        Rule::NthWeekday {
            nth,
            weekday,
            every_months,
        } => due(
            nth_after(anchor, *nth, *weekday, *every_months, since)?,
            format!("{weekday} no. {nth}"),
        ),
        Rule::Meter { every } => {
            let (due_at, rate, ..) = forecast(meter, *every)?;
            due(
                forecast(meter, *every)?.3,
                format!("reading {due_at} at {rate:.2} a day"),
            )
        }
        Rule::FirstOf { rules } => {
            let mut best: Option<Due> = None;
            let mut error = NoDue::Rule;
            for rule in rules {
                match next(rule, anchor, last_done, after, meter) {
                    Ok(found) if best.as_ref().is_none_or(|best| found.on < best.on) => {
                        best = Some(found);
                    }
                    Ok(_) => {}
                    // A meter without a forecast leaves the calendar to rule.
                    Err(found) => error = found,
                }
            }
            let best = best.ok_or(error)?;
            due(best.on, format!("{}, whichever is first", best.reason))
        }
    }
}

fn words(every: Every) -> String {
    let (n, unit) = match every {
        Every::Days(n) => (n, "days"),
        Every::Weeks(n) => (n, "weeks"),
        Every::Months(n) => (n, "months"),
        Every::Years(n) => (n, "years"),
    };
    format!("every {n} {unit}")
}

/// The next `n` due dates (1000 at most), each taken as done on its day.
pub fn upcoming(
    rule: &Rule,
    anchor: Date,
    last_done: Option<Date>,
    after: Date,
    meter: &Meter,
    n: usize,
) -> Vec<Due> {
    let (mut done, mut after, mut meter) = (last_done, after, meter.clone());
    let mut list = Vec::new();
    while list.len() < n.min(1000) {
        let Ok(due) = next(rule, anchor, done, after, &meter) else {
            break;
        };
        if let (Ok((_, rate, ..)), Some(last)) = (forecast(&meter, 1.0), meter.readings.last()) {
            let days = (due.on - last.on).whole_days().max(0) as f64;
            meter.last_service = Some(last.value + rate * days);
        }
        done = Some(due.on);
        after = after.max(due.on);
        list.push(due);
    }
    list
}

/// First and last day of the window about a due date, in days before and after it.
/// Source: common practice.
pub fn window(due: Date, before_days: u32, after_days: u32) -> Option<(Date, Date)> {
    let first = due.checked_sub(Duration::days(i64::from(before_days)))?;
    Some((
        first,
        due.checked_add(Duration::days(i64::from(after_days)))?,
    ))
}

/// A tenth of the interval in whole days, for each side of the window. Source: common practice.
pub fn tenth(interval_days: u32) -> u32 {
    interval_days / 10
}

/// How finished work stands to its window; both edges belong to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Timing {
    /// Done before the window.
    Early,
    /// Done in the window.
    InWindow,
    /// Done after the window.
    Late,
}

/// See [`Timing`]. Source: common practice.
pub fn timing(done: Date, (first, last): (Date, Date)) -> Timing {
    if done < first {
        Timing::Early
    } else if done > last {
        Timing::Late
    } else {
        Timing::InWindow
    }
}
