//! The Desk: what came in, what waits and why, who has what, which locks stand.

use super::body::HoldReason;
use super::detail::beside::FixShown;
use super::detail::{review, temporary};
use super::response_words::{self, ResponseShown};
use super::{Job, State, gate, queries};
use crate::clock::{DAY, date_words};
use crate::error::AppError;
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::State as AppStateIn;
use axum::response::{IntoResponse, Response};
use time::{Date, Duration};

/// One job in a list of the Desk.
struct Row {
    id: i64,
    tag: String,
    what: String,
    words: String,
    state: &'static str,
    who: String,
    day: String,
    late: bool,
    age: String,
    note: String,
    response: ResponseShown,
}

/// One person's planned hours on the days ahead.
struct Load {
    person: String,
    days: Vec<String>,
    unknown: usize,
}

#[derive(Template)]
#[template(path = "jobs/desk.html")]
struct DeskPage {
    layout: Layout,
    new: Vec<Row>,
    to_hand_out: Vec<Row>,
    under_way: Vec<Row>,
    waiting: Vec<Row>,
    to_sign: Vec<Row>,
    days: Vec<String>,
    loads: Vec<Load>,
    locks: Vec<gate::Lock>,
    overdue: i64,
    reviews: Vec<review::Owed>,
    fixes: Vec<FixShown>,
}

pub(super) fn age(at: i64, now: i64) -> String {
    match (now - at) / DAY {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        days => format!("{days} days ago"),
    }
}

fn note(job: &Job) -> String {
    match job.state {
        State::Held => {
            let why = HoldReason::words_of(job.held_for.as_deref().unwrap_or("other"));
            if job.held_note.is_empty() {
                why.to_owned()
            } else {
                format!("{why}: {}", job.held_note)
            }
        }
        State::TestOwed => job
            .test_owed_on
            .map_or_else(String::new, |d| format!("test owed by {}", date_words(d))),
        State::OnTest if job.must_isolate_again() => "the proof was failed".to_owned(),
        _ => String::new(),
    }
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor, Role::Auditor])?;
    let jobs = queries::open(&app.db).await?;
    let machines = machines::queries::with_open_jobs(&app.db).await?;
    let places = machines::queries::places(&app.db).await?;
    let people = people::queries::list(&app.db).await?;
    let targets = queries::targets(&app.db).await?;
    let (today, now, zone) = (app.today(), app.clock.now(), app.zone());
    let row = |job: &Job| {
        let machine: Option<&Machine> = job
            .machine_id
            .and_then(|id| machines.iter().find(|m| m.id == id));
        let place = machine.map(|m| m.place_id).or(job.place_id);
        let place = place.and_then(|id| places.iter().find(|p| p.id == id));
        Row {
            id: job.id.0,
            tag: machine.map_or_else(String::new, |m| m.tag.clone()),
            what: match (machine, place) {
                (Some(machine), _) => machine.name.clone(),
                (None, Some(place)) => place.path.clone(),
                (None, None) => String::new(),
            },
            words: job.words.clone(),
            state: job.state.words(),
            who: job
                .assigned_to
                .and_then(|id| people.iter().find(|p| p.id == id))
                .map_or_else(String::new, |p| p.name.clone()),
            day: job.planned_on.map_or_else(String::new, date_words),
            late: job.planned_on.is_some_and(|day| day < today)
                && !matches!(job.state, State::BackInService),
            age: age(job.reported_at, now),
            note: note(job),
            response: response_words::shown(job, &targets, &zone, now),
        }
    };
    let rows = |wanted: &[State]| {
        let mut rows: Vec<Row> = jobs
            .iter()
            .filter(|job| wanted.contains(&job.state))
            .map(row)
            .collect();
        // What is due soonest first; the rest in the order in which it came.
        rows.sort_by_key(|row| row.response.sort);
        rows
    };
    let days: Vec<Date> = (0..5).map(|n| today + Duration::days(n)).collect();
    let loads = people
        .iter()
        .filter(|p| !p.closed && matches!(p.role, Role::Technician | Role::Supervisor))
        .map(|person| load(person, &jobs, &days))
        .collect();
    let page = DeskPage {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        new: rows(&[State::Reported]),
        to_hand_out: rows(&[State::Planned]),
        under_way: rows(&[State::HandedOut, State::Isolated, State::OnTest]),
        waiting: rows(&[State::Held, State::TestOwed]),
        to_sign: rows(&[State::BackInService]),
        days: days.into_iter().map(date_words).collect(),
        loads,
        locks: queries::all_locks(&app.db).await?,
        overdue: queries::overdue_due_items(&app.db, today).await?,
        reviews: review::owed(&app).await?,
        fixes: temporary::open(&app).await?,
    };
    Ok(Page(page).into_response())
}

fn load(person: &people::Person, jobs: &[Job], days: &[Date]) -> Load {
    let own = |day: &Date| {
        let day = *day;
        jobs.iter().filter(move |j| {
            j.assigned_to == Some(person.id)
                && j.planned_on == Some(day)
                && matches!(j.state, State::HandedOut | State::Isolated | State::OnTest)
        })
    };
    Load {
        person: person.name.clone(),
        days: days
            .iter()
            .map(|day| {
                let minutes: i64 = own(day).filter_map(|j| j.minutes_planned).sum();
                let planned = minutes as f64 / 60.0;
                match person.hours_a_day {
                    Some(hours) => format!("{planned:.1} of {hours} h"),
                    None => format!("{planned:.1} h, of hours not known"),
                }
            })
            .collect(),
        // Work whose hours nobody gave is counted apart, never as zero.
        unknown: days
            .iter()
            .flat_map(own)
            .filter(|j| j.minutes_planned.is_none())
            .count(),
    }
}
