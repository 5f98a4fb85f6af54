//! The sheet that goes to the roof or the wall: one page, black and white, blanks in the order in
//! which they are typed back.

use super::body::Body;
use super::control::permits::Permits;
use super::detail::{JobStep, part_list};
use super::steps::JobView;
use super::{JobId, cautions, queries};
use crate::clock::date_words;
use crate::error::AppError;
use crate::machines::papers::queries::Document;
use crate::machines::{self, stores_energy};
use crate::motors::plate_show::{PlateLine, plate_lines, plate_words};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::photos;
use crate::qr;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State as AppStateIn};
use axum::response::{IntoResponse, Response};

/// A source with the pairs to be written down.
struct SourceBlank {
    name: String,
    device: String,
    label: String,
    stores: bool,
    relieved: String,
    pairs: &'static [&'static str],
}

#[derive(Template)]
#[template(path = "jobs/sheet.html")]
struct SheetPage {
    layout: Layout,
    /// Name and revision of what is kept of the machine.
    documents: Vec<String>,
    view: JobView,
    cautions: Vec<String>,
    sources: Vec<SourceBlank>,
    sheet_revision: String,
    permits: Permits,
    plate: Vec<PlateLine>,
    chosen_words: String,
    chosen_work: Vec<String>,
    last_readings: Vec<String>,
    photos: i64,
    legs: &'static [&'static str],
    planned_on: String,
    qr: String,
    address: String,
    printed: String,
    procedure: Vec<JobStep>,
    parts: Vec<&'static str>,
}

/// Plate lines on the sheet beside the main ones.
const MATCHED: &[&str] = &[
    "Turns",
    "Mounted by",
    "Shaft diameter",
    "Shaft length",
    "Enclosure",
    "Capacitor",
];

/// The pairs that are tested dead at a source; empty where it is not electrical.
pub fn pairs(dead_test: &str) -> &'static [&'static str] {
    use calc::deadtest::{Conductors, pairs};
    match dead_test {
        "single_phase" => pairs(Conductors::SinglePhase),
        "split_phase" => pairs(Conductors::SplitPhase { neutral: false }),
        "split_phase_neutral" => pairs(Conductors::SplitPhase { neutral: true }),
        "three_phase" => pairs(Conductors::ThreePhase { neutral: false }),
        "three_phase_neutral" => pairs(Conductors::ThreePhase { neutral: true }),
        _ => &[],
    }
}

fn unit(quantity: &str) -> &str {
    match quantity {
        "volts" => "V",
        "amps" => "A",
        "mm_s" => "mm/s",
        other => other,
    }
}

pub async fn show(
    user: CurrentUser,
    AppStateIn(app): AppStateIn<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let view = JobView::load(&app, JobId(id)).await?;
    let units = app.units();
    let zone = app.zone();
    let entries = queries::entries(&app.db, view.job.id).await?;
    let chosen_work = entries
        .iter()
        .rev()
        .find_map(|entry| match &entry.body {
            Body::MotorChosen {
                motor_id, working, ..
            } if Some(*motor_id) == view.job.chosen_motor_id => {
                Some(working.work().map(ToString::to_string).collect())
            }
            _ => None,
        })
        .unwrap_or_default();
    let last_readings = match view.job.machine_id {
        Some(machine) => queries::last_readings(&app.db, machine, 2).await?,
        None => Vec::new(),
    };
    let last_readings = last_readings
        .into_iter()
        .map(|(point, quantity, shown, at)| {
            format!(
                "{point} {shown} {} ({})",
                unit(&quantity),
                date_words(zone.date(at))
            )
        })
        .collect();
    let three = view.machine.as_ref().and_then(|m| m.facts.site.phases) == Some(3);
    let path = format!("/jobs/{id}");
    let sources = view.sheet.as_ref().map_or_else(Vec::new, |sheet| {
        sheet
            .sources
            .iter()
            .map(|source| SourceBlank {
                name: source.name.clone(),
                device: format!("{}, {}", source.device, source.device_place),
                label: source.label_read.clone(),
                stores: stores_energy(&source.relieved_how),
                relieved: source.relieved_how.clone(),
                pairs: pairs(&source.dead_test),
            })
            .collect()
    });
    let plate = view.fitted.as_ref().map_or_else(Vec::new, |motor| {
        plate_lines(&motor.plate, units)
            .into_iter()
            // The rest stands on the machine's page; the roof needs what a motor is matched by.
            .filter(|line| !line.value.is_empty() || line.how == "unreadable")
            .filter(|line| line.main || MATCHED.contains(&line.label))
            .collect()
    });
    let procedure = queries::job_steps(&app.db, view.job.id)
        .await?
        .into_iter()
        .filter(|step| !step.dropped)
        .collect();
    let documents = match view.job.machine_id {
        Some(machine) => machines::papers::queries::documents(&app.db, machine).await?,
        None => Vec::new(),
    };
    let page = SheetPage {
        documents: documents.iter().map(Document::words).collect(),
        layout: Layout::new(&app, &user.visitor, ""),
        permits: Permits::of(&view, &app.zone()),
        cautions: cautions::of(&view),
        sources,
        sheet_revision: view
            .sheet
            .as_ref()
            .map_or_else(|| "none".to_owned(), |sheet| sheet.revision.to_string()),
        plate,
        chosen_words: view
            .chosen
            .as_ref()
            .map_or_else(String::new, |m| plate_words(&m.plate, units)),
        chosen_work,
        last_readings,
        photos: photos::queries::count_of_job(&app.db, view.job.id).await?,
        legs: if three { &["L1", "L2", "L3"] } else { &["L1"] },
        planned_on: view.job.planned_on.map_or_else(String::new, date_words),
        qr: qr::svg(&app.public_url(&path)),
        address: app.public_url(&path),
        printed: zone.minute_words(app.clock.now()),
        procedure,
        parts: view
            .machine
            .as_ref()
            .map_or_else(Vec::new, |m| part_list::of(&m.kind)),
        view,
    };
    Ok(Page(page).into_response())
}
