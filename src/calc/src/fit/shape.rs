//! What must go together by hand: frame, mount, studs, body.

use super::attribute as a;
use super::frames::{self, Frame};
use super::known::{Facts, get, num, opt, text};
use super::question as q;
use super::say::{mm, short};
use super::sink::{Said, Sink};
use super::work::Work;
use crate::installation::Drive;
use crate::plate::{Mount, StudEnd};
use crate::working::Verdict;

/// Two lengths that a caliper and a chart call the same.
pub(super) const SAME_LENGTH: f64 = 0.5;

pub(super) fn frame(f: &Facts, sink: &mut impl Sink) {
    let (old, new) = (text(&f.old.frame), text(&f.new.frame));
    let say = |note: &'static str| {
        move || {
            let name = |text: Option<&str>| text.unwrap_or("not given").to_owned();
            Said::of(name(new), note).limit(name(old))
        }
    };
    let same = matches!((old, new), (Some(old), Some(new)) if frames::same_name(old, new));
    let feet = |mount| get(mount).is_none_or(|mount| mount == Mount::Feet);
    if !feet(&f.old.mount) || !feet(&f.new.mount) {
        // Mount, studs, shaft and body are measured on their own lines; a name adds nothing.
        return sink.judge(&a::FRAME, Verdict::Same, say("Not carried by its feet."));
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
        _ => new
            .feet()
            .next()
            .map(|(across, along)| Work::Redrill { across, along }),
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
        (Yoke, Feet) => sink.work(
            &a::MOUNT,
            &[Work::RubberPads],
            say("Rigid feet in place of a cradle: more noise and vibration pass to the base."),
        ),
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
    let mut studs_by = None;
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
                let short_by = mm(needed.unwrap_or(length) - length);
                let note = format!("The studs are {short_by} shorter than bracket and nut.");
                Said::of(short(circle, 1), note)
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
        studs_by = before.map(|before| length - before);
    }
    let say = || {
        let studs = match studs_by {
            Some(by) if by > SAME_LENGTH => format!(", studs {} longer", mm(by)),
            Some(by) if by < -SAME_LENGTH => format!(", studs {} shorter", mm(-by)),
            _ => String::new(),
        };
        Said::of(short(circle, 1), format!("{}{studs}", mm(circle)))
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
    if f.site.in_air_stream == Some(true) && old.0.is_some_and(|old| diameter > old + 1.0) {
        sink.caution(|| {
            "A thicker motor in the stream takes away air: measure flow or amps against before."
                .into()
        });
    }
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
