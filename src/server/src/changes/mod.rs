//! Who changed which field of a register when, with what it was and what it is.

mod differ;
mod queries;

use crate::clock::{Millis, Zone};
use crate::error::AppError;
use crate::machines::show::find_machine;
use crate::motors::{self, MotorId};
use crate::page::{Layout, Page};
use crate::panels::show::{find_circuit, find_panel};
use crate::panels::{self, CircuitId};
use crate::people::CurrentUser;
use crate::state::AppState;
use crate::{machines, rows};
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
pub use differ::{Field, NOT_KNOWN, fields};

/// Changes that one page shows.
const MOST: i64 = 300;

/// Registers with a change list, and the words for their things.
const THINGS: rows::Options = &[
    ("machines", "Machine"),
    ("motors", "Motor"),
    ("panels", "Panel"),
    ("circuits", "Circuit"),
];

/// One act of one person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    pub at: Millis,
    pub person: String,
    pub act: String,
    pub fields: Vec<Field>,
}

/// The changes of one thing, the newest first, numbers of other rows said in words.
pub async fn of(app: &AppState, thing: &str, id: i64) -> Result<Vec<Change>, AppError> {
    let mut changes = Vec::new();
    for line in queries::of(&app.db, thing, id, MOST).await? {
        let detail = serde_json::from_str(&line.detail)
            .map_err(|e| AppError::Broken(format!("audit line of {thing} {id}: {e}")))?;
        let mut fields = differ::fields(&detail);
        for field in &mut fields {
            field.before = named(app, &field.name, &field.before).await?;
            field.after = named(app, &field.name, &field.after).await?;
        }
        changes.push(Change {
            at: line.at,
            person: line.person.unwrap_or_else(|| "the program".to_owned()),
            act: line.act,
            fields,
        });
    }
    Ok(changes)
}

/// A number that stands for a row, as its name.
async fn named(app: &AppState, field: &str, text: &str) -> Result<String, AppError> {
    let Ok(id) = text.parse::<i64>() else {
        return Ok(text.to_owned());
    };
    let found = match field {
        "place" => machines::queries::place(&app.db, id)
            .await?
            .map(|place| place.path),
        "circuit" | "fed from" => panels::queries::circuit(&app.db, CircuitId(id))
            .await?
            .map(|circuit| circuit.words()),
        "fitted" | "design" => motors::queries::find(&app.db, MotorId(id))
            .await?
            .map(|motor| format!("{} (motor {id})", motor.name)),
        "part of" => machines::queries::find(&app.db, machines::MachineId(id))
            .await?
            .map(|machine| machine.tag),
        _ => None,
    };
    Ok(found.unwrap_or_else(|| text.to_owned()))
}

#[derive(Template)]
#[template(path = "changes/show.html")]
struct ChangesPage {
    layout: Layout,
    title: String,
    back: String,
    changes: Vec<Change>,
    zone: Zone,
}

/// `/changes/{register}/{id}`
pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((thing, id)): Path<(String, i64)>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let (name, back) = match thing.as_str() {
        "machines" => (find_machine(&app, id).await?.tag, format!("/machines/{id}")),
        "motors" => {
            let motor = motors::queries::find(&app.db, MotorId(id)).await?;
            (
                motor.ok_or(AppError::NotFound)?.name,
                format!("/shelf/motors/{id}"),
            )
        }
        "panels" => (find_panel(&app, id).await?.name, format!("/panels/{id}")),
        "circuits" => (
            find_circuit(&app, id).await?.words(),
            format!("/panels/circuits/{id}"),
        ),
        _ => return Err(AppError::NotFound),
    };
    let kind = rows::words_of(THINGS, &thing);
    let page = ChangesPage {
        layout: Layout::new(&app, &user.visitor, ""),
        title: match thing.as_str() {
            "circuits" => format!("Changes: {name}"),
            _ => format!("Changes: {} {name}", kind.to_lowercase()),
        },
        back,
        changes: of(&app, &thing, id).await?,
        zone: app.zone(),
    };
    Ok(Page(page).into_response())
}
