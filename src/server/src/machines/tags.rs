//! Tags on paper: a sheet for one machine, labels for many.

use super::Machine;
use super::list::{Filter, next, page, place_paths};
use super::show::{find_machine, find_place};
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::qr;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};

struct Label {
    machine: Machine,
    place: String,
    /// Inline SVG, made here from the address alone.
    code: String,
}

fn label(app: &AppState, machine: Machine, place: String) -> Label {
    let code = qr::svg(&app.public_url(&format!("/t/{}", machine.tag)));
    Label {
        machine,
        place,
        code,
    }
}

#[derive(Template)]
#[template(path = "machines/tag.html")]
struct TagPage {
    layout: Layout,
    label: Label,
    report: String,
    printed: String,
}

pub async fn one(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machine = find_machine(&app, id).await?;
    let place = find_place(&app, machine.place_id).await?.path;
    let page = TagPage {
        layout: Layout::new(&app, &user.visitor, "Machines"),
        label: label(&app, machine, place),
        report: app.public_url("/report"),
        printed: app.zone().minute_words(app.clock.now()),
    };
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "machines/tags.html")]
struct TagsPage {
    layout: Layout,
    labels: Vec<Label>,
    report: String,
    /// Address of the next labels.
    next: Option<String>,
}

/// The labels of the machines that the list shows with the same filter, a page of them at a time.
pub async fn all(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (machines, more) = page(&app, &filter).await?;
    let next = match machines.last() {
        Some(last) if more => Some(next(&app, "/machines/tags", &filter, &last.tag)?),
        _ => None,
    };
    let paths = place_paths(&app, &machines).await?;
    let mut labels = Vec::new();
    for machine in machines {
        if machine.retired_on.is_none() {
            let place = paths.get(&machine.place_id).cloned().unwrap_or_default();
            labels.push(label(&app, machine, place));
        }
    }
    let layout = Layout::new(&app, &user.visitor, "Machines");
    Ok(Page(TagsPage {
        layout,
        labels,
        report: app.public_url("/report"),
        next,
    })
    .into_response())
}
