//! A plan's rule in words.

use calc::due::{Every, MonthDay, Rule};
use time::{Month, Weekday};

const ORDINALS: &[(i8, &str)] = &[
    (1, "first"),
    (2, "second"),
    (3, "third"),
    (4, "fourth"),
    (-1, "last"),
];

fn ordinal(nth: i8) -> String {
    ORDINALS
        .iter()
        .find(|(n, _)| *n == nth)
        .map_or_else(|| format!("no. {nth}"), |(_, words)| (*words).to_owned())
}

/// `every 3 months`, `every day`
pub fn every(every: Every) -> String {
    let (count, one, many) = match every {
        Every::Days(n) => (n, "day", "days"),
        Every::Weeks(n) => (n, "week", "weeks"),
        Every::Months(n) => (n, "month", "months"),
        Every::Years(n) => (n, "year", "years"),
    };
    if count == 1 {
        format!("every {one}")
    } else {
        format!("every {count} {many}")
    }
}

fn day(at: MonthDay) -> String {
    let month = Month::try_from(at.month).map_or_else(|_| at.month.to_string(), |m| m.to_string());
    format!("{} {month}", at.day)
}

pub fn weekday(weekday: Weekday) -> String {
    weekday.to_string()
}

/// The rule as one reads it aloud.
pub fn rule(rule: &Rule) -> String {
    match rule {
        Rule::Calendar { every: e } => format!("{}, whenever the last was done", every(*e)),
        Rule::AfterDone { every: e } => {
            format!("{}, counted from the day the last was done", every(*e))
        }
        Rule::InSeason { every: e, season } => format!(
            "{} after the last, from {} to {} only",
            every(*e),
            day(season.start),
            day(season.end)
        ),
        Rule::Months { months, day } => {
            let names: Vec<String> = months
                .iter()
                .filter_map(|m| Month::try_from(*m).ok())
                .map(|m| m.to_string())
                .collect();
            format!("on day {day} of {}", names.join(", "))
        }
        Rule::BeforeSeason { start, lead_days } => {
            format!("each year, {lead_days} days before {}", day(*start))
        }
        Rule::NthWeekday {
            nth,
            weekday: day,
            every_months,
        } => {
            let months = every(Every::Months(*every_months));
            format!("on the {} {}, {months}", ordinal(*nth), weekday(*day))
        }
        Rule::Meter { every } => format!("every {every} run hours of its meter"),
        Rule::Recurrence { rule } => format!("by the recurrence rule {rule}"),
        Rule::FirstOf { rules } => {
            let parts: Vec<String> = rules.iter().map(self::rule).collect();
            format!("whichever comes first: {}", parts.join("; "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_read_as_people_say_them() {
        let quarter = Rule::Calendar {
            every: Every::Months(3),
        };
        assert_eq!(rule(&quarter), "every 3 months, whenever the last was done");
        let monday = Rule::NthWeekday {
            nth: -1,
            weekday: Weekday::Monday,
            every_months: 1,
        };
        assert_eq!(rule(&monday), "on the last Monday, every month");
        let both = Rule::FirstOf {
            rules: vec![Rule::Meter { every: 250.0 }, quarter],
        };
        assert!(rule(&both).starts_with("whichever comes first: every 250 run hours"));
    }
}
