//! Topics. Wall clocks and UTC.

use super::recurrence::{bad_zone, zone};
use super::{Figure, Given, PRACTICE, Subject, Takes, Topic, Trouble, Want, answer, read, want};
use crate::due::zone::{Clock, elapsed_hours, local_text, wall_text};
use crate::shown::{Fill, figure, line};
use crate::working::Working;

const SOURCE: &str = "RFC 5545 3.3.5";
const TZ: Want = want("tz", "Time zone", Takes::Text).note("such as America/New_York");

pub(super) const TO_UTC: Topic = Topic {
    name: "local_to_utc",
    title: "Wall clock to UTC",
    what: "A wall-clock time of a zone in UTC, also where the clocks leave it out or show it twice.",
    subject: Subject::Dates,
    wants: &[want("local", "Wall-clock time", Takes::Moment), TZ],
    answers: &[
        answer("utc", "", "the same in UTC"),
        answer("shown_local", "", "what the clock on the wall shows then"),
        answer("kind", "", "normal, gap or overlap"),
    ],
    run: to_utc,
};

fn to_utc(given: &Given) -> Result<Figure, Trouble> {
    let wall = given.need_moment("local")?;
    let shown = zone(given)?.to_utc(wall).map_err(bad_zone)?;
    let utc = wall_text(shown.utc) + "Z";
    let local = local_text(shown.local);
    let (rule, note) = match shown.clock {
        Clock::Normal => ("the zone's offset at that time", ""),
        Clock::Gap => (
            "the offset before the gap",
            "the clocks go forward over this time",
        ),
        Clock::Overlap => ("the first of the two", "the clocks show this time twice"),
    };
    let mut working = Working::new("Wall clock to UTC");
    working.lines = vec![
        line("local", "Wall-clock time").value(wall_text(wall), ""),
        line("utc", "UTC")
            .value(utc.clone(), "")
            .rule(rule, SOURCE)
            .note(note),
        line("shown_local", "Shown on the wall").value(local.clone(), ""),
    ];
    Ok(Figure::new(working)
        .with("utc", utc)
        .with("shown_local", local)
        .with("kind", shown.clock.word()))
}

pub(super) const TO_LOCAL: Topic = Topic {
    name: "utc_to_local",
    title: "UTC to wall clock",
    what: "What a clock on the wall of a zone shows at a time of UTC.",
    subject: Subject::Dates,
    wants: &[
        want("utc", "Time of UTC", Takes::Text).note("as 2024-03-10T07:30:00Z"),
        TZ,
    ],
    answers: &[answer("local", "", "the wall-clock time with its offset")],
    run: to_local,
};

fn to_local(given: &Given) -> Result<Figure, Trouble> {
    let text = given.need_text("utc")?;
    let utc = read::moment(text.strip_suffix('Z').unwrap_or(&text))
        .ok_or_else(|| Trouble::of("utc", "Give a time as 2024-03-10T07:30:00Z"))?;
    let local = local_text(zone(given)?.to_local(utc).map_err(bad_zone)?);
    let mut working = Working::new("UTC to wall clock");
    working.lines = vec![
        line("utc", "UTC").value(wall_text(utc) + "Z", ""),
        line("local", "Shown on the wall")
            .value(local.clone(), "")
            .rule("the zone's offset at that time", SOURCE),
    ];
    Ok(Figure::new(working).with("local", local))
}

pub(super) const ELAPSED: Topic = Topic {
    name: "elapsed_hours",
    title: "Hours between two wall-clock times",
    what: "Hours that passed between two wall-clock times of a zone, over a change of the clocks.",
    subject: Subject::Dates,
    wants: &[
        want("from", "From", Takes::Moment),
        want("to", "To", Takes::Moment),
        want("start", "From", Takes::Moment).note("another name of from"),
        want("end", "To", Takes::Moment).note("another name of to"),
        TZ,
    ],
    answers: &[
        answer(
            "elapsed_hours",
            "h",
            "hours that passed: for down time and run hours",
        ),
        answer("clock_hours", "h", "hours the clock shows between them"),
    ],
    run: elapsed,
};

fn elapsed(given: &Given) -> Result<Figure, Trouble> {
    let either = |name: &str, other: &str| match (given.moment(name)?, given.moment(other)?) {
        (Some(one), Some(two)) if one != two => Err(Trouble::of(
            other,
            format!("Give {name} or {other}, not both"),
        )),
        (one, two) => given.need(name, one.or(two)),
    };
    let (from, to) = (either("from", "start")?, either("to", "end")?);
    let (passed, shown) = elapsed_hours(&zone(given)?, from, to).map_err(bad_zone)?;
    let mut working = Working::new("Hours between two wall-clock times");
    working.lines = vec![
        line("clock_hours", "By the clock on the wall").value(figure(shown, 4), "h"),
        line("elapsed_hours", "Passed")
            .value(figure(passed, 4), "h")
            .rule(
                "difference in UTC, for down time and run hours; due dates go by the calendar",
                PRACTICE,
            ),
    ];
    Ok(Figure::new(working)
        .with("elapsed_hours", passed)
        .with("clock_hours", shown))
}
