//! All machines by place, and the filter over them.

use super::{Machine, queries};
use crate::error::AppError;
use crate::jobs::{self, Job};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    pub q: String,
}

struct InPlace {
    path: String,
    machines: Vec<Line>,
}

struct Line {
    machine: Machine,
    jobs: Vec<Job>,
}

#[derive(Template)]
#[template(path = "machines/list.html")]
struct ListPage {
    layout: Layout,
    q: String,
    places: Vec<InPlace>,
    shown: usize,
    total: usize,
    /// Started at a job: number, tag, name.
    to_complete: Vec<(i64, String, String)>,
}

pub async fn list(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machines = queries::list(&app.db).await?;
    let open = jobs::queries::open(&app.db).await?;
    let total = machines.len();
    let wanted = filter.q.trim().to_lowercase();
    let mut places = Vec::new();
    let mut shown = 0;
    for place in queries::places(&app.db).await? {
        let here = machines.iter().filter(|m| m.place_id == place.id);
        let here = here.filter(|m| matches(m, &place.path, &wanted));
        let lines: Vec<Line> = here
            .map(|machine| {
                let jobs = open
                    .iter()
                    .filter(|j| j.machine_id == Some(machine.id))
                    .cloned();
                Line {
                    machine: machine.clone(),
                    jobs: jobs.collect(),
                }
            })
            .collect();
        shown += lines.len();
        if !lines.is_empty() {
            places.push(InPlace {
                path: place.path,
                machines: lines,
            });
        }
    }
    let layout = Layout::new(&app, &user.visitor, "Machines");
    let q = filter.q.trim().to_owned();
    Ok(Page(ListPage {
        layout,
        q,
        places,
        shown,
        total,
        to_complete: queries::to_complete(&app.db).await?,
    })
    .into_response())
}

fn matches(machine: &Machine, path: &str, wanted: &str) -> bool {
    [&machine.tag, &machine.name, &machine.serves, path]
        .iter()
        .any(|text| text.to_lowercase().contains(wanted))
}
