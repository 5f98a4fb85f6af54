//! `/jobs/{id}/handover`: change of shift or person, the incoming locks on before the outgoing off.

use super::body::Control;
use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::step_page::{WORKERS, refused, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::page::{Layout, Page};
use crate::people::{self, CurrentUser, Person, PersonId};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};

/// People who may hold locks, for a choice.
pub(super) async fn workers(app: &AppState) -> Result<Vec<Person>, AppError> {
    let all = people::queries::list(&app.db).await?;
    Ok(all.into_iter().filter(|p| !p.closed && works(p)).collect())
}

/// The person chosen in a field; nobody where nothing was chosen.
pub(super) fn chosen(fields: &Fields, name: &str) -> PersonId {
    PersonId(fields.get(name).parse().unwrap_or(0))
}

#[derive(Template)]
#[template(path = "jobs/handover.html")]
struct HandoverPage {
    layout: Layout,
    view: JobView,
    people: Vec<(String, String)>,
    from: String,
    to: String,
    /// Outgoing and incoming, where a handover waits for its dead test.
    waits: Option<(String, String)>,
    fields: Fields,
    errors: FieldErrors,
    works: bool,
    now: Millis,
    zone: Zone,
}

impl HandoverPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        let workers = workers(app).await?;
        let name = |id: PersonId| {
            let found = workers.iter().find(|p| p.id == id);
            found.map_or_else(|| "somebody".to_owned(), |p| p.name.clone())
        };
        let (from, to) = (typed(&fields, "from"), typed(&fields, "to"));
        let pending = view.job.handover_from.zip(view.job.handover_to);
        Ok(HandoverPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            waits: pending.map(|(from, to)| (name(from), name(to))),
            people: workers
                .iter()
                .map(|p| (p.id.0.to_string(), p.name.clone()))
                .collect(),
            from,
            to,
            fields,
            errors,
            works: works(&user.person),
            now: app.clock.now(),
            zone: app.zone(),
            view,
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
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = HandoverPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

pub async fn record(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let job = JobId(id);
    let mut errors = FieldErrors::default();
    for (field, message) in [
        ("from", "Choose who leaves"),
        ("to", "Choose who takes over"),
    ] {
        if fields.get(field).is_empty() {
            errors.add(field, message);
        }
    }
    let body = errors.or(Body::Control(Control::HandedOver {
        from: chosen(&fields, "from"),
        to: chosen(&fields, "to"),
        note: fields.get("note").to_owned(),
    }));
    let errors = match body {
        Ok(body) => match steps::add(&app, &user, job, &Keys::of(&fields), body).await? {
            Ok(()) => return Ok(steps::go(&app, job, "/handover")),
            Err(errors) => errors,
        },
        Err(errors) => errors,
    };
    let page = HandoverPage::load(&app, &user, job, fields, errors).await?;
    Ok(refused(page))
}
