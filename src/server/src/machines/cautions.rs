//! What a person must read before going to a machine. Nothing here ever says that it is safe.

use super::{IsolationSheet, Machine};
use crate::shop::Units;
use calc::installation::Control;
use calc::plate::{MotorType, Plate};
use time::{Date, Duration};

/// Said of every machine.
pub const ALWAYS: &str = "Lock, tag, try, test. Switching off at the wall is not isolation.";
pub const LABELS: &str = "Breaker labels here have been wrong before. Prove dead at the motor.";

const METRES_PER_FOOT: f64 = 0.3048; // exact

/// A sheet is inspected at least every year; there is no grace (29 CFR 1910.147(c)(6)).
pub fn inspection_overdue(inspected_on: Option<Date>, today: Date) -> bool {
    inspected_on.is_some_and(|on| today - on > Duration::days(365))
}

/// What the cautions are made from.
pub struct Known<'a> {
    pub machine: &'a Machine,
    /// Plates of the motors that are on it or were built into it.
    pub plates: &'a [&'a Plate],
    pub sheet: Option<&'a IsolationSheet>,
    /// A label on the feeding panel was found wrong and is not put right.
    pub labels_wrong: bool,
    pub on_roof: bool,
    pub units: Units,
    pub today: Date,
}

/// Warnings for one machine, the constant one first; each on its condition, in the shop's words.
///
/// Sources: 29 CFR 1910.147(c)(6) and (d), 1910.333(b)(2), 1910.28(b)(13); the rest is common
/// practice.
pub fn cautions(known: &Known<'_>) -> Vec<String> {
    let site = &known.machine.facts.site;
    let mut said = vec![ALWAYS.to_owned()];
    if known.labels_wrong {
        said.push(LABELS.to_owned());
    } else if known.machine.feed_proved_on.is_none() {
        said.push(
            "Nobody has proved which circuit feeds this machine. Prove dead at the motor."
                .to_owned(),
        );
    }
    sources(known, &mut said);
    match site.starts_by_itself {
        Some(true) => said.push("May start without warning.".to_owned()),
        Some(false) => {}
        None => said
            .push("Not known whether it can start by itself: treat it as if it does.".to_owned()),
    }
    match site.draught_turns_wheel {
        Some(true) => said.push("Block the wheel before hands go in.".to_owned()),
        Some(false) => {}
        None if moves_air(known.machine) => said.push(
            "Not known whether draught turns the wheel: block it before hands go in.".to_owned(),
        ),
        None => {}
    }
    roof(known, &mut said);
    match site.hazardous.as_deref().map(str::trim) {
        Some(area) if area.eq_ignore_ascii_case("none") => {}
        Some(_) => said.push(
            "Classified as a hazardous location: no motor is matched here automatically. A \
             qualified person decides."
                .to_owned(),
        ),
        None => said.push("Not known whether the place is classified as hazardous.".to_owned()),
    }
    said
}

fn sources(known: &Known<'_>, said: &mut Vec<String>) {
    let has = |kind: &str| {
        known
            .sheet
            .is_some_and(|sheet| sheet.sources.iter().any(|source| source.kind == kind))
    };
    let charged =
        known.plates.is_empty() || known.plates.iter().any(|plate| may_hold_charge(plate));
    match known.sheet {
        None => said.push(
            "This machine has no isolation sheet. Do not open it; ask the supervisor.".to_owned(),
        ),
        Some(sheet) => {
            let count = sheet.sources.len();
            if count > 1 {
                said.push(format!("{count} sources. {count} locks."));
            }
            if sheet.inspected_on.is_none() {
                said.push("The isolation sheet has never been inspected.".to_owned());
            }
            if inspection_overdue(sheet.inspected_on, known.today) {
                said.push("The yearly inspection of the isolation sheet is overdue.".to_owned());
            }
        }
    }
    if has("stored") || charged || known.machine.facts.site.control == Some(Control::FrequencyDrive)
    {
        said.push("Holds charge after isolation. Wait, measure, then touch.".to_owned());
    }
    if has("gas") {
        said.push("Gas shut and locked as well as power; leak test before relighting.".to_owned());
    }
}

fn moves_air(machine: &Machine) -> bool {
    matches!(machine.kind.as_str(), "fan" | "air_handler" | "unit_heater")
}

/// A capacitor that was not read is still there: the motor's type decides, and an unknown type counts
/// as one that holds charge.
fn may_hold_charge(plate: &Plate) -> bool {
    plate.capacitor.value().is_some()
        || match plate.motor_type.value() {
            Some(
                MotorType::ShadedPole | MotorType::SplitPhase | MotorType::ThreePhaseInduction,
            ) => false,
            Some(_) | None => true,
        }
}

/// Low-slope roof edges by distance, 6 ft and 15 ft: 29 CFR 1910.28(b)(13)(i)–(iii).
fn roof(known: &Known<'_>, said: &mut Vec<String>) {
    let far = |metres: f64| match known.units {
        Units::Us => format!("{:.0} ft", metres / METRES_PER_FOOT),
        Units::Si => format!("{metres:.1} m"),
    };
    match known.machine.facts.site.roof_edge.map(|edge| edge.0) {
        Some(edge) if edge < 6.0 * METRES_PER_FOOT => said.push(format!(
            "{} from the roof edge: guardrail, net, restraint or arrest before work.",
            far(edge)
        )),
        Some(edge) if edge < 15.0 * METRES_PER_FOOT => said.push(format!(
            "{} from the roof edge: fall protection, or a designated area for short and rare work.",
            far(edge)
        )),
        None if known.on_roof => said.push(
            "On a roof; the distance to the edge is not known. Look before you step.".to_owned(),
        ),
        _ => {}
    }
}
