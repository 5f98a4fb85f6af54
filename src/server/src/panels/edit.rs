//! Adding and changing panels and circuits.

use super::choice::{self, Offered};
use super::form::{ASKS, CircuitInput, NewCircuit};
use super::queries::{NewPanel, Panel};
use super::show::{find_circuit, find_panel};
use super::{PanelCircuit, queries};
use crate::audit::audit;
use crate::db;
use crate::error::AppError;
use crate::form::{CheckedForm, FieldErrors, Fields, required};
use crate::machines;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::rows::{Row, Typed};
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use serde_json::json;
use std::collections::HashMap;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PanelInput {
    pub name: String,
    pub place_id: String,
    pub supply: String,
    pub note: String,
    pub fed_from: String,
    pub version: i64,
}

impl PanelInput {
    fn parse(
        &self,
        places: &[(String, String)],
        circuits: &Offered,
    ) -> Result<NewPanel, FieldErrors> {
        let mut errors = FieldErrors::default();
        let name = required(&self.name, "Enter the panel's name as marked");
        let name = errors.take("name", name);
        let supply = required(
            &self.supply,
            "Enter the supply as written, as 208Y/120 V three-phase",
        );
        let supply = errors.take("supply", supply);
        let place = places.iter().find(|(id, _)| *id == self.place_id);
        let place_id = place.and_then(|(id, _)| id.parse().ok());
        let place_id = errors.take(
            "place_id",
            place_id.ok_or("Choose where it hangs".to_owned()),
        );
        let fed_from = self.fed_from.trim();
        let feeder = circuits.circuits.iter().find(|c| choice::is(c, fed_from));
        if feeder.is_none() && !fed_from.is_empty() {
            errors.add(
                "fed_from",
                "Choose a circuit of another panel that this one does not feed",
            );
        }
        errors.or(NewPanel {
            fed_from_id: feeder.map(|circuit| circuit.id),
            name,
            place_id,
            supply,
            note: self.note.trim().to_owned(),
        })
    }
}

#[derive(Template)]
#[template(path = "panels/edit.html")]
struct PanelPage {
    layout: Layout,
    panel: Option<Panel>,
    input: PanelInput,
    errors: FieldErrors,
    places: Vec<(String, String)>,
    circuits: Offered,
}

/// Circuits that may feed a panel: none of its own, and none of a panel that it feeds.
async fn feeders(app: &AppState, panel: Option<i64>, typed: &str) -> Result<Offered, AppError> {
    let above: HashMap<i64, i64> = queries::fed_from(&app.db).await?.into_iter().collect();
    let below = |of: i64| {
        let mut at = Some(of);
        for _ in 0..=above.len() {
            match at {
                None => return false,
                Some(id) if Some(id) == panel => return true,
                Some(id) => at = above.get(&id).copied(),
            }
        }
        at.is_some()
    };
    let mut offered = choice::offered(&app.db, &[typed]).await?;
    offered.circuits.retain(|circuit| !below(circuit.panel_id));
    Ok(Offered::new(offered.circuits, offered.many))
}

async fn places(app: &AppState) -> Result<Vec<(String, String)>, AppError> {
    let places = machines::queries::places(&app.db).await?;
    Ok(places
        .into_iter()
        .map(|place| (place.id.to_string(), place.path))
        .collect())
}

fn layout(app: &AppState, user: &CurrentUser) -> Layout {
    Layout::new(app, &user.visitor, "Panels")
}

const DUPLICATE_PANEL: &str = "Another panel has this name";
const DUPLICATE_CIRCUIT: &str = "This panel has another circuit with this number";

pub async fn new_panel(
    user: CurrentUser,
    State(app): State<AppState>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let (input, errors) = (PanelInput::default(), FieldErrors::default());
    let places = places(&app).await?;
    Ok(Page(PanelPage {
        circuits: feeders(&app, None, "").await?,
        layout: layout(&app, &user),
        panel: None,
        input,
        errors,
        places,
    })
    .into_response())
}

pub async fn edit_panel(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let panel = find_panel(&app, id).await?;
    let input = PanelInput {
        name: panel.name.clone(),
        place_id: panel.place_id.to_string(),
        supply: panel.supply.clone(),
        note: panel.note.clone(),
        fed_from: panel
            .fed_from_id
            .map_or_else(String::new, |id| id.0.to_string()),
        version: panel.version,
    };
    let page = PanelPage {
        circuits: feeders(&app, Some(id), &input.fed_from).await?,
        layout: layout(&app, &user),
        panel: Some(panel),
        input,
        errors: FieldErrors::default(),
        places: places(&app).await?,
    };
    Ok(Page(page).into_response())
}

pub async fn create_panel(
    user: CurrentUser,
    State(app): State<AppState>,
    CheckedForm(input): CheckedForm<PanelInput>,
) -> Result<Response, AppError> {
    save_panel(user, app, None, input).await
}

pub async fn update_panel(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    CheckedForm(input): CheckedForm<PanelInput>,
) -> Result<Response, AppError> {
    let panel = find_panel(&app, id).await?;
    save_panel(user, app, Some(panel), input).await
}

async fn save_panel(
    user: CurrentUser,
    app: AppState,
    panel: Option<Panel>,
    input: PanelInput,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let places = places(&app).await?;
    let circuits = feeders(
        &app,
        panel.as_ref().map(|panel| panel.id),
        input.fed_from.trim(),
    )
    .await?;
    let parsed = input.parse(&places, &circuits);
    let version = input.version;
    let refused = |panel, errors| {
        let page = PanelPage {
            layout: layout(&app, &user),
            panel,
            input,
            errors,
            places,
            circuits,
        };
        Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response())
    };
    let new = match parsed {
        Ok(new) => new,
        Err(errors) => return refused(panel, errors),
    };
    let mut tx = app.db.begin_write().await?;
    let saved = match &panel {
        None => queries::insert_panel(&mut tx, &new).await.map(Some),
        Some(p) => queries::update_panel(&mut tx, p.id, version, &new)
            .await
            .map(|saved| saved.then_some(p.id)),
    };
    let id = match saved {
        Err(e) if db::is_duplicate(&e) => {
            return refused(panel, FieldErrors::of("name", DUPLICATE_PANEL));
        }
        saved => saved?.ok_or(AppError::Stale)?,
    };
    let act = if panel.is_some() { "change" } else { "add" };
    let detail = json!({ "name": new.name, "place": new.place_id, "supply": new.supply,
        "note": new.note, "fed from": new.fed_from_id,
        "was": panel.map(|p| json!({ "name": p.name, "place": p.place_id, "supply": p.supply,
            "note": p.note, "fed from": p.fed_from_id })) });
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        ("panels", id),
        act,
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/panels/{id}"))).into_response())
}

#[derive(Template)]
#[template(path = "panels/circuit_edit.html")]
struct CircuitPage {
    layout: Layout,
    panel: Panel,
    circuit: Option<PanelCircuit>,
    input: CircuitInput,
    errors: FieldErrors,
    rows: Vec<Row>,
}

impl CircuitPage {
    fn new(
        app: &AppState,
        user: &CurrentUser,
        panel: Panel,
        circuit: Option<PanelCircuit>,
        input: CircuitInput,
        errors: FieldErrors,
    ) -> Page<CircuitPage> {
        let rows = input.0.rows(ASKS, app.units(), &errors);
        Page(CircuitPage {
            layout: layout(app, user),
            panel,
            circuit,
            input,
            errors,
            rows,
        })
    }
}

pub async fn new_circuit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(panel): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let panel = find_panel(&app, panel).await?;
    let (input, errors) = (CircuitInput::default(), FieldErrors::default());
    Ok(CircuitPage::new(&app, &user, panel, None, input, errors).into_response())
}

pub async fn edit_circuit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let circuit = find_circuit(&app, id).await?;
    let panel = find_panel(&app, circuit.panel_id).await?;
    let input = CircuitInput::from_circuit(&circuit, app.units());
    let errors = FieldErrors::default();
    Ok(CircuitPage::new(&app, &user, panel, Some(circuit), input, errors).into_response())
}

pub async fn create_circuit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(panel): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    let panel = find_panel(&app, panel).await?;
    save_circuit(user, app, panel, None, &fields).await
}

pub async fn update_circuit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    let circuit = find_circuit(&app, id).await?;
    let panel = find_panel(&app, circuit.panel_id).await?;
    save_circuit(user, app, panel, Some(circuit), &fields).await
}

async fn save_circuit(
    user: CurrentUser,
    app: AppState,
    panel: Panel,
    circuit: Option<PanelCircuit>,
    fields: &Fields,
) -> Result<Response, AppError> {
    user.require(&[Role::Supervisor])?;
    let input = CircuitInput(Typed::from_fields(fields));
    let version = input.get("version").parse().unwrap_or(-1);
    let parsed = input.parse(app.units());
    let panel_id = panel.id;
    let refused = |circuit, errors| {
        let page = CircuitPage::new(&app, &user, panel, circuit, input, errors);
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
    };
    let new: NewCircuit = match parsed {
        Ok(new) => new,
        Err(errors) => return refused(circuit, errors),
    };
    let mut tx = app.db.begin_write().await?;
    let saved = match &circuit {
        None => queries::insert_circuit(&mut tx, panel_id, &new)
            .await
            .map(Some),
        Some(c) => queries::update_circuit(&mut tx, c.id, version, &new)
            .await
            .map(|saved| saved.then_some(c.id)),
    };
    let id = match saved {
        Err(e) if db::is_duplicate(&e) => {
            return refused(circuit, FieldErrors::of("number", DUPLICATE_CIRCUIT));
        }
        saved => saved?.ok_or(AppError::Stale)?,
    };
    let act = if circuit.is_some() { "change" } else { "add" };
    let detail = json!({ "number": new.number, "label": new.label_read, "facts": new.facts,
        "label wrong": new.label_wrong, "note on the label": new.label_note,
        "insulation mark": new.wire_type, "raceway": new.raceway, "feeds": new.feeds,
        "was": circuit.map(|c| json!({ "number": c.number, "label": c.label_read,
            "facts": c.facts, "label wrong": c.label_wrong, "note on the label": c.label_note,
            "insulation mark": c.wire_type, "raceway": c.raceway, "feeds": c.feeds })) });
    audit(
        &mut tx,
        app.clock.now(),
        Some(user.id()),
        ("circuits", id.0),
        act,
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/panels/{panel_id}"))).into_response())
}
