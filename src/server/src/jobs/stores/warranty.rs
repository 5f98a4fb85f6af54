//! `/jobs/{id}/warranty`: the warranties that run on the job's machine, what was answered before it is
//! opened, and where the units taken off go.

use super::body::{ANSWERS, GOES, Stores};
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::step_page::refused;
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{Job, JobId};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use crate::stores::HANDS;
use crate::stores::queries::{self, Removed, Warranty, WarrantyAnswer};
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use time::Date;

/// A warranty that runs, with what was answered last on this job.
pub struct Shown {
    pub warranty: Warranty,
    pub answered: Option<String>,
}

/// What other pages say about a job's warranties.
#[derive(Default)]
pub struct Warranties {
    pub running: Vec<Shown>,
}

impl Warranties {
    pub async fn load(app: &AppState, job: &Job) -> Result<Self, AppError> {
        let Some(machine) = job.machine_id else {
            return Ok(Warranties::default());
        };
        let running = queries::running_warranties(&app.db, machine, app.today()).await?;
        if running.is_empty() {
            return Ok(Warranties::default());
        }
        let answers = queries::warranty_answers(&app.db, job.id).await?;
        let shown = |warranty: Warranty| Shown {
            answered: answered(&answers, warranty.id),
            warranty,
        };
        Ok(Warranties {
            running: running.into_iter().map(shown).collect(),
        })
    }

    /// Those nobody answered for on this job.
    pub fn open(&self) -> impl Iterator<Item = &Shown> {
        self.running.iter().filter(|one| one.answered.is_none())
    }

    pub fn any_open(&self) -> bool {
        self.open().next().is_some()
    }
}

impl Shown {
    /// `The motor, until Sat 1 May 2027. Void when opened`
    pub fn words(&self) -> String {
        warranty_words(&self.warranty)
    }
}

pub fn warranty_words(one: &Warranty) -> String {
    let terms = match one.terms.as_str() {
        "" => String::new(),
        terms => format!(". {terms}"),
    };
    format!("{}, until {}{terms}", one.covers, date_words(one.until_on))
}

/// The words of what was answered last.
fn answered(answers: &[WarrantyAnswer], id: i64) -> Option<String> {
    let last = answers.iter().find(|answer| answer.warranty_id == id)?;
    let words = words_of(ANSWERS, &last.answer);
    Some(match last.why.as_str() {
        "" => words.to_owned(),
        why => format!("{words}: {why}"),
    })
}

pub fn words_of(list: &[(&'static str, &'static str)], word: &str) -> &'static str {
    list.iter()
        .find(|(known, _)| *known == word)
        .map_or("", |(_, words)| words)
}

/// Where a unit goes and what is still to come, as one line.
pub fn removed_words(one: &Removed, today: Date) -> String {
    let to = match one.sent_to.as_str() {
        "" => String::new(),
        to => format!(", to {to}"),
    };
    let goes = words_of(GOES, &one.goes);
    let then = match (one.settled, one.owed(), one.back_by) {
        (true, ..) => format!("; done: {}", one.settled_how),
        (_, true, Some(day)) if day < today => format!("; late: was due by {}", date_words(day)),
        (_, true, Some(day)) => format!("; due by {}", date_words(day)),
        (_, true, None) => "; no day was agreed".to_owned(),
        _ => String::new(),
    };
    format!("{goes}{to}{then}")
}

#[derive(Template)]
#[template(path = "stores/warranty.html")]
struct WarrantyPage {
    layout: Layout,
    view: JobView,
    warranties: Warranties,
    removed: Vec<Removed>,
    works: bool,
    fields: Fields,
    errors: FieldErrors,
    now: i64,
}

impl WarrantyPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        Ok(WarrantyPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            warranties: Warranties::load(app, &view.job).await?,
            removed: queries::removed_of_job(&app.db, job).await?,
            works: HANDS.contains(&user.person.role),
            now: app.clock.now(),
            view,
            fields,
            errors,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }

    /// What was typed into the form of this warranty or unit, where it was the one refused.
    fn typed_of(&self, name: &str, of: impl ToString) -> String {
        if self.fields.get("of") == of.to_string() {
            self.typed(name)
        } else {
            String::new()
        }
    }

    fn errors_of(&self, of: impl ToString) -> FieldErrors {
        if self.fields.get("of") == of.to_string() {
            self.errors.clone()
        } else {
            FieldErrors::default()
        }
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = WarrantyPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    id: i64,
    fields: Fields,
    body: Result<Stores, FieldErrors>,
) -> Result<Response, AppError> {
    let job = JobId(id);
    let errors = match body {
        Ok(body) => {
            let body = Body::Stores(body);
            match steps::add(app, user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(app, job, "/warranty")),
                Err(errors) => errors,
            }
        }
        Err(errors) => errors,
    };
    let page = WarrantyPage::load(app, user, job, fields, errors).await?;
    Ok(refused(page))
}

/// The answer for one warranty.
pub async fn answer(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(HANDS)?;
    let page = WarrantyPage::load(
        &app,
        &user,
        JobId(id),
        Fields::default(),
        FieldErrors::default(),
    );
    let page = page.await?;
    let of = fields.get("of").parse().unwrap_or(0);
    let running = &page.warranties.running;
    let found = running.iter().find(|one| one.warranty.id == of);
    let body = Stores::WarrantyAnswered {
        warranty_id: of,
        covers: found.map_or_else(String::new, Shown::words),
        answer: fields.get("answer").to_owned(),
        why: fields.get("why").trim().to_owned(),
    };
    add(&app, &user, id, fields, Ok(body)).await
}

/// A unit was taken off.
pub async fn unit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(HANDS)?;
    let back_by = crate::form::optional_date(fields.get("back_by"))
        .map_err(|message| FieldErrors::of("back_by", message));
    let body = back_by.map(|back_by| Stores::UnitRemoved {
        what: fields.get("what").trim().to_owned(),
        goes: fields.get("goes").to_owned(),
        sent_to: fields.get("sent_to").trim().to_owned(),
        back_by,
    });
    add(&app, &user, id, fields, body).await
}

/// It went back, or the credit came.
pub async fn settled(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(HANDS)?;
    let body = Stores::UnitSettled {
        of: fields.get("of").to_owned(),
        how: fields.get("how").trim().to_owned(),
    };
    add(&app, &user, id, fields, Ok(body)).await
}
