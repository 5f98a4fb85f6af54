//! The capacitor against the type, the volts and the amperes.

use super::{above_zero, kind_words, pairs};
use crate::plate::{MotorType, Plate};
use crate::shown::{Fill, figure, line};
use crate::working::{Verdict, Working};

pub(super) fn capacitor(plate: &Plate, working: &mut Working) {
    let farads = above_zero(plate.capacitor.value().map(|c| c.0));
    let kind = plate.motor_type.value().copied();
    if farads.is_none() && plate.capacitor_volts.value().is_none() {
        return;
    }
    if let Some(kind) = kind.filter(|kind| none(*kind)) {
        let base =
            line("capacitor", "Capacitor and type").rule("which types have one", "common practice");
        let note = format!(
            "A {} motor has no capacitor: the type or the capacitor is misread.",
            kind_words(kind)
        );
        working
            .lines
            .push(base.limit("none").judge(Verdict::Beyond, note));
        return;
    }
    volts(plate, working);
    if kind == Some(MotorType::PermanentSplitCapacitor)
        && let Some(farads) = farads
    {
        current(plate, farads, working);
    }
}

fn none(kind: MotorType) -> bool {
    matches!(
        kind,
        MotorType::ShadedPole
            | MotorType::SplitPhase
            | MotorType::ThreePhaseInduction
            | MotorType::DirectCurrent
    )
}

/// The winding lifts the capacitor's voltage above the supply's.
fn volts(plate: &Plate, working: &mut Working) {
    let marked = above_zero(plate.capacitor_volts.value().map(|v| v.0));
    let lowest = plate.volts.value().and_then(|volts| {
        let all = volts.iter().filter_map(|v| above_zero(Some(v.0)));
        all.reduce(f64::min)
    });
    let (Some(marked), Some(lowest)) = (marked, lowest) else {
        return;
    };
    // A start capacitor sees its voltage for seconds and may be marked near the supply's.
    let start = plate.motor_type.value() == Some(&MotorType::CapacitorStart);
    let wanted = if start { 1.0 } else { 1.2 };
    let base = line("capacitor_volts", "Voltage of the capacitor")
        .value(figure(marked, 0), "V")
        .limit(format!("above {} V", figure(lowest * wanted, 0)))
        .rule("a run capacitor stands above the supply", "common practice");
    working.lines.push(if marked < lowest * 0.95 {
        base.judge(
            Verdict::Beyond,
            "The capacitor is marked for less than the motor's own voltage.",
        )
    } else if marked < lowest * wanted {
        base.judge(
            Verdict::WithinNote,
            "Little above the supply for a capacitor that runs with the motor; read it again.",
        )
    } else {
        base.judge(Verdict::Within, "Above the supply, as a run capacitor is.")
    });
}

/// `I = 2 pi f C V` at the plate voltage, against the plate current.
fn current(plate: &Plate, farads: f64, working: &mut Working) {
    let hertz = plate
        .frequency
        .value()
        .and_then(|list| above_zero(list.first().map(|f| f.0)));
    let Some(hertz) = hertz else {
        return;
    };
    let taken =
        |(volts, amps): (f64, f64)| (std::f64::consts::TAU * hertz * farads * 1e-6 * volts, amps);
    let Some((current, amps)) = pairs(plate)
        .into_iter()
        .map(taken)
        .min_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)))
    else {
        return;
    };
    let share = current / amps;
    let base = line("capacitor_current", "Current through the capacitor")
        .value(figure(current, 2), "A")
        .limit(format!("{} A plate current", figure(amps, 2)))
        .rule("2 pi f C V, a part of the plate current", "common practice");
    working.lines.push(match share {
        _ if share > 2.0 => base.judge(Verdict::Beyond, "The capacitor alone would take more than twice the plate current: microfarads or amperes are misread."),
        _ if share > 1.0 => base.judge(Verdict::WithinNote, "The capacitor alone would take more than the plate current; read both again."),
        _ if share < 0.05 => base.judge(Verdict::WithinNote, "A small capacitor for this current; read both again."),
        _ => base.judge(Verdict::Within, "The capacitor takes a usual part of the plate current."),
    });
}
