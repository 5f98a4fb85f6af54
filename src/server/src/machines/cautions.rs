//! What a person must read before going to a machine. Nothing here ever says that it is safe.

use super::{IsolationSheet, Machine};
use calc::installation::Control;
use calc::plate::Plate;
use time::{Date, Duration};

/// Said of every machine.
pub const ALWAYS: &str = "Lock, tag, try, test. Switching off at the wall is not isolation.";
pub const LABELS: &str = "Breaker labels here have been wrong before. Prove dead at the motor.";

/// Distances from a roof edge that ask for protection, 29 CFR 1910.28(b)(13).
const NEAR_EDGE_M: f64 = 1.8288; // 6 ft
const WITHIN_EDGE_M: f64 = 4.572; // 15 ft

/// A sheet is inspected at least every year; there is no grace (29 CFR 1910.147(c)(6)).
pub fn inspection_overdue(inspected_on: Option<Date>, today: Date) -> bool {
    inspected_on.is_some_and(|on| today - on > Duration::days(365))
}

pub fn cautions(
    machine: &Machine,
    plates: &[&Plate],
    sheet: Option<&IsolationSheet>,
    labels_wrong: bool,
    today: Date,
) -> Vec<String> {
    let site = &machine.facts.site;
    let mut said = vec![ALWAYS.to_owned()];
    if labels_wrong {
        said.push(LABELS.to_owned());
    }
    match site.starts_by_itself {
        Some(true) => said.push("May start without warning.".to_owned()),
        Some(false) => {}
        None => said
            .push("Not known whether it can start by itself: treat it as if it does.".to_owned()),
    }
    if site.draught_turns_wheel == Some(true) {
        said.push("Block the wheel before hands go in.".to_owned());
    }
    let charged = plates.iter().any(|plate| plate.capacitor.value().is_some());
    if charged || site.control == Some(Control::FrequencyDrive) {
        said.push("Holds charge after isolation. Wait, measure, then touch.".to_owned());
    }
    match site.roof_edge.map(|edge| edge.0) {
        Some(edge) if edge < NEAR_EDGE_M => said.push(
            "Less than 6 ft (1.8 m) from a roof edge: no work without named fall protection."
                .to_owned(),
        ),
        Some(edge) if edge < WITHIN_EDGE_M => said.push(
            "Within 15 ft (4.6 m) of a roof edge: fall protection or a marked area is needed here."
                .to_owned(),
        ),
        _ => {}
    }
    if site
        .hazardous
        .as_deref()
        .is_some_and(|area| !area.trim().eq_ignore_ascii_case("none"))
    {
        said.push(
            "Classified as a hazardous location. Nothing is matched here automatically.".to_owned(),
        );
    }
    match sheet {
        None => said.push("No isolation sheet has been written for this machine.".to_owned()),
        Some(sheet) => {
            let count = sheet.sources.len();
            if count > 1 {
                said.push(format!("{count} sources. {count} locks."));
            }
            if sheet.sources.iter().any(|source| source.kind == "gas") {
                said.push(
                    "Gas shut and locked as well as power; leak test before relighting.".to_owned(),
                );
            }
            if sheet.inspected_on.is_none() {
                said.push("The isolation sheet has not been inspected.".to_owned());
            }
            if inspection_overdue(sheet.inspected_on, today) {
                said.push("The yearly inspection of the isolation sheet is overdue.".to_owned());
            }
        }
    }
    said
}
