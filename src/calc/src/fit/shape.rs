//! What must go together by hand: frame, mount, studs, shaft, body.

use super::attribute as a;
use super::frames::{self, Frame};
use super::known::{Facts, get, num, opt, text};
use super::question as q;
use super::say::{mm, short};
use super::sink::{Said, Sink};
use super::work::Work;
use crate::installation::Drive;
use crate::plate::{Mount, ShaftForm, StudEnd};
use crate::units::WATTS_PER_HP;
use crate::working::Verdict;

/// Two lengths that a caliper and a chart call the same.
const SAME_LENGTH: f64 = 0.5;
/// Shaft and bore: a chart's rounding, well below the step between two sizes.
const SAME_BORE: f64 = 0.06;

pub(super) fn frame(f: &Facts, sink: &mut impl Sink) {
    let (old, new) = (text(&f.old.frame), text(&f.new.frame));
    let say = |note: &'static str| {
        move || {
            let name = |text: Option<&str>| text.unwrap_or("not given").to_owned();
            Said::of(name(new), note).limit(name(old))
        }
    };
    let same = matches!((old, new), (Some(old), Some(new)) if frames::same_name(old, new));
    let best = if same { Verdict::Same } else { Verdict::Suits };
    let feet = |mount| get(mount).is_none_or(|mount| mount == Mount::Feet);
    if !feet(&f.old.mount) || !feet(&f.new.mount) {
        // Mount, studs, shaft and body are measured on their own lines.
        let best = if old == new { Verdict::Same } else { best };
        return sink.judge(&a::FRAME, best, say("Not carried by its feet."));
    }
    let Some(old_name) = old else {
        return sink.ask(&a::FRAME, &q::OLD_FRAME);
    };
    let Some(new_name) = new else {
        return sink.ask(&a::FRAME, &q::NEW_FRAME);
    };
    // A special shaft is told by its measured size; a special mounting by nothing on the plate.
    let shaft = num(&f.new.shaft_diameter)
        .and(num(&f.new.shaft_length))
        .is_some();
    let circle = num(&f.new.bolt_circle)
        .and(num(&f.old.bolt_circle))
        .is_some();
    let special = |letter, known: bool| {
        !known && (frames::has_letter(old_name, letter) || frames::has_letter(new_name, letter))
    };
    if special('Z', shaft) || special('Y', circle) {
        return sink.ask(&a::FRAME, &q::SPECIAL_FRAME);
    }
    if same {
        return sink.judge(&a::FRAME, Verdict::Same, say(""));
    }
    let Some((old, new)) = frames::find(old_name).zip(frames::find(new_name)) else {
        return sink.ask(&a::FRAME, &q::FRAME_SIZE);
    };
    let height = new.height - old.height;
    let belt = f.driven.drive == Some(Drive::Belt);
    if height.abs() > SAME_LENGTH && !belt {
        let note = "Another shaft height, and no belt to take it up.";
        return sink.judge(&a::FRAME, Verdict::DoNotFit, say(note));
    }
    let feet = feet_work(old, new);
    let realign = Work::Realign { height };
    match (feet, height.abs() > SAME_LENGTH) {
        (None, false) => sink.judge(&a::FRAME, Verdict::Suits, say("Same height and feet.")),
        (Some(feet), false) => sink.work(&a::FRAME, &[feet], say("Same height, other feet.")),
        (None, true) => sink.work(&a::FRAME, &[realign], say("Same feet, other height.")),
        (Some(feet), true) => sink.work(&a::FRAME, &[feet, realign], say("Other height and feet.")),
    }
}

/// Work for the new feet; `None` if they cover every pattern the old base may use.
fn feet_work(old: &Frame, new: &Frame) -> Option<Work> {
    let off = |(across, along): (f64, f64)| {
        let near = |n: &(f64, f64)| (n.0 - across).abs().max((n.1 - along).abs());
        new.feet().map(|n| near(&n)).fold(f64::MAX, f64::min)
    };
    let most = old.feet().map(off).fold(0.0, f64::max);
    match most {
        // Half a slot's play at each hole takes up half a millimetre.
        most if most <= SAME_LENGTH / 2.0 => None,
        most if most <= 4.0 => Some(Work::SlotFeet { most }),
        _ => Some(Work::Redrill),
    }
}

fn mount_words(mount: Mount) -> &'static str {
    match mount {
        Mount::Studs => "studs",
        Mount::Feet => "feet",
        Mount::CFace => "C-face",
        Mount::BellyBand => "belly band",
        Mount::Yoke => "yoke",
        Mount::Flange => "flange",
    }
}

pub(super) fn mount(f: &Facts, sink: &mut impl Sink) {
    use Mount::*;
    let Some(new) = get(&f.new.mount) else {
        return sink.ask(&a::MOUNT, &q::NEW_MOUNT);
    };
    let Some(old) = get(&f.old.mount) else {
        return sink.ask(&a::MOUNT, &q::OLD_MOUNT);
    };
    let say = |note: &'static str| move || Said::of(mount_words(new), note).limit(mount_words(old));
    match (old, new) {
        _ if old == new => sink.judge(&a::MOUNT, Verdict::Same, say("")),
        (Studs | BellyBand | Yoke, Studs | BellyBand | Yoke) | (CFace | Flange, CFace | Flange) => {
            sink.work(
                &a::MOUNT,
                &[Work::Adapter],
                say("Another mount of the same family."),
            )
        }
        _ => {
            let note = "No adapter carries torque and weight between these mounts.";
            sink.judge(&a::MOUNT, Verdict::DoNotFit, say(note));
        }
    }
}

pub(super) fn studs(f: &Facts, sink: &mut impl Sink) {
    let (old, new) = (get(&f.old.mount), get(&f.new.mount));
    let circled = matches!(new, Some(Mount::Studs | Mount::CFace | Mount::Flange));
    if old != new || !circled {
        let value = || {
            Said::of(
                "not used",
                "The two motors are not both held on a bolt circle.",
            )
        };
        return sink.judge(&a::STUDS, Verdict::Same, value);
    }
    let Some(circle) = num(&f.new.bolt_circle) else {
        return sink.ask(&a::STUDS, &q::NEW_CIRCLE);
    };
    let Some(bracket) = num(&f.old.bolt_circle) else {
        return sink.ask(&a::STUDS, &q::OLD_CIRCLE);
    };
    let mut work = WorkList::new();
    // 1/32 in is 0.79 mm; the rule rounds it to 0.8.
    if (circle - bracket).abs() > 0.8 + 1e-9 {
        work.add(Work::DrillBracket { circle });
    }
    let mut best = Verdict::Same;
    if new == Some(Mount::Studs) {
        let ends = get(&f.old.stud_end).zip(get(&f.new.stud_end));
        let counts = get(&f.old.stud_count).zip(get(&f.new.stud_count));
        let Some(((old_end, new_end), (old_count, new_count))) = ends.zip(counts) else {
            return sink.ask(&a::STUDS, &q::STUD_ENDS);
        };
        if old_end != new_end && new_end != StudEnd::Both {
            let say = || Said::of(short(circle, 1), "The studs stand on the wrong end.");
            return sink.judge(&a::STUDS, Verdict::DoNotFit, say);
        }
        if old_count != new_count {
            work.add(Work::StudCount { count: new_count });
        }
        // An unknown thread costs a pair of nuts, not a question.
        match text(&f.old.stud_thread).zip(text(&f.new.stud_thread)) {
            Some((old, new)) if old.eq_ignore_ascii_case(new) => {}
            _ => work.add(Work::Nuts),
        }
        let Some(length) = num(&f.new.stud_length) else {
            return sink.ask(&a::STUDS, &q::NEW_STUD_LENGTH);
        };
        let (before, needed) = (num(&f.old.stud_length), opt(f.driven.stud_needed));
        if needed.is_some_and(|needed| length < needed - SAME_LENGTH) {
            let say = || {
                Said::of(
                    short(circle, 1),
                    "The studs are shorter than bracket and nut.",
                )
            };
            return sink.judge(&a::STUDS, Verdict::DoNotFit, say);
        }
        if needed.is_none() && before.is_none_or(|before| length < before - SAME_LENGTH) {
            return sink.ask(&a::STUDS, &q::STUD_NEEDED);
        }
        let longer = before.or(needed).map_or(0.0, |base| length - base);
        if longer > 10.0 {
            work.add(Work::CutStuds { by: longer });
        }
        if before.is_none_or(|before| (length - before).abs() > SAME_LENGTH) {
            best = Verdict::Suits;
        }
    }
    let say = || {
        Said::of(short(circle, 1), mm(circle))
            .limit(short(bracket, 1))
            .margin(format!("{:+.1} mm", circle - bracket))
    };
    match work.items() {
        [] => sink.judge(&a::STUDS, best, say),
        items => sink.work(&a::STUDS, items, say),
    }
}

/// A few items without a heap: at most circle, count, nuts, length.
struct WorkList {
    items: [Work; 4],
    count: usize,
}

impl WorkList {
    fn new() -> Self {
        WorkList {
            items: [Work::Nuts; 4],
            count: 0,
        }
    }
    fn add(&mut self, work: Work) {
        if let Some(place) = self.items.get_mut(self.count) {
            *place = work;
            self.count += 1;
        }
    }
    fn items(&self) -> &[Work] {
        &self.items[..self.count]
    }
}

/// Shaft sizes of the trade in inches, to count steps by (NEMA charts and small fan motors).
const SHAFTS: [f64; 9] = [0.25, 0.3125, 0.375, 0.5, 0.625, 0.875, 1.125, 1.375, 1.625];

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
            &[Work::CutShaft { by: longer }],
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

pub(super) fn body(f: &Facts, sink: &mut impl Sink) {
    let new = num(&f.new.body_diameter).zip(num(&f.new.body_length));
    let Some((diameter, length)) = new else {
        return sink.ask(&a::BODY, &q::NEW_BODY);
    };
    let old = (num(&f.old.body_diameter), num(&f.old.body_length));
    let free = (opt(f.site.free_diameter), opt(f.site.free_length));
    let say = |note: &'static str| {
        move || {
            let pair = |(d, l): (Option<f64>, Option<f64>)| match (d, l) {
                (None, None) => String::new(),
                (d, l) => {
                    let text = |v: Option<f64>| v.map_or("?".to_owned(), |v| short(v, 0));
                    format!("⌀ {} × {}", text(d), text(l))
                }
            };
            Said::of(pair((Some(diameter), Some(length))), note).limit(pair(free))
        }
    };
    let over = |size: f64, free: Option<f64>| free.is_some_and(|free| size > free + 1e-9);
    if over(diameter, free.0) || over(length, free.1) {
        return sink.judge(
            &a::BODY,
            Verdict::DoNotFit,
            say("Larger than the free space."),
        );
    }
    // Without a measured space the old body shows the space that is there.
    let fits = |size: f64, free: Option<f64>, old: Option<f64>| {
        free.is_some() || old.is_some_and(|old| size <= old + SAME_LENGTH)
    };
    if !fits(diameter, free.0, old.0) || !fits(length, free.1, old.1) {
        return sink.ask(&a::BODY, &q::SPACE);
    }
    let equal = |size: f64, old: Option<f64>| old.is_some_and(|old| (size - old).abs() <= 1.0);
    let clamped = matches!(get(&f.new.mount), Some(Mount::BellyBand | Mount::Yoke));
    if clamped && !equal(diameter, old.0) {
        return sink.work(
            &a::BODY,
            &[Work::Band { diameter }],
            say("Held by its body."),
        );
    }
    let best = match equal(diameter, old.0) && equal(length, old.1) {
        true => Verdict::Same,
        false => Verdict::Suits,
    };
    sink.judge(&a::BODY, best, say("Within the space."));
}
