//! What every step of a job shares: the hidden fields of its form, reading the job's surroundings,
//! and turning an outcome into an answer.

use super::body::Body;
use super::gate::Lock;
use super::record::{self, NewEntry, Outcome};
use super::ways::gate::OutsideLock;
use super::{Job, JobId, control, queries};
use crate::clock::Millis;
use crate::error::AppError;
use crate::form::FieldErrors;
use crate::machines::queries::Place;
use crate::machines::{self, IsolationSheet, Machine};
use crate::motors::{self, Motor};
use crate::panels::{self, PanelCircuit};
use crate::people::{self, CurrentUser, Person};
use crate::shop::Units;
use crate::state::AppState;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// The hidden fields that every step's form carries.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Keys {
    /// The id of the entry to be, so that a form sent twice counts once.
    pub entry: String,
    /// The job's version that the sender saw.
    pub seen: String,
    /// The device's own clock, where script could fill it in.
    pub device_at: String,
}

impl Keys {
    pub fn fresh(app: &AppState, job: &Job) -> Keys {
        Keys {
            entry: record::new_id(app.clock.now()),
            seen: job.version.to_string(),
            device_at: String::new(),
        }
    }

    /// When it was written: by the device's clock where it came later, else now.
    pub fn written_at(&self, now: Millis) -> Millis {
        written_at(self.device_at.trim().parse().ok(), now)
    }

    pub fn entry(&self, body: Body) -> NewEntry {
        NewEntry {
            id: self.entry.clone(),
            body,
            corrects: None,
            device_at: self.device_at.trim().parse().ok(),
            seen: self.seen.trim().parse().ok(),
        }
    }
}

/// A device's clock that runs ahead says nothing.
pub fn written_at(device_at: Option<Millis>, now: Millis) -> Millis {
    device_at.map_or(now, |at| at.min(now))
}

/// A job with everything its pages need to show.
#[derive(Clone, Debug)]
pub struct JobView {
    pub job: Job,
    pub machine: Option<Machine>,
    pub place: Option<Place>,
    pub circuit: Option<PanelCircuit>,
    /// A label on the feeding panel was found wrong and is not put right.
    pub panel_label_wrong: bool,
    pub sheet: Option<IsolationSheet>,
    /// Locks that stand on the machine or its sources, of every job.
    pub locks: Vec<Lock>,
    /// Locks of outside firms that stand there.
    pub outside: Vec<OutsideLock>,
    /// Boxes, removed locks and permits.
    pub control: control::Around,
    pub fitted: Option<Motor>,
    pub chosen: Option<Motor>,
    pub assigned: Option<Person>,
    pub units: Units,
    pub today: time::Date,
}

impl JobView {
    /// # Errors
    /// [`AppError::NotFound`] where there is no such job.
    pub async fn load(app: &AppState, id: JobId) -> Result<JobView, AppError> {
        let job = queries::find(&app.db, id)
            .await?
            .ok_or(AppError::NotFound)?;
        Self::of(app, job).await
    }

    pub async fn of(app: &AppState, job: Job) -> Result<JobView, AppError> {
        let db = &app.db;
        let machine = match job.machine_id {
            Some(id) => machines::queries::find(db, id).await?,
            None => None,
        };
        let place_id = machine.as_ref().map(|m| m.place_id).or(job.place_id);
        let place = match place_id {
            Some(id) => machines::queries::place(db, id).await?,
            None => None,
        };
        let circuit = match machine.as_ref().and_then(|m| m.circuit_id) {
            Some(id) => panels::queries::circuit(db, id).await?,
            None => None,
        };
        let panel_label_wrong = match &circuit {
            Some(circuit) => !panels::queries::wrong_labels(db, circuit.panel_id)
                .await?
                .is_empty(),
            None => false,
        };
        let (sheet, locks) = match &machine {
            Some(machine) => (
                machines::queries::isolation_sheet(db, machine.id).await?,
                queries::locks_shown(db, machine.id).await?,
            ),
            None => (None, Vec::new()),
        };
        let outside = match &machine {
            Some(machine) => queries::outside_locks(db, machine.id).await?,
            None => Vec::new(),
        };
        let fitted = match machine.as_ref().and_then(|m| m.fitted_motor_id) {
            Some(id) => motors::queries::find(db, id).await?,
            None => None,
        };
        let chosen = match job.chosen_motor_id {
            Some(id) => motors::queries::find(db, id).await?,
            None => None,
        };
        let assigned = match job.assigned_to {
            Some(id) => people::queries::find(db, id).await?,
            None => None,
        };
        let control = queries::control_shown(db, &job, app.clock.now()).await?;
        Ok(JobView {
            control,
            outside,
            job,
            machine,
            place,
            circuit,
            panel_label_wrong,
            sheet,
            locks,
            fitted,
            chosen,
            assigned,
            units: app.units(),
            today: app.today(),
        })
    }

    /// The machine's tag; a dash for a job that names no machine yet.
    pub fn tag(&self) -> &str {
        self.machine
            .as_ref()
            .map_or("no tag yet", |m| m.tag.as_str())
    }

    pub fn machine_name(&self) -> &str {
        self.machine
            .as_ref()
            .map_or("Machine not named yet", |m| m.name.as_str())
    }

    pub fn place_path(&self) -> &str {
        self.place
            .as_ref()
            .map_or("place not known", |p| p.path.as_str())
    }

    /// Sources of the isolation sheet on which this job has no lock.
    pub fn sources_without_lock(&self) -> usize {
        self.sheet.as_ref().map_or(0, |sheet| {
            let locked = |id| {
                self.locks
                    .iter()
                    .any(|l| l.source_id == id && l.job_id == self.job.id)
            };
            sheet
                .sources
                .iter()
                .filter(|source| !locked(source.id))
                .count()
        })
    }

    /// Locks of this job that stand.
    pub fn own_locks(&self) -> impl Iterator<Item = &Lock> {
        self.locks.iter().filter(|lock| lock.job_id == self.job.id)
    }
}

/// Adds the step's entry; a refusal comes back as errors beside their fields.
pub async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    keys: &Keys,
    body: Body,
) -> Result<Result<(), FieldErrors>, AppError> {
    match record::add(app, job, &user.person, keys.entry(body)).await? {
        Outcome::Added(_) | Outcome::Already(_) => Ok(Ok(())),
        // Kept but not acted on: the job's page says so at its top.
        Outcome::SetAside(..) => Err(AppError::GoTo(app.url(&format!("/jobs/{}", job.0)))),
        Outcome::Refused(refusal) => Ok(Err(FieldErrors::of(refusal.field, refusal.message))),
    }
}

/// Where a step goes on: a page of the job.
pub fn go(app: &AppState, job: JobId, page: &str) -> Response {
    Redirect::to(&app.url(&format!("/jobs/{}{page}", job.0))).into_response()
}
