//! The ledger's figures, each with the rows it counts: pure, so that a figure and its rows cannot
//! disagree.

use super::queries::Row;
use crate::clock::{DAY, Millis};
use crate::jobs::State;
use crate::preventive::DueItem;
use time::Date;

/// Two corrective jobs on one machine this close together are a repeat (common practice: 30 days for
/// small plant, 90 for large).
pub const REPEAT_DAYS: i64 = 90;

/// A job that nobody planned: neither made from a due item nor turned away.
pub fn corrective(row: &Row) -> bool {
    row.due_item_id.is_none() && !matches!(row.state.as_str(), "turned_down" | "joined")
}

/// A later job on a machine that had an earlier one not long before.
#[derive(Clone, Debug, PartialEq)]
pub struct Repeat {
    pub earlier: Row,
    pub later: Row,
    pub days: i64,
}

/// Every job that followed another corrective job on its machine within [`REPEAT_DAYS`], newest
/// first. `rows` are newest first.
pub fn repeats(rows: &[Row]) -> Vec<Repeat> {
    let corrective: Vec<&Row> = rows.iter().filter(|row| corrective(row)).collect();
    let mut repeats = Vec::new();
    for (at, later) in corrective.iter().enumerate() {
        let Some(machine) = later.machine_id else {
            continue;
        };
        let earlier = corrective[at + 1..]
            .iter()
            .find(|row| row.machine_id == Some(machine));
        let Some(earlier) = earlier else { continue };
        let days = days_between(earlier.reported_at, later.reported_at);
        if days <= REPEAT_DAYS {
            let (earlier, later) = ((*earlier).clone(), (*later).clone());
            repeats.push(Repeat {
                earlier,
                later,
                days,
            });
        }
    }
    repeats
}

fn days_between(earlier: Millis, later: Millis) -> i64 {
    (later - earlier).div_euclid(DAY)
}

/// Open jobs by state, in the order of work; states without a job are left out.
pub fn open_by_state(rows: &[Row]) -> Vec<(State, usize)> {
    State::ALL
        .into_iter()
        .filter(|state| !state.ended())
        .map(|state| {
            (
                state,
                rows.iter().filter(|row| row.state == state.word()).count(),
            )
        })
        .filter(|(_, count)| *count > 0)
        .collect()
}

/// Planned work of a span of days: due, done in its window, done late, not done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Kept {
    pub due: Vec<DueItem>,
    pub in_window: usize,
    pub late: usize,
    pub not_done: usize,
}

/// Items whose date and window have passed; an item still inside its window is not judged.
pub fn kept(items: Vec<DueItem>, today: Date) -> Kept {
    let judged = |item: &DueItem| item.state != "open" || item.overdue(today);
    let due: Vec<DueItem> = items.into_iter().filter(judged).collect();
    let in_window = due.iter().filter(|item| item.done_in_window()).count();
    let done = due.iter().filter(|item| item.state == "done").count();
    let (late, not_done) = (done - in_window, due.len() - done);
    Kept {
        due,
        in_window,
        late,
        not_done,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jobs::JobId;
    use crate::machines::MachineId;

    fn row(id: i64, machine: i64, day: i64) -> Row {
        Row {
            id: JobId(id),
            state: "signed_off".to_owned(),
            machine_id: Some(MachineId(machine)),
            tag: None,
            machine: None,
            place_id: None,
            due_item_id: None,
            words: String::new(),
            reported_at: day * DAY,
            signed_at: None,
            component: String::new(),
            cause: String::new(),
        }
    }

    #[test]
    fn a_repeat_is_the_same_machine_within_ninety_days() {
        let rows = [
            row(5, 2, 300),
            row(4, 1, 191),
            row(3, 1, 100),
            row(2, 2, 80),
            row(1, 1, 10),
        ];
        let found: Vec<_> = repeats(&rows)
            .iter()
            .map(|r| (r.later.id.0, r.days))
            .collect();
        assert_eq!(found, [(3, 90)]);
    }

    #[test]
    fn planned_work_and_turned_down_jobs_are_no_repeats() {
        let mut rows = [row(2, 1, 20), row(1, 1, 10)];
        rows[0].due_item_id = Some(7);
        assert!(repeats(&rows).is_empty());
        rows[0].due_item_id = None;
        rows[0].state = "turned_down".to_owned();
        assert!(repeats(&rows).is_empty());
    }
}
