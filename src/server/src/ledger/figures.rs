//! The ledger's figures, each counted by the rule that its rows are listed by.

use crate::jobs::State;
use time::{Date, Duration};

/// Two corrective jobs on one machine this close together are a repeat (common practice: 30 days for
/// small plant, 90 for large).
pub const REPEAT_DAYS: i64 = 90;

/// Open jobs by state, in the order of work; states without a job are left out.
pub fn open_by_state(counts: &[(String, i64)]) -> Vec<(State, i64)> {
    let count = |state: State| {
        let of = counts.iter().find(|(word, _)| word == state.word());
        (state, of.map_or(0, |(_, count)| *count))
    };
    State::ALL
        .into_iter()
        .filter(|state| !state.ended())
        .map(count)
        .filter(|(_, count)| *count > 0)
        .collect()
}

/// Due items that are alike in what a figure looks at.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Group {
    pub state: String,
    pub due_on: Date,
    pub done_on: Option<Date>,
    pub window_days: i64,
    pub items: i64,
}

impl Group {
    fn last_day(&self) -> Option<Date> {
        self.due_on.checked_add(Duration::days(self.window_days))
    }

    pub fn overdue(&self, today: Date) -> bool {
        self.state == "open" && self.last_day().is_some_and(|last| today > last)
    }

    fn done_in_window(&self) -> bool {
        let in_window = |on: Date| self.last_day().is_none_or(|last| on <= last);
        self.state == "done" && self.done_on.is_some_and(in_window)
    }
}

pub fn overdue(groups: &[Group], today: Date) -> i64 {
    let late = groups.iter().filter(|group| group.overdue(today));
    late.map(|group| group.items).sum()
}

/// Planned work of a span of days: due, done in its window, done late, not done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    pub due: i64,
    pub in_window: i64,
    pub late: i64,
    pub not_done: i64,
}

/// Items whose date and window have passed; an item still inside its window is not judged.
pub fn kept(groups: &[Group], today: Date) -> Kept {
    let mut kept = Kept::default();
    for group in groups {
        let count = match group.state.as_str() {
            "open" if !group.overdue(today) => continue,
            "done" if group.done_in_window() => &mut kept.in_window,
            "done" => &mut kept.late,
            _ => &mut kept.not_done,
        };
        *count += group.items;
        kept.due += group.items;
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn group(state: &str, due_on: Date, done_on: Option<Date>, items: i64) -> Group {
        Group {
            state: state.to_owned(),
            due_on,
            done_on,
            window_days: 3,
            items,
        }
    }

    #[test]
    fn an_item_is_judged_when_its_window_has_passed() {
        let today = date!(2026 - 11 - 25);
        let groups = [
            group(
                "done",
                date!(2026 - 11 - 01),
                Some(date!(2026 - 11 - 04)),
                5,
            ),
            group(
                "done",
                date!(2026 - 11 - 01),
                Some(date!(2026 - 11 - 05)),
                2,
            ),
            group(
                "could_not",
                date!(2026 - 11 - 01),
                Some(date!(2026 - 11 - 01)),
                1,
            ),
            group("open", date!(2026 - 11 - 21), None, 4),
            group("open", date!(2026 - 11 - 22), None, 8),
        ];
        let expected = Kept {
            due: 12,
            in_window: 5,
            late: 2,
            not_done: 5,
        };
        assert_eq!(kept(&groups, today), expected);
        assert_eq!(overdue(&groups, today), 4);
    }

    #[test]
    fn states_stand_in_the_order_of_work() {
        let counts = [("held".to_owned(), 2), ("reported".to_owned(), 1)];
        let words: Vec<_> = open_by_state(&counts)
            .into_iter()
            .map(|(state, count)| (state.word(), count))
            .collect();
        assert_eq!(words, [("reported", 1), ("held", 2)]);
    }
}
