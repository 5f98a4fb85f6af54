//! A job's own page: which machine, where, what is recorded about its isolation, what next.

use super::control::permits::Permits;
use super::detail::beside::Beside;
use super::next_step::{self, NextStep};
use super::response_words::{self, ResponseShown};
use super::standing::{self, Standing};
use super::steps::JobView;
use super::stores::warranty::Warranties;
use super::timeline::{self, Line};
use super::ways::pages::asked_of;
use super::{Job, JobId, State, cautions, emergency, queries};
use crate::clock::date_words;
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Role};
use crate::state::AppState;
use crate::stores::queries::{Purchase, purchases_of_job};
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
    joined: Vec<Job>,
    owed: Vec<&'static str>,
    isolation: Standing,
    response: ResponseShown,
    permits: Permits,
    beside: Beside,
    buying: Vec<Purchase>,
    warranties: Warranties,
    planned_on: String,
    test_owed_on: String,
    /// In this person's hands: the phone keeps it for when there is no signal.
    own: bool,
}

/// An earlier job on the same machine.
struct Earlier {
    id: i64,
    state: &'static str,
    when: String,
    words: String,
    mode: String,
}

/// Whether the next step is this person's to take.
fn may_act(user: &CurrentUser, view: &JobView) -> bool {
    match view.job.state {
        State::Reported | State::Planned => user.person.role == Role::Supervisor,
        State::BackInService if view.job.cause_at.is_some() || !asked_of(view).cause => {
            user.person.role == Role::Supervisor
        }
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
        cautions: cautions::with_said(&view, &entries),
        timeline: timeline::lines(&entries, &people, &zone),
        earlier,
        owed: emergency::owed(&view.job),
        joined: queries::joined_into(&app.db, id).await?,
        response: response_words::shown(
            &view.job,
            &queries::targets(&app.db).await?,
            &zone,
            app.clock.now(),
        ),
        isolation: standing::of(&view, &zone),
        permits: Permits::of(&view, &zone),
        beside: Beside::load(&app, &view).await?,
        buying: purchases_of_job(&app.db, id).await?,
        warranties: Warranties::load(&app, &view.job).await?,
        planned_on: view.job.planned_on.map_or_else(String::new, date_words),
        test_owed_on: view.job.test_owed_on.map_or_else(String::new, date_words),
        own: view.job.assigned_to == Some(user.id()) && !view.job.state.ended(),
        view,
    };
    Ok(Page(page).into_response())
}
