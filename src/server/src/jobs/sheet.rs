//! The sheet that goes to the roof or the wall: one page, black and white, blanks in the order in
//! which they are typed back.

use super::body::Body;
use super::control::permits::Permits;
use super::detail::{JobStep, part_list};
use super::from_paper::{self, PermitLine};
use super::sheet_code::SheetCode;
use super::steps::JobView;
use super::{Job, JobId, cautions, queries};
use crate::clock::{Millis, Zone, date_words};
use crate::error::AppError;
use crate::machines::papers::queries::Document;
use crate::machines::{self, IsolationSheet, stores_energy};
use crate::motors::plate_show::{PlateLine, plate_lines, plate_words};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::photos;
use crate::qr;
use crate::shop::Units;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, Query, State as AppStateIn};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// A source with the pairs to be written down.
struct SourceBlank {
    name: String,
    device: String,
    label: String,
    stores: bool,
    relieved: String,
    pairs: &'static [&'static str],
}

/// One sheet, on a page of its own or in a day pack.
#[derive(Template)]
#[template(path = "jobs/sheet_body.html")]
pub struct Sheet {
    layout: Layout,
    /// Name and revision of what is kept of the machine.
    documents: Vec<String>,
    pub view: JobView,
    pub code: SheetCode,
    /// Large type, on as many pages as it takes.
    pub roomy: bool,
    cautions: Vec<String>,
    sources: Vec<SourceBlank>,
    sheet_revision: String,
    permits: Permits,
    /// Permits that are closed on paper.
    closing: Vec<PermitLine>,
    plate: Vec<PlateLine>,
    chosen_words: String,
    chosen_work: Vec<String>,
    last_readings: Vec<String>,
    last_jobs: Vec<String>,
    photos: i64,
    legs: &'static [&'static str],
    pub planned_on: String,
    qr: String,
    address: String,
    printed: String,
    procedure: Vec<JobStep>,
    parts: Vec<&'static str>,
}

#[derive(Template)]
#[template(path = "jobs/sheet.html")]
struct SheetPage {
    layout: Layout,
    sheet: Sheet,
}

/// How large the sheet is asked for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    form: String,
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
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let view = JobView::load(&app, JobId(id)).await?;
    let page = SheetPage {
        layout: Layout::new(&app, &user.visitor, ""),
        sheet: Sheet::load(&app, &user, view, asked.form == "large").await?,
    };
    Ok(Page(page).into_response())
}

impl Sheet {
    pub async fn load(
        app: &AppState,
        user: &CurrentUser,
        view: JobView,
        roomy: bool,
    ) -> Result<Sheet, AppError> {
        let units = app.units();
        let zone = app.zone();
        let (id, db) = (view.job.id, &app.db);
        let (last_readings, last_jobs) = match view.job.machine_id {
            Some(machine) => (
                queries::last_readings(db, machine, 2).await?,
                queries::of_machine(db, machine, 6).await?,
            ),
            None => Default::default(),
        };
        let documents = match view.job.machine_id {
            Some(machine) => machines::papers::queries::documents(db, machine).await?,
            None => Vec::new(),
        };
        let entries = queries::entries(db, id).await?;
        let mut procedure = queries::job_steps(db, id).await?;
        procedure.retain(|step| !step.dropped);
        let three = view.machine.as_ref().and_then(|m| m.facts.site.phases) == Some(3);
        let path = format!("/jobs/{}", id.0);
        let sheet = view.sheet.as_ref();
        let chosen = view.chosen.as_ref();
        let machine = view.machine.as_ref();
        Ok(Sheet {
            layout: Layout::new(app, &user.visitor, ""),
            documents: documents.iter().map(Document::words).collect(),
            code: SheetCode::of(&view),
            roomy,
            permits: Permits::of(&view, &zone),
            closing: from_paper::permit_lines(&view),
            cautions: cautions::with_said(&view, &entries),
            sources: sheet.map_or_else(Vec::new, blanks),
            sheet_revision: sheet.map_or_else(|| "none".into(), |s| s.revision.to_string()),
            plate: plate(&view, units),
            chosen_words: chosen.map_or_else(String::new, |m| plate_words(&m.plate, units)),
            chosen_work: chosen_work(&view, &entries),
            last_readings: reading_words(last_readings, &zone),
            last_jobs: job_words(&last_jobs, id, &zone),
            photos: photos::queries::count_of_job(db, id).await?,
            legs: if three { &["L1", "L2", "L3"] } else { &["L1"] },
            planned_on: view.job.planned_on.map_or_else(String::new, date_words),
            qr: qr::svg(&app.public_url(&path)),
            address: app.public_url(&path),
            printed: zone.minute_words(app.clock.now()),
            procedure,
            parts: machine.map_or_else(Vec::new, |m| part_list::of(&m.kind)),
            view,
        })
    }
}

fn blanks(sheet: &IsolationSheet) -> Vec<SourceBlank> {
    let sources = sheet.sources.iter().map(|source| SourceBlank {
        name: source.name.clone(),
        device: format!("{}, {}", source.device, source.device_place),
        label: source.label_read.clone(),
        stores: stores_energy(&source.relieved_how),
        relieved: source.relieved_how.clone(),
        pairs: pairs(&source.dead_test),
    });
    sources.collect()
}

fn plate(view: &JobView, units: Units) -> Vec<PlateLine> {
    let Some(motor) = &view.fitted else {
        return Vec::new();
    };
    plate_lines(&motor.plate, units)
        .into_iter()
        // The rest stands on the machine's page; the roof needs what a motor is matched by.
        .filter(|line| !line.value.is_empty() || line.how == "unreadable")
        .filter(|line| line.main || MATCHED.contains(&line.label))
        .collect()
}

fn chosen_work(view: &JobView, entries: &[queries::Entry]) -> Vec<String> {
    let work = entries.iter().rev().find_map(|entry| match &entry.body {
        Body::MotorChosen {
            motor_id, working, ..
        } if Some(*motor_id) == view.job.chosen_motor_id => {
            Some(working.work().map(ToString::to_string).collect())
        }
        _ => None,
    });
    work.unwrap_or_default()
}

fn reading_words(readings: Vec<(String, String, String, Millis)>, zone: &Zone) -> Vec<String> {
    let words = readings.into_iter().map(|(point, quantity, shown, at)| {
        let day = date_words(zone.date(at));
        format!("{point} {shown} {} ({day})", unit(&quantity))
    });
    words.collect()
}

/// The machine's last jobs, follow-ups that are open among them.
fn job_words(jobs: &[Job], this: JobId, zone: &Zone) -> Vec<String> {
    let others = jobs.iter().filter(|job| job.id != this).take(5);
    let words = others.map(|job| {
        let said: String = job.words.chars().take(38).collect();
        let more = if job.words.chars().count() > 38 {
            "…"
        } else {
            ""
        };
        let day = date_words(zone.date(job.reported_at));
        format!("{} ({day}, {}) {said}{more}", job.id.0, job.state.words())
    });
    words.collect()
}
