//! What is not done yet: by age, by urgency, by what it waits for, in hours and weeks of work.

use super::{hours, page::READERS};
use crate::clock::{DAY, date_words};
use crate::crew::Crew;
use crate::error::AppError;
use crate::jobs::body::HoldReason;
use crate::jobs::priority::Level;
use crate::jobs::{Job, State, queries};
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::State as AppStateIn;
use axum::response::{IntoResponse, Response};
use std::collections::BTreeMap;
use time::{Date, Duration};

/// Not over: what is back in service only waits for a signature.
fn counts(job: &Job) -> bool {
    job.state != State::BackInService
}

/// Jobs, the minutes somebody gave, and how many nobody gave any for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sum {
    pub jobs: usize,
    pub minutes: i64,
    pub unknown: usize,
}

impl Sum {
    fn add(&mut self, job: &Job) {
        self.jobs += 1;
        match job.minutes_planned {
            Some(minutes) => self.minutes += minutes,
            None => self.unknown += 1,
        }
    }

    fn of<'a>(jobs: impl Iterator<Item = &'a Job>) -> Sum {
        let mut sum = Sum::default();
        jobs.for_each(|job| sum.add(job));
        sum
    }

    pub fn hours(&self) -> String {
        hours(self.minutes)
    }
}

/// The hours everybody gives in the next seven days; people whose hours nobody said are left out.
fn week(crew: &Crew, today: Date) -> (i64, usize) {
    let (mut minutes, mut unknown) = (0, 0);
    for person in &crew.people {
        let days = (0..7).map(|n| crew.room(person, today + Duration::days(n)).minutes());
        let known: Vec<i64> = days.flatten().collect();
        unknown += usize::from(known.len() < 7);
        minutes += known.iter().sum::<i64>();
    }
    (minutes, unknown)
}

fn weeks_words(sum: Sum, (week, unknown): (i64, usize)) -> String {
    let weeks = match week {
        0 => "weeks of work cannot be stated: nobody's hours are known".to_owned(),
        week => format!(
            "{:.1} weeks of work at {} h in the next seven days",
            sum.minutes as f64 / week as f64,
            hours(week)
        ),
    };
    let people = match unknown {
        0 => String::new(),
        1 => "; the hours of one person are not known".to_owned(),
        n => format!("; the hours of {n} people are not known"),
    };
    format!("{weeks}{people}")
}

/// One line for the Desk.
pub fn line(jobs: &[Job], crew: &Crew, today: Date) -> String {
    let sum = Sum::of(jobs.iter().filter(|job| counts(job)));
    let weeks = weeks_words(sum, week(crew, today));
    format!(
        "{} open jobs, {} h planned, {} without hours; {weeks}",
        sum.jobs,
        sum.hours(),
        sum.unknown
    )
}

const AGES: &[(i64, &str)] = &[
    (7, "under a week"),
    (28, "one to four weeks"),
    (91, "one to three months"),
    (365, "three months to a year"),
    (i64::MAX, "over a year"),
];

fn age_words(job: &Job, now: i64) -> usize {
    let days = (now - job.reported_at) / DAY;
    AGES.iter()
        .position(|(under, _)| days < *under)
        .unwrap_or(AGES.len() - 1)
}

fn waits_for(job: &Job) -> String {
    match job.state {
        State::Reported => "to be planned".to_owned(),
        State::Planned => "to be handed out".to_owned(),
        State::Held => {
            let why = HoldReason::words_of(job.held_for.as_deref().unwrap_or("other"));
            format!("held: {why}")
        }
        State::TestOwed => "a test is owed".to_owned(),
        _ => "under way".to_owned(),
    }
}

struct Old {
    id: i64,
    tag: String,
    words: String,
    since: String,
    waits: String,
    who: String,
}

#[derive(Template)]
#[template(path = "desk/backlog.html")]
struct BacklogPage {
    layout: Layout,
    all: Sum,
    weeks: String,
    ages: Vec<(&'static str, Sum)>,
    levels: Vec<(&'static str, Sum)>,
    reasons: Vec<(String, Sum)>,
    oldest: Vec<Old>,
}

fn levels(jobs: &[Job]) -> Vec<(&'static str, Sum)> {
    let mut found: Vec<(Option<Level>, Sum)> = Vec::new();
    for job in jobs {
        let level = job.response.level;
        match found.iter_mut().find(|(known, _)| *known == level) {
            Some((_, sum)) => sum.add(job),
            None => found.push((level, Sum::of(std::iter::once(job)))),
        }
    }
    let words = |level: Option<Level>| level.map_or("not judged", Level::words);
    let mut lines: Vec<(&'static str, Sum)> = found
        .into_iter()
        .map(|(level, sum)| (words(level), sum))
        .collect();
    lines.sort_by_key(|(words, _)| *words);
    lines
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let (today, now, zone) = (app.today(), app.clock.now(), app.zone());
    let mut jobs = queries::open(&app.db).await?;
    jobs.retain(counts);
    jobs.sort_by_key(|job| (job.reported_at, job.id.0));
    let crew = Crew::load(&app.db, today).await?;
    let machines = machines::queries::with_open_jobs(&app.db).await?;
    let mut reasons: BTreeMap<String, Sum> = BTreeMap::new();
    for job in &jobs {
        reasons.entry(waits_for(job)).or_default().add(job);
    }
    let aged = |at: usize| Sum::of(jobs.iter().filter(|job| age_words(job, now) == at));
    let tag = |job: &Job| {
        let machine = machines.iter().find(|m| Some(m.id) == job.machine_id);
        machine.map_or_else(String::new, |m| m.tag.clone())
    };
    let who = |job: &Job| {
        let person = job.assigned_to.and_then(|id| crew.find(id));
        person.map_or_else(String::new, |p| p.name.clone())
    };
    let oldest = jobs.iter().take(10).map(|job| Old {
        id: job.id.0,
        tag: tag(job),
        words: match job.scope.is_empty() {
            true => job.words.clone(),
            false => job.scope.clone(),
        },
        since: date_words(zone.date(job.reported_at)),
        waits: waits_for(job),
        who: who(job),
    });
    let all = Sum::of(jobs.iter());
    Ok(Page(BacklogPage {
        layout: Layout::new(&app, &user.visitor, "Desk"),
        weeks: weeks_words(all, week(&crew, today)),
        all,
        ages: AGES
            .iter()
            .enumerate()
            .map(|(at, (_, words))| (*words, aged(at)))
            .collect(),
        levels: levels(&jobs),
        reasons: reasons.into_iter().collect(),
        oldest: oldest.collect(),
    })
    .into_response())
}
