//! Recurrence rules of RFC 5545 (3.3.10), read, checked and expanded.
//!
//! Our own, for these reasons against the one crate there is (`rrule` 0.14): it brings a second
//! calendar library, a second time zone database and a regular expression engine; a rule that names
//! no date ends like one that has simply finished, so that a plan would fall silent; intervals above
//! 65 535 are refused; and ten years of a monthly rule took three times the time allowed.
//!
//! The choices the standard leaves open:
//! - Instances lie on the wall clock and are then converted: one in a gap takes the offset before
//!   the gap, one in an overlap is the first (3.3.5). 3.3.10 would leave out one in a gap; a service
//!   missed is worse than one an hour off.
//! - A day that does not exist is left out and not counted (3.3.10).
//! - The start counts only where the rule itself names it.
//! - `BYWEEKNO` without a day takes the weekday of the start. The days of week 1 that lie in the old
//!   year belong to the old year's turn.
//! - `UNTIL` as a date means that whole day.
//! - Second 60 is taken as 59, as the standard asks of clocks without leap seconds.

mod engine;
mod expand;
mod parts;
mod read;
mod takes;
#[cfg(test)]
mod tests;

pub use expand::{Dates, Instants, Walls};
use parts::{Marks, NthDay};
use time::{Date, PrimitiveDateTime};

/// Why a recurrence rule gives nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{part} {what}")]
pub struct BadRule {
    /// The part of the rule, such as `BYHOUR`.
    pub part: &'static str,
    /// What is wrong with it.
    pub what: &'static str,
}

pub(crate) const fn bad(part: &'static str, what: &'static str) -> BadRule {
    BadRule { part, what }
}

/// How often the pattern repeats, shortest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Freq {
    /// Every second.
    Secondly,
    /// Every minute.
    Minutely,
    /// Every hour.
    Hourly,
    /// Every day.
    Daily,
    /// Every week.
    Weekly,
    /// Every month.
    Monthly,
    /// Every year.
    Yearly,
}

/// Where a rule ends by the calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// The whole of this day still counts.
    Day(Date),
    /// This wall-clock time still counts.
    Wall(PrimitiveDateTime),
    /// This time of UTC still counts.
    Utc(PrimitiveDateTime),
}

/// A rule that was read and checked. Lists that were not given are empty and let everything pass.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recurrence {
    freq: Freq,
    interval: u32,
    count: Option<u32>,
    until: Option<Until>,
    seconds: Marks,
    minutes: Marks,
    hours: Marks,
    /// Weekdays without a number, Monday as 1.
    weekdays: Marks,
    nth: Vec<NthDay>,
    month_days: Marks,
    year_days: Marks,
    weeks: Marks,
    months: Marks,
    set_pos: Vec<i16>,
    /// First day of the week, Monday as 0.
    week_start: u8,
}

impl Recurrence {
    /// How often the pattern repeats.
    pub fn freq(&self) -> Freq {
        self.freq
    }

    /// How many dates the rule gives in all; `None` where it says no number.
    pub fn count(&self) -> Option<u32> {
        self.count
    }

    /// Whether it names hours, minutes or seconds.
    pub fn names_times(&self) -> bool {
        self.freq < Freq::Daily
            || self.seconds.given()
            || self.minutes.given()
            || self.hours.given()
    }
}
