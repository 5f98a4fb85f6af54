//! Today: a technician's own work, phone first.

use super::control::Removal;
use super::next_step::{self, NextStep};
use super::steps::JobView;
use super::{JobId, State, cautions, gate, isolation, queries};
use crate::clock::date_words;
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::State as AppStateIn;
use axum::response::{IntoResponse, Response};

/// One job on the page.
pub struct Item {
    view: JobView,
    next: NextStep,
    day: String,
    late: bool,
    first_caution: String,
}

#[derive(Template)]
#[template(path = "jobs/today.html")]
struct TodayPage {
    layout: Layout,
    date: String,
    now: Vec<Item>,
    later: Vec<Item>,
    waiting: Vec<Item>,
    own_locks: Vec<gate::Lock>,
    /// Job, tag and who handed over, where this person has not proved dead yet.
    taken_over: Vec<(JobId, String, String)>,
    untold: Vec<Removal>,
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let today = app.today();
    let (mut now, mut later, mut waiting) = (Vec::new(), Vec::new(), Vec::new());
    for job in queries::of_person(&app.db, user.id()).await? {
        let view = JobView::of(&app, job).await?;
        let planned = view.job.planned_on;
        let item = Item {
            next: next_step::of(&view),
            day: planned.map_or_else(String::new, date_words),
            late: planned.is_some_and(|day| day < today),
            first_caution: cautions::of(&view).into_iter().nth(1).unwrap_or_default(),
            view,
        };
        match item.view.job.state {
            State::Held | State::BackInService => waiting.push(item),
            _ if planned.is_some_and(|day| day > today) => later.push(item),
            _ => now.push(item),
        }
    }
    let own_locks = queries::all_locks(&app.db)
        .await?
        .into_iter()
        .filter(|lock| lock.person_id == user.id())
        .collect();
    let page = TodayPage {
        layout: Layout::new(&app, &user.visitor, "Today"),
        date: date_words(today),
        now,
        later,
        waiting,
        own_locks,
        taken_over: queries::taken_over(&app.db, user.id()).await?,
        untold: isolation::untold_of(&app, user.id()).await?,
    };
    Ok(Page(page).into_response())
}
