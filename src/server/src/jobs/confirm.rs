//! At the machine: is this the unit, and where it stands on a roof, what keeps people from falling.

use super::body::Body;
use super::roof::{self, PROTECTIONS, Stay};
use super::step_page::{WORKERS, refused, typed};
use super::steps::{self, JobView, Keys};
use super::{JobId, queries};
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::machines::Machine;
use crate::machines::alike::alike;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};

/// How a unit is confirmed.
pub const METHODS: &[(&str, &str)] = &[
    ("tag read at the machine", "read the tag at the machine"),
    ("tag scanned", "scanned the tag"),
    (
        "plate and place compared",
        "no tag there: compared plate and place",
    ),
];

#[derive(Template)]
#[template(path = "jobs/confirm.html")]
struct ConfirmPage {
    layout: Layout,
    keys: Keys,
    /// Machines near it that may be taken for it.
    neighbours: Vec<Neighbour>,
    /// The rule asked for protection, or will by what the record says.
    asks_protection: bool,
    view: JobView,
    fields: Fields,
    errors: FieldErrors,
}

/// A machine in the same place or one beside it.
#[derive(Clone, Debug, sqlx::FromRow)]
pub struct Neighbour {
    pub tag: String,
    pub name: String,
    pub kind: String,
    pub place_id: i64,
    pub place: String,
}

/// Named at most.
const NAMED: usize = 5;

/// Those with a tag alike first, then those of the same kind in the same place.
async fn neighbours(app: &AppState, machine: &Machine) -> Result<Vec<Neighbour>, AppError> {
    let all = queries::neighbours(&app.db, machine.id).await?;
    let (mut named, others): (Vec<_>, Vec<_>) =
        all.into_iter().partition(|n| alike(&n.tag, &machine.tag));
    let same = |n: &Neighbour| n.place_id == machine.place_id && n.kind == machine.kind;
    named.extend(others.into_iter().filter(same));
    named.truncate(NAMED);
    Ok(named)
}

impl ConfirmPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        id: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<ConfirmPage, AppError> {
        let view = JobView::load(app, id).await?;
        let asked = ["roof_protection", "roof_minutes"];
        Ok(ConfirmPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            keys: Keys::fresh(app, &view.job),
            neighbours: match &view.machine {
                Some(machine) => neighbours(app, machine).await?,
                None => Vec::new(),
            },
            asks_protection: roof::near(view.known_edge())
                || !fields.get("roof_protection").is_empty()
                || asked.iter().any(|name| errors.get(name).is_some()),
            view,
            fields,
            errors,
        })
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    fn edge(&self) -> String {
        if self.fields.0.is_empty() {
            roof::prefilled(self.view.known_edge(), self.view.units)
        } else {
            self.typed("roof_edge")
        }
    }
}

impl JobView {
    /// The machine, or the place alone, is on a roof.
    pub fn on_roof(&self) -> bool {
        self.known_edge().is_some() || self.place.as_ref().is_some_and(|p| p.kind == "roof")
    }

    fn known_edge(&self) -> Option<calc::units::Metres> {
        self.machine.as_ref().and_then(|m| m.facts.site.roof_edge)
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = ConfirmPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

/// The entry of a form or of a sheet; the gate judges the roof by the machine's record.
pub fn body(fields: &Fields, view: &JobView, method: &str) -> Result<Body, FieldErrors> {
    let mut errors = FieldErrors::default();
    if view.machine.is_none() {
        return place_alone(fields, view, errors);
    }
    let read = form::required(
        fields.get("tag_read"),
        "Type the tag as you read it on the machine",
    );
    let tag_read = errors.take("tag_read", read);
    let method = METHODS.iter().find(|(value, _)| *value == method);
    if method.is_none() {
        errors.add("method", "Say how you know that this is the unit");
    }
    let roof = view
        .on_roof()
        .then(|| Stay::of(fields, view.units, &mut errors));
    let method = method.map_or_else(String::new, |(value, _)| (*value).to_owned());
    errors.or(Body::UnitConfirmed {
        tag_read,
        method,
        roof,
    })
}

/// At a place without a machine there is no tag to read: only the roof is asked about.
fn place_alone(
    fields: &Fields,
    view: &JobView,
    mut errors: FieldErrors,
) -> Result<Body, FieldErrors> {
    let roof = view
        .on_roof()
        .then(|| Stay::of(fields, view.units, &mut errors));
    errors.or(Body::UnitConfirmed {
        tag_read: String::new(),
        method: "at the place".to_owned(),
        roof,
    })
}

pub async fn record(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let id = JobId(id);
    let view = JobView::load(&app, id).await?;
    let errors = match body(&fields, &view, fields.get("method")) {
        Ok(body) => match steps::add(&app, &user, id, &Keys::of(&fields), body).await? {
            Ok(()) => return Ok(steps::go(&app, id, "")),
            Err(errors) => errors,
        },
        Err(errors) => errors,
    };
    let page = ConfirmPage::load(&app, &user, id, fields, errors).await?;
    Ok(refused(page))
}
