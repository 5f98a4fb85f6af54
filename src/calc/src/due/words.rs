//! Why a date is due, as one would say it.

use super::{Every, MonthDay};
use time::{Date, Month, Weekday};

/// Why a date is the one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Why<'a> {
    Grid {
        every: Every,
        anchor: Date,
        short: bool,
    },
    After {
        every: Every,
        done: Date,
    },
    AfterMoved {
        every: Every,
        done: Date,
    },
    FirstDate,
    FirstDateMoved,
    Months {
        months: &'a [u8],
        day: u8,
    },
    Before {
        start: MonthDay,
        days: u32,
    },
    Nth {
        nth: i8,
        weekday: Weekday,
        months: u32,
    },
    Meter {
        due_at: f64,
        rate: f64,
        passed: bool,
    },
    Recurrence(&'a str),
}

impl Why<'_> {
    pub(super) fn grid(every: Every, anchor: Date, on: Date) -> Self {
        let by_month = matches!(every, Every::Months(_) | Every::Years(_));
        Why::Grid {
            every,
            anchor,
            short: by_month && on.day() < anchor.day(),
        }
    }
}

/// A reason, and whether it won over others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reason<'a> {
    why: Why<'a>,
    first: bool,
}

impl<'a> Reason<'a> {
    pub(super) fn of(why: Why<'a>) -> Self {
        Reason { why, first: false }
    }

    pub(super) fn first(self) -> Self {
        Reason {
            first: true,
            ..self
        }
    }

    pub(super) fn words(&self) -> String {
        let mut words = self.why.words();
        if self.first {
            words += ", which comes first";
        }
        if let Why::Grid { short: true, .. } = self.why {
            words += "; the month is short, so its last day";
        }
        words
    }
}

impl Why<'_> {
    fn words(&self) -> String {
        match *self {
            Why::Grid { every, anchor, .. } => format!("{} from {anchor}", each(every)),
            Why::After { every, done } => {
                format!("{} after it was last done on {done}", span(every))
            }
            Why::AfterMoved { every, done } => format!(
                "{} after it was last done on {done} is out of season, so the season's first day",
                span(every)
            ),
            Why::FirstDate => "not done yet, so the first date of the plan".to_owned(),
            Why::FirstDateMoved => {
                "the first date of the plan is out of season, so the season's first day".to_owned()
            }
            Why::Months { months, day } => months_words(months, day),
            Why::Before { start, days } => before_words(start, days),
            Why::Nth {
                nth,
                weekday,
                months,
            } => nth_words(nth, weekday, months),
            Why::Meter {
                due_at,
                rate,
                passed,
            } => meter_words(due_at, rate, passed),
            Why::Recurrence(rule) => format!("a date of the rule {rule}"),
        }
    }
}

fn before_words(start: MonthDay, days: u32) -> String {
    let start = day_words(start);
    match days {
        0 => format!("the season begins on {start}"),
        days => format!(
            "{} before the season begins on {start}",
            counted(days, "day")
        ),
    }
}

fn meter_words(due_at: f64, rate: f64, passed: bool) -> String {
    let due_at = short(due_at, 1);
    if passed {
        format!("the meter has passed {due_at}")
    } else {
        let rate = short(rate, 2);
        format!("the meter should reach {due_at} on this day, at {rate} a day")
    }
}

/// With at most so many decimals. By whole numbers, as there may be many of these.
fn short(value: f64, places: u32) -> String {
    let scale = 10_u32.pow(places);
    let scaled = (value * f64::from(scale)).round();
    if scaled.abs() >= 1e15 || !scaled.is_finite() {
        return format!("{value:.0}");
    }
    let (sign, scaled) = (if scaled < 0.0 { "-" } else { "" }, scaled.abs() as u64);
    let (whole, mut part) = (scaled / u64::from(scale), scaled % u64::from(scale));
    let mut width = places as usize;
    while width > 0 && part % 10 == 0 {
        part /= 10;
        width -= 1;
    }
    if width == 0 {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{part:0width$}")
    }
}

fn counted(n: u32, unit: &str) -> String {
    format!("{n} {unit}{}", if n == 1 { "" } else { "s" })
}

fn parts(every: Every) -> (u32, &'static str) {
    match every {
        Every::Days(n) => (n, "day"),
        Every::Weeks(n) => (n, "week"),
        Every::Months(n) => (n, "month"),
        Every::Years(n) => (n, "year"),
    }
}

/// `3 months`, `1 day`.
pub(crate) fn span(every: Every) -> String {
    let (n, unit) = parts(every);
    counted(n, unit)
}

/// `every 3 months`, `every day`.
pub(crate) fn each(every: Every) -> String {
    match parts(every) {
        (1, unit) => format!("every {unit}"),
        (n, unit) => format!("every {n} {unit}s"),
    }
}

fn month_name(month: u8) -> String {
    Month::try_from(month).map_or_else(|_| month.to_string(), |month| month.to_string())
}

fn day_words(at: MonthDay) -> String {
    format!("{} {}", at.day, month_name(at.month))
}

fn ordinal(n: u8) -> String {
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

fn months_words(months: &[u8], day: u8) -> String {
    let names: Vec<String> = months.iter().map(|month| month_name(*month)).collect();
    let list = match names.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    };
    format!("the {} of {list}", ordinal(day))
}

fn nth_words(nth: i8, weekday: Weekday, months: u32) -> String {
    let which = match nth {
        1 => "first".to_owned(),
        2 => "second".to_owned(),
        3 => "third".to_owned(),
        4 => "fourth".to_owned(),
        5 => "fifth".to_owned(),
        -1 => "last".to_owned(),
        -2 => "second to last".to_owned(),
        -3 => "third to last".to_owned(),
        other => format!("{}-to-last", ordinal(other.unsigned_abs())),
    };
    match months {
        1 => format!("the {which} {weekday} of the month"),
        n => format!("the {which} {weekday} of every {} month", ordinal_u32(n)),
    }
}

fn ordinal_u32(n: u32) -> String {
    match u8::try_from(n) {
        Ok(2) => "second".to_owned(),
        Ok(3) => "third".to_owned(),
        Ok(n) => ordinal(n),
        Err(_) => format!("{n}th"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn words(why: Why) -> String {
        Reason::of(why).words()
    }

    #[test]
    fn reasons_read_as_one_would_say_them() {
        let anchor = date!(2024 - 01 - 31);
        let month = Every::Months(1);
        let short = words(Why::grid(month, anchor, date!(2024 - 02 - 29)));
        assert_eq!(
            short,
            "every month from 2024-01-31; the month is short, so its last day"
        );
        let first = Reason::of(Why::grid(month, anchor, date!(2024 - 02 - 29))).first();
        assert_eq!(
            first.words(),
            "every month from 2024-01-31, which comes first; the month is short, so its last day"
        );
        let nth = Why::Nth {
            nth: 2,
            weekday: Weekday::Tuesday,
            months: 3,
        };
        assert_eq!(words(nth), "the second Tuesday of every third month");
        let months = Why::Months {
            months: &[5, 6, 9],
            day: 1,
        };
        assert_eq!(words(months), "the 1st of May, June and September");
        let before = Why::Before {
            start: MonthDay { month: 10, day: 1 },
            days: 1,
        };
        assert_eq!(words(before), "1 day before the season begins on 1 October");
        let meter = Why::Meter {
            due_at: 5500.0,
            rate: 6.7,
            passed: false,
        };
        assert_eq!(
            Reason::of(meter).first().words(),
            "the meter should reach 5500 on this day, at 6.7 a day, which comes first"
        );
    }

    #[test]
    fn figures_are_short() {
        assert_eq!(short(5500.0, 1), "5500");
        assert_eq!(short(6.704, 2), "6.7");
        assert_eq!(short(6.05, 2), "6.05");
        assert_eq!(short(-0.25, 1), "-0.3");
        assert_eq!(short(1e300, 1).len(), 301);
    }

    #[test]
    fn ordinals_end_as_they_should() {
        let texts: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 22, 31]
            .map(ordinal)
            .into_iter()
            .collect();
        let want = [
            "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "31st",
        ];
        assert_eq!(texts, want);
    }
}
