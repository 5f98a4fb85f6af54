//! Work on the isolated machine: what was done, and the chosen motor fitted.

use super::body::Body;
use super::gate;
use super::queries::Entry;
use super::step_page::{WORKERS, refused, typed, works};
use super::steps::{self, JobView, Keys};
use super::stores::warranty::Warranties;
use super::{Job, JobId, cautions, queries};
use crate::circuit_check;
use crate::clock::Millis;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::motors::MotorId;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use calc::working::Verdict;

/// The chosen motor with the named work that makes it fit.
struct ToFit {
    name: String,
    work: Vec<String>,
    fitted: bool,
    /// Why it cannot be recorded as fitted now.
    closed: Option<String>,
}

#[derive(Template)]
#[template(path = "jobs/work.html")]
struct WorkPage {
    layout: Layout,
    view: JobView,
    cautions: Vec<String>,
    /// Why work is not open; `None` where it is.
    closed: Option<String>,
    to_fit: Option<ToFit>,
    warranties: Warranties,
    done: Vec<String>,
    fields: Fields,
    errors: FieldErrors,
    works: bool,
    now: Millis,
}

impl WorkPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let entries = queries::entries(&app.db, job).await?;
        let ask = |body: &Body| {
            gate::check(&view.job, body, Some(&user.person), &view.around())
                .err()
                .map(|refusal| refusal.message)
        };
        let layout = Layout::new(app, &user.visitor, "Today");
        // A page to be kept asks nothing: what is typed on it is judged when it is sent.
        let ask = |body: &Body| if layout.ahead { None } else { ask(body) };
        let closed = ask(&Body::WorkDone {
            what: String::new(),
        });
        Ok(WorkPage {
            layout: layout.clone(),
            cautions: cautions::of(&view),
            to_fit: to_fit(&view, &entries, ask),
            warranties: Warranties::load(app, &view.job).await?,
            closed,
            done: done(&entries),
            fields,
            errors,
            works: works(&user.person),
            now: app.clock.now(),
            view,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }
}

fn to_fit(
    view: &JobView,
    entries: &[Entry],
    ask: impl Fn(&Body) -> Option<String>,
) -> Option<ToFit> {
    let motor = view.chosen.as_ref()?;
    let machine_id = view.machine.as_ref()?.id;
    let chosen = entries.iter().rev().find_map(|entry| match &entry.body {
        Body::MotorChosen { working, .. } if entry.set_aside.is_none() => Some(working),
        _ => None,
    });
    Some(ToFit {
        name: motor.name.clone(),
        work: chosen.map_or_else(Vec::new, |working| {
            working.work().map(ToString::to_string).collect()
        }),
        fitted: view.job.fitted_motor_id == Some(motor.id),
        closed: ask(&Body::MotorFitted {
            machine_id,
            motor_id: motor.id,
            work_done: String::new(),
        }),
    })
}

/// Work recorded so far, oldest first.
fn done(entries: &[Entry]) -> Vec<String> {
    entries
        .iter()
        .filter(|entry| entry.set_aside.is_none())
        .filter_map(|entry| match &entry.body {
            Body::WorkDone { what } => Some(format!("{what} ({})", entry.person)),
            Body::MotorFitted { work_done, .. } => {
                Some(format!("Motor fitted. {work_done} ({})", entry.person))
            }
            _ => None,
        })
        .collect()
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = WorkPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

/// Writes the entry, or shows the page again with what was typed.
async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    body: Result<Body, FieldErrors>,
) -> Result<Response, AppError> {
    let errors = match body {
        Ok(body) => match steps::add(app, user, job, &Keys::of(&fields), body).await? {
            Ok(()) => return Ok(steps::go(app, job, "/work")),
            Err(errors) => errors,
        },
        Err(errors) => errors,
    };
    let page = WorkPage::load(app, user, job, fields, errors).await?;
    Ok(refused(page))
}

pub async fn record(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let body = form::required(fields.get("what"), "Say what was done")
        .map(|what| Body::WorkDone { what })
        .map_err(|message| FieldErrors::of("what", message));
    add(&app, &user, JobId(id), fields, body).await
}

/// Whether a circuit check that was passed would be passed again: plate, circuit or neighbours may
/// have been put right since it was recorded. What was decided or not passed is for the gate.
pub(super) async fn circuit_stands(app: &AppState, job: &Job) -> Result<bool, AppError> {
    if !job.circuit_cleared() || job.circuit_decided_at.is_some() {
        return Ok(true);
    }
    let verdict = circuit_check::Check::load(app, job.id.0).await?.verdict();
    Ok(matches!(
        verdict,
        Some(Verdict::Within | Verdict::WithinNote)
    ))
}

pub async fn fit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let found = queries::find(&app.db, JobId(id)).await?;
    let job = found.ok_or(AppError::NotFound)?;
    // The motor of the page that was sent; another may have been chosen since.
    let motor = fields.get("motor").parse().ok().map(MotorId);
    let body = match (job.machine_id, motor) {
        (Some(machine_id), Some(motor_id)) => form::required(
            fields.get("work_done"),
            "Say what was done to fit it, in the order of the list",
        )
        .map(|work_done| Body::MotorFitted {
            machine_id,
            motor_id,
            work_done,
        })
        .map_err(|message| FieldErrors::of("work_done", message)),
        _ => Err(FieldErrors::of(
            "motor",
            "Choose the motor on the fit page first",
        )),
    };
    let body = match body {
        Ok(_) if !circuit_stands(&app, &job).await? => Err(FieldErrors::of(
            "motor",
            "The figures have changed since the circuit was checked. Check it again",
        )),
        body => body,
    };
    add(&app, &user, job.id, fields, body).await
}
