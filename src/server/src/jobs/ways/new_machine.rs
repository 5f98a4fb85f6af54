//! A machine that the register lacks, started at its job: a name and a place now, the rest later. It
//! is listed under Machines until it is completed.

use crate::db;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::record::{self, Outcome};
use crate::jobs::steps::{self, JobView, Keys};
use crate::machines::{self, MachineId};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use axum::extract::{Path, State as Shared};
use axum::response::Response;

pub async fn start(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let view = JobView::load(&app, JobId(id)).await?;
    let named = form::required(fields.get("machine_name"), "Say what machine it is");
    let errors = match (named, view.job.place_id) {
        (Err(message), _) => FieldErrors::of("machine_name", message),
        (Ok(_), None) => FieldErrors::of("machine_name", "The report names no place"),
        (Ok(name), Some(place)) => match write(&app, &user, &view, &name, place, &fields).await? {
            Ok(()) => return Ok(steps::go(&app, view.job.id, "/plan#hand-out")),
            Err(errors) => errors,
        },
    };
    super::pages::again(&app, &user, view.job.id, fields, errors).await
}

/// The machine and the plan on it in one transaction, so that neither stands without the other.
async fn write(
    app: &AppState,
    user: &CurrentUser,
    view: &JobView,
    name: &str,
    place: i64,
    fields: &Fields,
) -> Result<Result<(), FieldErrors>, AppError> {
    let keys = Keys::of(fields);
    let mut tx = app.db.begin_write().await?;
    let tag = format!("NEW-{}", view.job.id.0);
    let started = machines::queries::start(&mut tx, &tag, name, place, app.clock.now()).await;
    let machine_id: MachineId = match started {
        Err(e) if db::is_duplicate(&e) => {
            let said = "This job has started a machine already. Choose it when planning";
            return Ok(Err(FieldErrors::of("machine_name", said)));
        }
        started => started?,
    };
    let body = Body::Planned {
        machine_id,
        scope: view.job.words.clone(),
        minutes: view.job.minutes_planned,
        steps: view.job.steps.clone(),
    };
    let entry = keys.entry(body);
    match record::add_within(app, &mut tx, view.job.id, &user.person, entry).await? {
        Outcome::Added(_) => {
            tx.commit().await?;
            Ok(Ok(()))
        }
        Outcome::Already(_) => Ok(Ok(())),
        Outcome::SetAside(_, refusal) | Outcome::Refused(refusal) => {
            Ok(Err(FieldErrors::of(refusal.field, refusal.message)))
        }
    }
}
