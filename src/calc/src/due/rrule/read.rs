//! Reading the text of a recurrence rule, with what the standard forbids refused.

use super::{BadRule, Freq, Marks, NthDay, Recurrence, Until, bad};
use std::str::FromStr;
use time::macros::format_description;
use time::{Date, PrimitiveDateTime};

const WEEKDAYS: [&str; 7] = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"];

/// The parts, so that one named twice is found and errors can name it.
const PARTS: [&str; 14] = [
    "FREQ",
    "INTERVAL",
    "COUNT",
    "UNTIL",
    "BYSECOND",
    "BYMINUTE",
    "BYHOUR",
    "BYDAY",
    "BYMONTHDAY",
    "BYYEARDAY",
    "BYWEEKNO",
    "BYMONTH",
    "BYSETPOS",
    "WKST",
];

impl FromStr for Recurrence {
    type Err = BadRule;

    /// Reads `FREQ=MONTHLY;BYDAY=1MO`, in any case, with or without `RRULE:` before it.
    fn from_str(text: &str) -> Result<Self, BadRule> {
        if text.len() > 2000 {
            return Err(bad("the rule", "is longer than 2000 letters"));
        }
        let text = text.trim().to_ascii_uppercase();
        let text = text.strip_prefix("RRULE:").unwrap_or(&text);
        let mut rule = blank();
        let mut seen: Vec<&str> = Vec::new();
        for part in text.split(';').map(str::trim).filter(|p| !p.is_empty()) {
            let (name, value) = part
                .split_once('=')
                .ok_or(bad("the rule", "is written as NAME=VALUE;NAME=VALUE"))?;
            let name = PARTS
                .into_iter()
                .find(|part| *part == name.trim())
                .ok_or(bad("the rule", "has a part that RFC 5545 does not name"))?;
            if seen.contains(&name) {
                return Err(bad(name, "is given twice"));
            }
            seen.push(name);
            rule.take(name, value.trim())?;
        }
        if !seen.contains(&"FREQ") {
            return Err(bad("FREQ", "is missing"));
        }
        rule.check()?;
        Ok(rule)
    }
}

fn blank() -> Recurrence {
    Recurrence {
        freq: Freq::Daily,
        interval: 1,
        count: None,
        until: None,
        seconds: Marks::default(),
        minutes: Marks::default(),
        hours: Marks::default(),
        weekdays: Marks::default(),
        nth: Vec::new(),
        month_days: Marks::default(),
        year_days: Marks::default(),
        weeks: Marks::default(),
        months: Marks::default(),
        set_pos: Vec::new(),
        week_start: 0,
    }
}

impl Recurrence {
    fn take(&mut self, name: &'static str, value: &str) -> Result<(), BadRule> {
        let marks = |low, high, signed, what| marks(name, value, low, high, signed, what);
        match name {
            "FREQ" => self.freq = freq(value)?,
            "INTERVAL" => self.interval = whole(name, value)?,
            "COUNT" => self.count = Some(whole(name, value)?),
            "UNTIL" => self.until = Some(until(value)?),
            "BYSECOND" => {
                self.seconds = marks(0, 60, false, "takes numbers from 0 to 60")?;
                if self.seconds.marked(60) {
                    self.seconds.mark(59);
                }
            }
            "BYMINUTE" => self.minutes = marks(0, 59, false, "takes numbers from 0 to 59")?,
            "BYHOUR" => self.hours = marks(0, 23, false, "takes numbers from 0 to 23")?,
            "BYMONTHDAY" => {
                self.month_days = marks(1, 31, true, "takes numbers from 1 to 31 and -1 to -31")?;
            }
            "BYYEARDAY" => {
                self.year_days = marks(1, 366, true, "takes numbers from 1 to 366 and -1 to -366")?;
            }
            "BYWEEKNO" => {
                self.weeks = marks(1, 53, true, "takes numbers from 1 to 53 and -1 to -53")?;
            }
            "BYMONTH" => self.months = marks(1, 12, false, "takes numbers from 1 to 12")?,
            "BYSETPOS" => self.set_pos = positions(name, value)?,
            "BYDAY" => self.take_days(value)?,
            _ => {
                self.week_start =
                    weekday(value).ok_or(bad("WKST", "takes one of MO, TU, WE, TH, FR, SA, SU"))?;
            }
        }
        Ok(())
    }

    fn take_days(&mut self, value: &str) -> Result<(), BadRule> {
        const WHAT: BadRule = bad("BYDAY", "takes days such as MO, 1MO or -1FR");
        for item in value.split(',').map(str::trim) {
            let at = item.len().saturating_sub(2);
            let (number, day) = item.split_at_checked(at).ok_or(WHAT)?;
            let weekday = weekday(day).ok_or(WHAT)?;
            if number.is_empty() {
                self.weekdays.mark(i32::from(weekday) + 1);
                continue;
            }
            let nth = signed(number)
                .and_then(|nth| i8::try_from(nth).ok())
                .filter(|nth| *nth != 0 && (-53..=53).contains(nth))
                .ok_or(WHAT)?;
            self.nth.push(NthDay { nth, weekday });
        }
        Ok(())
    }

    /// What RFC 5545 3.3.10 says must not stand together.
    fn check(&self) -> Result<(), BadRule> {
        let freq = self.freq;
        let days = self.weekdays.given() || !self.nth.is_empty();
        let clock = self.seconds.given() || self.minutes.given() || self.hours.given();
        let calendar = self.month_days.given() || self.year_days.given() || self.weeks.given();
        let chosen_from = days || clock || calendar || self.months.given();
        let day_to_month = matches!(freq, Freq::Daily | Freq::Weekly | Freq::Monthly);
        let refused = [
            (
                self.count.is_some() && self.until.is_some(),
                bad("COUNT", "cannot stand beside UNTIL; give one of them"),
            ),
            (
                self.weeks.given() && freq != Freq::Yearly,
                bad("BYWEEKNO", "goes with FREQ=YEARLY only"),
            ),
            (
                self.year_days.given() && day_to_month,
                bad(
                    "BYYEARDAY",
                    "does not go with FREQ=DAILY, WEEKLY or MONTHLY",
                ),
            ),
            (
                self.month_days.given() && freq == Freq::Weekly,
                bad("BYMONTHDAY", "does not go with FREQ=WEEKLY"),
            ),
            (
                !self.nth.is_empty() && (freq < Freq::Monthly || self.weeks.given()),
                bad(
                    "BYDAY",
                    "with a number goes with MONTHLY, or YEARLY without BYWEEKNO",
                ),
            ),
            (
                !self.set_pos.is_empty() && !chosen_from,
                bad("BYSETPOS", "needs another BY part to choose from"),
            ),
        ];
        match refused.into_iter().find(|(when, _)| *when) {
            Some((_, why)) => Err(why),
            None => Ok(()),
        }
    }
}

fn freq(value: &str) -> Result<Freq, BadRule> {
    match value {
        "SECONDLY" => Ok(Freq::Secondly),
        "MINUTELY" => Ok(Freq::Minutely),
        "HOURLY" => Ok(Freq::Hourly),
        "DAILY" => Ok(Freq::Daily),
        "WEEKLY" => Ok(Freq::Weekly),
        "MONTHLY" => Ok(Freq::Monthly),
        "YEARLY" => Ok(Freq::Yearly),
        _ => Err(bad(
            "FREQ",
            "takes one of SECONDLY, MINUTELY, HOURLY, DAILY, WEEKLY, MONTHLY, YEARLY",
        )),
    }
}

fn weekday(text: &str) -> Option<u8> {
    let at = WEEKDAYS.iter().position(|day| *day == text)?;
    u8::try_from(at).ok()
}

fn whole(name: &'static str, value: &str) -> Result<u32, BadRule> {
    let digits = value.bytes().all(|b| b.is_ascii_digit());
    let number = value.parse().ok().filter(|n| *n > 0 && digits);
    number.ok_or(bad(name, "takes a whole number from 1 to 4294967295"))
}

/// A whole number with or without a sign.
fn signed(text: &str) -> Option<i32> {
    text.parse().ok()
}

fn marks(
    name: &'static str,
    value: &str,
    low: i32,
    high: i32,
    below: bool,
    what: &'static str,
) -> Result<Marks, BadRule> {
    let mut marks = Marks::default();
    for item in value.split(',') {
        let number = signed(item.trim())
            .filter(|n| (low..=high).contains(n) || (below && (-high..=-low).contains(n)))
            .ok_or(bad(name, what))?;
        marks.mark(number);
    }
    Ok(marks)
}

fn positions(name: &'static str, value: &str) -> Result<Vec<i16>, BadRule> {
    const WHAT: &str = "takes numbers from 1 to 366 and -1 to -366";
    let one = |item: &str| {
        signed(item.trim())
            .and_then(|at| i16::try_from(at).ok())
            .filter(|at| *at != 0 && (-366..=366).contains(at))
            .ok_or(bad(name, WHAT))
    };
    value.split(',').map(one).collect()
}

fn until(value: &str) -> Result<Until, BadRule> {
    let day = format_description!("[year][month][day]");
    let wall = format_description!("[year][month][day]T[hour][minute][second]");
    let (text, utc) = match value.strip_suffix('Z') {
        Some(text) => (text, true),
        None => (value, false),
    };
    if let Ok(at) = PrimitiveDateTime::parse(text, wall) {
        return Ok(if utc { Until::Utc(at) } else { Until::Wall(at) });
    }
    match Date::parse(text, day) {
        Ok(day) if !utc => Ok(Until::Day(day)),
        _ => Err(bad(
            "UNTIL",
            "takes a date as 20261125 or a time as 20261125T090000Z",
        )),
    }
}
