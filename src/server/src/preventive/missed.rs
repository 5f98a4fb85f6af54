//! Missed and late: by building and month, and how it goes from month to month. Missed is what nobody
//! did and nobody gave a reason for; it stays missed and is never counted as waived.

use super::missed_queries::{self as queries, Missed, Tally};
use crate::error::AppError;
use crate::machines::queries::Place;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use std::collections::BTreeMap;
use time::{Date, Duration};

/// The months shown, this one last.
const MONTHS: usize = 12;
const MOST: i64 = 200;

/// How the items that fell due in a month came out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Month {
    name: String,
    due: i64,
    in_time: i64,
    late: i64,
    could_not: i64,
    missed: i64,
    waived: i64,
    /// Open and past its window.
    overdue: i64,
    /// Open and not beyond its window.
    open: i64,
}

impl Month {
    fn add(&mut self, tally: &Tally, today: Date) {
        self.due += tally.items;
        let late = |on: Date| (on - tally.due_on).whole_days() > tally.window_days;
        let slot = match tally.state.as_str() {
            "done" if tally.done_on.is_some_and(late) => &mut self.late,
            "done" => &mut self.in_time,
            "could_not" => &mut self.could_not,
            "missed" => &mut self.missed,
            "waived" => &mut self.waived,
            _ if beyond(tally, today) => &mut self.missed,
            _ if late(today) => &mut self.overdue,
            _ => &mut self.open,
        };
        *slot += tally.items;
    }

    /// Done in the window, of what fell due and is not still within its window.
    fn share(&self) -> String {
        match self.due - self.open {
            0 => "none yet".to_owned(),
            of => format!("{} % of {of}", (self.in_time * 100 + of / 2) / of),
        }
    }
}

#[derive(Template)]
#[template(path = "preventive/missed.html")]
struct MissedPage {
    layout: Layout,
    months: Vec<Month>,
    /// Missed by building, a figure for each month.
    buildings: Vec<(String, Vec<i64>, i64)>,
    list: Vec<(Missed, String)>,
    /// Still open beyond their hard limit.
    beyond: Vec<super::DueItem>,
    more: bool,
}

/// Open, and past the hard limit of its plan: nobody did it in time and nobody said why.
fn beyond(tally: &Tally, today: Date) -> bool {
    let limit = super::Needs::read(&tally.needs).ok();
    let limit = limit.and_then(|needs| needs.hard_limit(tally.due_on));
    tally.state == "open" && limit.is_some_and(|limit| today > limit)
}

/// The building that a place is in, or its site where it is in none.
fn building(places: &[Place], id: i64) -> String {
    let mut at = places.iter().find(|place| place.id == id);
    let mut name = String::new();
    while let Some(place) = at {
        name.clone_from(&place.path);
        if place.kind == "building" {
            break;
        }
        at = place
            .parent_id
            .and_then(|up| places.iter().find(|place| place.id == up));
    }
    name
}

fn first(day: Date) -> Date {
    day.replace_day(1).unwrap_or(day)
}

fn months(today: Date) -> Vec<Date> {
    let mut list = vec![first(today)];
    while list.len() < MONTHS {
        let last = list[list.len() - 1];
        list.push(first(last - Duration::days(1)));
    }
    list.reverse();
    list
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(&[
        Role::Technician,
        Role::Supervisor,
        Role::Auditor,
        Role::Keeper,
    ])?;
    let today = app.today();
    let starts = months(today);
    let from = starts[0];
    let places = crate::machines::queries::places(&app.db).await?;
    let mut months: Vec<Month> = starts
        .iter()
        .map(|start| Month {
            name: format!("{} {}", &start.month().to_string()[..3], start.year()),
            ..Month::default()
        })
        .collect();
    let mut buildings: BTreeMap<String, Vec<i64>> = BTreeMap::new();
    let mut known: BTreeMap<i64, String> = BTreeMap::new();
    for tally in queries::tallies(&app.db, from, today).await? {
        let at = starts.partition_point(|start| *start <= tally.due_on);
        let Some(at) = at.checked_sub(1) else {
            continue;
        };
        months[at].add(&tally, today);
        if tally.state == "missed" || beyond(&tally, today) {
            let name = known
                .entry(tally.place_id)
                .or_insert_with(|| building(&places, tally.place_id));
            let line = buildings
                .entry(name.clone())
                .or_insert_with(|| vec![0; MONTHS]);
            line[at] += tally.items;
        }
    }
    let open = super::queries::open_before(&app.db, today, 0, MOST).await?;
    let list = queries::missed(&app.db, from, today, MOST).await?;
    Ok(Page(MissedPage {
        layout: Layout::new(&app, &user.visitor, "Preventive"),
        beyond: open
            .into_iter()
            .filter(|item| item.beyond_limit(today))
            .collect(),
        months,
        buildings: buildings
            .into_iter()
            .map(|(name, line)| {
                let all = line.iter().sum();
                (name, line, all)
            })
            .collect(),
        more: list.len() >= usize::try_from(MOST).unwrap_or(usize::MAX),
        list: list
            .into_iter()
            .map(|missed| {
                let name = building(&places, missed.place_id);
                (missed, name)
            })
            .collect(),
    })
    .into_response())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn tally(state: &str, due_on: Date, done_on: Option<Date>) -> Tally {
        Tally {
            place_id: 1,
            due_on,
            state: state.to_owned(),
            done_on,
            window_days: 5,
            needs: "{}".to_owned(),
            items: 2,
        }
    }

    #[test]
    fn missed_is_never_waived_and_late_is_not_in_time() {
        let (due, today) = (date!(2026 - 11 - 01), date!(2026 - 11 - 25));
        let mut month = Month::default();
        month.add(&tally("done", due, Some(date!(2026 - 11 - 06))), today);
        month.add(&tally("done", due, Some(date!(2026 - 11 - 07))), today);
        month.add(&tally("missed", due, Some(today)), today);
        month.add(&tally("open", due, None), today);
        month.add(&tally("open", date!(2026 - 11 - 22), None), today);
        let figures = (month.in_time, month.late, month.missed, month.waived);
        assert_eq!(figures, (2, 2, 2, 0));
        assert_eq!((month.overdue, month.open), (2, 2));
        assert_eq!(month.share(), "25 % of 8");
    }

    #[test]
    fn twelve_months_end_with_this_one() {
        let list = months(date!(2026 - 03 - 31));
        assert_eq!(list.len(), MONTHS);
        assert_eq!(list[0], date!(2025 - 04 - 01));
        assert_eq!(list[11], date!(2026 - 03 - 01));
    }
}
