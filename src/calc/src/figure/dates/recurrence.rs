//! Topics. Recurrence rules of RFC 5545.

use super::read::{FIRST_N, first_n, moment, not_too_many, sentence};
use super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, answer, want};
use crate::due::rrule::{BadRule, Recurrence};
use crate::due::zone::{BadZone, Clock, Shown, Zone, local_text, wall_text};
use crate::shown::{Fill, line};
use crate::working::Working;
use time::{Date, PrimitiveDateTime};

const SOURCE: &str = "RFC 5545 3.3.10, 3.8.5.3";
const RULE: Want = want("rrule", "Rule", Takes::Text)
    .note("such as FREQ=MONTHLY;BYDAY=1MO; a day that a month does not have is left out");
const EXDATE: Want = want("exdate", "Left out", Takes::Texts)
    .note("dates or wall-clock times that do not count, such as 1998-02-13T09:00:00");
const START: Want = want("dtstart", "Start", Takes::Moment).note("wall-clock time of the zone");
const TZ: Want = want("tz", "Time zone", Takes::Text).note("such as America/New_York");

fn bad_rule(why: BadRule) -> Trouble {
    Trouble::of("rrule", sentence(&why.to_string()))
}

pub(super) fn zone(given: &Given) -> Result<Zone, Trouble> {
    let name = given.need_text("tz")?;
    Zone::named(&name).map_err(bad_zone)
}

pub(super) fn bad_zone(why: BadZone) -> Trouble {
    Trouble::of("tz", sentence(&why.to_string()))
}

fn rule(given: &Given) -> Result<Recurrence, Trouble> {
    given.need_text("rrule")?.parse().map_err(bad_rule)
}

/// A time that does not count, or a whole day where `day` says so.
struct LeftOut {
    at: PrimitiveDateTime,
    day: bool,
}

/// What is left out; a time of UTC is turned into the zone's wall clock.
fn left_out(given: &Given, zone: Option<&Zone>) -> Result<Vec<LeftOut>, Trouble> {
    let texts = given.texts("exdate")?.unwrap_or_default();
    not_too_many("exdate", texts.len())?;
    let read = |(at, text): (usize, &String)| {
        let bad = || {
            Trouble::of(
                format!("exdate.{at}"),
                "Give a date or a time as 1998-02-13T09:00:00",
            )
        };
        let utc = text.trim().strip_suffix('Z');
        let at = moment(utc.unwrap_or(text)).ok_or_else(bad)?;
        let at = match (utc, zone) {
            (Some(_), Some(zone)) => {
                let local = zone.to_local(at).map_err(|_| bad())?;
                PrimitiveDateTime::new(local.date(), local.time())
            }
            _ => at,
        };
        let day = !text.contains('T');
        Ok(LeftOut { at, day })
    };
    texts.iter().enumerate().map(read).collect()
}

/// A part of the list; what the rule says after it has begun is told in the working.
struct Run<T> {
    found: Vec<T>,
    ended: bool,
    trouble: Option<BadRule>,
}

/// The first `n` that pass; 100 000 at most are looked at, for a list of days left out is finite.
fn take<T>(
    items: impl Iterator<Item = Result<T, BadRule>>,
    n: usize,
    keep: impl Fn(&T) -> bool,
) -> Result<Run<T>, Trouble> {
    let mut run = Run {
        found: Vec::new(),
        ended: true,
        trouble: None,
    };
    for item in items.take(100_000) {
        match item {
            Ok(item) if keep(&item) => run.found.push(item),
            Ok(_) => {}
            Err(why) if run.found.is_empty() => return Err(bad_rule(why)),
            Err(why) => run.trouble = Some(why),
        }
        if run.found.len() == n {
            run.ended = false;
            break;
        }
    }
    Ok(run)
}

fn close<T>(working: &mut Working, run: &Run<T>) {
    let note = match (run.trouble, run.ended) {
        (Some(why), _) => sentence(&why.to_string()),
        (None, true) => "The rule ends here".to_owned(),
        (None, false) => "The rule goes on".to_owned(),
    };
    working
        .lines
        .push(line("end", "After that").value(note, "").rule("", SOURCE));
}

pub(super) const RRULE: Topic = Topic {
    name: "rrule",
    title: "Times of a recurrence rule",
    what: "The first times of a recurrence rule on the wall clock of a zone, with their offsets.",
    subject: Subject::Dates,
    wants: &[
        START,
        want("tz", "Time zone", Takes::Text)
            .note("such as America/New_York; blank gives times of a clock without a zone"),
        RULE,
        EXDATE,
        FIRST_N,
    ],
    answers: &[answer(
        "result",
        "",
        "the times, as a clock on the wall shows them",
    )],
    run: rrule,
};

fn instants(given: &Given) -> Result<Run<(PrimitiveDateTime, Shown)>, Trouble> {
    let start = given.need_moment("dtstart")?;
    let zone = zone(given)?;
    let except = left_out(given, Some(&zone))?;
    let times = rule(given)?.instants(start, &zone).map_err(bad_rule)?;
    take(times, first_n(given)?, |(wall, _)| !out(&except, *wall))
}

fn out(except: &[LeftOut], wall: PrimitiveDateTime) -> bool {
    except
        .iter()
        .any(|out| out.at == wall || (out.day && out.at.date() == wall.date()))
}

fn shown_line(wall: PrimitiveDateTime, shown: &Shown) -> crate::working::Line {
    let note = match shown.clock {
        Clock::Normal => "",
        Clock::Gap => "the clocks leave this time out: the offset before the gap is used",
        Clock::Overlap => "the clocks show this time twice: the first is used",
    };
    line("time", "Time")
        .value(local_text(shown.local), "")
        .limit(wall_text(wall))
        .rule("on the wall clock, then converted", SOURCE)
        .note(note)
}

fn rrule(given: &Given) -> Result<Figure, Trouble> {
    let mut working = Working::new("Times of a recurrence rule");
    if given.has("tz") {
        let run = instants(given)?;
        let lines = run
            .found
            .iter()
            .map(|(wall, shown)| shown_line(*wall, shown));
        working.lines.extend(lines);
        close(&mut working, &run);
        let times = run.found.iter().map(|(_, shown)| local_text(shown.local));
        return Ok(Figure::bare(working, times.collect::<Vec<_>>()));
    }
    let start = given.need_moment("dtstart")?;
    let except = left_out(given, None)?;
    let walls = rule(given)?.walls(start);
    let run = take(walls, first_n(given)?, |wall| !out(&except, *wall))?;
    for wall in &run.found {
        let shown = line("time", "Time").value(wall_text(*wall), "");
        working.lines.push(shown.rule("on the wall clock", SOURCE));
    }
    close(&mut working, &run);
    let times: Vec<String> = run.found.iter().map(|wall| wall_text(*wall)).collect();
    Ok(Figure::bare(working, times))
}

pub(super) const RRULE_UTC: Topic = Topic {
    name: "rrule_local_utc",
    title: "Times of a recurrence rule in UTC",
    what: "The first times of a recurrence rule of a zone's wall clock, told in UTC.",
    subject: Subject::Dates,
    wants: &[START, TZ, RULE, EXDATE, FIRST_N],
    answers: &[answer("result", "", "the times in UTC")],
    run: rrule_utc,
};

fn rrule_utc(given: &Given) -> Result<Figure, Trouble> {
    let run = instants(given)?;
    let mut working = Working::new("Times of a recurrence rule in UTC");
    let lines = run
        .found
        .iter()
        .map(|(wall, shown)| shown_line(*wall, shown));
    working.lines.extend(lines);
    close(&mut working, &run);
    let times = run
        .found
        .iter()
        .map(|(_, shown)| wall_text(shown.utc) + "Z");
    Ok(Figure::bare(working, times.collect::<Vec<_>>()))
}

pub(super) const RRULE_DATE: Topic = Topic {
    name: "rrule_date",
    title: "Dates of a recurrence rule",
    what: "The first dates of a recurrence rule without times of day.",
    subject: Subject::Dates,
    wants: &[want("dtstart", "Start", Takes::Date), RULE, EXDATE, FIRST_N],
    answers: &[answer("result", "", "the dates")],
    run: rrule_date,
};

fn rrule_date(given: &Given) -> Result<Figure, Trouble> {
    let start = given.need_date("dtstart")?;
    let except = left_out(given, None)?;
    let dates = rule(given)?.dates(start).map_err(bad_rule)?;
    let keep = |date: &Date| !except.iter().any(|out| out.at.date() == *date);
    let run = take(dates, first_n(given)?, keep)?;
    let mut working = Working::new("Dates of a recurrence rule");
    for date in &run.found {
        let shown = line("date", "Date").value(date.to_string(), "");
        working
            .lines
            .push(shown.rule("a day that does not exist is left out", SOURCE));
    }
    close(&mut working, &run);
    let dates: Vec<String> = run.found.iter().map(Date::to_string).collect();
    Ok(Figure::bare(working, dates))
}
