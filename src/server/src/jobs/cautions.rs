//! The cautions a job shows, from the machine's facts: own wording, each on its condition.

use super::steps::JobView;
use crate::shop::Units;

/// Warnings for one machine, the constant ones first.
///
/// Conditions: 29 CFR 1910.147(d), 1910.333(b)(2), 1910.28(b)(13) for roof edges, NEC 430.43 for
/// automatic restart; the wording is the shop's own.
pub fn of(view: &JobView) -> Vec<String> {
    let mut cautions =
        vec!["Lock, tag, try, test. Switching off at the wall is not isolation.".to_owned()];
    if view.panel_label_wrong {
        cautions.push(
            "Breaker labels here have been wrong before. Prove dead at the motor.".to_owned(),
        );
    } else if view
        .machine
        .as_ref()
        .is_some_and(|m| m.feed_proved_on.is_none())
    {
        cautions.push(
            "Nobody has proved which circuit feeds this machine. Prove dead at the motor."
                .to_owned(),
        );
    }
    match &view.sheet {
        None if view.machine.is_some() => cautions.push(
            "This machine has no isolation sheet. Do not open it; ask the supervisor.".to_owned(),
        ),
        Some(sheet) if sheet.sources.len() > 1 => {
            let n = sheet.sources.len();
            cautions.push(format!("{n} sources. {n} locks."));
        }
        _ => {}
    }
    if let Some(sheet) = &view.sheet {
        let has = |kind: &str| sheet.sources.iter().any(|s| s.kind == kind);
        if has("stored") {
            cautions.push("Holds charge after isolation. Wait, measure, then touch.".to_owned());
        }
        if has("gas") {
            cautions.push(
                "Gas shut and locked as well as power; leak test before relighting.".to_owned(),
            );
        }
    }
    let Some(machine) = &view.machine else {
        return cautions;
    };
    let site = &machine.facts.site;
    if site.starts_by_itself != Some(false) {
        cautions.push(
            if site.starts_by_itself == Some(true) {
                "May start without warning."
            } else {
                "Not known whether it can start by itself: treat it as if it does."
            }
            .to_owned(),
        );
    }
    if site.draught_turns_wheel == Some(true) {
        cautions.push("Block the wheel before hands go in.".to_owned());
    }
    roof(view, &mut cautions);
    if site
        .hazardous
        .as_deref()
        .is_some_and(|text| !text.eq_ignore_ascii_case("none"))
    {
        cautions.push(
            "Classified area: motors are never matched automatically. A qualified person decides."
                .to_owned(),
        );
    }
    cautions
}

const METRES_PER_FOOT: f64 = 0.3048; // exact

/// Low-slope roof edges by distance, 6 ft and 15 ft: 29 CFR 1910.28(b)(13)(i)–(iii).
fn roof(view: &JobView, cautions: &mut Vec<String>) {
    let on_roof = view
        .place
        .as_ref()
        .is_some_and(|place| place.kind == "roof");
    let edge = view.machine.as_ref().and_then(|m| m.facts.site.roof_edge);
    let far = |metres: f64| match view.units {
        Units::Us => format!("{:.0} ft", metres / METRES_PER_FOOT),
        Units::Si => format!("{metres:.1} m"),
    };
    match edge {
        Some(edge) if edge.0 < 6.0 * METRES_PER_FOOT => cautions.push(format!(
            "{} from the roof edge: guardrail, net, restraint or arrest before work.",
            far(edge.0)
        )),
        Some(edge) if edge.0 < 15.0 * METRES_PER_FOOT => cautions.push(format!(
            "{} from the roof edge: fall protection, or a designated area for short and rare work.",
            far(edge.0)
        )),
        Some(_) => {}
        None if on_roof => cautions.push(
            "On a roof; the distance to the edge is not known. Look before you step.".to_owned(),
        ),
        None => {}
    }
}
