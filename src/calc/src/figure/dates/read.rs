//! Readings of fields that several topics of dates share.

use super::{Given, Takes, Trouble, Want, want};
use crate::due::{Closed, Every, MeterReading, MonthDay, NoDue, Replacement, Season, Shift};
use serde_json::Value;
use time::macros::format_description;
use time::{Date, PrimitiveDateTime, Weekday};

pub(super) const EVERY: &[Want] = &[
    want("days", "Days", Takes::Whole),
    want("weeks", "Weeks", Takes::Whole),
    want("months", "Months", Takes::Whole),
    want("years", "Years", Takes::Whole),
];

pub(super) const READING: &[Want] = &[
    want("on", "Day", Takes::Date),
    want("value", "Reading", Takes::Number),
];

pub(super) const CHANGE: &[Want] = &[
    want("date", "Day of the change", Takes::Date),
    want("old_final", "Old meter at the end", Takes::Number),
    want("new_start", "New meter at the start", Takes::Number),
];

pub(super) const FIRST_N: Want =
    want("first_n", "How many", Takes::Whole).note("1 to 1000; blank gives 10");

pub(super) const EVERY_WANT: Want = want("every", "Interval", Takes::Group(EVERY))
    .note("one of days, weeks, months, years, such as {\"months\": 3}");

pub(super) fn trouble(field: &str, why: NoDue) -> Trouble {
    Trouble::of(field, sentence(&why.to_string()))
}

/// With a capital at the beginning.
pub(super) fn sentence(text: &str) -> String {
    let mut rest = text.chars();
    match rest.next() {
        Some(first) => first.to_uppercase().chain(rest).collect(),
        None => String::new(),
    }
}

/// How many dates are asked for.
pub(super) fn first_n(given: &Given) -> Result<usize, Trouble> {
    count(given, "first_n", 1000)
}

/// A count from 1 to `most`; 10 where none is given.
pub(super) fn count(given: &Given, name: &str, most: u64) -> Result<usize, Trouble> {
    match given.whole(name)? {
        None => Ok(10),
        Some(n) if (1..=most).contains(&n) => Ok(n as usize),
        Some(_) => Err(Trouble::of(name, format!("Give a number from 1 to {most}"))),
    }
}

/// A whole number of days and the like.
pub(super) fn small(given: &Given, name: &str) -> Result<Option<u32>, Trouble> {
    let range = || Trouble::of(name, "Give a whole number from 0 to 1 000 000");
    let Some(value) = given.whole(name)? else {
        return Ok(None);
    };
    u32::try_from(value)
        .ok()
        .filter(|n| *n <= 1_000_000)
        .map(Some)
        .ok_or_else(range)
}

/// One that must be there.
pub(super) fn need_small(given: &Given, name: &str) -> Result<u32, Trouble> {
    given.need(name, small(given, name)?)
}

/// Days between two services: from 1.
pub(super) fn need_interval(given: &Given, name: &str) -> Result<u32, Trouble> {
    match need_small(given, name)? {
        0 => Err(Trouble::of(name, "Give 1 day or more")),
        n if too_long(Every::Days(n)) => Err(Trouble::of(name, "Give at most 1000 years")),
        n => Ok(n),
    }
}

/// No interval is longer than this.
pub(super) const MOST_YEARS: u32 = 1000;
/// No list of dates, intervals or readings is longer than this.
pub(super) const MOST_ITEMS: usize = 5000;

/// Trouble where a list is longer than is read.
pub(super) fn not_too_many(name: &str, count: usize) -> Result<(), Trouble> {
    match count <= MOST_ITEMS {
        true => Ok(()),
        false => Err(Trouble::of(name, "Give at most 5000 of these")),
    }
}

/// `months` and 3; `None` for a unit that is none of the four.
pub(super) fn make_every(unit: &str, n: u32) -> Option<Every> {
    match unit {
        "days" => Some(Every::Days(n)),
        "weeks" => Some(Every::Weeks(n)),
        "months" => Some(Every::Months(n)),
        "years" => Some(Every::Years(n)),
        _ => None,
    }
}

/// Whether an interval is longer than [`MOST_YEARS`].
pub(super) fn too_long(every: Every) -> bool {
    match every {
        Every::Days(n) => n > MOST_YEARS * 365 + 243,
        Every::Weeks(n) => n > MOST_YEARS * 52 + 178,
        Every::Months(n) => n > MOST_YEARS * 12,
        Every::Years(n) => n > MOST_YEARS,
    }
}

/// `{"months": 3}`.
pub(super) fn every(given: &Given, name: &str) -> Result<Option<Every>, Trouble> {
    given.group(name, |group| {
        let mut found = None;
        for unit in EVERY.iter().map(|want| want.name) {
            match small(group, unit)? {
                None => {}
                Some(0) => return Err(Trouble::of(unit, "Give 1 or more")),
                Some(_) if found.is_some() => {
                    return Err(Trouble::of(
                        unit,
                        "Give one of days, weeks, months and years only",
                    ));
                }
                Some(n) => found = make_every(unit, n),
            }
            if found.is_some_and(too_long) {
                return Err(Trouble::of(unit, "Give at most 1000 years"));
            }
        }
        found.ok_or_else(|| Trouble::new("Give one of days, weeks, months, years"))
    })
}

pub(super) fn need_every(given: &Given, name: &str) -> Result<Every, Trouble> {
    given.need(name, every(given, name)?)
}

/// `10-01`.
pub(super) fn month_day(given: &Given, name: &str) -> Result<MonthDay, Trouble> {
    let text = given.need_text(name)?;
    MonthDay::read(&text).ok_or_else(|| Trouble::of(name, "Give month and day, as 10-01"))
}

/// `["05-01", "09-30"]`.
pub(super) fn season(given: &Given, name: &str) -> Result<Season, Trouble> {
    let texts = given.need(name, given.texts(name)?)?;
    let days: Option<Vec<MonthDay>> = texts.iter().map(|text| MonthDay::read(text)).collect();
    match days.as_deref() {
        Some([start, end]) => Ok(Season {
            start: *start,
            end: *end,
        }),
        _ => Err(Trouble::of(
            name,
            "Give the first and the last day as [\"05-01\", \"09-30\"]",
        )),
    }
}

fn iso(text: &str) -> Option<Date> {
    let date = Date::parse(text.trim(), format_description!("[year]-[month]-[day]")).ok()?;
    (1900..=2400).contains(&date.year()).then_some(date)
}

/// `["2024-05-01", 5000]` or `{"on": "2024-05-01", "value": 5000}`.
fn reading(value: &Value) -> Option<MeterReading> {
    let (on, value) = match value {
        Value::Array(pair) => match pair.as_slice() {
            [on, value] => (on, value),
            _ => return None,
        },
        Value::Object(fields) => (fields.get("on")?, fields.get("value")?),
        _ => return None,
    };
    let value = match value {
        Value::Number(number) => number.as_f64()?,
        Value::String(text) => crate::figure::given::fraction(text)?,
        _ => return None,
    };
    let value = Some(value).filter(|v| v.is_finite() && v.abs() <= 1e12)?;
    Some(MeterReading {
        on: iso(on.as_str()?)?,
        value,
    })
}

const READING_IS: &str = "Give readings as [\"2024-05-01\", 5000]: day and figure";

/// Readings in the order they were given.
pub(super) fn readings(given: &Given, name: &str) -> Result<Option<Vec<MeterReading>>, Trouble> {
    let Some(value) = given.raw(name) else {
        return Ok(None);
    };
    let items = value
        .as_array()
        .ok_or_else(|| Trouble::of(name, READING_IS))?;
    not_too_many(name, items.len())?;
    let one =
        |(at, item)| reading(item).ok_or_else(|| Trouble::of(format!("{name}.{at}"), READING_IS));
    items
        .iter()
        .enumerate()
        .map(one)
        .collect::<Result<_, _>>()
        .map(Some)
}

/// One reading.
pub(super) fn one_reading(given: &Given, name: &str) -> Result<Option<MeterReading>, Trouble> {
    match given.raw(name) {
        None => Ok(None),
        Some(value) => reading(value)
            .map(Some)
            .ok_or_else(|| Trouble::of(name, READING_IS)),
    }
}

/// A change of meter.
pub(super) fn change(given: &Given, name: &str) -> Result<Vec<Replacement>, Trouble> {
    let change = given.group(name, |group| {
        Ok(Replacement {
            on: group.need_date("date")?,
            old_final: group.need_number("old_final")?,
            new_start: group.need_number("new_start")?,
        })
    })?;
    Ok(change.into_iter().collect())
}

pub(super) const SHIFTS: &[(&str, &str)] = &[
    ("following", "the next open day"),
    ("previous", "the open day before"),
    ("preceding", "the open day before"),
    ("nearest", "the nearest open day"),
    (
        "modified_following",
        "the next open day in the same month, else the one before",
    ),
    (
        "modified_previous",
        "the open day before in the same month, else the next",
    ),
    (
        "modified_preceding",
        "the open day before in the same month, else the next",
    ),
    ("none", "stays"),
];

pub(super) fn shift(given: &Given, name: &str) -> Result<Option<Shift>, Trouble> {
    let word = given.choice(name)?;
    Ok(word.map(|word| match word {
        "following" => Shift::Following,
        "previous" | "preceding" => Shift::Previous,
        "nearest" => Shift::Nearest,
        "modified_following" => Shift::ModifiedFollowing,
        "modified_previous" | "modified_preceding" => Shift::ModifiedPrevious,
        _ => Shift::Stay,
    }))
}

/// `Sat`, `saturday`, `SA`.
pub(super) fn weekday(text: &str) -> Option<Weekday> {
    use Weekday::{Friday, Monday, Saturday, Sunday, Thursday, Tuesday, Wednesday};
    let text = text.trim().to_lowercase();
    if !(2..=9).contains(&text.len()) {
        return None;
    }
    [
        Monday, Tuesday, Wednesday, Thursday, Friday, Saturday, Sunday,
    ]
    .into_iter()
    .find(|day| day.to_string().to_lowercase().starts_with(&text))
}

/// Days the site is closed, from `weekend` and `holidays`; neither given is open every day.
pub(super) fn closed(given: &Given) -> Result<Closed, Trouble> {
    let mut weekend = Vec::new();
    for (at, text) in given
        .texts("weekend")?
        .unwrap_or_default()
        .iter()
        .enumerate()
    {
        let bad = || Trouble::of(format!("weekend.{at}"), "Give a weekday, such as Sat");
        weekend.push(weekday(text).ok_or_else(bad)?);
    }
    let holidays = given.dates("holidays")?.unwrap_or_default();
    not_too_many("holidays", holidays.len())?;
    Ok(Closed { weekend, holidays })
}

/// A moment as `2024-03-10T02:30:00`, `20240310T023000` or a bare date.
pub(super) fn moment(text: &str) -> Option<PrimitiveDateTime> {
    let text = text.trim();
    let forms = [
        format_description!("[year]-[month]-[day]T[hour]:[minute]:[second]"),
        format_description!("[year][month][day]T[hour][minute][second]"),
    ];
    let minutes = format_description!("[year]-[month]-[day]T[hour]:[minute]");
    let days = [
        format_description!("[year]-[month]-[day]"),
        format_description!("[year][month][day]"),
    ];
    let read = |form| PrimitiveDateTime::parse(text, form).ok();
    forms
        .into_iter()
        .find_map(read)
        .or_else(|| PrimitiveDateTime::parse(text, minutes).ok())
        .or_else(|| {
            let day = days
                .into_iter()
                .find_map(|form| Date::parse(text, form).ok())?;
            Some(day.midnight())
        })
        .filter(|at| (1900..=2400).contains(&at.year()))
}

/// Dates as JSON.
pub(super) fn texts(dates: impl IntoIterator<Item = Date>) -> Value {
    dates
        .into_iter()
        .map(|date| date.to_string())
        .collect::<Vec<_>>()
        .into()
}
