//! `/jobs/{id}/permits`: which permits the work needs, which are open, and until when.

use super::body::{Control, PERMITS, permit_words};
use super::{Permit, PermitStands};
use crate::clock::{Millis, Zone, date_value};
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::step_page::{WORKERS, refused, renamed, typed, works};
use crate::jobs::steps::{self, JobView, Keys};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as Shared};
use axum::response::{IntoResponse, Response};

/// A permit as pages and the sheet show it.
#[derive(Clone, Debug)]
pub struct Shown {
    pub entry: String,
    pub words: String,
    pub conditions: String,
    pub stands: String,
    pub open: bool,
    pub closed: bool,
}

fn shown(permit: &Permit, now: Millis, zone: &Zone) -> Shown {
    let stands = permit.stands(now);
    let until = zone.minute_words(permit.valid_to);
    Shown {
        entry: permit.entry_id.clone(),
        words: format!(
            "{} permit {}, by {} to {}",
            permit_words(&permit.permit_kind),
            permit.number,
            permit.issued_by,
            permit.issued_to
        ),
        conditions: permit.conditions.clone(),
        stands: match stands {
            PermitStands::Open => format!("open until {until}"),
            PermitStands::NotYet => {
                format!("not valid before {}", zone.minute_words(permit.valid_from))
            }
            PermitStands::RanOut => format!("ran out {until}"),
            PermitStands::Closed => "closed".to_owned(),
        },
        open: stands == PermitStands::Open,
        closed: stands == PermitStands::Closed,
    }
}

/// The permits of a job, and the kinds it needs that have none open.
#[derive(Clone, Debug, Default)]
pub struct Permits {
    pub all: Vec<Shown>,
    pub needed: Vec<&'static str>,
    pub lacking: Vec<&'static str>,
}

impl Shown {
    /// The name of a field of this permit's form.
    fn field(&self, name: &str) -> String {
        format!("{name}_{}", self.entry)
    }
}

impl Permits {
    pub fn of(view: &JobView, zone: &Zone) -> Permits {
        let now = view.control.now;
        let needed = || {
            PERMITS.iter().filter(|(kind, _)| {
                let mut kinds = view.job.permits_needed.split_whitespace();
                kinds.any(|needed| needed == *kind)
            })
        };
        let open = |kind: &str| {
            let mut all = view.control.permits.iter();
            all.any(|p| p.permit_kind == kind && p.stands(now) == PermitStands::Open)
        };
        Permits {
            all: view
                .control
                .permits
                .iter()
                .map(|p| shown(p, now, zone))
                .collect(),
            needed: needed().map(|(_, words)| *words).collect(),
            lacking: needed()
                .filter(|(kind, _)| !open(kind))
                .map(|(_, words)| *words)
                .collect(),
        }
    }

    pub fn none(&self) -> bool {
        self.all.is_empty() && self.needed.is_empty()
    }
}

#[derive(Template)]
#[template(path = "jobs/permits.html")]
struct PermitsPage {
    layout: Layout,
    view: JobView,
    permits: Permits,
    kind: String,
    fields: Fields,
    errors: FieldErrors,
    works: bool,
    supervises: bool,
    now: Millis,
    today: String,
}

impl PermitsPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        job: JobId,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let view = JobView::load(app, job).await?;
        Ok(PermitsPage {
            layout: Layout::new(app, &user.visitor, "Today"),
            permits: Permits::of(&view, &app.zone()),
            kind: typed(&fields, "permit_kind"),
            fields,
            errors,
            works: works(&user.person),
            supervises: user.person.role == Role::Supervisor,
            now: app.clock.now(),
            today: date_value(app.today()),
            view,
        })
    }

    fn keys(&self) -> Keys {
        self.view.fresh_keys(self.now)
    }

    fn typed(&self, name: &str) -> String {
        typed(&self.fields, name)
    }

    /// What was typed; before that, today.
    fn day(&self, name: &str) -> String {
        let typed = self.typed(name);
        if typed.is_empty() && self.errors.is_empty() {
            self.today.clone()
        } else {
            typed
        }
    }

    fn kinds(&self) -> &'static [(&'static str, &'static str)] {
        PERMITS
    }

    fn needs(&self, kind: &str) -> bool {
        let mut kinds = self.view.job.permits_needed.split_whitespace();
        kinds.any(|needed| needed == kind)
    }
}

pub async fn show(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = PermitsPage::load(&app, &user, JobId(id), fields, errors).await?;
    Ok(Page(page).into_response())
}

async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: JobId,
    fields: Fields,
    control: Result<Control, FieldErrors>,
) -> Result<Response, AppError> {
    let errors = match control {
        Ok(control) => {
            let body = Body::Control(control);
            match steps::add(app, user, job, &Keys::of(&fields), body).await? {
                Ok(()) => return Ok(steps::go(app, job, "/permits")),
                Err(errors) => renamed(&errors, |field| match field {
                    "valid_to" => "to_time".to_owned(),
                    "closed_by" => format!("closed_by_{}", fields.get("of")),
                    other => other.to_owned(),
                }),
            }
        }
        Err(errors) => errors,
    };
    let page = PermitsPage::load(app, user, job, fields, errors).await?;
    Ok(refused(page))
}

pub async fn needed(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let control = Control::PermitsNeeded {
        kinds: PERMITS
            .iter()
            .filter(|(kind, _)| fields.ticked(&format!("needs_{kind}")))
            .map(|(kind, _)| (*kind).to_owned())
            .collect(),
    };
    add(&app, &user, JobId(id), fields, Ok(control)).await
}

/// Day and time of day as typed, in the shop's zone.
fn moment(fields: &Fields, name: &str, zone: &Zone, errors: &mut FieldErrors) -> Option<Millis> {
    let (day, time) = (format!("{name}_day"), format!("{name}_time"));
    let date = form::date(fields.get(&day), "Enter the day, as 2026-11-25");
    let date = errors.take(&day, date.map(Some));
    let clock = crate::jobs::spells::clock_time(fields.get(&time));
    if clock.is_none() {
        errors.add(&time, "Enter a time of day, as 08:30");
    }
    let (hour, minute) = clock?;
    let at = zone.instant(date?, hour, minute);
    if at.is_none() {
        errors.add(&time, "This time of day does not exist on that day");
    }
    at
}

pub(in crate::jobs) fn opened(fields: &Fields, zone: &Zone) -> Result<Control, FieldErrors> {
    let mut errors = FieldErrors::default();
    let from = moment(fields, "from", zone, &mut errors);
    let to = moment(fields, "to", zone, &mut errors);
    let of = |name: &str| fields.get(name).to_owned();
    if !PERMITS.iter().any(|(kind, _)| *kind == of("permit_kind")) {
        errors.add("permit_kind", "Choose what the permit is for");
    }
    match (from, to) {
        (Some(valid_from), Some(valid_to)) => errors.or(Control::PermitOpened {
            permit_kind: of("permit_kind"),
            number: of("number"),
            issued_by: of("issued_by"),
            issued_to: of("issued_to"),
            valid_from,
            valid_to,
            conditions: of("conditions"),
        }),
        _ => Err(errors),
    }
}

pub async fn open(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let control = opened(&fields, &app.zone());
    add(&app, &user, JobId(id), fields, control).await
}

pub async fn close(
    user: CurrentUser,
    Shared(app): Shared<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(WORKERS)?;
    let of = fields.get("of");
    let control = Control::PermitClosed {
        by: fields.get(&format!("closed_by_{of}")).to_owned(),
        of: of.to_owned(),
        note: fields.get(&format!("note_{of}")).to_owned(),
    };
    add(&app, &user, JobId(id), fields, Ok(control)).await
}
