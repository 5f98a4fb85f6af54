//! A plan's rule as it is kept, and what can be said of it.

use super::rrule::BadRule;
use crate::shown::iso_date;
use serde::{Deserialize, Serialize};
use time::{Date, Month, Weekday};

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

impl MonthDay {
    /// Reads `10-01`; `None` for a day that no year has. 29 February is one, as leap years have it.
    ///
    /// ```
    /// use calc::due::MonthDay;
    /// assert_eq!(MonthDay::read("10-01"), Some(MonthDay { month: 10, day: 1 }));
    /// assert_eq!(MonthDay::read("02-30"), None);
    /// ```
    pub fn read(text: &str) -> Option<MonthDay> {
        let (month, day) = text.trim().split_once('-')?;
        let (month, day) = (month.parse::<u8>().ok()?, day.parse::<u8>().ok()?);
        let length = Month::try_from(month).ok()?.length(2024);
        (1..=length)
            .contains(&day)
            .then_some(MonthDay { month, day })
    }
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
        /// The day of the week; kept as 1 (Monday) to 7, read also by name.
        #[serde(with = "weekday")]
        weekday: Weekday,
        /// Every so many months.
        every_months: u32,
    },
    /// After so many units (run hours, cycles) since the last service.
    Meter {
        /// Units of the meter, above zero.
        every: f64,
    },
    /// The dates of a recurrence rule of RFC 5545, counted from the anchor; dates only, so without
    /// hours and minutes. A day that a month does not have is left out, as that standard says.
    Recurrence {
        /// Such as `FREQ=MONTHLY;BYDAY=1MO`.
        rule: String,
    },
    /// Whichever comes first.
    FirstOf {
        /// The rules that run side by side.
        rules: Vec<Rule>,
    },
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
    /// The recurrence rule cannot be read, or names no date.
    #[error(transparent)]
    Recurrence(#[from] BadRule),
    /// The recurrence rule has given its last date.
    #[error("the recurrence rule has come to its end")]
    Ended,
}

/// Kept as a number; people who write rules by hand may give the name.
mod weekday {
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};
    use time::Weekday;

    #[derive(Deserialize)]
    #[serde(untagged)]
    enum Given {
        Number(u8),
        Name(String),
    }

    pub(super) fn serialize<S: Serializer>(day: &Weekday, s: S) -> Result<S::Ok, S::Error> {
        day.number_from_monday().serialize(s)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(d: D) -> Result<Weekday, D::Error> {
        let is = |day: &Weekday, given: &Given| match given {
            Given::Number(number) => day.number_from_monday() == *number,
            Given::Name(name) => day.to_string().eq_ignore_ascii_case(name),
        };
        let given = Given::deserialize(d)?;
        (0..7)
            .map(|n| Weekday::Monday.nth_next(n))
            .find(|day| is(day, &given))
            .ok_or_else(|| {
                D::Error::custom("weekday takes 1 (Monday) to 7, or a name such as Friday")
            })
    }
}
