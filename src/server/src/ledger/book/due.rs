//! Planned work against its dates: pure, from the state of a due item and its days.

use super::queries::Counted;
use time::{Date, Duration};

/// Due items that are alike in what the figure looks at.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Alike {
    pub state: String,
    pub due_on: Date,
    pub done_on: Option<Date>,
    pub window_days: i64,
    /// Something is written on it: for a missed one, a person's reason.
    pub noted: bool,
    pub items: i64,
}

/// The part that an item belongs to. Missed without a reason is never waived.
pub fn part(item: &Alike, today: Date) -> &'static str {
    let last = item.due_on.checked_add(Duration::days(item.window_days));
    let beyond = |on: Date| last.is_some_and(|last| on > last);
    match (item.state.as_str(), item.done_on) {
        ("done", Some(on)) if beyond(on) => "late",
        ("done", Some(_)) => "in_window",
        ("done", None) => "done_some_day",
        ("could_not", _) => "could_not",
        ("waived", _) => "waived",
        ("missed", _) if item.noted => "missed_reason",
        ("missed", _) => "missed",
        _ if beyond(today) => "overdue",
        _ => "not_yet",
    }
}

/// Counts by part.
pub fn parts(alike: &[Alike], today: Date) -> Vec<Counted> {
    let one = |item: &Alike| Counted {
        bucket: part(item, today).to_owned(),
        sub: "all".to_owned(),
        jobs: item.items,
        total: 0,
        known: 0,
    };
    super::tally::together([alike.iter().map(one).collect()])
}

/// The states that a part's items have, to look for no others.
pub fn state_of(part: &str) -> &'static str {
    match part {
        "late" | "in_window" | "done_some_day" => "done",
        "missed_reason" | "missed" => "missed",
        "could_not" => "could_not",
        "waived" => "waived",
        _ => "open",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn item(state: &str, done_on: Option<Date>, noted: bool) -> Alike {
        Alike {
            state: state.to_owned(),
            due_on: date!(2026 - 11 - 10),
            done_on,
            window_days: 5,
            noted,
            items: 1,
        }
    }

    #[test]
    fn each_item_is_in_one_part_and_a_missed_one_is_never_waived() {
        let today = date!(2026 - 11 - 25);
        for (state, done_on, noted, expected) in [
            ("done", Some(date!(2026 - 11 - 15)), false, "in_window"),
            ("done", Some(date!(2026 - 11 - 16)), false, "late"),
            ("done", None, false, "done_some_day"),
            ("could_not", Some(today), true, "could_not"),
            ("missed", Some(today), false, "missed"),
            ("missed", Some(today), true, "missed_reason"),
            ("waived", Some(today), true, "waived"),
            ("open", None, false, "overdue"),
        ] {
            let item = item(state, done_on, noted);
            assert_eq!(part(&item, today), expected);
            assert_eq!(
                state_of(expected),
                if expected == "overdue" { "open" } else { state }
            );
        }
        assert_eq!(
            part(&item("open", None, false), date!(2026 - 11 - 15)),
            "not_yet"
        );
    }
}
