//! `/crew`: everybody's hours, days away and skills; `/crew/{person}`: one person's, to change.

use super::{Crew, form};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Person, PersonId, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

pub const WEEKDAYS: &[&str] = &[
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
];

const READERS: &[Role] = &[Role::Supervisor, Role::Keeper, Role::Auditor];
const EDITORS: &[Role] = &[Role::Supervisor, Role::Keeper];

struct Line {
    person: Person,
    /// Hours of each weekday; empty where nobody has said.
    hours: Vec<String>,
    away: Vec<String>,
    skills: Vec<(String, bool)>,
}

#[derive(Template)]
#[template(path = "crew/list.html")]
struct ListPage {
    layout: Layout,
    lines: Vec<Line>,
}

/// Hours as people type them; empty: nobody has said.
fn hours_words(minutes: Option<i64>) -> String {
    minutes.map_or_else(String::new, |m| format!("{}", m as f64 / 60.0))
}

pub async fn list(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let today = app.today();
    let crew = Crew::load(&app.db, today).await?;
    let lines = crew
        .people
        .iter()
        .map(|person| Line {
            hours: (1..=7)
                .map(|n| hours_words(crew.hours_of(person.id, n)))
                .collect(),
            away: crew
                .absences_of(person.id)
                .iter()
                .map(|a| a.words())
                .collect(),
            skills: crew
                .skills_of(person.id)
                .iter()
                .map(|s| (s.words(), s.holds(today)))
                .collect(),
            person: person.clone(),
        })
        .collect();
    let layout = Layout::new(&app, &user.visitor, "Desk");
    Ok(Page(ListPage { layout, lines }).into_response())
}

#[derive(Template)]
#[template(path = "crew/person.html")]
struct PersonPage {
    layout: Layout,
    person: Person,
    hours: Vec<(i64, &'static str, String)>,
    absences: Vec<(i64, String)>,
    skills: Vec<(i64, String, bool)>,
    known: Vec<String>,
    fields: Fields,
    errors: FieldErrors,
    changes: bool,
}

impl PersonPage {
    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }
}

async fn person_page(
    app: &AppState,
    user: &CurrentUser,
    id: i64,
    fields: Fields,
    errors: FieldErrors,
) -> Result<Page<PersonPage>, AppError> {
    let today = app.today();
    let crew = Crew::load(&app.db, today).await?;
    let person = crew.find(PersonId(id)).ok_or(AppError::NotFound)?.clone();
    let typed = fields.get("what") == "hours";
    let hours = (1..).zip(WEEKDAYS).map(|(n, day)| {
        let kept = hours_words(crew.hours_of(person.id, n));
        let shown = match typed {
            true => fields.get(&format!("hours-{n}")).to_owned(),
            false => kept,
        };
        (n, *day, shown)
    });
    Ok(Page(PersonPage {
        layout: Layout::new(app, &user.visitor, "Desk"),
        hours: hours.collect(),
        absences: crew
            .absences_of(person.id)
            .iter()
            .map(|a| (a.id, a.words()))
            .collect(),
        skills: crew
            .skills_of(person.id)
            .iter()
            .map(|s| (s.id, s.words(), s.holds(today)))
            .collect(),
        known: crew.known_skills(),
        person,
        fields,
        errors,
        changes: EDITORS.contains(&user.person.role),
    }))
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    Ok(person_page(&app, &user, id, fields, errors)
        .await?
        .into_response())
}

pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(EDITORS)?;
    let change = match form::read(&fields) {
        Ok(change) => change,
        Err(errors) => {
            let page = person_page(&app, &user, id, fields, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    let crew = Crew::load(&app.db, app.today()).await?;
    let person = crew.find(PersonId(id)).ok_or(AppError::NotFound)?.id;
    let mut tx = app.db.begin_write().await?;
    form::keep(&app, &mut tx, &user, person, change).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/crew/{id}"))).into_response())
}
