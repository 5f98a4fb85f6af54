//! The shaft against the hub: diameter, length, flat or key, second end.

use super::attribute as a;
use super::known::{Facts, get, num, opt};
use super::question as q;
use super::say::{mm, short};
use super::shape::SAME_LENGTH;
use super::sink::{Said, Sink};
use super::work::Work;
use crate::installation::Drive;
use crate::plate::ShaftForm;
use crate::units::WATTS_PER_HP;
use crate::working::Verdict;

/// Shaft and bore: a chart's rounding, well below the step between two sizes.
pub(super) const SAME_BORE: f64 = 0.06;

/// Shaft sizes of the trade in inches, to count steps by (NEMA charts and small fan motors).
pub(super) const SHAFTS: [f64; 9] = [0.25, 0.3125, 0.375, 0.5, 0.625, 0.875, 1.125, 1.375, 1.625];

pub(super) fn shaft_diameter(f: &Facts, sink: &mut impl Sink) {
    let Some(shaft) = num(&f.new.shaft_diameter) else {
        return sink.ask(&a::SHAFT_DIAMETER, &q::NEW_SHAFT);
    };
    let bore = opt(f.driven.hub_bore).or(num(&f.old.shaft_diameter));
    let Some(bore) = bore else {
        return sink.ask(&a::SHAFT_DIAMETER, &q::BORE);
    };
    let say = |note: &'static str| {
        move || {
            Said::of(short(shaft, 2), format!("{}. {note}", mm(shaft)))
                .limit(format!("bore {}", short(bore, 2)))
                .margin(format!("{:+.2} mm", shaft - bore))
        }
    };
    if (shaft - bore).abs() <= SAME_BORE {
        return sink.judge(&a::SHAFT_DIAMETER, Verdict::Same, say(""));
    }
    let refuse = |sink: &mut _, note| no(sink, say(note));
    // A drive nobody has looked at is a question of its own; the strictest case holds here.
    match (f.driven.drive, shaft > bore) {
        (Some(Drive::Belt), true) => {
            let note = "The motor sheave takes a new bore.";
            sink.work(&a::SHAFT_DIAMETER, &[Work::SheaveBore { shaft }], say(note));
        }
        (Some(Drive::Coupled), _) => {
            let note = "The motor's half of the coupling is changed.";
            sink.work(
                &a::SHAFT_DIAMETER,
                &[Work::CouplingHub { shaft }],
                say(note),
            );
        }
        (_, true) => refuse(
            sink,
            "It does not enter the hub; boring a wheel is a machine shop's work.",
        ),
        (Some(Drive::Belt), false) => {
            let between = |size: &&f64| {
                **size * 25.4 > shaft + SAME_BORE && **size * 25.4 <= bore + SAME_BORE
            };
            match SHAFTS.iter().filter(between).count() {
                0 | 1 => sink.work(
                    &a::SHAFT_DIAMETER,
                    &[Work::SheaveBore { shaft }],
                    say("One size smaller."),
                ),
                _ => refuse(sink, "More than one size smaller, under a belt's pull."),
            }
        }
        (_, false)
            if f.new_power
                .is_some_and(|power| power < 0.995 * WATTS_PER_HP) =>
        {
            sink.work(
                &a::SHAFT_DIAMETER,
                &[Work::Bushing { shaft, bore }],
                say("Smaller than the hub; a bushing at least 1.5 shafts long takes it up."),
            )
        }
        (_, false) => refuse(sink, "A reducing bushing is for motors below 1 hp only."),
    }
}

fn no(sink: &mut impl Sink, say: impl FnOnce() -> Said) {
    sink.judge(&a::SHAFT_DIAMETER, Verdict::DoNotFit, say);
}

pub(super) fn shaft_length(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = num(&f.new.shaft_length) else {
        return sink.ask(&a::SHAFT_LENGTH, &q::NEW_SHAFT_LENGTH);
    };
    let (old, hub) = (num(&f.old.shaft_length), opt(f.driven.hub_length));
    let say = |note: &'static str| {
        move || {
            let limit = hub
                .map(|hub| format!("hub {}", short(hub, 1)))
                .unwrap_or_default();
            let margin = old
                .map(|o| format!("{:+.1} mm on the old", new - o))
                .unwrap_or_default();
            Said::of(short(new, 1), format!("{}. {note}", mm(new)))
                .limit(limit)
                .margin(margin)
        }
    };
    if hub.is_some_and(|hub| new < hub - SAME_LENGTH) {
        let note = "It does not reach through the hub.";
        return sink.judge(&a::SHAFT_LENGTH, Verdict::DoNotFit, say(note));
    }
    let Some(old) = old else {
        // Where the old end stood is not known: the shaft is long enough, and may be too long.
        return match hub {
            Some(hub) => {
                let note = "Long enough; how much space it has is not known.";
                sink.work(&a::SHAFT_LENGTH, &[Work::CutShaftToHub { hub }], say(note));
            }
            None => sink.ask(&a::SHAFT_LENGTH, &q::HUB_LENGTH),
        };
    };
    let longer = new - old;
    if longer.abs() <= SAME_LENGTH {
        return sink.judge(&a::SHAFT_LENGTH, Verdict::Same, say(""));
    }
    if longer < 0.0 {
        return match hub {
            Some(_) => {
                let note = "Shorter, but through the hub; check that the wheel lines up.";
                sink.judge(&a::SHAFT_LENGTH, Verdict::Suits, say(note));
            }
            None => sink.ask(&a::SHAFT_LENGTH, &q::HUB_LENGTH),
        };
    }
    // Zero is a measured clearance like any other.
    let clearance = f
        .site
        .shaft_clearance
        .map(|c| c.0)
        .filter(|c| (0.0..=1e9).contains(c));
    match clearance {
        Some(clearance) if longer <= clearance => sink.judge(
            &a::SHAFT_LENGTH,
            Verdict::Suits,
            say("Longer, with room for it."),
        ),
        // Cutting to the old length always has its room, measured or not.
        _ => sink.work(
            &a::SHAFT_LENGTH,
            &[Work::CutShaft {
                by: longer,
                least: longer - clearance.unwrap_or(0.0),
            }],
            say("Longer than the room that is known."),
        ),
    }
}

pub(super) fn shaft_form(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = get(&f.new.shaft_form) else {
        return sink.ask(&a::SHAFT_FORM, &q::NEW_FORM);
    };
    let old = get(&f.old.shaft_form);
    let keyed = f
        .driven
        .hub_keyway
        .or(old.map(|old| old == ShaftForm::Keyed));
    let Some(keyed) = keyed else {
        return sink.ask(&a::SHAFT_FORM, &q::KEYWAY);
    };
    let words = match new {
        ShaftForm::Round => "round",
        ShaftForm::Flat => "flat",
        ShaftForm::Keyed => "keyed",
    };
    let say = |note: &'static str| {
        move || {
            Said::of(words, note).limit(if keyed {
                "hub with keyway"
            } else {
                "hub by set screw"
            })
        }
    };
    let same = old == Some(new);
    match (keyed, new) {
        (true, ShaftForm::Keyed) | (false, ShaftForm::Flat) => {
            let best = if same { Verdict::Same } else { Verdict::Suits };
            sink.judge(&a::SHAFT_FORM, best, say(""));
        }
        (false, _) if same => sink.judge(&a::SHAFT_FORM, Verdict::Same, say("As before.")),
        (false, ShaftForm::Keyed) => sink.work(
            &a::SHAFT_FORM,
            &[Work::ScrewOnKey],
            say("The hub has no keyway."),
        ),
        (false, ShaftForm::Round) => sink.work(
            &a::SHAFT_FORM,
            &[Work::FileFlat],
            say("A set screw needs a flat."),
        ),
        (true, _) => {
            let third = WATTS_PER_HP / 3.0 * 1.005;
            let strong = f.new_power.is_none_or(|power| power > third);
            if f.driven.drive != Some(Drive::Direct) && strong {
                let note = "A belt above 1/3 hp needs the key.";
                return sink.judge(&a::SHAFT_FORM, Verdict::DoNotFit, say(note));
            }
            let flat = new == ShaftForm::Flat;
            let work = if flat {
                Work::SeatOnFlat
            } else {
                Work::FileFlat
            };
            sink.work(
                &a::SHAFT_FORM,
                &[work],
                say("The hub has a keyway, the shaft no key."),
            );
        }
    }
}

pub(super) fn double_shaft(f: &Facts, sink: &mut impl Sink) {
    let Some(new) = get(&f.new.double_shaft) else {
        return sink.ask(&a::DOUBLE_SHAFT, &q::NEW_SECOND_SHAFT);
    };
    let old = get(&f.old.double_shaft);
    let used = f.driven.second_shaft_used.or(old.filter(|double| !double));
    let say = |note: &'static str| move || Said::of(if new { "two ends" } else { "one end" }, note);
    match (new, used) {
        (false, Some(true)) => {
            let note = "The second shaft end drives something.";
            sink.judge(&a::DOUBLE_SHAFT, Verdict::DoNotFit, say(note));
        }
        (false, Some(false)) => {
            let best = if old == Some(false) {
                Verdict::Same
            } else {
                Verdict::Suits
            };
            sink.judge(&a::DOUBLE_SHAFT, best, say(""));
        }
        (false, None) => sink.ask(&a::DOUBLE_SHAFT, &q::SECOND_SHAFT),
        (true, _) if old == Some(true) => {
            let note = "As before. Seen each from its own side, the two ends turn opposite ways.";
            sink.judge(&a::DOUBLE_SHAFT, Verdict::Same, say(note));
        }
        (true, Some(true)) => sink.judge(&a::DOUBLE_SHAFT, Verdict::Suits, say("")),
        (true, _) => {
            let note = "One end has no use here.";
            sink.work(&a::DOUBLE_SHAFT, &[Work::GuardSecondEnd], say(note));
        }
    }
}
