//! The supervisor's part: plan, hand out, turn down, join.

use super::body::Body;
use super::detail::review;
use super::detail::step_list::{self, Tally};
use super::report_gate::SAME_FAULT;
use super::steps::{self, JobView, Keys};
use super::{Job, JobId, cautions, queries};
use crate::clock::date_value;
use crate::error::AppError;
use crate::form::{self, CheckedForm, FieldErrors};
use crate::machines::{self, MachineId};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, PersonId, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PlanInput {
    #[serde(flatten)]
    pub keys: Keys,
    pub machine: String,
    /// The tag of a machine that is not in the list.
    pub tag: String,
    pub scope: String,
    pub hours: String,
    pub steps: String,
    pub to: String,
    pub on: String,
    pub partner: String,
    pub reason: String,
    pub job: String,
}

#[derive(Template)]
#[template(path = "jobs/plan.html")]
struct PlanPage {
    layout: Layout,
    view: JobView,
    keys: Keys,
    input: PlanInput,
    errors: FieldErrors,
    machines: Vec<(String, String)>,
    /// No machine is left out of the list.
    all_listed: bool,
    people: Vec<(String, String)>,
    joinable: Vec<Joinable>,
    cautions: Vec<String>,
    library: Vec<(String, String)>,
    tally: Tally,
    /// Failures that stand together with this one, each with its jobs.
    repeats: Vec<(String, Vec<i64>)>,
    no_fault: String,
}

/// An open job that may be the same fault.
struct Joinable {
    number: String,
    head: String,
    words: String,
}

/// The jobs that this one may be joined to, newest first, with their words.
async fn joinable(app: &AppState, job: &Job) -> Result<Vec<Joinable>, AppError> {
    let mut found = Vec::new();
    for id in queries::near(&app.db, job.id, SAME_FAULT)
        .await?
        .into_iter()
        .take(12)
    {
        let Some(other) = queries::find(&app.db, id).await? else {
            continue;
        };
        let tag = match other.machine_id {
            Some(machine) => machines::queries::find(&app.db, machine).await?,
            None => None,
        };
        let tag = tag.map_or_else(|| "no machine named".to_owned(), |m| m.tag.clone());
        let when = app.zone().minute_words(other.reported_at);
        found.push(Joinable {
            number: id.0.to_string(),
            head: format!("Job {}, {tag}, {when}, {}", id.0, other.state.words()),
            words: other.words,
        });
    }
    Ok(found)
}

/// Machines in the list that a job is planned from.
const MOST: i64 = 200;

/// The machines to choose from, those of the reported place first, and whether these are all.
async fn choices(
    app: &AppState,
    job: &Job,
    chosen: &str,
) -> Result<(Vec<(String, String)>, bool), AppError> {
    let everywhere = machines::queries::Narrow::default();
    let mut narrow = everywhere.clone();
    let mut found: Vec<machines::Machine> = Vec::new();
    if let Ok(id) = chosen.trim().parse() {
        found.extend(machines::queries::find(&app.db, MachineId(id)).await?);
    }
    if let Some(place) = job.place_id {
        narrow.place = place;
        found.extend(machines::queries::page(&app.db, &narrow, MOST).await?);
    }
    let rest = machines::queries::page(&app.db, &everywhere, MOST + 1).await?;
    let all_listed = i64::try_from(rest.len()).is_ok_and(|count| count <= MOST);
    if all_listed || job.place_id.is_none() {
        found.extend(rest);
    }
    let mut seen = std::collections::HashSet::new();
    found.retain(|machine| seen.insert(machine.id));
    let words = |m: machines::Machine| (m.id.0.to_string(), format!("{} {}", m.tag, m.name));
    Ok((found.into_iter().map(words).collect(), all_listed))
}

impl PlanPage {
    async fn new(
        app: &AppState,
        user: &CurrentUser,
        id: JobId,
        typed: Option<PlanInput>,
        errors: FieldErrors,
    ) -> Result<Page<PlanPage>, AppError> {
        let view = JobView::load(app, id).await?;
        let job = &view.job;
        let input = typed.unwrap_or_else(|| PlanInput {
            machine: job.machine_id.map_or_else(String::new, |m| m.0.to_string()),
            scope: job.scope.clone(),
            hours: job
                .minutes_planned
                .map_or_else(String::new, |m| format!("{}", m as f64 / 60.0)),
            steps: if job.steps.is_empty() {
                STEPS.to_owned()
            } else {
                job.steps.clone()
            },
            to: job
                .assigned_to
                .map_or_else(String::new, |p| p.0.to_string()),
            on: date_value(job.planned_on.unwrap_or_else(|| app.today())),
            ..PlanInput::default()
        });
        let joinable = joinable(app, job).await?;
        let (machines, all_listed) = choices(app, job, &input.machine).await?;
        let again = review::of_job(app, job).await?;
        let repeats = again.repeats.said().into_iter();
        let ids = |jobs: &[JobId]| jobs.iter().map(|id| id.0).filter(|n| *n != id.0).collect();
        let repeats = repeats.map(|(words, jobs)| (words, ids(jobs))).collect();
        let people = people::queries::list(&app.db)
            .await?
            .into_iter()
            .filter(|p| !p.closed && matches!(p.role, Role::Technician | Role::Supervisor))
            .map(|p| (p.id.0.to_string(), p.name))
            .collect();
        Ok(Page(PlanPage {
            layout: Layout::new(app, &user.visitor, "Desk"),
            keys: Keys::fresh(app, &view.job),
            cautions: cautions::of(&view),
            library: step_list::library(app, &view).await?,
            tally: step_list::tally(app, id).await?,
            repeats,
            no_fault: review::no_fault(app, &again, job),
            view,
            input,
            errors,
            machines,
            all_listed,
            people,
            joinable,
        }))
    }

    async fn refused(
        app: &AppState,
        user: &CurrentUser,
        id: JobId,
        input: PlanInput,
        errors: FieldErrors,
    ) -> Result<Response, AppError> {
        let page = PlanPage::new(app, user, id, Some(input), errors).await?;
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    }
}

/// What the sheet starts from; the supervisor changes it to the job.
const STEPS: &str = "Confirm the unit by its tag\nRecord as found before anything is changed\n\
    Isolate every source and prove dead\nFind what failed, by a reading\nInspect every part\n\
    Repair or replace\nGuards and covers back\nRun test with numbers\nRecord the cause";

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let page = PlanPage::new(&app, &user, JobId(id), None, FieldErrors::default()).await?;
    Ok(page.into_response())
}

async fn finish(
    app: &AppState,
    user: &CurrentUser,
    id: JobId,
    input: PlanInput,
    body: Result<Body, FieldErrors>,
    next: &str,
) -> Result<Response, AppError> {
    let body = match body {
        Ok(body) => body,
        Err(errors) => return PlanPage::refused(app, user, id, input, errors).await,
    };
    match steps::add(app, user, id, &input.keys, body).await? {
        Ok(()) => Ok(steps::go(app, id, next)),
        Err(errors) => PlanPage::refused(app, user, id, input, errors).await,
    }
}

pub async fn plan(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let mut errors = FieldErrors::default();
    let tag = input.tag.trim();
    let known = match input.machine.trim().parse::<i64>() {
        _ if !tag.is_empty() => machines::queries::find_by_tag(&app.db, tag).await?,
        Ok(machine) => machines::queries::find(&app.db, MachineId(machine)).await?,
        Err(_) => None,
    };
    if known.is_none() && !tag.is_empty() {
        errors.add("tag", format!("No machine has the tag {tag}"));
    } else if known.is_none() {
        errors.add("machine", "Choose the machine that the work is on");
    }
    let scope = errors.take(
        "scope",
        form::required(&input.scope, "Say what is to be done"),
    );
    let hours = errors.take("hours", form::optional_number(&input.hours));
    if hours.is_some_and(|h| !(0.0..=1000.0).contains(&h)) {
        errors.add("hours", "Enter the hours of work, as 2.5");
    }
    let body = match known {
        Some(machine) => errors.or(Body::Planned {
            machine_id: machine.id,
            scope,
            minutes: hours.map(|h| (h * 60.0).round() as i64),
            steps: input.steps.trim().replace("\r\n", "\n"),
        }),
        None => Err(errors),
    };
    finish(&app, &user, JobId(id), input, body, "/plan#hand-out").await
}

pub async fn hand_out(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let mut errors = FieldErrors::default();
    let to = input.to.trim().parse::<i64>();
    if to.is_err() {
        errors.add("to", "Choose who does it");
    }
    let on = form::date(&input.on, "Choose the day");
    if let Err(message) = &on {
        errors.add("on", message.clone());
    }
    let body = match (to, on) {
        (Ok(to), Ok(on)) => errors.or(Body::HandedOut {
            to: PersonId(to),
            on,
            partner: input.partner.trim().parse().ok().map(PersonId),
        }),
        _ => Err(errors),
    };
    finish(&app, &user, JobId(id), input, body, "").await
}

pub async fn turn_down(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let body = form::required(&input.reason, "Say why; the reporter reads it")
        .map(|reason| Body::TurnedDown { reason })
        .map_err(|message| FieldErrors::of("reason", message));
    finish(&app, &user, JobId(id), input, body, "").await
}

pub async fn join(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PlanInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let other = match input.job.trim().parse::<i64>() {
        Ok(other) => queries::find(&app.db, JobId(other)).await?,
        Err(_) => None,
    };
    let body = other
        .map(|other| Body::JoinedTo { job: other.id })
        .ok_or_else(|| FieldErrors::of("job", "Choose the job that is the same fault"));
    finish(&app, &user, JobId(id), input, body, "").await
}
