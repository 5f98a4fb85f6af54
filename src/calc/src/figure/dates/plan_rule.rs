//! The rule of a plan as it is given: one JSON object, or the plain fields of the form.

use super::read::{self, MOST_YEARS, weekday};
use super::{Given, Takes, Trouble, Want, want};
use crate::due::rrule::Recurrence;
use crate::due::{Every, MonthDay, Rule, Season};
use serde_json::{Map, Value, json};

pub(super) const KINDS: &[(&str, &str)] = &[
    ("calendar", "Every so often from the first date"),
    ("after_done", "So long after it was last done"),
    (
        "in_season",
        "So long after it was last done, in a season only",
    ),
    ("months", "In these months, on this day"),
    ("before_season", "Some days before a season begins"),
    ("nth_weekday", "Such as the second Tuesday"),
    ("meter", "By run hours or another meter"),
    ("recurrence", "By a recurrence rule"),
    ("first_of", "Calendar or meter, whichever comes first"),
];

pub(super) const KIND: Want = want("kind", "Kind of plan", Takes::Choice(KINDS))
    .note("with the fields below, in place of rule; first_of takes the interval after it was last done and the meter's");
pub(super) const SEASON: Want = want("season", "Season", Takes::Texts)
    .note("first and last day as [\"05-01\", \"09-30\"]; for in_season and before_season");
pub(super) const LEAD: Want = want("lead_days", "Days before the season", Takes::Whole)
    .unit("d")
    .note("for before_season");
pub(super) const NTH: Want = want("nth", "Which one of the month", Takes::Number)
    .note("1 to 5, or -1 to -5 from the end; for nth_weekday");
pub(super) const WEEKDAY: Want =
    want("weekday", "Day of the week", Takes::Text).note("such as Tue; for nth_weekday");
pub(super) const EVERY_MONTHS: Want = want("every_months", "Every so many months", Takes::Whole)
    .note("for nth_weekday; blank is every month");
pub(super) const MONTHS: Want =
    want("months", "Months", Takes::Numbers).note("1 to 12; for months");
pub(super) const DAY: Want = want("day", "Day of the month", Takes::Whole)
    .note("1 to 31; a day that a month does not have is its last one; for months");
pub(super) const METER: Want = want("meter_every", "Units between services", Takes::Number)
    .note("above zero, in the meter's unit; for meter and first_of");
pub(super) const RRULE: Want = want("rrule", "Recurrence rule", Takes::Text)
    .note("such as FREQ=MONTHLY;BYDAY=1MO; for recurrence");

/// Field of the form, and its name in the rule.
const PLAIN: [(&str, &str); 9] = [
    ("every", "every"),
    ("season", "season"),
    ("lead_days", "lead_days"),
    ("nth", "nth"),
    ("weekday", "weekday"),
    ("every_months", "every_months"),
    ("months", "months"),
    ("day", "day"),
    ("rrule", "rule"),
];

/// The rule: `rule` as JSON, or `kind` with its fields.
pub(super) fn rule(given: &Given) -> Result<Rule, Trouble> {
    let kind = given.choice("kind")?;
    match (given.raw("rule"), kind) {
        (Some(_), Some(_)) => Err(Trouble::of("kind", "Give rule or kind, not both")),
        (Some(value), None) => one(value, "rule", 0),
        (None, Some(kind)) => plain(given, kind),
        (None, None) => Err(Trouble::of(
            "kind",
            "Not given: kind of plan, with its fields; or a rule",
        )),
    }
}

fn plain(given: &Given, kind: &str) -> Result<Rule, Trouble> {
    let meter = given.raw("meter_every");
    if kind == "first_of" {
        let every = given.need("every", given.raw("every"))?;
        let meter = given.need("meter_every", meter)?;
        let rules = vec![
            one(&json!({"kind": "after_done", "every": every}), "", 0)?,
            one(&json!({"kind": "meter", "every": meter}), "", 0).map_err(of_meter)?,
        ];
        return Ok(Rule::FirstOf { rules });
    }
    let mut fields = Map::new();
    fields.insert("kind".into(), kind.into());
    let takes = fields_of(kind);
    for (field, name) in PLAIN {
        if let Some(value) = given.raw(field).filter(|_| takes.contains(&name)) {
            fields.insert(name.into(), value.clone());
        }
    }
    if kind == "meter" {
        let meter = given.need("meter_every", meter)?;
        fields.insert("every".into(), meter.clone());
    }
    let trouble = |trouble: Trouble| match (kind, trouble.field.as_deref()) {
        ("meter", _) => of_meter(trouble),
        ("recurrence", Some("rule")) => Trouble::of("rrule", trouble.message),
        _ => trouble,
    };
    one(&Value::Object(fields), "", 0).map_err(trouble)
}

fn of_meter(trouble: Trouble) -> Trouble {
    Trouble::of("meter_every", trouble.message)
}

/// The fields that a kind of rule takes beside its kind.
fn fields_of(kind: &str) -> &'static [&'static str] {
    match kind {
        "calendar" | "after_done" | "meter" => &["every"],
        "in_season" => &["every", "season"],
        "months" => &["months", "day"],
        "before_season" => &["start", "season", "lead_days"],
        "nth_weekday" => &["nth", "weekday", "every_months"],
        "recurrence" => &["rule"],
        _ => &["rules"],
    }
}

/// One rule, with the place of its fields for the sentence about them.
struct Part<'a> {
    fields: &'a Map<String, Value>,
    place: &'a str,
}

impl<'a> Part<'a> {
    fn at(&self, name: &str) -> String {
        match self.place {
            "" => name.to_owned(),
            place => format!("{place}.{name}"),
        }
    }

    fn bad(&self, name: &str, words: &str) -> Trouble {
        Trouble::of(self.at(name), words)
    }

    fn need(&self, name: &str, words: &str) -> Result<&'a Value, Trouble> {
        let value = self.fields.get(name).filter(|value| !value.is_null());
        value.ok_or_else(|| self.bad(name, words))
    }

    /// A whole number of a range; a text is read too.
    fn whole(&self, name: &str, low: i64, high: i64, words: &str) -> Result<i64, Trouble> {
        let found = whole(self.need(name, words)?);
        found
            .filter(|n| (low..=high).contains(n))
            .ok_or_else(|| self.bad(name, words))
    }
}

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => text.trim().parse().ok(),
        _ => None,
    }
    .filter(|number: &f64| number.is_finite())
}

fn whole(value: &Value) -> Option<i64> {
    number(value)
        .filter(|n| n.fract() == 0.0 && n.abs() < 1e15)
        .map(|n| n as i64)
}

const KIND_IS: &str = "Give kind: one of calendar, after_done, in_season, months, before_season, nth_weekday, meter, recurrence, first_of";

fn one(value: &Value, place: &str, depth: u32) -> Result<Rule, Trouble> {
    let Value::Object(fields) = value else {
        let words = "Give the rule as {\"kind\": \"calendar\", \"every\": {\"months\": 3}}";
        return Err(Trouble::of(place, words));
    };
    let part = Part { fields, place };
    let kind = part.need("kind", KIND_IS)?.as_str();
    let kind = kind.filter(|kind| KINDS.iter().any(|(word, _)| word == kind));
    let kind = kind.ok_or_else(|| part.bad("kind", KIND_IS))?;
    let takes = fields_of(kind);
    let odd = fields
        .keys()
        .find(|key| *key != "kind" && !takes.contains(&key.as_str()));
    if let Some(odd) = odd {
        let words = format!("A rule of kind {kind} takes {} only", takes.join(", "));
        return Err(part.bad(odd, &words));
    }
    match kind {
        "calendar" => Ok(Rule::Calendar {
            every: every(&part)?,
        }),
        "after_done" => Ok(Rule::AfterDone {
            every: every(&part)?,
        }),
        "in_season" => Ok(Rule::InSeason {
            every: every(&part)?,
            season: season(&part)?,
        }),
        "months" => months(&part),
        "before_season" => before(&part),
        "nth_weekday" => nth_weekday(&part),
        "meter" => meter(&part),
        "recurrence" => recurrence(&part),
        _ => several(&part, depth),
    }
}

const EVERY_IS: &str = "Give one of days, weeks, months and years, such as {\"months\": 3}";

fn every(part: &Part) -> Result<Every, Trouble> {
    let value = part.need("every", EVERY_IS)?;
    let fields = value.as_object();
    let given: Vec<(&String, &Value)> = fields
        .into_iter()
        .flatten()
        .filter(|(_, value)| !value.is_null())
        .collect();
    let [(unit, value)] = given.as_slice() else {
        return Err(part.bad("every", EVERY_IS));
    };
    let place = format!("every.{unit}");
    let count = whole(value)
        .and_then(|n| u32::try_from(n).ok())
        .filter(|n| *n >= 1)
        .ok_or_else(|| part.bad(&place, "Give a whole number, 1 or more"))?;
    let found = read::make_every(unit, count).ok_or_else(|| part.bad("every", EVERY_IS))?;
    if read::too_long(found) {
        return Err(part.bad(&place, &format!("Give at most {MOST_YEARS} years")));
    }
    Ok(found)
}

/// `"10-01"` or `{"month": 10, "day": 1}`.
fn month_day(value: &Value) -> Option<MonthDay> {
    match value {
        Value::String(text) => MonthDay::read(text),
        Value::Object(fields) => {
            let (month, day) = (whole(fields.get("month")?)?, whole(fields.get("day")?)?);
            MonthDay::read(&format!("{month}-{day}"))
        }
        _ => None,
    }
}

/// `["05-01", "09-30"]` or `{"start": ..., "end": ...}`.
fn season(part: &Part) -> Result<Season, Trouble> {
    const WORDS: &str = "Give the first and the last day as [\"05-01\", \"09-30\"]";
    let value = part.need("season", WORDS)?;
    let ends = match value {
        Value::Array(days) => match days.as_slice() {
            [start, end] => Some((start, end)),
            _ => None,
        },
        Value::Object(fields) => fields.get("start").zip(fields.get("end")),
        _ => None,
    };
    let read = ends.and_then(|(start, end)| Some((month_day(start)?, month_day(end)?)));
    let (start, end) = read.ok_or_else(|| part.bad("season", WORDS))?;
    Ok(Season { start, end })
}

fn before(part: &Part) -> Result<Rule, Trouble> {
    const WORDS: &str = "Give the season's first day as 10-01";
    let start = match part.fields.get("season").filter(|season| !season.is_null()) {
        Some(_) => season(part)?.start,
        None => month_day(part.need("start", WORDS)?).ok_or_else(|| part.bad("start", WORDS))?,
    };
    let lead = part.whole(
        "lead_days",
        0,
        366,
        "Give the days before the season, 0 to 366",
    )?;
    Ok(Rule::BeforeSeason {
        start,
        lead_days: lead as u32,
    })
}

fn months(part: &Part) -> Result<Rule, Trouble> {
    const WORDS: &str = "Give the months as numbers, such as [1, 7]";
    let list = part.need("months", WORDS)?.as_array();
    let read = |month: &Value| whole(month).filter(|month| (1..=12).contains(month));
    let months: Option<Vec<u8>> = list
        .filter(|list| (1..=12).contains(&list.len()))
        .and_then(|list| list.iter().map(|month| Some(read(month)? as u8)).collect());
    Ok(Rule::Months {
        months: months.ok_or_else(|| part.bad("months", WORDS))?,
        day: part.whole("day", 1, 31, "Give the day of the month, 1 to 31")? as u8,
    })
}

fn nth_weekday(part: &Part) -> Result<Rule, Trouble> {
    const NTH_IS: &str = "Give which one of the month: 1 to 5, or -1 to -5 from the end";
    const DAY_IS: &str = "Give a weekday, such as Tue, or 1 for Monday to 7";
    let nth = part.whole("nth", -5, 5, NTH_IS)?;
    if nth == 0 {
        return Err(part.bad("nth", NTH_IS));
    }
    let day = part.need("weekday", DAY_IS)?;
    let numbered = || {
        let number = whole(day).filter(|number| (1..=7).contains(number))?;
        Some(time::Weekday::Monday.nth_next((number - 1) as u8))
    };
    let named = day.as_str().and_then(weekday);
    let every = part.fields.get("every_months").filter(|n| !n.is_null());
    let words = "Give the months between, 1 to 12000";
    Ok(Rule::NthWeekday {
        nth: nth as i8,
        weekday: named
            .or_else(numbered)
            .ok_or_else(|| part.bad("weekday", DAY_IS))?,
        every_months: match every {
            Some(_) => part.whole("every_months", 1, 12_000, words)? as u32,
            None => 1,
        },
    })
}

fn meter(part: &Part) -> Result<Rule, Trouble> {
    const WORDS: &str = "Give the units between two services, above zero";
    let every = number(part.need("every", WORDS)?).filter(|n| *n > 0.0 && *n <= 1e12);
    Ok(Rule::Meter {
        every: every.ok_or_else(|| part.bad("every", WORDS))?,
    })
}

fn recurrence(part: &Part) -> Result<Rule, Trouble> {
    const WORDS: &str = "Give a recurrence rule, such as FREQ=MONTHLY;BYDAY=1MO";
    let rule = part.need("rule", WORDS)?.as_str();
    let rule = rule.ok_or_else(|| part.bad("rule", WORDS))?;
    if let Err(why) = rule.parse::<Recurrence>() {
        return Err(part.bad("rule", &read::sentence(&why.to_string())));
    }
    Ok(Rule::Recurrence { rule: rule.into() })
}

fn several(part: &Part, depth: u32) -> Result<Rule, Trouble> {
    const WORDS: &str = "Give 1 to 20 rules in a list, not nested more than three deep";
    let list = part.need("rules", WORDS)?.as_array();
    let list = list
        .filter(|list| (1..=20).contains(&list.len()) && depth < 3)
        .ok_or_else(|| part.bad("rules", WORDS))?;
    let at = part.at("rules");
    let rules = list
        .iter()
        .enumerate()
        .map(|(n, rule)| one(rule, &format!("{at}.{n}"), depth + 1))
        .collect::<Result<_, _>>()?;
    Ok(Rule::FirstOf { rules })
}

/// Whether the dates cannot be told without a first date.
pub(super) fn needs_anchor(rule: &Rule, done: bool) -> bool {
    match rule {
        Rule::Calendar { .. } | Rule::Recurrence { .. } => true,
        Rule::AfterDone { .. } | Rule::InSeason { .. } => !done,
        Rule::NthWeekday { every_months, .. } => *every_months != 1,
        Rule::Months { .. } | Rule::BeforeSeason { .. } | Rule::Meter { .. } => false,
        Rule::FirstOf { rules } => rules.iter().any(|rule| needs_anchor(rule, done)),
    }
}
