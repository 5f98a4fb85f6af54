//! Full-load speed: what the candidate does to a wheel on its shaft, or over a belt.

use super::attribute as a;
use super::known::{Facts, opt, text};
use super::load::ROUNDING;
use super::question as q;
use super::say::{change, short};
use super::sink::{Said, Sink};
use super::work::{Sheaves, Work};
use crate::fan::{CAST_IRON_RIM, tip_speed};
use crate::installation::Drive;
use crate::units::{Millimetres, Rpm};
use crate::working::Verdict;

/// The trade's limit for a change of speed without more thought. Common practice.
pub(super) const FIVE_PERCENT: f64 = 0.05 + 1e-9;
/// A plate speed is not truer than this.
const HALF_PERCENT: f64 = 1.005;
/// Smallest V-belt sheave in inches over all ratings of a frame (NEMA MG 1 14.42, from memory).
const LEAST_SHEAVE: [(&str, f64); 8] = [
    ("143T", 2.2),
    ("145T", 2.4),
    ("182T", 2.4),
    ("184T", 2.4),
    ("213T", 3.0),
    ("215T", 3.0),
    ("254T", 3.8),
    ("256T", 4.4),
];

/// Both motors turn at the same pole count; `None` where it cannot be worked out.
fn same_poles(f: &Facts, old: f64, new: f64) -> Option<bool> {
    let old = f.poles(f.old_type, f.old, old)?.0;
    let new = f.poles(f.new_type, f.new, new)?.0;
    Some(old == new)
}

pub(super) fn speed(f: &Facts, sink: &mut impl Sink) {
    let Some(drive) = f.driven.drive else {
        return sink.ask(&a::SPEED, &q::DRIVE);
    };
    let Some(old) = f.old_speed else {
        return sink.ask(&a::SPEED, &q::OLD_SPEED);
    };
    let Some(new) = f.new_speed else {
        return sink.ask(&a::SPEED, &q::NEW_SPEED);
    };
    let ratio = new / old;
    let wheel = match drive {
        Drive::Belt => opt(f.driven.driven_speed).map(|n| n * ratio),
        _ => Some(new),
    };
    let limit = opt(f.driven.wheel_limit);
    // A belt beyond 5 % gets another sheave and the wheel keeps its speed.
    let wheel_follows = drive != Drive::Belt || (ratio - 1.0).abs() <= FIVE_PERCENT;
    let say = move |note: &'static str| {
        move || {
            let limit = limit
                .map(|l| format!("wheel {}", short(l, 0)))
                .unwrap_or_default();
            let note = match wheel {
                Some(wheel) if drive == Drive::Belt && wheel_follows => {
                    format!(
                        "{note} Driven speed with these sheaves {} rpm.",
                        short(wheel, 0)
                    )
                }
                _ => note.to_owned(),
            };
            Said::of(short(new, 0), note)
                .limit(limit)
                .margin(format!("{} on the old", change(ratio)))
        }
    };
    if let (Some(wheel), Some(limit), true) = (wheel, limit, wheel_follows)
        && wheel > limit * (1.0 + 1e-9)
    {
        let note = "The wheel would pass its highest speed.";
        return sink.judge(&a::SPEED, Verdict::DoNotFit, say(note));
    }
    match drive {
        Drive::Belt => belt(f, old, new, sink, say),
        Drive::Direct | Drive::Coupled => direct(f, old, new, sink, say),
    }
}

fn direct<S: Sink, T: FnOnce() -> Said>(
    f: &Facts,
    old: f64,
    new: f64,
    sink: &mut S,
    say: impl Fn(&'static str) -> T,
) {
    let ratio = new / old;
    let far = (ratio - 1.0).abs() > FIVE_PERCENT;
    let poles = same_poles(f, old, new);
    if far && poles == Some(false) {
        let note = "Another pole count: flow, pressure and power change out of bounds.";
        return sink.judge(&a::SPEED, Verdict::DoNotFit, say(note));
    }
    let overloads = f
        .taken()
        .zip(f.new_power)
        .is_some_and(|(taken, power)| taken > power * (1.0 + ROUNDING) && f.load < Some(taken));
    if overloads {
        let note = "At this speed the machine takes more than the plate power.";
        return sink.judge(&a::SPEED, Verdict::DoNotFit, say(note));
    }
    match over_limit(f, new) {
        Over::No => {}
        Over::Yes => {
            let note = "By torque balance the wheel settles above its highest speed.";
            return sink.judge(&a::SPEED, Verdict::DoNotFit, say(note));
        }
        Over::Unknown => return sink.ask(&a::SPEED, &q::SETTLED),
    }
    if (new - old).abs() <= f.speed_tolerance() {
        let note = "Within the tolerance of a plate speed.";
        return sink.judge(&a::SPEED, Verdict::Same, say(note));
    }
    if ratio > 1.0 {
        match carries(f, old, new) {
            Some(_) => {}
            None => return sink.ask(&a::SPEED, &q::SHAFT_POWER),
        }
        if opt(f.driven.wheel_limit).is_none() {
            if far {
                return sink.ask(&a::SPEED, &q::WHEEL_LIMIT);
            }
            sink.caution(|| "The wheel turns faster and its highest speed is not known.".into());
        }
    }
    if !far {
        let note = "Within 5 %; flow changes alike, power with the cube.";
        return sink.judge(&a::SPEED, Verdict::Suits, say(note));
    }
    if poles.is_none() && !f.electronic() {
        return sink.ask(&a::SPEED, &q::POLES);
    }
    let percent = 100.0 * (ratio - 1.0).abs();
    let work = match ratio > 1.0 {
        true => Work::MeasureAfterFaster { percent },
        false => Work::AcceptFlow { percent },
    };
    sink.work(&a::SPEED, &[work], say("Beyond 5 %, same poles."));
}

enum Over {
    No,
    Yes,
    Unknown,
}

/// Whether a motor stronger than the old one takes the wheel past its highest speed, although its
/// plate speed does not: a motor that is not fully loaded runs nearer to synchronous speed. A
/// motor no stronger and no faster runs as the old one did. Only on a known limit: an unknown one
/// is judged by the plate speeds.
fn over_limit(f: &Facts, new: f64) -> Over {
    let Some(limit) = opt(f.driven.wheel_limit) else {
        return Over::No;
    };
    let synchronous = f.poles(f.new_type, f.new, new).map(|(_, ns)| ns);
    if f.electronic() || f.no_faster() == Some(true) || synchronous.is_some_and(|ns| ns <= limit) {
        return Over::No;
    }
    match f.settled() {
        Some(run) if run.speed.0 > limit * HALF_PERCENT => Over::Yes,
        Some(_) => Over::No,
        None => Over::Unknown,
    }
}

/// Does the candidate carry the machine at its own plate speed? By the cube law from the measured
/// shaft power, else from the old plate power, which can only say yes.
fn carries(f: &Facts, old: f64, new: f64) -> Option<bool> {
    let power = f.new_power? * (1.0 + ROUNDING);
    if let Some(load) = f.load {
        return Some(load * (new / f.load_at?).powi(3) <= power);
    }
    let most = f.old_power? * (new / old).powi(3);
    (most <= power).then_some(true)
}

fn belt<S: Sink, T: FnOnce() -> Said>(
    f: &Facts,
    old: f64,
    new: f64,
    sink: &mut S,
    say: impl Fn(&'static str) -> T,
) {
    let ratio = new / old;
    let near = (ratio - 1.0).abs() <= FIVE_PERCENT;
    // With another sheave the belt keeps its speed; with the same one it follows the motor.
    let fastest = if near { old.max(new) } else { old };
    let rim = opt(f.driven.motor_sheave).and_then(|d| tip_speed(Millimetres(d), Rpm(fastest)).ok());
    if rim.is_some_and(|rim| rim.0 > CAST_IRON_RIM.0) {
        let note = "Rim speed above 33 m/s (6500 ft/min), the limit of cast iron (from memory).";
        return sink.judge(&a::SPEED, Verdict::DoNotFit, say(note));
    }
    if !near {
        let note = "Another speed: the sheave ratio must change with it.";
        let work = Work::FitSheave {
            ratio: 1.0 / ratio,
            sheaves: sheaves(f, old, new),
        };
        return sink.work(&a::SPEED, &[work], say(note));
    }
    let alike = new - old <= f.speed_tolerance();
    if ratio > 1.0 && !alike && carries(f, old, new) != Some(true) {
        let note = "A little faster: the sheave is reduced, or the extra power measured.";
        let work = Work::ReduceSheave {
            ratio,
            sheaves: sheaves(f, old, new),
        };
        return sink.work(&a::SPEED, &[work], say(note));
    }
    match (ratio - 1.0).abs() <= 0.02 + 1e-9 && same_poles(f, old, new) == Some(true) {
        true => sink.judge(&a::SPEED, Verdict::Same, say("Within 2 %.")),
        false => sink.judge(
            &a::SPEED,
            Verdict::Suits,
            say("Within 5 %; the fan follows."),
        ),
    }
}

/// Sheaves that keep the driven speed: from the speed measured on the fan where it is known, else
/// from the present motor sheave.
fn sheaves(f: &Facts, old: f64, new: f64) -> Sheaves {
    let driven = opt(f.driven.driven_sheave);
    let wanted = opt(f.driven.driven_speed);
    let present = opt(f.driven.motor_sheave);
    let measured = driven.zip(wanted).map(|(d, n)| d * n / new);
    let motor = measured.or(present.map(|d| d * old / new));
    let least = text(&f.new.frame).and_then(|frame| {
        let named = |(name, _): &&(&str, f64)| super::frames::same_name(name, frame);
        LEAST_SHEAVE
            .iter()
            .find(named)
            .map(|(_, inches)| inches * 25.4)
    });
    let larger = || Some(driven? * least? / motor?);
    Sheaves {
        motor,
        least,
        driven: larger(),
    }
}
