//! What may stand in for a part or a motor, on which limits, and who said so.
//!
//! An accepted fit of one machine is kept for every machine built with the same motor. It is shown
//! first there, and judged afresh against that machine: a kept alternate is never a permission.

use super::queries::{self, Accepted, Alternate, NewAlternate};
use super::{Item, PartId};
use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::fit;
use crate::fit::candidates::Explained;
use crate::form::{self, FieldErrors, Fields};
use crate::motors::{self, MotorId};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use calc::fit::Need;
use calc::working::Verdict;
use serde_json::json;

/// Only a supervisor approves.
const APPROVERS: &[Role] = &[Role::Supervisor];

#[derive(Template)]
#[template(path = "stores/alternates.html")]
struct AlternatesPage {
    layout: Layout,
    of: Item,
    name: String,
    ended: bool,
    last_buy: String,
    all: Vec<Alternate>,
    fits: Vec<Accepted>,
    parts: Vec<(String, String)>,
    approves: bool,
    fields: Fields,
    errors: FieldErrors,
    zone: Zone,
}

impl AlternatesPage {
    async fn load(
        app: &AppState,
        user: &CurrentUser,
        of: Item,
        fields: Fields,
        errors: FieldErrors,
    ) -> Result<Self, AppError> {
        let (name, ended, last_buy) = match of {
            Item::Part(id) => {
                let part = queries::part(&app.db, id).await?;
                let part = part.ok_or(AppError::NotFound)?;
                (part.name.clone(), part.ended(), part.last_buy)
            }
            Item::Motor(id) => {
                let motor = motors::queries::find(&app.db, id).await?;
                let motor = motor.ok_or(AppError::NotFound)?;
                (motor.name, motor.made == "ended", String::new())
            }
        };
        let fits = match of {
            Item::Motor(id) => queries::accepted_fits(&app.db, id).await?,
            Item::Part(_) => Vec::new(),
        };
        let names = match of {
            Item::Part(_) => queries::part_names(&app.db, 2_000).await?,
            Item::Motor(_) => Vec::new(),
        };
        let other = |(id, ..): &(PartId, String, String)| Some(*id) != of.part();
        let words = |(id, name, kind): (PartId, String, String)| {
            (Item::Part(id).value(), format!("{name} ({kind})"))
        };
        Ok(AlternatesPage {
            layout: Layout::new(app, &user.visitor, "Shelf"),
            all: queries::alternates(&app.db, of).await?,
            parts: names.into_iter().filter(other).map(words).collect(),
            approves: APPROVERS.contains(&user.person.role),
            zone: app.zone(),
            of,
            name,
            ended,
            last_buy,
            fits,
            fields,
            errors,
        })
    }

    fn typed(&self, name: &str) -> String {
        self.fields.get(name).to_owned()
    }

    fn when(&self, one: &Alternate) -> String {
        self.zone.minute_words(one.approved_at)
    }

    fn choice(&self, one: &Accepted) -> String {
        Item::Motor(one.motor_id).value()
    }
}

fn item(kind: &str, id: i64) -> Result<Item, AppError> {
    match kind {
        "parts" => Ok(Item::Part(PartId(id))),
        "motors" => Ok(Item::Motor(MotorId(id))),
        _ => Err(AppError::NotFound),
    }
}

/// `/shelf/{kind}/{id}/alternates`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((kind, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (fields, errors) = (Fields::default(), FieldErrors::default());
    let page = AlternatesPage::load(&app, &user, item(&kind, id)?, fields, errors).await?;
    Ok(Page(page).into_response())
}

/// What is approved. For a motor only what was found to suit on some machine.
async fn wanted(
    app: &AppState,
    of: Item,
    fields: &Fields,
) -> Result<Result<NewAlternate, FieldErrors>, AppError> {
    let mut errors = FieldErrors::default();
    let limits = form::required(
        fields.get("limits"),
        "Write the limits: where, under which load and ambient, after which work",
    );
    let limits = errors.take("limits", limits);
    let other = Item::named(fields.get("other"));
    let (mut verdict, mut job) = (String::new(), None);
    let known = match (of, other) {
        (Item::Part(of), Some(Item::Part(id))) => {
            of != id && queries::part(&app.db, id).await?.is_some()
        }
        (Item::Motor(of), Some(Item::Motor(id))) => {
            let fits = queries::accepted_fits(&app.db, of).await?;
            let fit = fits.into_iter().find(|fit| fit.motor_id == id);
            if let Some(fit) = &fit {
                verdict = fit.verdict.clone();
                job = Some(fit.job_id);
            }
            fit.is_some()
        }
        _ => false,
    };
    if !known {
        errors.add("other", "Choose what may stand in for it");
    }
    Ok(errors.or(NewAlternate {
        of,
        other: other.unwrap_or(of),
        limits,
        verdict,
        job,
    }))
}

pub async fn approve(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((kind, id)): Path<(String, i64)>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(APPROVERS)?;
    let of = item(&kind, id)?;
    let new = match wanted(&app, of, &fields).await? {
        Ok(new) => new,
        Err(errors) => {
            let page = AlternatesPage::load(&app, &user, of, fields, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response());
        }
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let made = queries::insert_alternate(&mut tx, &new, user.id(), now).await?;
    let by = Some(user.id());
    audit(&mut tx, now, by, ("alternates", made), "approved", &new).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shelf/{kind}/{id}/alternates"))).into_response())
}

pub async fn withdraw(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((kind, id, alternate)): Path<(String, i64, i64)>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(APPROVERS)?;
    let of = item(&kind, id)?;
    let why = match form::required(fields.get("withdrawn_why"), "Say why it no longer stands") {
        Ok(why) => why,
        Err(message) => {
            let errors = FieldErrors::of("withdrawn_why", message);
            let page = AlternatesPage::load(&app, &user, of, fields, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response());
        }
    };
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    if !queries::withdraw_alternate(&mut tx, of, alternate, &why, now).await? {
        return Err(AppError::Stale);
    }
    let by = Some(user.id());
    let detail = json!({ "why": why });
    let thing = ("alternates", alternate);
    audit(&mut tx, now, by, thing, "withdrawn", &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/shelf/{kind}/{id}/alternates"))).into_response())
}

/// A kept alternate on the fit page of another machine, judged against that machine now.
#[derive(Clone, Debug)]
pub struct Kept {
    pub motor: i64,
    pub name: String,
    pub limits: String,
    pub approved: String,
    pub verdict: Verdict,
}

/// The alternates kept for a design motor, with their verdict on this machine.
pub async fn kept(
    app: &AppState,
    design: Option<MotorId>,
    need: &Need<'_>,
) -> Result<Vec<Kept>, AppError> {
    let Some(design) = design else {
        return Ok(Vec::new());
    };
    let zone = app.zone();
    let mut all = Vec::new();
    for one in queries::alternates(&app.db, Item::Motor(design)).await? {
        let (Some(id), None) = (one.motor_id, one.withdrawn_at) else {
            continue;
        };
        let Some(candidate) = fit::queries::candidate(&app.db, id).await? else {
            continue;
        };
        all.push(Kept {
            motor: id.0,
            name: one.name,
            limits: one.limits,
            approved: format!("{}, {}", one.approved, zone.minute_words(one.approved_at)),
            verdict: Explained::of(need, &candidate.plate).verdict,
        });
    }
    Ok(all)
}
