//! `/procedures`: the library, one procedure on screen and on paper, and the starter set.

use super::{Procedure, Revision, Step, kind_words, queries, starter};
use crate::audit::audit;
use crate::clock::Zone;
use crate::error::AppError;
use crate::form::CheckedForm;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

#[derive(Template)]
#[template(path = "procedures/list.html")]
struct ListPage {
    layout: Layout,
    procedures: Vec<Procedure>,
}

impl ListPage {
    fn kind(&self, procedure: &Procedure) -> String {
        kind_words(&procedure.for_kind)
    }
}

pub async fn list(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let page = ListPage {
        layout: Layout::new(&app, &user.visitor, "Preventive"),
        procedures: queries::list(&app.db).await?,
    };
    Ok(Page(page).into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Wanted {
    /// An earlier revision; blank for the newest.
    revision: String,
}

#[derive(Template)]
#[template(path = "procedures/show.html")]
struct ShowPage {
    layout: Layout,
    procedure: Procedure,
    kind: String,
    revision: i64,
    revisions: Vec<Revision>,
    steps: Vec<Step>,
    zone: Zone,
    printed: String,
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let found = queries::find(&app.db, id).await?;
    let procedure = found.ok_or(AppError::NotFound)?;
    let revisions = queries::revisions(&app.db, id).await?;
    let revision = match wanted.revision.trim() {
        "" => procedure.revision,
        text => text.parse().map_err(|_| AppError::NotFound)?,
    };
    if revisions.iter().all(|r| r.revision != revision) {
        return Err(AppError::NotFound);
    }
    let zone = app.zone();
    let page = ShowPage {
        layout: Layout::new(&app, &user.visitor, "Preventive"),
        kind: kind_words(&procedure.for_kind),
        steps: queries::steps(&app.db, id, revision).await?,
        printed: zone.minute_words(app.clock.now()),
        procedure,
        revision,
        revisions,
        zone,
    };
    Ok(Page(page).into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Nothing {}

/// Puts in the part of the starter set that the shop does not have.
pub async fn add_starter(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(_): CheckedForm<Nothing>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    let put = starter::install(&mut tx, now).await?;
    let detail = serde_json::json!({ "put": put });
    let thing = ("procedures", 0);
    audit(&mut tx, now, Some(user.id()), thing, "starter set", &detail).await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url("/procedures")).into_response())
}
