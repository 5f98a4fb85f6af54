//! `/panels/{id}/schedule`: what hangs inside the panel's door, in two columns like its face.

use super::faces::{self, Slot};
use super::queries::Panel;
use super::show::find_panel;
use super::{PanelCircuit, queries};
use crate::error::AppError;
use crate::machines::Machine;
use crate::machines::queries::Place;
use crate::machines::show::find_place;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};

struct Line {
    circuit: PanelCircuit,
    machines: Vec<Machine>,
}

impl Line {
    /// `20 A, 2-pole`, in as few letters as fit.
    fn device(&self) -> String {
        let facts = &self.circuit.facts;
        let amps = facts.device_rating.map(|a| format!("{} A", a.normalize()));
        let poles = facts.poles.map(|n| format!("{n}P"));
        match (amps, poles) {
            (None, None) => "not known".to_owned(),
            (amps, poles) => amps.into_iter().chain(poles).collect::<Vec<_>>().join(" "),
        }
    }

    fn wire(&self) -> String {
        let size = self.circuit.facts.size.clone();
        let kind = Some(self.circuit.wire_type.clone()).filter(|kind| !kind.is_empty());
        size.into_iter().chain(kind).collect::<Vec<_>>().join(" ")
    }
}

#[derive(Template)]
#[template(path = "panels/schedule.html")]
struct SchedulePage {
    layout: Layout,
    panel: Panel,
    place: Place,
    fed_from: Option<PanelCircuit>,
    lines: Vec<Line>,
    rows: Vec<(Slot, Slot)>,
    beside: Vec<usize>,
    wrong: usize,
    printed: String,
}

impl SchedulePage {
    fn beside_lines(&self) -> Vec<&Line> {
        let at = self.beside.iter();
        at.filter_map(|at| self.lines.get(*at)).collect()
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let panel = find_panel(&app, id).await?;
    let circuits = queries::of_panel(&app.db, id).await?;
    let (rows, beside) = faces::rows(&circuits);
    let machines = crate::machines::queries::fed_by_panel(&app.db, id).await?;
    let line = |circuit: PanelCircuit| Line {
        machines: machines
            .iter()
            .filter(|m| m.circuit_id == Some(circuit.id) && m.retired_on.is_none())
            .cloned()
            .collect(),
        circuit,
    };
    let fed_from = match panel.fed_from_id {
        Some(circuit) => queries::circuit(&app.db, circuit).await?,
        None => None,
    };
    let page = SchedulePage {
        layout: Layout::new(&app, &user.visitor, "Panels"),
        place: find_place(&app, panel.place_id).await?,
        wrong: circuits.iter().filter(|c| c.label_wrong).count(),
        lines: circuits.into_iter().map(line).collect(),
        printed: app.zone().minute_words(app.clock.now()),
        panel,
        fed_from,
        rows,
        beside,
    };
    Ok(Page(page).into_response())
}
