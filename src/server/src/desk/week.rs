//! The week by person and day, to look at and to print; and the month by day.

use super::board::day_words;
use super::{at, from_day, hours, monday, page::READERS, takes_hours};
use crate::clock::{date_value, date_words};
use crate::crew::Crew;
use crate::error::AppError;
use crate::jobs::{Job, State, queries};
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::preventive::{self, DueItem};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State as AppStateIn};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use time::{Date, Duration};

/// Due items read for a page.
const MOST: i64 = 2000;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct From {
    pub from: String,
}

/// One job or due item in a cell.
pub struct Piece {
    pub href: String,
    pub tag: String,
    pub words: String,
    pub hours: String,
}

pub struct Cell {
    pub day: String,
    pub hours: String,
    pub over: bool,
    pub pieces: Vec<Piece>,
}

struct PersonRow {
    name: String,
    cells: Vec<Cell>,
}

#[derive(Template)]
#[template(path = "desk/week.html")]
struct WeekPage {
    layout: Layout,
    title: String,
    days: Vec<String>,
    rows: Vec<PersonRow>,
    /// Due on the day and nobody's yet.
    due: Vec<Cell>,
    /// Handed out for a day before this week and not over.
    before: Vec<Piece>,
    earlier: String,
    later: String,
    propose: String,
    printed: String,
}

fn job_piece(job: &Job, machines: &[Machine]) -> Piece {
    let machine = machines.iter().find(|m| Some(m.id) == job.machine_id);
    let words = match job.scope.is_empty() {
        true => &job.words,
        false => &job.scope,
    };
    Piece {
        href: format!("/jobs/{}", job.id.0),
        tag: machine.map_or_else(String::new, |m| m.tag.clone()),
        words: format!("{}: {words}", job.id.0),
        hours: job
            .minutes_planned
            .map_or_else(|| "? h".to_owned(), |m| format!("{} h", hours(m))),
    }
}

fn due_piece(item: &DueItem) -> Piece {
    Piece {
        href: format!("/preventive/{}", item.plan_id),
        tag: item.tag.clone(),
        words: item.action.clone(),
        hours: item
            .minutes
            .map_or_else(|| "? h".to_owned(), |m| format!("{} h", hours(m))),
    }
}

/// Open, nobody's yet, and not done with a longer one.
fn waits(item: &DueItem) -> bool {
    item.state == "open" && item.job_id.is_none() && item.covered_by.is_none()
}

fn on_day(jobs: &[Job], person: i64, day: Date) -> Vec<&Job> {
    let own = |job: &&Job| {
        job.assigned_to.is_some_and(|id| id.0 == person)
            && job.planned_on == Some(day)
            && !matches!(job.state, State::Reported | State::Planned)
    };
    jobs.iter().filter(own).collect()
}

pub async fn week(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Query(from): Query<From>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let start = monday(from_day(&from.from, app.today()));
    let days: Vec<Date> = (0..7).map(|n| start + Duration::days(n)).collect();
    let jobs = queries::open(&app.db).await?;
    let machines = machines::queries::with_open_jobs(&app.db).await?;
    let crew = Crew::load(&app.db, start).await?;
    let rows = crew.people.iter().map(|person| PersonRow {
        name: person.name.clone(),
        cells: days
            .iter()
            .map(|day| {
                let own = on_day(&jobs, person.id.0, *day);
                let takes = own.iter().filter(|job| takes_hours(job));
                let minutes = takes.filter_map(|job| job.minutes_planned).sum();
                let shown = day_words(minutes, &crew.room(person, *day));
                Cell {
                    day: date_words(*day),
                    hours: shown.words,
                    over: shown.over,
                    pieces: own.iter().map(|job| job_piece(job, &machines)).collect(),
                }
            })
            .collect(),
    });
    let items = preventive::queries::items_between(&app.db, start, days[6], 0, MOST).await?;
    let due = days.iter().map(|day| Cell {
        day: date_words(*day),
        hours: String::new(),
        over: false,
        pieces: items
            .iter()
            .filter(|item| waits(item) && item.due_on == *day)
            .map(due_piece)
            .collect(),
    });
    let before = jobs
        .iter()
        .filter(|job| takes_hours(job) && job.planned_on.is_some_and(|day| day < start))
        .map(|job| job_piece(job, &machines));
    Ok(Page(WeekPage {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        title: format!("{} to {}", date_words(start), date_words(days[6])),
        rows: rows.collect(),
        due: due.collect(),
        before: before.collect(),
        days: days.iter().map(|day| date_words(*day)).collect(),
        earlier: at(start - Duration::days(7)),
        later: at(start + Duration::days(7)),
        propose: at(start),
        printed: app.zone().minute_words(app.clock.now()),
    })
    .into_response())
}

struct MonthDay {
    number: u8,
    words: String,
    inside: bool,
    today: bool,
    jobs: Vec<Piece>,
    due: Vec<Piece>,
    minutes: i64,
    week: String,
}

impl MonthDay {
    fn hours(&self) -> String {
        hours(self.minutes)
    }
}

#[derive(Template)]
#[template(path = "desk/month.html")]
struct MonthPage {
    layout: Layout,
    title: String,
    weeks: Vec<Vec<MonthDay>>,
    earlier: String,
    later: String,
}

pub async fn month(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Query(from): Query<From>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let today = app.today();
    let first = from_day(&from.from, today);
    let first = first.replace_day(1).unwrap_or(first);
    let next = first + Duration::days(32);
    let next = next.replace_day(1).unwrap_or(next);
    let start = monday(first);
    let weeks = ((next - start).whole_days() + 6) / 7;
    let last = start + Duration::days(weeks * 7 - 1);
    let jobs = queries::open(&app.db).await?;
    let machines = machines::queries::with_open_jobs(&app.db).await?;
    let items = preventive::queries::items_between(&app.db, start, last, 0, MOST).await?;
    let day = |on: Date| {
        let own = |job: &&Job| job.planned_on == Some(on) && job.assigned_to.is_some();
        let own: Vec<&Job> = jobs.iter().filter(own).collect();
        let due = items.iter().filter(|item| waits(item) && item.due_on == on);
        MonthDay {
            number: on.day(),
            words: date_words(on),
            inside: on.month() == first.month(),
            today: on == today,
            minutes: own.iter().filter_map(|job| job.minutes_planned).sum(),
            jobs: own.iter().map(|job| job_piece(job, &machines)).collect(),
            due: due.map(due_piece).collect(),
            week: date_value(monday(on)),
        }
    };
    Ok(Page(MonthPage {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        title: format!("{} {}", first.month(), first.year()),
        weeks: (0..weeks)
            .map(|w| {
                (0..7)
                    .map(|n| day(start + Duration::days(w * 7 + n)))
                    .collect()
            })
            .collect(),
        earlier: at(first - Duration::days(1)),
        later: at(next),
    })
    .into_response())
}
