//! The day pack: all sheets of one technician for a day, one after the other, under a cover.

use super::sheet::Sheet;
use super::steps::JobView;
use super::{State, gate, queries};
use crate::clock::{date_value, date_words};
use crate::error::AppError;
use crate::form::{self, FieldErrors};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, PersonId, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State as Shared};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// More than anybody does in a day; it bounds the page.
const MOST: usize = 20;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    person: String,
    day: String,
    large: String,
}

#[derive(Template)]
#[template(path = "jobs/day_pack.html")]
struct DayPackPage {
    layout: Layout,
    name: String,
    day: String,
    printed: String,
    sheets: Vec<Sheet>,
    locks: Vec<gate::Lock>,
    left_out: usize,
    people: Vec<(String, String)>,
    person_typed: String,
    day_typed: String,
    large: bool,
    errors: FieldErrors,
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let person = asked.person.trim().parse().map_or(user.id(), PersonId);
    if person != user.id() {
        user.require(&[Role::Supervisor])?;
    }
    let found = people::queries::find(&app.db, person).await?;
    let name = found.ok_or(AppError::NotFound)?.name;
    let mut errors = FieldErrors::default();
    let day = errors.take("day", form::optional_date(&asked.day));
    let day = day.unwrap_or_else(|| app.today());
    let mut jobs = queries::of_person(&app.db, person).await?;
    // What was planned for earlier and is not done is still to do.
    jobs.retain(|job| {
        job.planned_on.is_some_and(|planned| planned <= day)
            && !matches!(job.state, State::Held | State::BackInService)
    });
    let left_out = jobs.len().saturating_sub(MOST);
    let large = !asked.large.is_empty();
    let mut sheets = Vec::new();
    for job in jobs.into_iter().take(MOST) {
        let view = JobView::of(&app, job).await?;
        sheets.push(Sheet::load(&app, &user, view, large).await?);
    }
    let mut locks = queries::all_locks(&app.db).await?;
    locks.retain(|lock| lock.person_id == person);
    let people = people::queries::list(&app.db).await?.into_iter();
    let page = DayPackPage {
        layout: Layout::new(&app, &user.visitor, "Today"),
        name,
        day: date_words(day),
        printed: app.zone().minute_words(app.clock.now()),
        sheets,
        locks,
        left_out,
        people: people
            .filter(|p| !p.closed && matches!(p.role, Role::Technician | Role::Supervisor))
            .map(|p| (p.id.0.to_string(), p.name))
            .collect(),
        person_typed: asked.person,
        day_typed: date_value(day),
        large,
        errors,
    };
    Ok(Page(page).into_response())
}
