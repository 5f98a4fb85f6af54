//! One machine: which, where, what feeds it, what stands on it, how it is isolated, what it is.

use super::cautions::{self, Known};
use super::papers::queries::Document;
use super::{IsolationSheet, KINDS, Machine, MachineId, drive, facts, papers, queries};
use crate::clock::{Zone, date_words};
use crate::error::AppError;
use crate::jobs::detail::beside::FixShown;
use crate::jobs::detail::{parts, temporary};
use crate::jobs::gate::Lock;
use crate::jobs::queries::PartRow;
use crate::jobs::{self, Job};
use crate::motors::plate_show::{PlateLine, plate_lines};
use crate::motors::units::Stay;
use crate::motors::{self, Motor, MotorId};
use crate::page::{Layout, Page};
use crate::panels::{self, PanelCircuit};
use crate::people::{CurrentUser, Role};
use crate::photos;
use crate::photos::shown::{Shown, Thumb};
use crate::photos::things::{self, Thing};
use crate::rows::words_of;
use crate::state::AppState;
use crate::stores::queries::Warranty;
use crate::stores::{self, queries::ListLine};
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use calc::working::Working;
use time::Date;

/// A motor with its plate for reading.
struct MotorShown {
    title: &'static str,
    motor: Motor,
    lines: Vec<PlateLine>,
    /// The photo it was read from.
    photo: String,
}

#[derive(Template)]
#[template(path = "machines/show.html")]
struct ShowPage {
    layout: Layout,
    machine: Machine,
    place: queries::Place,
    circuit: Option<PanelCircuit>,
    cautions: Vec<String>,
    locks: Vec<Lock>,
    sheet: Option<IsolationSheet>,
    motors: Vec<MotorShown>,
    stays: Vec<Stay>,
    documents: Vec<Document>,
    warranties: Vec<Warranty>,
    /// The motor it was built with is the one on it.
    same_motor: bool,
    /// The machine it is part of.
    parent: Option<Machine>,
    /// Number, tag and name of the machines that are parts of it.
    children: Vec<(i64, String, String)>,
    facts: Vec<facts::Lines>,
    jobs: Vec<Job>,
    photos: Vec<Shown>,
    parts: Vec<PartRow>,
    fixes: Vec<FixShown>,
    own_photos: Vec<Thumb>,
    belt_drive: Option<Working>,
    /// The address of the bench with the drive's figures.
    bench: String,
    parts_list: Vec<ListLine>,
    today: Date,
    zone: Zone,
    may_edit: bool,
    may_prove: bool,
    emergency_entry: String,
}

impl ShowPage {
    fn kind(&self) -> String {
        words_of(KINDS, &self.machine.kind)
    }

    fn day(&self, date: &Date) -> String {
        date_words(*date)
    }

    fn day_of(&self, at: &i64) -> String {
        date_words(self.zone.date(*at))
    }

    /// Those that are open, or those that are over.
    fn jobs_of(&self, open: &bool) -> Vec<&Job> {
        let of = |job: &&Job| job.state.ended() != *open;
        self.jobs.iter().filter(of).collect()
    }

    fn inspection(&self, sheet: &IsolationSheet) -> String {
        super::isolation::inspection_words(sheet, self.today)
    }
}

pub async fn find_machine(app: &AppState, id: i64) -> Result<Machine, AppError> {
    queries::find(&app.db, MachineId(id))
        .await?
        .ok_or(AppError::NotFound)
}

pub async fn find_place(app: &AppState, id: i64) -> Result<queries::Place, AppError> {
    let place = queries::place(&app.db, id).await?;
    place.ok_or_else(|| AppError::Broken(format!("place {id} is missing")))
}

pub async fn motor(app: &AppState, id: Option<MotorId>) -> Result<Option<Motor>, AppError> {
    match id {
        Some(id) => Ok(motors::queries::find(&app.db, id).await?),
        None => Ok(None),
    }
}

/// The circuit that feeds a machine, and whether any label of its panel was found wrong.
pub async fn feed(
    app: &AppState,
    machine: &Machine,
) -> Result<(Option<PanelCircuit>, bool), AppError> {
    let Some(id) = machine.circuit_id else {
        return Ok((None, false));
    };
    let Some(circuit) = panels::queries::circuit(&app.db, id).await? else {
        return Ok((None, false));
    };
    let wrong = !panels::queries::wrong_labels(&app.db, circuit.panel_id)
        .await?
        .is_empty();
    Ok((Some(circuit), wrong))
}

/// The newest photos of the machine's jobs, a plate among them where there is one.
async fn photos(
    app: &AppState,
    user: &CurrentUser,
    machine: MachineId,
) -> Result<Vec<Shown>, AppError> {
    let zone = app.zone();
    let rows = photos::queries::of_machine(&app.db, machine, 200).await?;
    let rows = photos::shown::for_machine(rows, 8);
    let shown = rows.iter().map(|row| Shown::of(row, &zone, &user.person));
    Ok(shown.collect())
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machine = find_machine(&app, id).await?;
    let place = find_place(&app, machine.place_id).await?;
    let (circuit, labels_wrong) = feed(&app, &machine).await?;
    let sheet = queries::isolation_sheet(&app.db, machine.id).await?;
    let fitted = motor(&app, machine.fitted_motor_id).await?;
    let design = motor(&app, machine.design_motor_id).await?;
    let plates: Vec<_> = [&fitted, &design]
        .into_iter()
        .flatten()
        .map(|m| &m.plate)
        .collect();
    let today = app.today();
    let units = app.units();
    let cautions = cautions::cautions(&Known {
        machine: &machine,
        plates: &plates,
        sheet: sheet.as_ref(),
        labels_wrong,
        on_roof: place.kind == "roof",
        units,
        today,
    });
    let source = match &fitted {
        Some(fitted) => crate::photos::queries::plate_source(&app.db, fitted.id).await?,
        None => None,
    };
    let source = source.unwrap_or_default();
    let plate = fitted
        .as_ref()
        .or(design.as_ref())
        .map(|motor| &motor.plate);
    let belt_drive = drive::working(&machine, plate);
    let bench = drive::on_the_bench(&machine, plate);
    let shown = |title, motor: Option<Motor>, photo: &str| {
        motor.map(|m| MotorShown {
            title,
            lines: plate_lines(&m.plate, units),
            photo: photo.to_owned(),
            motor: m,
        })
    };
    let motors = [
        shown("Fitted motor", fitted, &source),
        shown("Design motor", design, ""),
    ];
    let page = ShowPage {
        layout: Layout::new(&app, &user.visitor, "Machines"),
        locks: jobs::queries::locks_shown(&app.db, machine.id).await?,
        jobs: jobs::queries::of_machine(&app.db, machine.id, 50).await?,
        photos: photos(&app, &user, machine.id).await?,
        parts: parts::newest(jobs::queries::parts_of_machine(&app.db, machine.id).await?),
        belt_drive,
        bench,
        own_photos: things::thumbs(&app, Thing::Machine(machine.id.0)).await?,
        fixes: temporary::on_machine(&app, machine.id).await?,
        parts_list: stores::queries::machine_list(&app.db, machine.id).await?,
        facts: facts::lines(&machine.facts, units),
        motors: motors.into_iter().flatten().collect(),
        stays: motors::units::queries::of_machine(&app.db, machine.id).await?,
        documents: papers::queries::documents(&app.db, machine.id).await?,
        warranties: stores::queries::warranties(&app.db, machine.id).await?,
        same_motor: machine.fitted_motor_id.is_some()
            && machine.fitted_motor_id == machine.design_motor_id,
        parent: match machine.parent_id {
            Some(parent) => queries::find(&app.db, parent).await?,
            None => None,
        },
        children: papers::queries::parts_of(&app.db, machine.id).await?,
        may_edit: user.person.role == Role::Supervisor,
        may_prove: matches!(user.person.role, Role::Supervisor | Role::Technician),
        emergency_entry: jobs::record::new_id(app.clock.now()),
        zone: app.zone(),
        machine,
        place,
        circuit,
        cautions,
        sheet,
        today,
    };
    Ok(Page(page).into_response())
}
