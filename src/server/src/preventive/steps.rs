//! What has to happen to one plan's items by a day: pure, so that running it twice, late or after a week
//! switched off comes to the same.

use super::ahead;
use calc::due::{self, Due, Meter, MeterReading, Rule};
use time::Date;

/// One item as the steps see it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    pub id: i64,
    pub due_on: Date,
    pub state: String,
    pub done_on: Option<Date>,
    /// A job was made of it: it waits for the job, however long.
    pub at_work: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// The next item stands open.
    Make(Due),
    /// A date that passed while the item before it was still open or at work.
    Passed(Due),
    /// This open item was not done by the next date.
    Miss { item: i64, on: Date },
}

/// The dates of these rules never move, so that one can pass while another is open.
pub fn fixed(rule: &Rule) -> bool {
    matches!(
        rule,
        Rule::Calendar { .. }
            | Rule::Months { .. }
            | Rule::BeforeSeason { .. }
            | Rule::NthWeekday { .. }
            | Rule::Recurrence { .. }
    )
}

/// A plan as far as its dates go.
#[derive(Clone, Copy, Debug)]
pub struct Dates<'a> {
    pub rule: &'a Rule,
    pub anchor: Date,
    /// The present rule's first day.
    pub since: Option<Date>,
}

/// More than any plan can need at once: ten years of days.
const MOST: usize = 3660;

/// What to do, in order, so that everything due by `today` is there once and one item stands ahead.
pub fn steps(dates: Dates<'_>, past: &[Item], readings: &[MeterReading], today: Date) -> Vec<Step> {
    let mut past = past.to_vec();
    let mut list = Vec::new();
    while list.len() < MOST {
        let found = if fixed(dates.rule) {
            fixed_step(dates, &past, today)
        } else {
            floating_step(dates, &past, readings)
        };
        let Some(step) = found else { break };
        take(&mut past, &step);
        list.push(step);
    }
    // What was made open and passed in the same run has no row yet: it goes in as passed.
    let passed = |step: &Step| matches!(step, Step::Miss { item: 0, .. });
    let mut at = 0;
    while let Some(miss) = list.iter().skip(at).position(passed) {
        let miss = at + miss;
        list.remove(miss);
        at = miss;
        let before = list[..miss]
            .iter()
            .rposition(|s| matches!(s, Step::Make(_)));
        if let Some(before) = before
            && let Step::Make(due) = list[before].clone()
        {
            list[before] = Step::Passed(due);
        }
    }
    list
}

fn take(past: &mut Vec<Item>, step: &Step) {
    let item = |due: &Due, state: &str, done_on| Item {
        id: 0,
        due_on: due.on,
        state: state.to_owned(),
        done_on,
        at_work: false,
    };
    match step {
        Step::Make(due) => past.push(item(due, "open", None)),
        Step::Passed(due) => past.push(item(due, "missed", Some(due.on))),
        Step::Miss { item, on } => {
            let open = |i: &&mut Item| i.id == *item && i.state == "open";
            if let Some(open) = past.iter_mut().find(open) {
                open.state = "missed".to_owned();
                open.done_on = Some(*on);
            }
        }
    }
}

/// The rule's next date after what is there.
fn grid(dates: Dates<'_>, after: Date) -> Option<Due> {
    due::next(dates.rule, dates.anchor, None, after, &Meter::default()).ok()
}

fn fixed_step(dates: Dates<'_>, past: &[Item], today: Date) -> Option<Step> {
    let first = dates.since.unwrap_or(dates.anchor).max(dates.anchor);
    let before = first.previous_day().unwrap_or(first);
    let last = past.iter().map(|item| item.due_on).max();
    let next = grid(dates, last.unwrap_or(before).max(before))?;
    match past.iter().find(|item| item.state == "open") {
        Some(open) if next.on > today || next.on <= open.due_on => None,
        Some(open) if open.at_work => Some(Step::Passed(next)),
        Some(open) => Some(Step::Miss {
            item: open.id,
            on: next.on,
        }),
        // Done later than its next dates: those passed meanwhile.
        None if ahead::last_done_of(past).is_some_and(|done| next.on <= done) => {
            Some(Step::Passed(next))
        }
        None => Some(Step::Make(next)),
    }
}

fn floating_step(dates: Dates<'_>, past: &[Item], readings: &[MeterReading]) -> Option<Step> {
    if past.iter().any(|item| item.state == "open") {
        return None;
    }
    let past: Vec<_> = past
        .iter()
        .map(|item| (item.due_on, item.state.clone(), item.done_on))
        .collect();
    ahead::next(dates.rule, dates.anchor, &past, readings).map(Step::Make)
}

#[cfg(test)]
mod tests {
    use super::*;
    use calc::due::Every;
    use time::macros::date;

    fn item(id: i64, due_on: Date, state: &str, done_on: Option<Date>) -> Item {
        Item {
            id,
            due_on,
            state: state.to_owned(),
            done_on,
            at_work: false,
        }
    }

    fn weekly() -> Rule {
        Rule::Calendar {
            every: Every::Weeks(1),
        }
    }

    fn run(past: &[Item], today: Date) -> Vec<(char, Date)> {
        let rule = weekly();
        let dates = Dates {
            rule: &rule,
            anchor: date!(2026 - 01 - 05),
            since: None,
        };
        steps(dates, past, &[], today)
            .into_iter()
            .map(|step| match step {
                Step::Make(due) => ('+', due.on),
                Step::Passed(due) => ('-', due.on),
                Step::Miss { on, .. } => ('x', on),
            })
            .collect()
    }

    #[test]
    fn three_weeks_switched_off_lose_no_date() {
        let past = [item(1, date!(2026 - 01 - 05), "open", None)];
        assert_eq!(run(&past, date!(2026 - 01 - 11)), []);
        assert_eq!(
            run(&past, date!(2026 - 01 - 28)),
            [
                ('x', date!(2026 - 01 - 12)),
                ('-', date!(2026 - 01 - 12)),
                ('-', date!(2026 - 01 - 19)),
                ('+', date!(2026 - 01 - 26)),
            ]
        );
    }

    #[test]
    fn work_under_way_stays_open_and_the_dates_that_pass_are_missed() {
        let mut open = item(1, date!(2026 - 01 - 05), "open", None);
        open.at_work = true;
        assert_eq!(
            run(&[open], date!(2026 - 01 - 20)),
            [('-', date!(2026 - 01 - 12)), ('-', date!(2026 - 01 - 19))]
        );
    }

    #[test]
    fn work_done_late_leaves_the_grid_where_it_is() {
        let done = Some(date!(2026 - 01 - 14));
        let past = [item(1, date!(2026 - 01 - 05), "done", done)];
        assert_eq!(
            run(&past, date!(2026 - 01 - 14)),
            [('-', date!(2026 - 01 - 12)), ('+', date!(2026 - 01 - 19))]
        );
    }

    #[test]
    fn a_clock_that_goes_back_makes_nothing() {
        let past = [item(1, date!(2026 - 01 - 26), "open", None)];
        assert_eq!(run(&past, date!(2026 - 01 - 02)), []);
    }
}
