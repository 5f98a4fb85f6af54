//! Panels and their circuits for reading and for paper, and labels found wrong.

use super::queries::{FedMachine, LabelNoted, Panel};
use super::{CircuitId, PanelCircuit, form, queries};
use crate::audit::audit;
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, required};
use crate::machines::cautions::LABELS;
use crate::machines::show::find_place;
use crate::machines::{self, Machine};
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::shop::Units;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;
use std::collections::HashMap;
use time::Date;

struct PanelLine {
    panel: Panel,
    place: String,
    circuits: i64,
    wrong: i64,
}

#[derive(Template)]
#[template(path = "panels/list.html")]
struct ListPage {
    layout: Layout,
    panels: Vec<PanelLine>,
}

pub async fn list(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require_staff()?;
    let places = machines::queries::places(&app.db).await?;
    let places: HashMap<i64, String> = places.into_iter().map(|p| (p.id, p.path)).collect();
    let counts = queries::circuit_counts(&app.db).await?;
    let counts: HashMap<i64, (i64, i64)> = counts
        .into_iter()
        .map(|(panel, circuits, wrong)| (panel, (circuits, wrong)))
        .collect();
    let line = |panel: Panel| {
        let (circuits, wrong) = counts.get(&panel.id).copied().unwrap_or_default();
        PanelLine {
            place: places.get(&panel.place_id).cloned().unwrap_or_default(),
            circuits,
            wrong,
            panel,
        }
    };
    let panels = queries::panels(&app.db)
        .await?
        .into_iter()
        .map(line)
        .collect();
    let layout = Layout::new(&app, &user.visitor, "Panels");
    Ok(Page(ListPage { layout, panels }).into_response())
}

/// A circuit with the machines that its record says it feeds.
struct Fed {
    circuit: PanelCircuit,
    machines: Vec<FedMachine>,
    units: Units,
}

/// Machines of one circuit that the page of its panel names; the circuit's own page goes on.
const NAMED: i64 = 12;

impl Fed {
    /// How many more are on the circuit.
    fn more(&self) -> i64 {
        let of = self.machines.first().map_or(0, |machine| machine.of);
        (of - NAMED).max(0)
    }

    fn device(&self) -> String {
        form::device_words(&self.circuit.facts)
    }

    fn wire(&self) -> String {
        form::wire_words(&self.circuit.facts, self.units)
    }

    fn day(&self, date: &Date) -> String {
        date_words(*date)
    }
}

#[derive(Template)]
#[template(path = "panels/show.html")]
struct ShowPage {
    layout: Layout,
    panel: Panel,
    place: machines::queries::Place,
    circuits: Vec<Fed>,
    fed_from: Option<PanelCircuit>,
    feeds: Vec<Panel>,
    /// Empty where no label is known to be wrong.
    caution: &'static str,
    printed: String,
}

pub async fn find_panel(app: &AppState, id: i64) -> Result<Panel, AppError> {
    queries::panel(&app.db, id).await?.ok_or(AppError::NotFound)
}

pub async fn find_circuit(app: &AppState, id: i64) -> Result<PanelCircuit, AppError> {
    queries::circuit(&app.db, CircuitId(id))
        .await?
        .ok_or(AppError::NotFound)
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let panel = find_panel(&app, id).await?;
    let all = queries::fed_machines(&app.db, id, NAMED).await?;
    let units = app.units();
    let fed = |circuit: PanelCircuit| {
        let machines = all
            .iter()
            .filter(|m| m.circuit_id == circuit.id)
            .cloned()
            .collect();
        Fed {
            circuit,
            machines,
            units,
        }
    };
    let circuits: Vec<Fed> = queries::of_panel(&app.db, id)
        .await?
        .into_iter()
        .map(fed)
        .collect();
    let page = ShowPage {
        layout: Layout::new(&app, &user.visitor, "Panels"),
        place: find_place(&app, panel.place_id).await?,
        caution: match queries::wrong_labels(&app.db, id).await?.is_empty() {
            true => "",
            false => LABELS,
        },
        fed_from: match panel.fed_from_id {
            Some(circuit) => queries::circuit(&app.db, circuit).await?,
            None => None,
        },
        feeds: queries::fed_panels(&app.db, id).await?,
        printed: app.zone().minute_words(app.clock.now()),
        panel,
        circuits,
    };
    Ok(Page(page).into_response())
}

#[derive(Template)]
#[template(path = "panels/circuit.html")]
struct CircuitPage {
    layout: Layout,
    circuit: PanelCircuit,
    machines: Vec<Machine>,
    facts: Vec<(&'static str, String)>,
    input: LabelInput,
    errors: FieldErrors,
    may_mark: bool,
}

impl CircuitPage {
    fn day(&self, date: &Date) -> String {
        date_words(*date)
    }
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct LabelInput {
    /// `wrong` or `right`.
    pub label: String,
    pub note: String,
    /// The label as it reads now, where it is right.
    pub label_read: String,
    pub proved_how: String,
    pub version: i64,
}

async fn circuit_page(
    app: &AppState,
    user: &CurrentUser,
    circuit: PanelCircuit,
    input: LabelInput,
    errors: FieldErrors,
) -> Result<Page<CircuitPage>, AppError> {
    Ok(Page(CircuitPage {
        layout: Layout::new(app, &user.visitor, "Panels"),
        machines: machines::queries::fed_by(&app.db, circuit.id).await?,
        facts: form::lines(&circuit.facts, app.units()),
        may_mark: matches!(user.person.role, Role::Technician | Role::Supervisor),
        circuit,
        input,
        errors,
    }))
}

pub async fn circuit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let circuit = find_circuit(&app, id).await?;
    let input = LabelInput {
        note: circuit.label_note.clone(),
        label_read: circuit.label_read.clone(),
        version: circuit.version,
        ..LabelInput::default()
    };
    Ok(
        circuit_page(&app, &user, circuit, input, FieldErrors::default())
            .await?
            .into_response(),
    )
}

/// A technician or supervisor found the label wrong, or put it right.
pub async fn mark_label(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<LabelInput>,
) -> Result<Response, AppError> {
    user.require(&[Role::Technician, Role::Supervisor])?;
    let circuit = find_circuit(&app, id).await?;
    let wrong = input.label == "wrong";
    let mut errors = FieldErrors::default();
    if !wrong && input.label != "right" {
        errors.add("label", "Choose whether the label is wrong or right");
    }
    let note = required(
        &input.note,
        "Write what it feeds in truth, or how the label was put right",
    );
    let note = errors.take("note", note);
    if !wrong && input.label_read.trim().is_empty() {
        errors.add(
            "label_read",
            "Enter the label as it reads now, word for word",
        );
    }
    if !wrong && input.proved_how.trim().is_empty() {
        errors.add(
            "proved_how",
            "Write how you proved what it feeds; a label is right only when it is proved",
        );
    }
    if !errors.is_empty() {
        let page = circuit_page(&app, &user, circuit, input, errors).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let noted = LabelNoted {
        wrong,
        note: &note,
        label_read: match wrong {
            true => &circuit.label_read,
            false => input.label_read.trim(),
        },
        proved_on: (!wrong).then(|| app.today()),
        proved_by: if wrong { "" } else { &user.person.name },
        proved_how: if wrong { "" } else { input.proved_how.trim() },
    };
    let mut tx = app.db.begin_write().await?;
    if !queries::mark_label(&mut tx, circuit.id, input.version, &noted).await? {
        return Err(AppError::Stale);
    }
    let detail = json!({
        "was": { "label wrong": circuit.label_wrong, "label": circuit.label_read,
            "note on the label": circuit.label_note, "proved how": circuit.label_proved_how },
        "is": { "label wrong": wrong, "label": noted.label_read, "note on the label": note,
            "proved how": noted.proved_how },
    });
    let thing = ("circuits", id);
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        thing,
        "mark label",
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/panels/circuits/{id}"))).into_response())
}
