//! What is seen and answered at the run test: direction, flow, guard, symptom, minutes.

use super::{Flow, MINUTES, ProofInput};
use crate::plate::{Direction, SeenFrom};
use crate::shown::{Fill, ask, line};
use crate::working::{Line, Missing, Verdict, Working};

fn words(direction: Direction) -> &'static str {
    match direction {
        Direction::Clockwise => "clockwise",
        Direction::CounterClockwise => "counter-clockwise",
    }
}

/// The direction seen, from the end from which the right one is meant. A blank end of the direction seen
/// is that end; `None` where the end of the right direction is not known while the other is.
fn same_end(input: &ProofInput) -> Option<Direction> {
    let seen = input.direction_seen?;
    match (input.direction_seen_from, input.direction_right_from) {
        (None, _) => Some(seen),
        (Some(SeenFrom::NotStated), _) | (_, Some(SeenFrom::NotStated)) => None,
        (Some(from), Some(right)) if from == right => Some(seen),
        (Some(_), Some(_)) => Some(match seen {
            Direction::Clockwise => Direction::CounterClockwise,
            Direction::CounterClockwise => Direction::Clockwise,
        }),
        _ => None,
    }
}

pub(super) fn direction(working: &mut Working, input: &ProofInput) {
    let shown = line("direction", "Direction of turning").rule(
        "seen and right direction from the same end",
        "common practice",
    );
    match (same_end(input), input.direction_right) {
        (Some(seen), Some(right)) => {
            let shown = shown.value(words(seen), "").limit(words(right));
            working.lines.push(if seen == right {
                shown.judge(Verdict::Within, "It turns the right way.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Lock it out and reverse it: two lines on three phases, the reversing leads or \
                     plug on single phase.",
                )
            });
        }
        _ => ask(
            working,
            shown,
            "direction seen and right direction, from which end",
            "a centrifugal wheel that turns backwards still moves air, only too little",
            "bump the motor and look at the shaft; compare with the arrow on the housing",
        ),
    }
}

pub(super) fn flow(working: &mut Working, flow: Option<Flow>) {
    let shown = line("flow", "Air or water the right way")
        .rule("seen at the grille or at the gauge", "common practice");
    match flow {
        Some(Flow::RightWay) => {
            working
                .lines
                .push(shown.value("yes", "").judge(Verdict::Within, "Seen."));
        }
        Some(Flow::DoesNotApply) => working.lines.push(
            shown
                .value("does not apply", "")
                .judge(Verdict::Within, "Nothing to see."),
        ),
        Some(Flow::WrongWay) => working.lines.push(shown.value("no", "").judge(
            Verdict::Beyond,
            "Stop it; check turning, wheel hand and damper before it runs again.",
        )),
        Some(Flow::NotLooked) => ask(
            working,
            shown.value("not looked", ""),
            "flow seen the right way",
            "turning the right way does not prove that air moves the right way",
            "hold a tissue at the grille or read the gauge",
        ),
        None => ask(
            working,
            shown,
            "flow seen the right way",
            "turning the right way does not prove that air moves the right way",
            "hold a tissue at the grille or read the gauge",
        ),
    }
}

/// What is answered with yes or no.
pub(super) fn answers(working: &mut Working, input: &ProofInput) {
    yes(
        working,
        line("guard", "Guard complete").rule("no opening left", "29 CFR 1910.212(a)(5)"),
        input.guard_complete,
        "Stop the machine, lock it out and put the guard back.",
    );
    yes(
        working,
        line("symptom", "First symptom gone").rule(
            "the reported fault is absent",
            "DOE-STD-1065-94; common practice",
        ),
        input.first_symptom_gone,
        "Go on with the diagnosis: what was reported is still there.",
    );
}

fn yes(working: &mut Working, shown: Line, answer: Option<bool>, todo: &'static str) {
    match answer {
        Some(true) => working
            .lines
            .push(shown.value("yes", "").judge(Verdict::Within, "Recorded.")),
        Some(false) => working
            .lines
            .push(shown.value("no", "").judge(Verdict::Beyond, todo)),
        None => {
            let what = shown.label.to_lowercase();
            ask(
                working,
                shown,
                what,
                "return to service waits for it",
                "look, and answer yes or no",
            );
        }
    }
}

pub(super) fn minutes(working: &mut Working, minutes: Option<u32>) {
    let shown = line("minutes", "Minutes run")
        .rule("readings count when it has settled", "common practice")
        .limit(format!("{MINUTES} min"));
    match minutes {
        Some(minutes) if minutes >= MINUTES => working.lines.push(
            shown
                .value(minutes.to_string(), "min")
                .judge(Verdict::Within, "It ran long enough."),
        ),
        Some(minutes) => working
            .lines
            .push(shown.value(minutes.to_string(), "min").judge(
                Verdict::WithinNote,
                "Let it run on and read the amperes again when it is warm.",
            )),
        None => ask(
            working,
            shown,
            "minutes run",
            "readings of a cold machine say little",
            "note how long it ran before the readings",
        ),
    }
}

/// What has to settle before it counts.
const SETTLES: [&str; 5] = [
    "amps",
    "amps_derated",
    "amps_speed",
    "motor_temperature",
    "bearing_temperature",
];

/// Amperes and temperatures read too early prove nothing where they lie inside their limits; beyond them
/// they count at once. Source: common practice.
pub(super) fn too_early(working: &mut Working, minutes: Option<u32>) {
    if minutes.is_none_or(|minutes| minutes >= MINUTES) {
        return;
    }
    let what = format!("amperes and temperatures after {MINUTES} minutes of running");
    let mut early = false;
    for line in &mut working.lines {
        let passed = matches!(line.verdict, Some(Verdict::Within | Verdict::WithinNote));
        if passed && SETTLES.contains(&line.key.as_ref()) {
            line.verdict = Some(Verdict::NotKnownYet);
            line.note = format!("Read too early; not known yet: {what}.").into();
            early = true;
        }
    }
    if early {
        working.missing.push(Missing {
            what: what.into(),
            why: "a machine still warming up reads lower than it will".into(),
            how: "let it run on, then read the amperes and temperatures again".into(),
        });
    }
}
