//! What the driven part asks of power: output, taps, service factor.

use super::amps::overload_limit;
use super::attribute as a;
use super::known::{Facts, num, tap_count};
use super::question as q;
use super::say::{change, hp, short};
use super::sink::{Said, Sink};
use super::work::Work;
use crate::units::WATTS_PER_HP;
use crate::working::Verdict;

/// Plates round power to two or three figures; 0.5 % is the same figure.
pub(super) const ROUNDING: f64 = 0.005;
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
    let (old, load) = (f.old_power, f.taken_at_most());
    let Some(floor) = load.or(old) else {
        return sink.ask(&a::POWER, &q::POWER);
    };
    let say = |note: &'static str| {
        move || {
            let what = match load {
                Some(load) if Some(load) == f.load => "measured shaft power",
                Some(_) => "measured shaft power at its speed",
                None => "old plate",
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
    let sizes = sizes_above(base, new);
    if sizes > 2 {
        let note = "More than two standard sizes larger.";
        let overload = f.amps(f.new).map(|amps| overload_limit(f, amps));
        let work = Work::CheckLargerMotor { sizes, overload };
        return sink.work(&a::POWER, &[work], say(note));
    }
    match old {
        Some(old) if (new / old - 1.0).abs() <= ROUNDING => {
            sink.judge(&a::POWER, Verdict::Same, say("As the old plate."))
        }
        _ => sink.judge(&a::POWER, Verdict::Suits, say("Enough for the machine.")),
    }
}

pub(super) fn taps(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = tap_count(f.new) else {
        return sink.ask(&a::TAPS, &q::NEW_SPEED);
    };
    let old = tap_count(f.old);
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
            sink.caution(|| {
                "Make sure that the highest speed is among the taps in use: the fit is judged by it."
                    .into()
            });
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
    match (f.taken_at_most(), f.old_power.zip(old)) {
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
