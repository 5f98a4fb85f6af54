//! A job's own page: which machine, where, what is recorded about its isolation, what next.

use super::next_step::{self, NextStep};
use super::steps::JobView;
use super::timeline::{self, Line};
use super::{JobId, State, cautions, queries};
use crate::clock::date_words;
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "jobs/show.html")]
struct ShowPage {
    layout: Layout,
    view: JobView,
    next: NextStep,
    may_act: bool,
    cautions: Vec<String>,
    timeline: Vec<Line>,
    earlier: Vec<Earlier>,
    isolation: Isolation,
    planned_on: String,
    test_owed_on: String,
}

/// An earlier job on the same machine.
struct Earlier {
    id: i64,
    state: &'static str,
    when: String,
    words: String,
    mode: String,
}

/// What is recorded about the isolation, in sentences; never a promise.
struct Isolation {
    recorded: Vec<String>,
    not_known: Vec<String>,
}

fn isolation(app: &AppState, view: &JobView) -> Isolation {
    let zone = app.zone();
    let mut recorded = Vec::new();
    let mut not_known = Vec::new();
    for lock in &view.locks {
        recorded.push(format!(
            "Lock {} of {} on {} since {}{}",
            lock.lock_number,
            lock.person,
            lock.source,
            zone.minute_words(lock.on_at),
            if lock.job_id == view.job.id {
                String::new()
            } else {
                format!(" (job {})", lock.job_id.0)
            }
        ));
    }
    match view.job.dead_at {
        Some(at) => recorded.push(format!("Dead test accepted {}", zone.minute_words(at))),
        None => not_known.push("Whether it is dead: no dead test stands".to_owned()),
    }
    match &view.sheet {
        None => not_known.push("Its sources: there is no isolation sheet".to_owned()),
        Some(sheet) => {
            for source in &sheet.sources {
                if !view.locks.iter().any(|lock| lock.source_id == source.id) {
                    not_known.push(format!("{}: no lock recorded", source.name));
                }
            }
            if sheet.inspected_on.is_none() {
                not_known.push("Whether the sheet is right: it was never inspected".to_owned());
            }
        }
    }
    if view
        .machine
        .as_ref()
        .is_some_and(|m| m.feed_proved_on.is_none())
    {
        not_known.push("Which circuit really feeds it: nobody has proved it".to_owned());
    }
    Isolation {
        recorded,
        not_known,
    }
}

/// Whether the next step is this person's to take.
fn may_act(user: &CurrentUser, view: &JobView) -> bool {
    match view.job.state {
        State::Reported | State::Planned => user.person.role == Role::Supervisor,
        State::BackInService if view.job.cause_at.is_some() => user.person.role == Role::Supervisor,
        _ => matches!(user.person.role, Role::Technician | Role::Supervisor),
    }
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let id = JobId(id);
    let view = JobView::load(&app, id).await?;
    let people = people::queries::list(&app.db).await?;
    let entries = queries::entries(&app.db, id).await?;
    let zone = app.zone();
    let earlier = match view.job.machine_id {
        Some(machine) => queries::of_machine(&app.db, machine, 6).await?,
        None => Vec::new(),
    };
    let earlier = earlier
        .into_iter()
        .filter(|job| job.id != id)
        .take(5)
        .map(|job| Earlier {
            id: job.id.0,
            state: job.state.words(),
            when: date_words(zone.date(job.reported_at)),
            words: job.words,
            mode: job.mode,
        })
        .collect();
    let section = if user.person.role == Role::Technician {
        "Today"
    } else {
        "Desk"
    };
    let page = ShowPage {
        layout: Layout::new(&app, &user.visitor, section),
        next: next_step::of(&view),
        may_act: may_act(&user, &view),
        cautions: cautions::of(&view),
        timeline: timeline::lines(&entries, &people, &zone),
        earlier,
        isolation: isolation(&app, &view),
        planned_on: view.job.planned_on.map_or_else(String::new, date_words),
        test_owed_on: view.job.test_owed_on.map_or_else(String::new, date_words),
        view,
    };
    Ok(Page(page).into_response())
}
