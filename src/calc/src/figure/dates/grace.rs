//! Topics. Windows about a due date.

use super::read::{self, EVERY_WANT, need_every, need_interval, trouble};
use super::{Figure, Given, PRACTICE, Subject, Takes, Topic, Trouble, Want, answer, want};
use crate::due::{self, Standing};
use crate::shown::{Fill, ask, line};
use crate::working::{Verdict, Working};
use serde_json::json;
use time::{Date, PrimitiveDateTime};

const DUE: Want = want("due", "Due", Takes::Date);
const INTERVAL: Want = want("interval_days", "Interval", Takes::Whole)
    .unit("d")
    .note("1 or more");
const PLUS_MINUS: Want = want("plus_minus_days", "Days before and after", Takes::Whole).unit("d");

const CAUTION: &str = "A window is the site's own choice. Where law, a permit or the maker sets the interval, that holds without one.";

fn need_window(due: Date, before: u32, after: u32) -> Result<(Date, Date), Trouble> {
    due::window(due, before, after)
        .ok_or_else(|| Trouble::of("due", "The window lies outside the calendar"))
}

pub(super) const EACH_SIDE: Topic = Topic {
    name: "grace_10_percent_each_side",
    title: "Window of a tenth on each side",
    what: "A tenth of the interval before and after the due date, in whole days.",
    subject: Subject::Dates,
    wants: &[
        DUE,
        INTERVAL,
        want("minimum_days", "Days on each side at least", Takes::Whole)
            .unit("d")
            .note("blank is none: a weekly task then has no window"),
    ],
    answers: &[answer(
        "result",
        "",
        "first and last day; both belong to it",
    )],
    run: each_side,
};

fn each_side(given: &Given) -> Result<Figure, Trouble> {
    let on = given.need_date("due")?;
    let interval = need_interval(given, "interval_days")?;
    let least = read::small(given, "minimum_days")?.unwrap_or(0);
    let days = due::tenth(interval).max(least);
    let (first, last) = need_window(on, days, days)?;
    let mut working = Working::new("Window of a tenth on each side");
    working.lines = vec![
        line("side", "Days on each side")
            .value(days.to_string(), "d")
            .rule(
                "whole days of interval / 10 on each side; others share one tenth between the sides",
                PRACTICE,
            ),
        line("first", "First day").value(first.to_string(), ""),
        line("last", "Last day").value(last.to_string(), ""),
    ];
    working.cautions.push(CAUTION.into());
    Ok(Figure::bare(
        working,
        vec![first.to_string(), last.to_string()],
    ))
}

pub(super) const IN_TOTAL: Topic = Topic {
    name: "grace_10_percent_total",
    title: "Window of a tenth in all",
    what: "A tenth of the interval in all, half of it before and half after the due time.",
    subject: Subject::Dates,
    wants: &[
        want("due", "Due", Takes::Moment)
            .note("as 2024-06-15T12:00; a bare date is its first minute"),
        INTERVAL,
    ],
    answers: &[answer("result", "", "from and to, to the minute")],
    run: in_total,
};

fn minutes(at: PrimitiveDateTime) -> String {
    format!("{}T{:02}:{:02}", at.date(), at.hour(), at.minute())
}

fn in_total(given: &Given) -> Result<Figure, Trouble> {
    let on = given.need_moment("due")?;
    let interval = need_interval(given, "interval_days")?;
    let (from, to) = due::tenth_in_total(on, interval)
        .ok_or_else(|| Trouble::of("due", "The window lies outside the calendar"))?;
    let mut working = Working::new("Window of a tenth in all");
    working.lines = vec![
        line("from", "From").value(minutes(from), "").rule(
            "interval / 20 on each side; others take a tenth on each side",
            PRACTICE,
        ),
        line("to", "To").value(minutes(to), ""),
    ];
    working.cautions.push(CAUTION.into());
    Ok(Figure::bare(working, vec![minutes(from), minutes(to)]))
}

pub(super) const FROM_LAST: Topic = Topic {
    name: "grace_days_from_last_event",
    title: "Window counted from the last event",
    what: "The due date so long after the work was last done, with whole days before and after.",
    subject: Subject::Dates,
    wants: &[
        want("last_done", "Last done", Takes::Date),
        EVERY_WANT,
        PLUS_MINUS,
    ],
    answers: &[
        answer("due", "", "the due date"),
        answer("window", "", "first and last day; both belong to it"),
    ],
    run: from_last,
};

fn from_last(given: &Given) -> Result<Figure, Trouble> {
    let done = given.need_date("last_done")?;
    let every = need_every(given, "every")?;
    let days = read::need_small(given, "plus_minus_days")?;
    let on = due::add(done, every, 1).map_err(|why| trouble("every", why))?;
    let (first, last) = need_window(on, days, days)?;
    let mut working = Working::new("Window counted from the last event");
    working.lines = vec![
        line("due", "Due").value(on.to_string(), "").rule(
            "last date + interval; a day that a month does not have is its last one",
            PRACTICE,
        ),
        line("first", "First day").value(first.to_string(), ""),
        line("last", "Last day").value(last.to_string(), "").note(
            "hospital surveys commonly allow 10 d a quarter, 20 d a half-year, 30 d a year, each way",
        ),
    ];
    working.cautions.push(
        "Some inspectors read such a window from the month, not from the date: ask which holds."
            .into(),
    );
    Ok(Figure::new(working)
        .with("due", on.to_string())
        .with("window", vec![first.to_string(), last.to_string()]))
}

pub(super) const STATUS: Topic = Topic {
    name: "grace_status",
    title: "Early, in the window, late",
    what: "How work stands to its window, done or not; both edges belong to the window.",
    subject: Subject::Dates,
    wants: &[
        DUE,
        PLUS_MINUS,
        want("minus_days", "Days before", Takes::Whole)
            .unit("d")
            .note("with plus_days, where the sides differ"),
        want("plus_days", "Days after", Takes::Whole).unit("d"),
        want("done", "Done on", Takes::Date).note("blank where it is not done"),
        want("today", "Today", Takes::Date).note("needed where it is not done"),
        want("next_due", "Next due", Takes::Date)
            .note("from that day on work not done is missed; blank leaves it late"),
    ],
    answers: &[
        answer(
            "result",
            "",
            "early, in_window, late; not done: not_yet_open, open, late, missed",
        ),
        answer("window", "", "first and last day"),
    ],
    run: status,
};

/// Days before and after: each of its own, or both alike.
fn sides(given: &Given) -> Result<(u32, u32), Trouble> {
    let both = read::small(given, "plus_minus_days")?;
    let before = read::small(given, "minus_days")?;
    let after = read::small(given, "plus_days")?;
    if both.is_some() && (before.is_some() || after.is_some()) {
        let words = "Give plus_minus_days, or minus_days and plus_days";
        return Err(Trouble::of("plus_minus_days", words));
    }
    if both.is_none() && (before.is_some() || after.is_some()) {
        let before = given.need("minus_days", before)?;
        return Ok((before, given.need("plus_days", after)?));
    }
    let days = given.need("plus_minus_days", both)?;
    Ok((days, days))
}

fn status(given: &Given) -> Result<Figure, Trouble> {
    let on = given.need_date("due")?;
    let (before, after) = sides(given)?;
    let (first, last) = need_window(on, before, after)?;
    let (done, today) = (given.date("done")?, given.date("today")?);
    let standing = due::standing((first, last), done, today, given.date("next_due")?);
    let mut working = Working::new("Early, in the window, late");
    let window = vec![first.to_string(), last.to_string()];
    let shown = line("status", "Stands")
        .limit(format!("{first} to {last}"))
        .rule("both edges belong to the window", PRACTICE);
    let Some(standing) = standing else {
        ask(
            &mut working,
            shown,
            "Day it was done, or today's date",
            "the window is judged by one of the two",
            "give done, or today where the work is not done",
        );
        return Ok(Figure::new(working).with("window", window));
    };
    let (verdict, note) = match standing {
        Standing::NotYetOpen => (Verdict::Within, "the window has not opened"),
        Standing::Open => (Verdict::Within, "the window is open"),
        Standing::InWindow => (Verdict::Within, "done in the window"),
        Standing::Early => (Verdict::WithinNote, "done before the window opened"),
        Standing::Late => (Verdict::Beyond, "the window has closed"),
        Standing::Missed => (Verdict::Beyond, "the next due date has come"),
    };
    let day = done.or(today).map_or(String::new(), |day| day.to_string());
    working
        .lines
        .push(shown.value(day, "").judge(verdict, note));
    Ok(Figure::new(working)
        .with("result", standing.word())
        .with("window", json!(window)))
}
