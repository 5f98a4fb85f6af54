//! A week levelled: what is planned or due and nobody's yet, put to people and days by calc's rule, for
//! the supervisor to take, change or leave, line by line.

use super::week::From;
use super::{at, board::asks_words, from_day, hours, monday, takes_hours};
use crate::clock::{date_value, date_words};
use crate::crew::{Asks, Crew};
use crate::error::AppError;
use crate::jobs::{Job, State, queries};
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::preventive::{self, Needs};
use crate::rounds;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State as AppStateIn};
use axum::response::{IntoResponse, Response};
use calc::level::{self, Hand, Work};
use std::collections::BTreeMap;
use time::{Date, Duration};

/// Due items taken into one proposal.
const MOST: i64 = 300;

/// A line of the page, placed or left over.
struct Line {
    /// `job-12` or `item-5`.
    name: String,
    value: String,
    href: String,
    tag: String,
    words: String,
    due: String,
    hours: String,
    asks: String,
    to: String,
    on: String,
    why: String,
}

#[derive(Template)]
#[template(path = "desk/proposal.html")]
struct ProposalPage {
    layout: Layout,
    title: String,
    from: String,
    placed: Vec<Line>,
    left: Vec<Line>,
    people: Vec<(String, String)>,
    /// People whose hours nobody has said: nothing is put to them.
    unknown: Vec<String>,
    earlier: String,
    later: String,
}

/// What can be placed, each with the line that shows it.
struct Pieces {
    work: Vec<Work>,
    lines: Vec<Line>,
}

impl Pieces {
    fn add(&mut self, mut work: Work, line: Line) {
        work.id = i64::try_from(self.lines.len()).unwrap_or(i64::MAX);
        self.work.push(work);
        self.lines.push(line);
    }
}

/// Who may do it, by day.
fn may(crew: &Crew, asks: &Asks, days: &[Date]) -> BTreeMap<i64, Vec<Date>> {
    crew.people
        .iter()
        .map(|person| {
            let free = |day: &&Date| crew.lacks(person, **day, asks).is_empty();
            (person.id.0, days.iter().filter(free).copied().collect())
        })
        .collect()
}

fn minutes_words(minutes: Option<i64>) -> String {
    minutes.map_or_else(|| "not known".to_owned(), |m| format!("{} h", hours(m)))
}

async fn items(
    app: &AppState,
    crew: &Crew,
    days: &[Date],
    locking: &[i64],
    pieces: &mut Pieces,
) -> Result<(), AppError> {
    let Some(last) = days.last() else {
        return Ok(());
    };
    // A window may open before its date.
    let until = *last + Duration::days(31);
    for item in rounds::queries::due_within(&app.db, 0, until, MOST).await? {
        let window = Duration::days(item.window_days);
        if item.due_on - window > *last {
            continue;
        }
        let needs = Needs::read(&item.needs)?;
        let asks = Asks::of(&needs, &item.steps, locking);
        let work = Work {
            id: 0,
            due: item.due_on,
            first: item.due_on - window,
            last: item.due_on + window,
            limit: needs.hard_limit(item.due_on),
            minutes: item.minutes,
            may: may(crew, &asks, days),
        };
        let crew_words = needs
            .crew
            .filter(|n| *n > 1)
            .map(|n| format!("{n} people at once"));
        let asked = [Some(asks_words(&asks)), crew_words];
        let asked: Vec<String> = asked
            .into_iter()
            .flatten()
            .filter(|w| !w.is_empty())
            .collect();
        pieces.add(
            work,
            Line {
                name: format!("item-{}", item.id),
                value: "yes".to_owned(),
                href: format!("/preventive/{}", item.plan_id),
                tag: item.tag.clone(),
                words: item.action.clone(),
                due: match needs.hard_limit(item.due_on) {
                    Some(limit) => format!(
                        "{}, hard limit {}",
                        date_words(item.due_on),
                        date_words(limit)
                    ),
                    None => date_words(item.due_on),
                },
                hours: minutes_words(item.minutes),
                asks: asked.join(", "),
                to: String::new(),
                on: String::new(),
                why: String::new(),
            },
        );
    }
    Ok(())
}

/// Planned jobs have no window of their own: the day somebody planned, else the first of these days.
async fn jobs(
    app: &AppState,
    crew: &Crew,
    open: &[Job],
    days: &[Date],
    pieces: &mut Pieces,
) -> Result<(), AppError> {
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return Ok(());
    };
    let machines = machines::queries::with_open_jobs(&app.db).await?;
    for job in open.iter().filter(|job| job.state == State::Planned) {
        let asks = match job.due_item_id {
            Some(item) => asks_of(app, item).await?,
            None => Asks::default(),
        };
        let due = job.planned_on.unwrap_or(*first).clamp(*first, *last);
        let machine = machines.iter().find(|m| Some(m.id) == job.machine_id);
        pieces.add(
            Work {
                id: 0,
                due,
                first: *first,
                last: *last,
                limit: None,
                minutes: job.minutes_planned,
                may: may(crew, &asks, days),
            },
            Line {
                name: format!("job-{}", job.id.0),
                value: job.version.to_string(),
                href: format!("/jobs/{}", job.id.0),
                tag: machine.map_or_else(String::new, |m| m.tag.clone()),
                words: format!("job {}: {}", job.id.0, job.scope),
                due: job
                    .planned_on
                    .map_or_else(|| "no day planned".to_owned(), date_words),
                hours: minutes_words(job.minutes_planned),
                asks: asks_words(&asks),
                to: String::new(),
                on: String::new(),
                why: String::new(),
            },
        );
    }
    Ok(())
}

async fn asks_of(app: &AppState, item: i64) -> Result<Asks, AppError> {
    let Some(item) = preventive::queries::item(&app.db, item).await? else {
        return Ok(Asks::default());
    };
    let Some(plan) = preventive::queries::plan(&app.db, item.plan_id).await? else {
        return Ok(Asks::default());
    };
    let locking = preventive::queries::locking_procedures(&app.db).await?;
    Ok(Asks::of(&plan.needs, &plan.steps, &locking))
}

/// What is left of everybody's hours, and who has no known hours at all.
fn hands(crew: &Crew, open: &[Job], days: &[Date]) -> (Vec<Hand>, Vec<String>) {
    let (mut hands, mut unknown) = (Vec::new(), Vec::new());
    for person in &crew.people {
        let given = |day: Date| -> i64 {
            open.iter()
                .filter(|j| j.assigned_to == Some(person.id) && j.planned_on == Some(day))
                .filter(|j| takes_hours(j))
                .filter_map(|j| j.minutes_planned)
                .sum()
        };
        let free: BTreeMap<Date, i64> = days
            .iter()
            .filter_map(|day| {
                let minutes = crew.room(person, *day).minutes()?;
                // A day away or off is no day to put work on, not even work of no time.
                (minutes > 0).then(|| (*day, (minutes - given(*day)).max(0)))
            })
            .collect();
        if days
            .iter()
            .any(|day| crew.room(person, *day).minutes().is_none())
        {
            unknown.push(person.name.clone());
        }
        hands.push(Hand {
            person: person.id.0,
            free,
        });
    }
    (hands, unknown)
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Query(from): Query<From>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let today = app.today();
    let start = monday(from_day(&from.from, today));
    let week = (0..7).map(|n| start + Duration::days(n));
    let days: Vec<Date> = week.filter(|day| *day >= today).collect();
    let crew = Crew::load(&app.db, today).await?;
    let open = queries::open(&app.db).await?;
    let locking = preventive::queries::locking_procedures(&app.db).await?;
    let mut pieces = Pieces {
        work: Vec::new(),
        lines: Vec::new(),
    };
    items(&app, &crew, &days, &locking, &mut pieces).await?;
    jobs(&app, &crew, &open, &days, &mut pieces).await?;
    let (hands, unknown) = hands(&crew, &open, &days);
    let found = level::propose(&pieces.work, &hands, &days);
    let mut lines: Vec<Option<Line>> = pieces.lines.into_iter().map(Some).collect();
    let mut line = |id: i64| {
        let at = usize::try_from(id).ok();
        at.and_then(|at| lines.get_mut(at)).and_then(Option::take)
    };
    let (mut placed, mut left) = (Vec::new(), Vec::new());
    for put in &found.placed {
        placed.extend(line(put.id).map(|line| Line {
            to: put.person.to_string(),
            on: date_value(put.day),
            why: put.why.clone(),
            ..line
        }));
    }
    for over in &found.left {
        left.extend(line(over.id).map(|line| Line {
            why: over.reason.words().to_owned(),
            ..line
        }));
    }
    let people = crew.people.iter();
    Ok(Page(ProposalPage {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        title: format!(
            "{} to {}",
            date_words(start),
            date_words(start + Duration::days(6))
        ),
        from: at(start),
        placed,
        left,
        people: people
            .map(|p| (p.id.0.to_string(), p.name.clone()))
            .collect(),
        unknown,
        earlier: at(start - Duration::days(7)),
        later: at(start + Duration::days(7)),
    })
    .into_response())
}
