//! From a cause to the plan that prevents it: one page of the job, one transaction.

use super::{NewPlan, ahead_queries, queries};
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::{self, Job, JobId, codes};
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::due::{Every, Rule};
use serde::Deserialize;
use time::Date;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct FromCauseInput {
    pub entry_id: String,
    pub seen: String,
    pub action: String,
    pub months: String,
    pub counted: String,
    pub first_due: String,
    pub window_days: String,
    pub minutes: String,
}

/// Values and words of the field that says from where the interval counts.
pub const COUNTED: &[(&str, &str)] = &[
    ("after_done", "from the day it was last done"),
    ("calendar", "from the first date; the dates never move"),
];

#[derive(Template)]
#[template(path = "preventive/from_cause.html")]
struct FromCausePage {
    layout: Layout,
    job: Job,
    machine: Machine,
    suggested: String,
    input: FromCauseInput,
    errors: FieldErrors,
}

impl FromCausePage {
    fn cause_words(&self) -> String {
        let job = &self.job;
        [&job.component, &job.mode, &job.mechanism, &job.cause]
            .into_iter()
            .filter(|words| !words.is_empty())
            .cloned()
            .collect::<Vec<_>>()
            .join(": ")
    }
}

async fn found(app: &AppState, job: i64) -> Result<(Job, Machine), AppError> {
    let job = jobs::queries::find(&app.db, JobId(job))
        .await?
        .ok_or(AppError::NotFound)?;
    let machine = job.machine_id.ok_or(AppError::NotFound)?;
    let machine = machines::queries::find(&app.db, machine)
        .await?
        .ok_or(AppError::NotFound)?;
    Ok((job, machine))
}

fn suggestion(job: &Job) -> String {
    let action = codes::suggested_action(&job.component, &job.mode, &job.mechanism, &job.cause);
    let mut action = action.unwrap_or_default().to_owned();
    if let Some(first) = action.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    action
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let (job, machine) = found(&app, job).await?;
    let suggested = suggestion(&job);
    let first = app
        .today()
        .checked_add(time::Duration::days(91))
        .unwrap_or(Date::MAX);
    let input = FromCauseInput {
        entry_id: record::new_id(app.clock.now()),
        seen: job.version.to_string(),
        action: suggested.clone(),
        months: "3".to_owned(),
        counted: "after_done".to_owned(),
        first_due: date_value(first),
        window_days: "7".to_owned(),
        minutes: String::new(),
    };
    let layout = Layout::new(&app, &user.visitor, "");
    let errors = FieldErrors::default();
    Ok(Page(FromCausePage {
        layout,
        job,
        machine,
        suggested,
        input,
        errors,
    })
    .into_response())
}

fn parse(input: &FromCauseInput, job: &Job, machine: &Machine) -> Result<NewPlan, FieldErrors> {
    let mut errors = FieldErrors::default();
    let action = form::required(&input.action, "Enter what is to be done");
    let action = errors.take("action", action);
    let months = errors.take("months", form::optional_count(&input.months));
    let months = months
        .and_then(|n| u32::try_from(n).ok())
        .filter(|n| (1..=240).contains(n));
    if months.is_none() {
        errors.add("months", "Enter every how many months, as 3");
    }
    let every = Every::Months(months.unwrap_or(3));
    let rule = match input.counted.as_str() {
        "calendar" => Rule::Calendar { every },
        "after_done" => Rule::AfterDone { every },
        _ => {
            errors.add("counted", "Choose from where the months count");
            Rule::AfterDone { every }
        }
    };
    let first = form::date(&input.first_due, "Enter the first date").map(Some);
    let first = errors.take("first_due", first);
    let window = errors.take("window_days", form::optional_count(&input.window_days));
    let minutes = errors.take("minutes", form::optional_count(&input.minutes));
    errors.or(NewPlan {
        machine_id: machine.id,
        action,
        why: format!("Job {}: {}", job.id.0, job.cause),
        rule,
        anchor_on: first.unwrap_or(Date::MIN),
        window_days: window.unwrap_or(0),
        minutes,
        steps: String::new(),
        made_from_job: Some(job.id),
        since_on: None,
        included_in: None,
        needs: super::Needs::default(),
    })
}

/// Plan, first due item and the job's entry, all or nothing.
pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<i64>,
    CheckedForm(input): CheckedForm<FromCauseInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let (job, machine) = found(&app, job).await?;
    let back = Redirect::to(&app.url(&format!("/jobs/{}", job.id.0))).into_response();
    let refused = |job: Job, machine: Machine, errors: FieldErrors| {
        let layout = Layout::new(&app, &user.visitor, "");
        let suggested = suggestion(&job);
        let input = input.clone();
        let page = FromCausePage {
            layout,
            job,
            machine,
            suggested,
            input,
            errors,
        };
        (StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response()
    };
    let new = match parse(&input, &job, &machine) {
        Ok(new) => new,
        Err(errors) => return Ok(refused(job, machine, errors)),
    };
    let mut tx = app.db.begin_write().await?;
    // Sent twice: the plan of the first time stands, and its entry names it.
    if jobs::queries::entry_known(&mut tx, &input.entry_id)
        .await?
        .is_some()
    {
        return Ok(back);
    }
    let plan_id = queries::insert_plan(&mut tx, &new, app.clock.now()).await?;
    let reason = format!("first date, set from job {}", job.id.0);
    ahead_queries::insert_item(&mut tx, plan_id, 1, new.anchor_on, &reason).await?;
    let entry = NewEntry {
        id: input.entry_id.clone(),
        body: Body::PlanMade {
            plan_id,
            action: new.action.clone(),
            first_due: new.anchor_on,
        },
        corrects: None,
        device_at: None,
        seen: input.seen.parse().ok(),
    };
    match record::add_within(&app, &mut tx, job.id, &user.person, entry).await? {
        Outcome::Added(_) => {}
        // Dropping the transaction takes plan and item back too.
        Outcome::Already(_) => return Ok(back),
        Outcome::SetAside(_, refusal) | Outcome::Refused(refusal) => {
            drop(tx);
            let errors = FieldErrors::of(refusal.field, refusal.message);
            return Ok(refused(job, machine, errors));
        }
    }
    tx.commit().await?;
    Ok(back)
}
