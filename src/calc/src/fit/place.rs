//! What the place asks: turning, enclosure, heat, hazardous locations.

use super::attribute as a;
use super::known::{Facts, celsius, get, text};
use super::question as q;
use super::say::short;
use super::sink::{Said, Sink};
use super::work::Work;
use crate::installation::Surroundings;
use crate::motor::at_shaft_end;
use crate::plate::{Direction, Enclosure, InsulationClass, MotorType, Plate};
use crate::working::Verdict;

fn turns(direction: Direction) -> &'static str {
    match direction {
        Direction::Clockwise => "clockwise at the shaft end",
        Direction::CounterClockwise => "counter-clockwise at the shaft end",
    }
}

/// Whether the candidate can be reversed; a three-phase motor always, a shaded-pole one never.
pub(super) fn reversible(new: &Plate) -> Option<bool> {
    match get(&new.motor_type) {
        Some(MotorType::ThreePhaseInduction) => Some(true),
        Some(MotorType::ShadedPole) => Some(false),
        _ => get(&new.rotation).map(|rotation| rotation.reversible),
    }
}

pub(super) fn rotation(f: &Facts, sink: &mut impl Sink) {
    // A reversible old motor's mark tells how it left the works, not how it was wired here.
    let from_old = || {
        get(&f.old.rotation)
            .filter(|r| !r.reversible)
            .and_then(at_shaft_end)
    };
    let need = f.driven.rotation.or_else(from_old);
    let new = get(&f.new.rotation).and_then(at_shaft_end);
    let say = |note: &'static str| {
        move || {
            Said::of(new.map_or("not stated", turns), note).limit(need.map_or("not known", turns))
        }
    };
    let can = reversible(f.new) == Some(true);
    match (need, new) {
        (Some(need), Some(new)) if need == new => {
            sink.judge(&a::ROTATION, Verdict::Same, say("Bump-test all the same."))
        }
        (Some(_), Some(_)) if can => {
            let three = f.new_type == Some(MotorType::ThreePhaseInduction);
            let work = if three {
                Work::SwapLines
            } else {
                Work::SwapLeads
            };
            sink.work(
                &a::ROTATION,
                &[work],
                say("Turns the other way as delivered."),
            );
        }
        (Some(_), Some(_)) => {
            let note = "Turns the other way and cannot be reversed.";
            sink.judge(&a::ROTATION, Verdict::DoNotFit, say(note));
        }
        _ if can => {
            let note = "It can be set either way.";
            sink.work(&a::ROTATION, &[Work::SetDirection], say(note));
        }
        (_, None) => sink.ask(&a::ROTATION, &q::NEW_ROTATION),
        (None, _) => sink.ask(&a::ROTATION, &q::ROTATION),
    }
}

pub(super) fn reversing(f: &Facts, sink: &mut impl Sink) {
    let (need, can) = (f.driven.reverses, reversible(f.new));
    let old = get(&f.old.rotation).map(|rotation| rotation.reversible);
    let best = if can.is_some() && can == old {
        Verdict::Same
    } else {
        Verdict::Suits
    };
    let value = move || match can {
        Some(true) => "reversible",
        Some(false) => "fixed",
        None => "not known",
    };
    let say = |note: &'static str| move || Said::of(value(), note);
    match (need, can) {
        (Some(true), Some(false)) => {
            let note = "The machine reverses in service.";
            sink.judge(&a::REVERSIBLE, Verdict::DoNotFit, say(note));
        }
        (_, Some(true)) | (Some(false), _) => sink.judge(&a::REVERSIBLE, best, say("")),
        (Some(true), None) => sink.ask(&a::REVERSIBLE, &q::NEW_REVERSIBLE),
        (None, _) if old == Some(false) => sink.judge(
            &a::REVERSIBLE,
            best,
            say("The old motor could not reverse either."),
        ),
        (None, _) => sink.ask(&a::REVERSIBLE, &q::REVERSES),
    }
}

fn words(enclosure: Enclosure) -> &'static str {
    match enclosure {
        Enclosure::OpenDripProof => "open, drip-proof",
        Enclosure::OpenAirOver => "open, air-over",
        Enclosure::TotallyEnclosedFanCooled => "totally enclosed, fan-cooled",
        Enclosure::TotallyEnclosedNonVentilated => "totally enclosed, not ventilated",
        Enclosure::TotallyEnclosedAirOver => "totally enclosed, air-over",
        Enclosure::ExplosionProof => "explosion-proof",
    }
}

fn air_over(enclosure: Enclosure) -> bool {
    matches!(
        enclosure,
        Enclosure::OpenAirOver | Enclosure::TotallyEnclosedAirOver
    )
}

fn open(enclosure: Enclosure) -> bool {
    matches!(enclosure, Enclosure::OpenAirOver | Enclosure::OpenDripProof)
}

pub(super) fn enclosure(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = get(&f.new.enclosure) else {
        return sink.ask(&a::ENCLOSURE, &q::NEW_ENCLOSURE);
    };
    let old = get(&f.old.enclosure);
    let say = |note: &'static str| {
        move || Said::of(words(new), note).limit(old.map(words).unwrap_or_default())
    };
    if air_over(new) && f.site.in_air_stream == Some(false) {
        let note = "It needs the stream of its fan for cooling, and does not sit in it.";
        return sink.judge(&a::ENCLOSURE, Verdict::DoNotFit, say(note));
    }
    let clean = f
        .site
        .surroundings
        .map(|place| place == Surroundings::CleanDry);
    if open(new) && clean == Some(false) {
        let note = "Too open for this place.";
        return sink.judge(&a::ENCLOSURE, Verdict::DoNotFit, say(note));
    }
    // Where the site was not looked at, an old motor of the same kind shows that it may be so.
    if air_over(new) && f.site.in_air_stream.is_none() && !old.is_some_and(air_over) {
        return sink.ask(&a::ENCLOSURE, &q::STREAM);
    }
    if open(new) && clean.is_none() && !old.is_some_and(open) {
        return sink.ask(&a::ENCLOSURE, &q::SURROUNDINGS);
    }
    if f.site.surroundings == Some(Surroundings::Wet) {
        sink.caution(|| "Wet place: open drain plug at the lowest point, rain shield.".into());
    }
    match old == Some(new) {
        true => sink.judge(&a::ENCLOSURE, Verdict::Same, say("")),
        false => sink.judge(
            &a::ENCLOSURE,
            Verdict::Suits,
            say("Closed enough for this place."),
        ),
    }
}

pub(super) fn ambient(f: &Facts, sink: &mut impl Sink) {
    let new = celsius(get(&f.new.ambient));
    let Some(new) = new else {
        return sink.ask(&a::AMBIENT, &q::NEW_AMBIENT);
    };
    let old = celsius(get(&f.old.ambient));
    let best = if old == Some(new) {
        Verdict::Same
    } else {
        Verdict::Suits
    };
    let site = celsius(f.site.ambient);
    let Some(need) = site.or(old) else {
        return sink.ask(&a::AMBIENT, &q::AMBIENT);
    };
    let say = |note: &'static str| {
        move || {
            Said::of(short(need, 1), note)
                .limit(format!("plate {}", short(new, 1)))
                .margin(format!("{:+.1} K", new - need))
        }
    };
    if need <= new + 0.01 {
        return sink.judge(&a::AMBIENT, best, say(""));
    }
    match site {
        Some(_) => {
            let note = "Hotter than the plate allows; 10 K too hot halves the winding's life.";
            sink.judge(&a::AMBIENT, Verdict::DoNotFit, say(note));
        }
        None => sink.ask(&a::AMBIENT, &q::AMBIENT),
    }
}

pub(super) fn insulation(f: &Facts, sink: &mut impl Sink) {
    let (old, new) = (get(&f.old.insulation), get(&f.new.insulation));
    let margin = celsius(get(&f.new.ambient))
        .zip(celsius(f.site.ambient))
        .map(|(p, s)| p - s);
    let say = |note: &'static str| {
        move || {
            Said::of(new.map_or("not known", letter), note)
                .limit(old.map(letter).unwrap_or_default())
                .margin(
                    margin
                        .map(|m| format!("{m:+.1} K ambient"))
                        .unwrap_or_default(),
                )
        }
    };
    if old.is_some() && new == old {
        return sink.judge(&a::INSULATION, Verdict::Same, say(""));
    }
    let higher = new == Some(InsulationClass::H) || (old.is_some() && new >= old);
    if higher {
        return sink.judge(
            &a::INSULATION,
            Verdict::Suits,
            say("Not lower than before."),
        );
    }
    if margin.is_some_and(|margin| margin >= 10.0) {
        let note = "Lower or not known, with at least 10 K in hand at this site.";
        return sink.judge(&a::INSULATION, Verdict::Suits, say(note));
    }
    match (old, new, margin) {
        (_, None, _) => sink.ask(&a::INSULATION, &q::NEW_CLASS),
        (None, _, _) => sink.ask(&a::INSULATION, &q::OLD_CLASS),
        (_, _, None) => sink.ask(&a::INSULATION, &q::AMBIENT),
        _ => sink.judge(
            &a::INSULATION,
            Verdict::DoNotFit,
            say("A lower class without a margin in temperature."),
        ),
    }
}

fn letter(class: InsulationClass) -> &'static str {
    match class {
        InsulationClass::A => "A",
        InsulationClass::E => "E",
        InsulationClass::B => "B",
        InsulationClass::F => "F",
        InsulationClass::H => "H",
    }
}

/// `none` and its like: somebody looked, and the place is not classified.
pub(super) fn unclassified(text: &str) -> bool {
    ["none", "unclassified", "not classified"]
        .iter()
        .any(|word| text.eq_ignore_ascii_case(word))
}

/// A classified place is never matched by the program: at best a qualified person is asked to
/// verify an identical listing. A place nobody has classified is a caution and no block, or no fan
/// in an ordinary building could be judged; the exception is an old motor that is itself listed.
pub(super) fn hazardous(f: &Facts, sink: &mut impl Sink) {
    let site = f
        .site
        .hazardous
        .as_deref()
        .map(str::trim)
        .filter(|text| !text.is_empty());
    let listed = |text: &&str| !unclassified(text);
    let new = text(&f.new.hazardous_listing).filter(listed);
    let say = |note: &'static str| move || Said::of(new.unwrap_or("not listed").to_owned(), note);
    if site.is_some_and(unclassified) {
        return sink.judge(
            &a::HAZARDOUS,
            Verdict::Same,
            say("The place is not classified."),
        );
    }
    let old = text(&f.old.hazardous_listing).filter(listed);
    match site.or(old) {
        Some(need) if new == Some(need) => {
            sink.ask(&a::HAZARDOUS, &q::VERIFY_LISTING);
        }
        Some(need) => {
            let text = move || say("Not the listing this place asks for.")().limit(need.to_owned());
            sink.judge(&a::HAZARDOUS, Verdict::DoNotFit, text);
        }
        None if get(&f.old.enclosure) == Some(Enclosure::ExplosionProof) => {
            sink.ask(&a::HAZARDOUS, &q::CLASSIFICATION)
        }
        None => {
            sink.line(
                &a::HAZARDOUS,
                None,
                &[],
                say("Nobody has said whether the place is classified."),
            );
            sink.caution(|| {
                "If the location is classified as hazardous, this judgement does not hold.".into()
            });
        }
    }
}
