//! Readings of a machine over time: every one that a job took, against its limits, as charts with
//! the figures beneath.

mod limits;
pub mod queries;

use crate::charts::{self, Lines, Point, Series};
use crate::clock::{Millis, Zone, date_value, date_words};
use crate::error::AppError;
use crate::jobs::body::Body;
use crate::machines::Machine;
use crate::machines::show::{find_machine, motor};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::preventive;
use crate::procedures::QUANTITIES;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use calc::vibration::VibrationInput;
use limits::Known;
use queries::Taken;

/// So many readings fill any screen; older ones are in their jobs.
const MOST: i64 = 2_000;
/// Series that one chart can tell apart.
const TOGETHER: usize = 4;

/// One quantity: its charts and its figures.
struct Quantity {
    name: &'static str,
    unit: String,
    /// SVG made by [`charts`].
    charts: Vec<String>,
    /// Newest first.
    rows: Vec<Taken>,
}

#[derive(Template)]
#[template(path = "readings/machine.html")]
struct ReadingsPage {
    layout: Layout,
    machine: Machine,
    quantities: Vec<Quantity>,
    hours: Option<String>,
    meter: Vec<(String, String)>,
    zone: Zone,
    printed: String,
}

impl ReadingsPage {
    fn during(&self, row: &Taken) -> String {
        match row.kind.as_str() {
            "as_found" => "as found".to_owned(),
            "proof" => "run test".to_owned(),
            "step_done" => "step".to_owned(),
            other => other.replace('_', " "),
        }
    }
}

fn words(quantity: &str) -> &'static str {
    match quantity {
        "volts" => "Voltage",
        "amps" => "Current",
        "ohm" => "Winding resistance",
        "megohm" => "Insulation resistance",
        "microfarad" => "Capacitor",
        "mm_s" => "Vibration",
        "rpm" => "Speed",
        "celsius" => "Temperature",
        "percent" => "Per cent",
        "mm" => "Lengths and clearances",
        "newton" => "Force",
        "newton_metre" => "Torque",
        "bar" | "pascal" => "Pressure",
        "ppm" => "Gas",
        "minutes" => "Time",
        "drops_a_minute" => "Leakage",
        "shots" => "Grease",
        "kilogram" => "Mass",
        _ => "Other readings",
    }
}

fn unit(quantity: &str) -> String {
    let known = QUANTITIES.iter().find(|(name, ..)| *name == quantity);
    known.map_or(quantity, |(_, unit, _)| unit).to_owned()
}

/// First, middle and last day on the axis across.
fn days(zone: &Zone, first: Millis, last: Millis) -> Vec<(f64, String)> {
    let mark = |at: Millis| (at as f64, date_value(zone.date(at)));
    if last - first < 2 * 86_400_000 {
        return vec![mark(first)];
    }
    vec![mark(first), mark(first + (last - first) / 2), mark(last)]
}

fn charts_of(known: &Known<'_>, zone: &Zone, quantity: &str, rows: &[Taken]) -> Vec<String> {
    let mut points: Vec<&str> = Vec::new();
    for row in rows {
        if !points.contains(&row.point.as_str()) {
            points.push(&row.point);
        }
    }
    let unit = unit(quantity);
    let chart = |points: &[&str]| {
        let ours = || {
            rows.iter()
                .filter(|row| points.contains(&row.point.as_str()))
        };
        let at = || ours().map(|row| row.taken_at);
        let (first, last) = (at().min()?, at().max()?);
        let series = points.iter().map(|point| Series {
            label: (*point).to_owned(),
            points: ours()
                .filter(|row| row.point == *point && !row.corrected)
                .map(|row| Point {
                    at: row.taken_at as f64,
                    value: row.value,
                })
                .collect(),
        });
        let limits = limits::limits(known, quantity, points, &unit);
        let list: Vec<&str> = limits.iter().map(|limit| limit.label.as_str()).collect();
        let against = match list.is_empty() {
            true => "No limit is known.".to_owned(),
            false => format!("Limits: {}.", list.join("; ")),
        };
        Some(charts::lines(&Lines {
            title: format!("{}: {}", words(quantity), points.join(", ")),
            desc: format!(
                "{} readings from {} to {}. {against}",
                ours().count(),
                date_words(zone.date(first)),
                date_words(zone.date(last))
            ),
            unit: unit.clone(),
            series: series.collect(),
            limits,
            across: days(zone, first, last),
        }))
    };
    points.chunks(TOGETHER).filter_map(chart).collect()
}

fn quantities(known: &Known<'_>, zone: &Zone, taken: Vec<Taken>) -> Vec<Quantity> {
    let mut by_quantity: Vec<(String, Vec<Taken>)> = Vec::new();
    for row in taken {
        match by_quantity
            .iter_mut()
            .find(|(name, _)| *name == row.quantity)
        {
            Some((_, rows)) => rows.push(row),
            None => by_quantity.push((row.quantity.clone(), vec![row])),
        }
    }
    let quantity = |(name, mut rows): (String, Vec<Taken>)| {
        let charts = charts_of(known, zone, &name, &rows);
        rows.reverse();
        Quantity {
            name: words(&name),
            unit: unit(&name),
            charts,
            rows,
        }
    };
    by_quantity.into_iter().map(quantity).collect()
}

async fn last_vibration(
    app: &AppState,
    machine: &Machine,
) -> Result<Option<VibrationInput>, AppError> {
    let body = queries::last_proof(&app.db, machine.id).await?;
    let body = body.and_then(|body| serde_json::from_str::<Body>(&body).ok());
    Ok(match body {
        Some(Body::Proof { input, .. }) => input.vibration,
        _ => None,
    })
}

/// The run hours as a chart and as lines, newest first.
fn meter(
    zone: &Zone,
    readings: &[calc::due::MeterReading],
) -> (Option<String>, Vec<(String, String)>) {
    let at = |day| zone.instant(day, 12, 0).unwrap_or_default();
    let points = readings.iter().map(|reading| Point {
        at: at(reading.on) as f64,
        value: Some(reading.value),
    });
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return (None, Vec::new());
    };
    let chart = charts::lines(&Lines {
        title: "Run hours".to_owned(),
        desc: format!(
            "{} readings of the meter from {} to {}.",
            readings.len(),
            date_words(first.on),
            date_words(last.on)
        ),
        unit: "h".to_owned(),
        series: vec![Series {
            label: "meter".to_owned(),
            points: points.collect(),
        }],
        limits: Vec::new(),
        across: days(zone, at(first.on), at(last.on)),
    });
    let line =
        |reading: &calc::due::MeterReading| (date_words(reading.on), charts::figure(reading.value));
    (Some(chart), readings.iter().rev().map(line).collect())
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    user.require_staff()?;
    let machine = find_machine(&app, id).await?;
    let fitted = motor(&app, machine.fitted_motor_id).await?;
    let vibration = last_vibration(&app, &machine).await?;
    let steps = queries::step_limits(&app.db, machine.id).await?;
    let known = Known {
        machine: &machine,
        fitted: fitted.as_ref().map(|motor| &motor.plate),
        vibration: vibration.as_ref(),
        steps: &steps,
    };
    let zone = app.zone();
    let taken = queries::of_machine(&app.db, machine.id, MOST).await?;
    let (hours, meter) = meter(
        &zone,
        &preventive::queries::meter(&app.db, machine.id).await?,
    );
    let page = ReadingsPage {
        layout: Layout::new(&app, &user.visitor, "Machines"),
        quantities: quantities(&known, &zone, taken),
        printed: zone.minute_words(app.clock.now()),
        hours,
        meter,
        machine,
        zone,
    };
    Ok(Page(page).into_response())
}
