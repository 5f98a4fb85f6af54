//! Temperatures at the run test: the motor's body and the machine's bearings.

use super::{ProofInput, Quantity, accepted};
use crate::plate::InsulationClass;
use crate::shown::{Fill, ask, figure, line};
use crate::working::{Line, Verdict, Working};

/// A bearing housing above this is looked into, °C (140 °F). Source: Navy MO-114, fans.
pub const BEARING_NOTE: f64 = 60.0;
/// A bearing housing above this is stopped, °C (180 °F). Source: common practice, from memory.
pub const BEARING_STOP: f64 = 82.0;
/// The hottest spot of a winding lies at least this much above the body, K. Source: common practice,
/// from memory.
const BODY_BELOW_WINDING: f64 = 10.0;
/// Below the class by this much a body is unremarkable, K. Source: common practice, from memory.
const BODY_COMFORT: f64 = 40.0;

fn class_temperature(class: InsulationClass) -> f64 {
    match class {
        InsulationClass::A => 105.0,
        InsulationClass::E => 120.0,
        InsulationClass::B => 130.0,
        InsulationClass::F => 155.0,
        InsulationClass::H => 180.0,
    }
}

/// The body of the motor against the class of its winding, where it was measured.
///
/// To 40 K below the class: within. To 10 K below: within, note. Above: beyond, since the winding is
/// hotter than its body. Where the class is not known, only what holds for every class is said.
/// Source: IEC 60085 classes; the distances are common practice.
pub(super) fn motor(working: &mut Working, input: &ProofInput) {
    let Some(reading) = &input.motor_temperature else {
        return;
    };
    let shown = line("motor_temperature", "Motor body").rule(
        "40 K and 10 K below the class of the insulation",
        "IEC 60085 classes; distances common practice, from memory",
    );
    let reading = Some(std::slice::from_ref(reading));
    let read = accepted(working, input, reading, Quantity::Temperature);
    let Some(read) = read.and_then(|read| read.first().copied()) else {
        return ask(
            working,
            shown,
            "temperature of the motor's body",
            "a motor that runs hot fails early",
            "read it on the body near the winding when it has settled",
        );
    };
    let Some(shown) = doubted(working, shown, read, input.ambient) else {
        return;
    };
    against_class(
        working,
        shown,
        read,
        input.motor.insulation.value().copied(),
    );
}

/// A body that runs is not colder than the air about it. Source: common practice.
const BELOW_AMBIENT: f64 = 5.0;
/// Colder than this no machine room is, °C. Source: common practice.
const TOO_COLD: f64 = -40.0;

/// The line, where the reading can be right; else it is asked for again.
fn doubted(working: &mut Working, shown: Line, read: f64, ambient: Option<f64>) -> Option<Line> {
    let ambient = ambient.filter(|ambient| ambient.is_finite());
    let cold = ambient.is_some_and(|ambient| read < ambient - BELOW_AMBIENT - 1e-9);
    if !cold && read >= TOO_COLD {
        return Some(shown);
    }
    let shown = shown.value(figure(read, 1), "°C");
    let what = if cold {
        "a temperature that is not below the air around it"
    } else {
        "a temperature that can be right"
    };
    ask(
        working,
        shown,
        what,
        "a running machine is no colder than its surroundings; the thermometer or its unit is wrong",
        "look at the unit, the emissivity and the spot, and read it again",
    );
    None
}

fn against_class(working: &mut Working, shown: Line, read: f64, class: Option<InsulationClass>) {
    let coolest = class.map_or(105.0, class_temperature);
    let hottest = class.map_or(180.0, class_temperature);
    let (comfort, most) = (coolest - BODY_COMFORT, coolest - BODY_BELOW_WINDING);
    let shown = shown.value(figure(read, 1), "°C").limit(match class {
        Some(_) => format!("{comfort} °C, at most {most} °C"),
        None => "class not known".to_owned(),
    });
    if read > hottest - BODY_BELOW_WINDING {
        working.lines.push(shown.judge(
            Verdict::Beyond,
            "Stop it: the winding is hotter than its body. Air, load, volts, ambient.",
        ));
    } else if read <= comfort {
        working
            .lines
            .push(shown.judge(Verdict::Within, "Cool for its class."));
    } else if class.is_some() {
        working.lines.push(shown.judge(
            Verdict::WithinNote,
            "Warm: read again when it has run an hour or two, and look at air and load.",
        ));
    } else {
        let why = "what is hot for class A is usual for class F";
        let how = "read it on the plate: A, E, B, F or H";
        ask(working, shown, "insulation class of the motor", why, how);
    }
}

/// The hottest bearing housing, where bearings were measured.
pub(super) fn bearings(working: &mut Working, input: &ProofInput) {
    let Some(readings) = &input.bearing_temperatures else {
        return;
    };
    let shown = line("bearing_temperature", "Hottest bearing").rule(
        "under 60 °C or explained, stop above 82 °C",
        "Navy MO-114; 82 °C common practice, from memory",
    );
    let read = accepted(working, input, Some(readings), Quantity::Temperature);
    let hottest = read.and_then(|read| read.into_iter().reduce(f64::max));
    let Some(hottest) = hottest else {
        return ask(
            working,
            shown,
            "temperature of each bearing",
            "a bearing that is tight, dry or overfilled shows it by its warmth",
            "read each housing when it has settled",
        );
    };
    let Some(shown) = doubted(working, shown, hottest, input.ambient) else {
        return;
    };
    let shown = shown
        .value(figure(hottest, 1), "°C")
        .limit(format!("{BEARING_NOTE} °C, at most {BEARING_STOP} °C"))
        .margin(format!("{} K", figure(BEARING_NOTE - hottest, 1)));
    working.lines.push(if hottest > BEARING_STOP {
        shown.judge(
            Verdict::Beyond,
            "Stop it: belt tension, alignment, grease, a bearing that is jammed.",
        )
    } else if hottest > BEARING_NOTE {
        shown.judge(
            Verdict::WithinNote,
            "Explain it: fresh grease settles within hours; else look at tension and alignment.",
        )
    } else {
        shown.judge(Verdict::Within, "Cool enough.")
    });
}
