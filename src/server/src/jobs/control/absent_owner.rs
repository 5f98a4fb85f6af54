//! `/jobs/{id}/lock/{lock}/removal`: the lock of an owner who is away comes off for them, and the
//! owner is told. The same page is the form to carry and the record to keep.

use super::Removal;
use super::body::Control;
use super::lines;
use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::step_page::{WORKERS, refused, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::jobs::{JobId, queries};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, PersonId, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};

/// The lock that the page is about, standing or taken off for its owner.
struct Named {
    entry: String,
    number: String,
    owner_id: PersonId,
    owner: String,
    point: String,
    since: String,
}

#[derive(Template)]
#[template(path = "jobs/lock_removal.html")]
struct RemovalPage {
    layout: Layout,
    view: JobView,
    lock: Named,
    removal: Option<Removal>,
    /// What was recorded when it was taken off, and when the owner was told.
    facts: Vec<String>,
    told: Vec<String>,
    fields: Fields,
    errors: FieldErrors,
    me: PersonId,
    works: bool,
    supervises: bool,
    now: Millis,
    zone: Zone,
}

impl RemovalPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        (job, lock): (JobId, &str),
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let zone = app.zone();
        let removals = &view.control.removals;
        let removal = removals.iter().find(|r| r.lock_entry_id == lock).cloned();
        let lock = named(&view, removal.as_ref(), lock, &zone).ok_or(AppError::NotFound)?;
        let (facts, told) = recorded(app, job, &lock.entry, &zone).await?;
        Ok(RemovalPage {
            layout: Layout::new(app, &user.visitor, "Desk"),
            lock,
            removal,
            facts,
            told,
            fields,
            errors,
            me: user.id(),
            works: works(&user.person),
            supervises: user.person.role == Role::Supervisor,
            now: app.clock.now(),
            zone,
            view,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn printed(&self) -> String {
        self.zone.minute_words(self.now)
    }

    fn may_remove(&self) -> bool {
        self.removal.is_none() && self.supervises && self.lock.owner_id != self.me
    }

    /// The owner has not been told yet.
    fn untold(&self) -> bool {
        self.removal.as_ref().is_some_and(|r| r.told_at.is_none())
    }
}

fn named(view: &JobView, removal: Option<&Removal>, lock: &str, zone: &Zone) -> Option<Named> {
    if let Some(r) = removal {
        return Some(Named {
            entry: r.lock_entry_id.clone(),
            number: r.lock_number.clone(),
            owner_id: r.owner_id,
            owner: r.owner.clone(),
            point: r.point.clone(),
            since: String::new(),
        });
    }
    if let Some(l) = view.own_locks().find(|l| l.entry_id == lock) {
        return Some(Named {
            entry: l.entry_id.clone(),
            number: l.lock_number.clone(),
            owner_id: l.person_id,
            owner: l.person.clone(),
            point: l.source.clone(),
            since: zone.minute_words(l.on_at),
        });
    }
    let (of, l) = view.control.box_lock(lock)?;
    (of.job_id == view.job.id).then(|| Named {
        entry: l.entry_id.clone(),
        number: l.lock_number.clone(),
        owner_id: l.person_id,
        owner: l.person.clone(),
        point: of.name.clone(),
        since: zone.minute_words(l.on_at),
    })
}

/// What the entries of the job say about this lock's removal and about telling its owner.
async fn recorded(
    app: &AppState,
    job: JobId,
    of: &str,
    zone: &Zone,
) -> Result<(Vec<String>, Vec<String>), AppError> {
    let (mut removed, mut told) = (Vec::new(), Vec::new());
    for entry in queries::entries(&app.db, job).await? {
        let (Body::Control(control), None) = (&entry.body, &entry.set_aside) else {
            continue;
        };
        let said = match control {
            Control::LockRemovedForOwner { lock, .. } if lock == of => &mut removed,
            Control::OwnerTold { lock, .. } if lock == of => &mut told,
            _ => continue,
        };
        let when = zone.minute_words(entry.received_at);
        said.push(format!("By {}, {when}", entry.person));
        let nobody = |_| String::new();
        said.extend(lines::facts(control, nobody, zone).into_iter().flatten());
    }
    Ok((removed, told))
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path((id, lock)): Path<(i64, String)>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = RemovalPage::load(&app, &user, (JobId(id), &lock), fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    (job, lock): (JobId, String),
    fields: Fields,
    control: Control,
) -> Result<Response, AppError> {
    match steps::add(app, user, job, &Keys::of(&fields), Body::Control(control)).await? {
        Ok(()) => Ok(steps::go(app, job, &format!("/lock/{lock}/removal"))),
        Err(errors) => {
            let page = RemovalPage::load(app, user, (job, &lock), fields, errors).await?;
            Ok(refused(page))
        }
    }
}

pub async fn remove(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path((id, lock)): Path<(i64, String)>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let of = |name: &str| fields.get(name).to_owned();
    let control = Control::LockRemovedForOwner {
        lock: lock.clone(),
        owner_not_on_site: of("owner_not_on_site"),
        tried_to_reach: of("tried_to_reach"),
        directed_by: of("directed_by"),
        procedure_ref: of("procedure_ref"),
        device_checked: of("device_checked"),
    };
    add(&app, &user, (JobId(id), lock), fields, control).await
}

pub async fn told(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path((id, lock)): Path<(i64, String)>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let control = Control::OwnerTold {
        lock: lock.clone(),
        how: fields.get("how").to_owned(),
    };
    add(&app, &user, (JobId(id), lock), fields, control).await
}
