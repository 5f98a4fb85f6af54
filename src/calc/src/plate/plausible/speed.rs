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

pub(super) fn poles(plate: &Plate, working: &mut Working) {
    let base = || {
        line("poles", "Poles and slip").rule("largest even p with 120 f/p above the speed", SOURCE)
    };
    let kind = plate.motor_type.value().copied();
    if matches!(
        kind,
        Some(MotorType::ElectronicallyCommutated | MotorType::DirectCurrent)
    ) {
        working.lines.push(
            base().note("The speed of this type is set, not given by poles; nothing is inferred."),
        );
        return;
    }
    if plate.speeds.value().is_none() {
        return;
    }
    let speeds = speeds(plate);
    if speeds.is_empty() {
        let why = "The same speed is another pole count at 50 Hz and at 60 Hz.";
        ask(
            working,
            base(),
            "Frequency",
            why,
            "Read HZ on the plate, or the supply it runs on.",
        );
        return;
    }
    let taps = plate.speeds.value().map_or(0, Vec::len);
    let mut counts = Vec::new();
    for (speed, frequency) in speeds {
        let (line, count) = one(base(), kind, speed, frequency, taps);
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

fn one(
    base: Line,
    kind: Option<MotorType>,
    speed: Rpm,
    frequency: Hertz,
    taps: usize,
) -> (Line, Option<u32>) {
    // The pole rule is the same for every type that slips.
    let found = poles_from_plate_speed(
        kind.unwrap_or(MotorType::ThreePhaseInduction),
        speed,
        frequency,
    );
    let parts = found.ok().and_then(|poles| {
        let synchronous = synchronous_speed(frequency, poles).ok()?;
        Some((poles, synchronous, slip(synchronous, speed).ok()?))
    });
    let hertz = figure(frequency.0, 1);
    let rpm = figure(speed.0, 1);
    let base = base.value(format!("{rpm} rpm at {hertz} Hz"), "");
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
        let tapped = matches!(
            kind,
            None | Some(MotorType::ShadedPole | MotorType::PermanentSplitCapacitor)
        );
        let note = if tapped {
            format!(
                "{rpm} rpm is a synchronous speed, so it is no full-load speed; it may be a low tap of a motor with fewer poles."
            )
        } else {
            format!(
                "{rpm} rpm is a synchronous speed: this motor turns slower under load, so it is not its full-load speed."
            )
        };
        let verdict = if tapped {
            Verdict::WithinNote
        } else {
            Verdict::Beyond
        };
        return (base.judge(verdict, note), None);
    }
    let of = kind.map_or("any type", kind_words);
    let verdict = match usual_slip(kind) {
        Some((low, high)) if slip >= low * 0.8 - 0.002 && slip <= high * 1.2 => (
            Verdict::Within,
            format!("{poles} poles with {share} % slip, as usual for {of}."),
        ),
        Some((low, high)) => {
            let usual = format!(
                "{} to {} %",
                figure(low * 100.0, 1),
                figure(high * 100.0, 1)
            );
            let tap = if taps > 1 {
                ""
            } else {
                " It may be the speed of a low tap, and the poles then fewer."
            };
            (
                Verdict::WithinNote,
                format!("{share} % slip, where {usual} is usual for {of}.{tap}"),
            )
        }
        None => (
            Verdict::WithinNote,
            "No usual slip is known for this type.".to_owned(),
        ),
    };
    let sure = verdict.0 == Verdict::Within;
    (base.judge(verdict.0, verdict.1), sure.then_some(poles))
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
