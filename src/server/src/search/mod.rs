//! The search: one box on every page, machines first.

pub mod queries;
pub mod terms;

use crate::clock::date_words;
use crate::error::AppError;
use crate::jobs::{self, JobId};
use crate::machines::{self, Machine, MachineId};
use crate::page::{Layout, Page};
use crate::panels;
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use terms::{Terms, slips, tag_key};

/// Of each kind.
const MOST: i64 = 20;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    pub q: String,
    /// `1`: show the results even where a tag is meant exactly.
    pub all: String,
}

/// A machine among the results.
struct Found {
    machine: Machine,
    path: String,
}

struct FoundJob {
    id: i64,
    tag: String,
    words: String,
    state: &'static str,
    day: String,
}

#[derive(Template)]
#[template(path = "search/show.html")]
struct SearchPage {
    layout: Layout,
    q: String,
    asked: bool,
    machines: Vec<Found>,
    /// Machines whose tag is a slip away from what was typed.
    near: Vec<Found>,
    jobs: Vec<FoundJob>,
    panels: Vec<panels::queries::Panel>,
    /// Id, name, plate.
    motors: Vec<(i64, String, String)>,
}

impl SearchPage {
    fn nothing(&self) -> bool {
        self.machines.is_empty()
            && self.near.is_empty()
            && self.jobs.is_empty()
            && self.panels.is_empty()
            && self.motors.is_empty()
    }

    fn full(&self, len: usize) -> bool {
        i64::try_from(len).is_ok_and(|len| len >= MOST)
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let q: String = asked.q.trim().chars().take(200).collect();
    if asked.all.is_empty()
        && let Some(machine) = meant(&app, &q).await?
    {
        let to = app.url(&format!("/machines/{}", machine.0));
        return Ok(Redirect::to(&to).into_response());
    }
    let terms = Terms::of(&q);
    let machines = found(&app, &machine_ids(&app, &q, &terms).await?).await?;
    let near = if machines.is_empty() {
        found(
            &app,
            &queries::with_keys(&app.db, &slips(&tag_key(&q))).await?,
        )
        .await?
    } else {
        Vec::new()
    };
    let page = SearchPage {
        layout: Layout::new(&app, &user.visitor, ""),
        asked: !terms.is_empty(),
        machines,
        near,
        jobs: found_jobs(&app, &terms).await?,
        panels: found_panels(&app, &terms).await?,
        motors: found_motors(&app, &terms).await?,
        q,
    };
    Ok(Page(page).into_response())
}

/// The one machine whose tag was typed, whatever the case and the marks in it.
async fn meant(app: &AppState, q: &str) -> Result<Option<MachineId>, AppError> {
    if let Some(machine) = machines::queries::find_by_tag(&app.db, q).await? {
        return Ok(Some(machine.id));
    }
    let plain = |text: &str| -> String {
        let letters = text.chars().filter(|c| c.is_alphanumeric());
        letters.collect::<String>().to_lowercase()
    };
    let key = tag_key(q);
    if key.is_empty() || key.contains('\0') {
        return Ok(None);
    }
    let mut same = Vec::new();
    for id in queries::with_keys(&app.db, &[key]).await? {
        if let Some(machine) = machines::queries::find(&app.db, id).await?
            && plain(&machine.tag) == plain(q)
        {
            same.push(id);
        }
    }
    Ok(if same.len() == 1 { same.pop() } else { None })
}

/// By tag first, then by every word.
async fn machine_ids(app: &AppState, q: &str, terms: &Terms) -> Result<Vec<MachineId>, AppError> {
    let key = tag_key(q);
    let mut ids = if key.is_empty() || key.contains('\0') {
        Vec::new()
    } else {
        queries::with_keys(&app.db, &[key]).await?
    };
    for id in queries::ids(&app.db, queries::MACHINES, terms, MOST).await? {
        if !ids.contains(&MachineId(id)) {
            ids.push(MachineId(id));
        }
    }
    Ok(ids)
}

async fn found(app: &AppState, ids: &[MachineId]) -> Result<Vec<Found>, AppError> {
    let mut out = Vec::new();
    for id in ids {
        let Some(machine) = machines::queries::find(&app.db, *id).await? else {
            continue;
        };
        let place = machines::queries::place(&app.db, machine.place_id).await?;
        out.push(Found {
            path: place.map_or_else(String::new, |place| place.path),
            machine,
        });
    }
    Ok(out)
}

async fn found_jobs(app: &AppState, terms: &Terms) -> Result<Vec<FoundJob>, AppError> {
    let mut ids = queries::ids(&app.db, queries::JOBS, terms, MOST).await?;
    // A number alone is a job's number first of all.
    if let [number] = terms.0.as_slice()
        && let Ok(number) = number.parse::<i64>()
    {
        ids.retain(|id| *id != number);
        ids.insert(0, number);
    }
    let zone = app.zone();
    let mut out = Vec::new();
    for id in ids {
        let Some(job) = jobs::queries::find(&app.db, JobId(id)).await? else {
            continue;
        };
        let machine = match job.machine_id {
            Some(id) => machines::queries::find(&app.db, id).await?,
            None => None,
        };
        out.push(FoundJob {
            id,
            tag: machine.map_or_else(String::new, |m| m.tag),
            state: job.state.words(),
            day: date_words(zone.date(job.reported_at)),
            words: job.words,
        });
    }
    Ok(out)
}

async fn found_panels(
    app: &AppState,
    terms: &Terms,
) -> Result<Vec<panels::queries::Panel>, AppError> {
    let mut out = Vec::new();
    for id in queries::ids(&app.db, queries::PANELS, terms, MOST).await? {
        out.extend(panels::queries::panel(&app.db, id).await?);
    }
    Ok(out)
}

async fn found_motors(
    app: &AppState,
    terms: &Terms,
) -> Result<Vec<(i64, String, String)>, AppError> {
    let mut out = Vec::new();
    for id in queries::ids(&app.db, queries::MOTORS, terms, MOST).await? {
        let motor = queries::motor(&app.db, id).await?;
        out.extend(motor.map(|(name, plate)| (id, name, plate)));
    }
    Ok(out)
}
