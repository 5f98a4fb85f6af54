//! `/jobs/{id}/box`: several people behind one set of source locks, each with an own lock on the box
//! that holds the keys.

use super::body::Control;
use super::handover::{chosen, workers};
use super::{BoxLock, LockBox};
use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::gate::Lock;
use crate::jobs::step_page::{WORKERS, refused, renamed, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{JobId, State};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, PersonId};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};

#[derive(Template)]
#[template(path = "jobs/box.html")]
struct BoxPage {
    layout: Layout,
    view: JobView,
    people: Vec<(String, String)>,
    coordinator: String,
    fields: Fields,
    errors: FieldErrors,
    me: PersonId,
    works: bool,
    now: Millis,
    zone: Zone,
}

impl BoxPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let workers = workers(app).await?;
        Ok(BoxPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            view: JobView::load(app, job).await?,
            people: workers
                .into_iter()
                .map(|p| (p.id.0.to_string(), p.name))
                .collect(),
            coordinator: typed(&fields, "coordinator"),
            fields,
            errors,
            me: user.id(),
            works: works(&user.person),
            now: app.clock.now(),
            zone: app.zone(),
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn since(&self, at: &Millis) -> String {
        self.zone.minute_words(*at)
    }

    fn boxes(&self) -> Vec<&LockBox> {
        self.view.control.boxes.iter().collect()
    }

    /// Here is where it is worked on: a box of another job only shows.
    fn here(&self, of: &LockBox) -> bool {
        self.works && of.job_id == self.view.job.id
    }

    /// The name of the field for one's own lock on this box.
    fn number_field(&self, of: &LockBox) -> String {
        format!("lock_number_{}", of.entry_id)
    }

    fn mine(&self, lock: &BoxLock) -> bool {
        lock.person_id == self.me
    }

    fn open_to_me(&self, of: &LockBox) -> bool {
        self.here(of)
            && matches!(self.view.job.state, State::HandedOut | State::Isolated)
            && !self.view.job.lifting
            && !of.locks.iter().any(|l| self.mine(l))
    }

    /// Own locks of this job whose keys are in no box.
    fn own_keys(&self) -> Vec<&Lock> {
        let boxed = |entry: &String| {
            let mut boxes = self.view.control.boxes.iter();
            boxes.any(|b| b.keys.contains(entry))
        };
        self.view
            .own_locks()
            .filter(|l| l.person_id == self.me && !boxed(&l.entry_id))
            .collect()
    }

    fn may_lock(&self) -> bool {
        self.works
            && matches!(self.view.job.state, State::HandedOut | State::Isolated)
            && !self.view.job.lifting
            && !self.own_keys().is_empty()
    }

    /// Source locks whose keys this box holds, in words.
    fn holds(&self, of: &LockBox) -> String {
        let locks = self.view.locks.iter();
        let words: Vec<String> = locks
            .filter(|l| of.keys.contains(&l.entry_id))
            .map(|l| format!("{} on {}", l.lock_number, l.source))
            .collect();
        words.join(", ")
    }
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = BoxPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    control: Control,
) -> Result<Response, AppError> {
    match steps::add(app, user, job, &Keys::of(&fields), Body::Control(control)).await? {
        Ok(()) => Ok(steps::go(app, job, "/box")),
        Err(errors) => {
            let errors = renamed(&errors, |field| match field {
                "lock_number" => format!("lock_number_{}", fields.get("box")),
                other => other.to_owned(),
            });
            let page = BoxPage::load(app, user, job, fields, errors).await?;
            Ok(refused(page))
        }
    }
}

/// Own keys into the box; the gate says which source has none.
pub async fn lock(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let view = JobView::load(&app, JobId(id)).await?;
    let ticked = |lock: &&Lock| fields.ticked(&format!("key_{}", lock.entry_id));
    let control = Control::BoxLocked {
        box_name: fields.get("box_name").to_owned(),
        coordinator: chosen(&fields, "coordinator"),
        keys_of: view
            .own_locks()
            .filter(ticked)
            .map(|lock| lock.entry_id.clone())
            .collect(),
    };
    add(&app, &user, view.job.id, fields, control).await
}

pub async fn on(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let of = fields.get("box");
    let control = Control::BoxLockOn {
        of: of.to_owned(),
        lock_number: fields.get(&format!("lock_number_{of}")).to_owned(),
    };
    add(&app, &user, JobId(id), fields, control).await
}

pub async fn off(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let control = Control::BoxLockOff {
        lock: fields.get("lock").to_owned(),
    };
    add(&app, &user, JobId(id), fields, control).await
}
