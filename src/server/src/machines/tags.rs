//! Tags on paper: a sheet for one machine, labels for many.

use super::show::{find_machine, find_place};
use super::{Machine, queries};
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::qr;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
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
}

pub async fn all(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let places = queries::places(&app.db).await?;
    let mut labels = Vec::new();
    for machine in queries::list(&app.db).await? {
        if machine.retired_on.is_some() {
            continue;
        }
        let place = places.iter().find(|place| place.id == machine.place_id);
        let place = place.map(|place| place.path.clone()).unwrap_or_default();
        labels.push(label(&app, machine, place));
    }
    let layout = Layout::new(&app, &user.visitor, "Machines");
    Ok(Page(TagsPage {
        layout,
        labels,
        report: app.public_url("/report"),
    })
    .into_response())
}
