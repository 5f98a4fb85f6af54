//! Machines by tag, a page at a time, and the filter over them; by place where all fit on one page.

use super::queries::Narrow;
use super::{KINDS, Machine, MachineId, queries};
use crate::error::AppError;
use crate::jobs::{self, Job};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::rows::Options;
use crate::search::{self, terms::Terms};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// On one page.
const MOST: usize = 100;
/// Machines a text filter looks at: the newest that have its words.
const MOST_FOUND: i64 = 1000;
const CRITICALITIES: Options = &[("high", "high"), ("ordinary", "ordinary"), ("low", "low")];

#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[serde(default)]
pub struct Filter {
    pub q: String,
    pub kind: String,
    pub criticality: String,
    pub place: String,
    /// The tag that the page before ended with.
    pub after: String,
}

struct InPlace {
    path: String,
    machines: Vec<Line>,
}

struct Line {
    machine: Machine,
    path: String,
    jobs: Vec<Job>,
}

#[derive(Template)]
#[template(path = "machines/list.html")]
struct ListPage {
    layout: Layout,
    filter: Filter,
    kinds: Options,
    criticalities: Options,
    /// Path of the place the list is narrowed down to; empty for all.
    place: String,
    /// One after the other where all fit on the page, else none with everything in it.
    places: Vec<InPlace>,
    by_place: bool,
    shown: usize,
    /// Address of the next page.
    next: Option<String>,
    /// Started at a job: number, tag, name.
    to_complete: Vec<(i64, String, String)>,
    /// Address of the tags of the same machines.
    tags: String,
}

impl ListPage {
    fn filtered(&self) -> bool {
        let filter = &self.filter;
        [&filter.q, &filter.kind, &filter.criticality, &filter.place]
            .iter()
            .any(|typed| !typed.is_empty())
    }

    /// No machine is there at all.
    fn empty(&self) -> bool {
        self.shown == 0 && !self.filtered() && self.filter.after.is_empty()
    }

    fn chosen(&self, typed: &str, value: &str) -> bool {
        typed == value
    }
}

pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(mut filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    filter.q = filter.q.trim().chars().take(200).collect();
    let (machines, more) = page(&app, &filter).await?;
    let next = match machines.last() {
        Some(last) if more => Some(next(&app, "/machines", &filter, &last.tag)?),
        _ => None,
    };
    let by_place = next.is_none() && filter.after.is_empty();
    let shown = machines.len();
    let place = match filter.place.parse() {
        Ok(id) => queries::place(&app.db, id).await?,
        Err(_) => None,
    };
    let places = grouped(lines(&app, machines).await?, by_place);
    let tags = serde_html_form::to_string(&filter).map_err(|e| AppError::Broken(e.to_string()))?;
    Ok(Page(ListPage {
        tags: app.url(&format!("/machines/tags?{tags}")),
        layout: Layout::new(&app, &user.visitor, "Machines"),
        kinds: KINDS,
        criticalities: CRITICALITIES,
        place: place.map_or_else(String::new, |place| place.path),
        places,
        by_place,
        shown,
        next,
        filter,
        to_complete: queries::to_complete(&app.db).await?,
    })
    .into_response())
}

/// The address of a page that goes on behind a tag.
pub(super) fn next(
    app: &AppState,
    path: &str,
    filter: &Filter,
    last: &str,
) -> Result<String, AppError> {
    let mut on = filter.clone();
    on.after = last.to_owned();
    let query = serde_html_form::to_string(&on).map_err(|e| AppError::Broken(e.to_string()))?;
    Ok(app.url(&format!("{path}?{query}")))
}

/// A page of machines, and whether there are more.
pub(super) async fn page(
    app: &AppState,
    filter: &Filter,
) -> Result<(Vec<Machine>, bool), AppError> {
    let mut machines = one_more(app, filter).await?;
    let more = machines.len() > MOST;
    machines.truncate(MOST);
    Ok((machines, more))
}

/// One machine more than a page has, where there are more.
async fn one_more(app: &AppState, filter: &Filter) -> Result<Vec<Machine>, AppError> {
    let clean = |text: &str| text.replace('\0', "");
    let narrow = Narrow {
        kind: clean(&filter.kind),
        criticality: clean(&filter.criticality),
        place: filter.place.parse().unwrap_or(0),
        after: clean(&filter.after).to_ascii_lowercase(),
    };
    let terms = Terms::of(&filter.q);
    if terms.is_empty() {
        let limit = i64::try_from(MOST + 1).unwrap_or(i64::MAX);
        return Ok(queries::page(&app.db, &narrow, limit).await?);
    }
    let mut found = Vec::new();
    let within = match narrow.place {
        0 => None,
        place => Some(queries::places_within(&app.db, place).await?),
    };
    for id in search::queries::ids(&app.db, search::queries::MACHINES, &terms, MOST_FOUND).await? {
        let Some(machine) = queries::find(&app.db, MachineId(id)).await? else {
            continue;
        };
        let wanted = (narrow.kind.is_empty() || narrow.kind == machine.kind)
            && (narrow.criticality.is_empty() || narrow.criticality == machine.criticality)
            && within
                .as_ref()
                .is_none_or(|ids| ids.contains(&machine.place_id));
        if wanted && machine.tag.to_ascii_lowercase() > narrow.after {
            found.push(machine);
        }
    }
    found.sort_by_key(|machine| machine.tag.to_ascii_lowercase());
    found.truncate(MOST + 1);
    Ok(found)
}

/// The ways to the places of these machines.
pub(super) async fn place_paths(
    app: &AppState,
    machines: &[Machine],
) -> Result<HashMap<i64, String>, AppError> {
    let mut paths: HashMap<i64, String> = HashMap::new();
    for machine in machines {
        if let Entry::Vacant(unknown) = paths.entry(machine.place_id) {
            let place = queries::place(&app.db, machine.place_id).await?;
            unknown.insert(place.map_or_else(String::new, |place| place.path));
        }
    }
    Ok(paths)
}

async fn lines(app: &AppState, machines: Vec<Machine>) -> Result<Vec<Line>, AppError> {
    let paths = place_paths(app, &machines).await?;
    let mut out = Vec::new();
    for machine in machines {
        out.push(Line {
            jobs: jobs::queries::open_of_machine(&app.db, machine.id).await?,
            path: paths.get(&machine.place_id).cloned().unwrap_or_default(),
            machine,
        });
    }
    Ok(out)
}

fn grouped(mut lines: Vec<Line>, by_place: bool) -> Vec<InPlace> {
    if !by_place {
        return vec![InPlace {
            path: String::new(),
            machines: lines,
        }];
    }
    // Stable: within a place the order of tags stays.
    lines.sort_by(|a, b| a.path.cmp(&b.path));
    let mut places: Vec<InPlace> = Vec::new();
    for line in lines {
        match places.last_mut() {
            Some(last) if last.path == line.path => last.machines.push(line),
            _ => places.push(InPlace {
                path: line.path.clone(),
                machines: vec![line],
            }),
        }
    }
    places
}
