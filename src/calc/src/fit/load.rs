//! What the driven part asks: power, speed, taps, service factor.

use super::attribute as a;
use super::known::{Facts, list, num, opt};
use super::question as q;
use super::say::{change, hp, short};
use super::sink::{Said, Sink};
use super::work::Work;
use crate::fan::{CAST_IRON_RIM, tip_speed};
use crate::installation::Drive;
use crate::motor::{poles_from_plate_speed, synchronous_speed};
use crate::plate::MotorType;
use crate::units::{Hertz, Millimetres, Rpm, WATTS_PER_HP};
use crate::working::Verdict;

/// Plates round power to two or three figures; 0.5 % is the same figure.
const ROUNDING: f64 = 0.005;
/// The trade's limit for a change of speed without more thought. Common practice.
const FIVE_PERCENT: f64 = 0.05 + 1e-9;
/// Ratings of NEMA MG 1 10.32, in hp, to count sizes by.
const SIZES: &[f64] = &[
    0.05, 0.083_333, 0.125, 0.166_667, 0.25, 0.333_333, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0, 7.5,
    10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 75.0, 100.0, 125.0, 150.0, 200.0,
];

fn sizes_above(base: f64, power: f64) -> usize {
    let within = |w: f64| w > base * (1.0 + ROUNDING) && w <= power * (1.0 + ROUNDING);
    SIZES
        .iter()
        .filter(|hp| within(**hp * WATTS_PER_HP))
        .count()
}

pub(super) fn power(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = f.new_power else {
        return sink.ask(&a::POWER, &q::NEW_POWER);
    };
    let (old, load) = (f.old_power, f.load);
    let Some(floor) = load.or(old) else {
        return sink.ask(&a::POWER, &q::POWER);
    };
    let say = move |note: &'static str| {
        move || {
            let what = if load.is_some() {
                "measured shaft power"
            } else {
                "old plate"
            };
            let note = format!("{}. {note}", hp(new));
            Said::of(short(new, 0), note)
                .limit(format!("{} ({what}, {})", short(floor, 0), hp(floor)))
                .margin(change(new / floor))
        }
    };
    if new < floor * (1.0 - ROUNDING) {
        // Rating pairs of the two systems (1/4 hp and 0.18 kW) differ by up to 4 %; whether the
        // smaller one carries the fan is a question of its load, not of the old plate.
        if load.is_none() && new >= 0.96 * floor {
            return sink.ask(&a::POWER, &q::SHAFT_POWER);
        }
        let note = "Smaller than needed; a service factor does not make up for it.";
        return sink.judge(&a::POWER, Verdict::DoNotFit, say(note));
    }
    let base = old.unwrap_or(floor);
    if sizes_above(base, new) > 2 {
        let note = "More than two standard sizes larger.";
        return sink.work(&a::POWER, &[Work::CheckLargerMotor], say(note));
    }
    match old {
        Some(old) if (new / old - 1.0).abs() <= ROUNDING => {
            sink.judge(&a::POWER, Verdict::Same, say("As the old plate."))
        }
        _ => sink.judge(&a::POWER, Verdict::Suits, say("Enough for the machine.")),
    }
}

/// Poles of both motors: `Some(true)` the same, `None` where it cannot be worked out.
fn same_poles(f: &Facts, old: f64, new: f64) -> Option<bool> {
    let hertz = Hertz(f.hertz?);
    let old = poles_from_plate_speed(f.old_type?, Rpm(old), hertz).ok()?;
    let new = poles_from_plate_speed(f.new_type?, Rpm(new), hertz).ok()?;
    Some(old == new)
}

/// A motor whose speed is set, not given by poles and slip.
fn electronic(f: &Facts) -> bool {
    f.new_type == Some(MotorType::ElectronicallyCommutated)
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
    let say = move |note: &'static str| {
        move || {
            let limit = limit
                .map(|l| format!("wheel {}", short(l, 0)))
                .unwrap_or_default();
            Said::of(short(new, 0), note)
                .limit(limit)
                .margin(format!("{} on the old", change(ratio)))
        }
    };
    // A belt beyond 5 % gets another sheave and the wheel keeps its speed.
    let wheel_turns_faster = drive != Drive::Belt || (ratio - 1.0).abs() <= FIVE_PERCENT;
    if let (Some(wheel), Some(limit), true) = (wheel, limit, wheel_turns_faster)
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
    if (new - old).abs() <= plate_tolerance(f, old) {
        let note = "Within the tolerance of a plate speed.";
        return sink.judge(&a::SPEED, Verdict::Same, say(note));
    }
    if ratio > 1.0 {
        match carries(f, old, new) {
            Some(true) => {}
            Some(false) => {
                let note = "At this speed the machine takes more than the plate power.";
                return sink.judge(&a::SPEED, Verdict::DoNotFit, say(note));
            }
            None => return sink.ask(&a::SPEED, &q::SHAFT_POWER),
        }
        // The reference refuses a faster wheel of unknown limit; what nobody has looked up is a
        // question here, and the answer may be yes.
        if far && opt(f.driven.wheel_limit).is_none() {
            return sink.ask(&a::SPEED, &q::WHEEL_LIMIT);
        }
        if opt(f.driven.wheel_limit).is_none() {
            sink.caution(|| "The wheel turns faster and its highest speed is not known.".into());
        }
    }
    if !far {
        return sink.judge(
            &a::SPEED,
            Verdict::Suits,
            say("Within 5 %; flow changes alike."),
        );
    }
    if poles.is_none() && !electronic(f) {
        return sink.ask(&a::SPEED, &q::POLES);
    }
    let percent = 100.0 * (ratio - 1.0).abs();
    let work = match ratio > 1.0 {
        true => Work::MeasureAfterFaster { percent },
        false => Work::AcceptFlow { percent },
    };
    sink.work(&a::SPEED, &[work], say("Beyond 5 %, same poles."));
}

/// Tolerance of a plate speed: 20 % of slip. Without poles to take a slip from, one turn a minute.
fn plate_tolerance(f: &Facts, old: f64) -> f64 {
    let slip = || {
        let hertz = Hertz(f.hertz?);
        let poles = poles_from_plate_speed(f.old_type?, Rpm(old), hertz).ok()?;
        Some(synchronous_speed(hertz, poles).ok()?.0 - old)
    };
    // An electronic motor has no slip: its plate speed is a setting.
    let slip = if electronic(f) { None } else { slip() };
    slip.map_or(1.0, |slip| (0.2 * slip).max(1.0)) + 1e-9
}

/// Does the candidate carry the machine at its own plate speed? By the cube law from the measured
/// shaft power, else from the old plate power, which can only say yes.
fn carries(f: &Facts, old: f64, new: f64) -> Option<bool> {
    let power = f.new_power? * (1.0 + ROUNDING);
    if let Some(load) = f.load {
        let at = opt(f.driven.shaft_power_at)?;
        return Some(load * (new / at).powi(3) <= power);
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
    let sheave = opt(f.driven.motor_sheave);
    // With another sheave the belt keeps its speed; with the same one it follows the motor.
    let fastest = if near { old.max(new) } else { old };
    let rim = sheave.and_then(|d| tip_speed(Millimetres(d), Rpm(fastest)).ok());
    if rim.is_some_and(|rim| rim.0 > CAST_IRON_RIM.0) {
        let note = "Rim speed above 33 m/s (6500 ft/min), the limit of cast iron (from memory).";
        return sink.judge(&a::SPEED, Verdict::DoNotFit, say(note));
    }
    if !near {
        let note = "Another speed: the sheave ratio must change with it.";
        return sink.work(
            &a::SPEED,
            &[Work::FitSheave { ratio: 1.0 / ratio }],
            say(note),
        );
    }
    if ratio > 1.0 && carries(f, old, new) != Some(true) {
        let note = "A little faster: the sheave is reduced, or the extra power measured.";
        return sink.work(&a::SPEED, &[Work::ReduceSheave { ratio }], say(note));
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

pub(super) fn taps(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = list(&f.new.speeds).map(<[_]>::len) else {
        return sink.ask(&a::TAPS, &q::NEW_SPEED);
    };
    let old = list(&f.old.speeds).map(<[_]>::len);
    let used = f.site.taps_used.filter(|n| *n > 0).map(usize::from);
    let say = |note: &'static str| {
        move || {
            let limit = used.map(|n| format!("{n} in use")).unwrap_or_default();
            Said::of(new.to_string(), note).limit(limit)
        }
    };
    if used.is_some_and(|used| new < used) {
        let note = "Fewer speeds than are wired and used.";
        return sink.judge(&a::TAPS, Verdict::DoNotFit, say(note));
    }
    match (old, used) {
        (Some(old), _) if new == old => sink.judge(&a::TAPS, Verdict::Same, say("")),
        (Some(old), _) if new > old => sink.judge(
            &a::TAPS,
            Verdict::Suits,
            say("Cap the unused leads, each by itself."),
        ),
        (_, Some(used)) => {
            let note = "Fewer taps than before, but enough for the ones in use.";
            sink.work(&a::TAPS, &[Work::ConnectTap { used }], say(note));
        }
        (_, None) => sink.ask(&a::TAPS, &q::TAPS),
    }
}

pub(super) fn service_factor(f: &Facts, sink: &mut impl Sink) {
    let (old, new) = (num(&f.old.service_factor), num(&f.new.service_factor));
    let say = |note: &'static str| {
        move || {
            let value = new.map_or("not known".to_owned(), |sf| short(sf, 2));
            Said::of(value, note).limit(old.map(|sf| short(sf, 2)).unwrap_or_default())
        }
    };
    let higher = match (old, new) {
        (Some(old), Some(new)) => new >= old - 1e-9,
        // Nothing is marked below 1.0.
        (Some(old), None) => old <= 1.0,
        _ => false,
    };
    if higher {
        let best = if new.is_some() {
            Verdict::Same
        } else {
            Verdict::Suits
        };
        return sink.judge(&a::SERVICE_FACTOR, best, say("Not lower than before."));
    }
    // A lower or unknown one matters only if the machine reaches into it.
    let enough = |need: f64| {
        f.new_power
            .is_some_and(|power| need <= power * (1.0 + ROUNDING))
    };
    match (f.load, f.old_power.zip(old)) {
        (Some(load), _) if enough(load) => sink.judge(
            &a::SERVICE_FACTOR,
            Verdict::Suits,
            say("Lower or not known, but the machine stays within the plate power."),
        ),
        (Some(_), _) if f.new_power.is_some() => sink.judge(
            &a::SERVICE_FACTOR,
            Verdict::DoNotFit,
            say("The machine loads the motor beyond its plate power."),
        ),
        (None, Some((power, sf))) if enough(power * sf.max(1.0)) => sink.judge(
            &a::SERVICE_FACTOR,
            Verdict::Suits,
            say("The plate power covers the old motor with its service factor."),
        ),
        _ => sink.ask(&a::SERVICE_FACTOR, &q::SHAFT_POWER),
    }
}
