//! Poles and slip from the plate's speed.

use super::limits::usual_slip;
use super::{above_zero, kind_words};
use crate::motor::{poles_from_plate_speed, slip, synchronous_speed};
use crate::plate::{MotorType, Plate};
use crate::shown::{Fill, ask, figure, line};
use crate::units::{Hertz, Rpm};
use crate::working::{Line, Verdict, Working};

const SOURCE: &str = "ns = 120 f / p; slips of usual full-load speeds, partly from memory";

/// Speed and the frequency it belongs to.
fn speeds(plate: &Plate) -> Vec<(Rpm, Hertz)> {
    let hertz = plate.frequency.value().map_or(&[][..], Vec::as_slice);
    let by = plate.more.speeds_by_frequency.value();
    if let Some(by) = by.filter(|by| by.len() == hertz.len()) {
        return by.iter().copied().zip(hertz.iter().copied()).collect();
    }
    let highest = plate.speeds.value().and_then(|speeds| {
        let all = speeds.iter().filter_map(|speed| above_zero(Some(speed.0)));
        all.reduce(f64::max)
    });
    // One speed on a plate of two frequencies is the speed at the higher.
    let most = hertz
        .iter()
        .filter_map(|hz| above_zero(Some(hz.0)))
        .reduce(f64::max);
    highest
        .zip(most)
        .map(|(n, f)| (Rpm(n), Hertz(f)))
        .into_iter()
        .collect()
}

fn base() -> Line {
    line("poles", "Poles and slip").rule("largest even p with 120 f/p above the speed", SOURCE)
}

/// Whether the speed is set by the supply electronics or the volts, and not by poles.
fn set_speed(kind: Option<MotorType>) -> bool {
    use MotorType::{DirectCurrent, ElectronicallyCommutated};
    matches!(kind, Some(ElectronicallyCommutated | DirectCurrent))
}

pub(super) fn poles(plate: &Plate, working: &mut Working) {
    let kind = plate.motor_type.value().copied();
    if set_speed(kind) {
        let note = "The speed of this type is set, not given by poles; nothing is inferred.";
        working.lines.push(base().note(note));
        return;
    }
    let Some(taps) = plate.speeds.value().map(Vec::len) else {
        return;
    };
    let speeds = speeds(plate);
    if speeds.is_empty() {
        let why = "The same speed is another pole count at 50 Hz and at 60 Hz.";
        let how = "Read HZ on the plate, or the supply it runs on.";
        return ask(working, base(), "Frequency", why, how);
    }
    let mut counts = Vec::new();
    for (speed, frequency) in speeds {
        let (line, count) = one(kind, speed, frequency, taps);
        working.lines.push(line);
        counts.extend(count);
    }
    counts.dedup();
    if let [first, second, ..] = counts.as_slice() {
        let note = format!(
            "{first} poles at one frequency and {second} at the other: the speeds do not belong together."
        );
        working.lines.push(base().judge(Verdict::Beyond, note));
    }
    marked(plate, &counts, working);
}

/// The line of one speed, and its poles where they are sure.
fn one(kind: Option<MotorType>, speed: Rpm, frequency: Hertz, taps: usize) -> (Line, Option<u32>) {
    let (rpm, hertz) = (figure(speed.0, 1), figure(frequency.0, 1));
    let base = base().value(format!("{rpm} rpm at {hertz} Hz"), "");
    // The pole rule is the same for every type that slips.
    let slips = kind.unwrap_or(MotorType::ThreePhaseInduction);
    let found = poles_from_plate_speed(slips, speed, frequency).ok();
    let parts = found.and_then(|poles| {
        let synchronous = synchronous_speed(frequency, poles).ok()?;
        Some((poles, synchronous, slip(synchronous, speed).ok()?))
    });
    let Some((poles, synchronous, slip)) = parts else {
        let note = format!(
            "An induction motor turns slower than its field, at most 120 x {hertz}/2 rpm: {rpm} rpm cannot be its speed."
        );
        return (base.judge(Verdict::Beyond, note), None);
    };
    let share = figure(slip * 100.0, 1);
    let base = base
        .limit(format!("{poles} poles, {} rpm", figure(synchronous.0, 1)))
        .margin(format!("slip {share} %"));
    let exact = (poles + 1..=48)
        .filter(|p| p % 2 == 0)
        .any(|p| (120.0 * frequency.0 / f64::from(p) - speed.0).abs() < 0.5);
    if exact {
        return (synchronous_line(base, kind, &rpm), None);
    }
    let (verdict, note) = judge(kind, slip, taps);
    (
        base.judge(verdict, note),
        (verdict == Verdict::Within).then_some(poles),
    )
}

/// A speed at which no slip is left; a tapped motor may run so on a low tap.
fn synchronous_line(base: Line, kind: Option<MotorType>, rpm: &str) -> Line {
    use MotorType::{PermanentSplitCapacitor, ShadedPole};
    if matches!(kind, None | Some(ShadedPole | PermanentSplitCapacitor)) {
        let note = format!(
            "{rpm} rpm is a synchronous speed, so it is no full-load speed; it may be a low tap of a motor with fewer poles."
        );
        return base.judge(Verdict::WithinNote, note);
    }
    let note = format!(
        "{rpm} rpm is a synchronous speed: this motor turns slower under load, so it is not its full-load speed."
    );
    base.judge(Verdict::Beyond, note)
}

fn judge(kind: Option<MotorType>, slip: f64, taps: usize) -> (Verdict, String) {
    let of = kind.map_or("any type", kind_words);
    let Some((low, high)) = usual_slip(kind) else {
        let note = "No usual slip is known for this type.".to_owned();
        return (Verdict::WithinNote, note);
    };
    let percent = |share: f64| figure(share * 100.0, 1);
    let share = percent(slip);
    if slip >= low * 0.8 - 0.002 && slip <= high * 1.2 {
        return (
            Verdict::Within,
            format!("{share} % slip, as usual for {of}."),
        );
    }
    let usual = format!("{} to {} %", percent(low), percent(high));
    let tap = match taps {
        1 => " It may be the speed of a low tap, and the poles then fewer.",
        _ => "",
    };
    let note = format!("{share} % slip, where {usual} is usual for {of}.{tap}");
    (Verdict::WithinNote, note)
}

/// The marked pole count against the one from the speed.
fn marked(plate: &Plate, counts: &[u32], working: &mut Working) {
    let (Some(marked), Some(found)) = (plate.more.poles.value(), counts.first()) else {
        return;
    };
    let base = line("marked_poles", "Marked poles")
        .value(marked.to_string(), "")
        .limit(found.to_string())
        .rule("the speed tells the poles", SOURCE);
    working.lines.push(if u32::from(*marked) == *found {
        base.judge(Verdict::Within, "The marked poles are those of the speed.")
    } else {
        base.judge(
            Verdict::Beyond,
            format!("{marked} poles are marked, but the speed is that of {found}."),
        )
    });
}
