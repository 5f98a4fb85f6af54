//! Topics. Limits on how far an interval may stretch.

use super::read::{EVERY_WANT, need_every, need_interval, not_too_many, trouble};
use super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, answer, want};
use crate::due::{self, Every, ThreeInARow};
use crate::shown::{Fill, ask, line};
use crate::working::{Verdict, Working};
use time::Date;

const LETTER: &str = "US NRC Generic Letter 89-14";
const INTERVAL: Want = want("interval_days", "Interval", Takes::Whole)
    .unit("d")
    .note("1 or more");

pub(super) const QUARTER_LATE: Topic = Topic {
    name: "grace_25_percent_late",
    title: "An interval stretched by a quarter",
    what: "The due date, and the latest date when one interval may stretch by a quarter.",
    subject: Subject::Dates,
    wants: &[want("last_done", "Last done", Takes::Date), INTERVAL],
    answers: &[
        answer("due", "", "last done + interval"),
        answer(
            "latest",
            "",
            "last done + 1.25 times the interval, whole days",
        ),
    ],
    run: quarter_late,
};

fn quarter_late(given: &Given) -> Result<Figure, Trouble> {
    let done = given.need_date("last_done")?;
    let days = need_interval(given, "interval_days")?;
    let longest = u32::try_from(due::quarter_late(days)).unwrap_or(u32::MAX);
    let at =
        |days| due::add(done, Every::Days(days), 1).map_err(|why| trouble("interval_days", why));
    let (on, latest) = (at(days)?, at(longest)?);
    let mut working = Working::new("An interval stretched by a quarter");
    working.lines = vec![
        line("due", "Due").value(on.to_string(), ""),
        line("latest", "Latest")
            .value(latest.to_string(), "")
            .limit(format!("{longest} d"))
            .rule(
                "1.25 times the interval, whole days, late side only",
                LETTER,
            ),
    ];
    working.cautions.push(
        "The quarter is for the odd delay. Planned into every interval it becomes the interval: see three_interval_limit."
            .into(),
    );
    Ok(Figure::new(working)
        .with("due", on.to_string())
        .with("latest", latest.to_string()))
}

pub(super) const THREE: Topic = Topic {
    name: "three_interval_limit",
    title: "Three intervals in a row",
    what: "Whether each interval keeps to one and a quarter, and any three in a row to 3.25.",
    subject: Subject::Dates,
    wants: &[
        INTERVAL,
        want("actual_intervals", "Intervals as they were", Takes::Numbers)
            .unit("d")
            .note("whole days, in order; three or more"),
    ],
    answers: &[
        answer("each_within_125", "", "true or false for each interval"),
        answer("sum", "d", "the worst three in a row"),
        answer("limit", "d", "3.25 times the interval, whole days"),
        answer("three_ok", "", "whether the worst three keep to it"),
    ],
    run: three,
};

fn three(given: &Given) -> Result<Figure, Trouble> {
    let days = need_interval(given, "interval_days")?;
    let actual = given.need_numbers("actual_intervals")?;
    not_too_many("actual_intervals", actual.len())?;
    let whole = |n: &f64| (n.fract() == 0.0 && (0.0..=1e6).contains(n)).then_some(*n as u32);
    let actual: Vec<u32> = actual
        .iter()
        .map(whole)
        .collect::<Option<_>>()
        .ok_or_else(|| Trouble::of("actual_intervals", "Give whole days, zero or above"))?;
    let found = due::three_in_a_row(days, &actual);
    let mut working = Working::new("Three intervals in a row");
    for (length, within) in actual.iter().zip(&found.each_within) {
        working.lines.push(
            line("interval", "Interval")
                .value(length.to_string(), "d")
                .limit(due::quarter_late(days).to_string())
                .rule("1.25 times the interval", LETTER)
                .judge(kept(*within), ""),
        );
    }
    worst_three(&mut working, &found);
    Ok(Figure::new(working)
        .with_some("sum", found.sum)
        .with_some("three_ok", found.ok())
        .with("limit", found.limit)
        .with("each_within_125", found.each_within))
}

fn kept(within: bool) -> Verdict {
    if within {
        Verdict::Within
    } else {
        Verdict::Beyond
    }
}

fn worst_three(working: &mut Working, found: &ThreeInARow) {
    let shown = line("sum", "Worst three in a row")
        .limit(found.limit.to_string())
        .rule("3.25 times the interval, the older rule", LETTER);
    let (Some(sum), Some(ok)) = (found.sum, found.ok()) else {
        return ask(
            working,
            shown,
            "Three intervals in a row",
            "one stretched interval alone says nothing of a habit",
            "take the last four dates on which the work was done",
        );
    };
    let note = if ok {
        ""
    } else {
        "the days of grace are being used as the interval"
    };
    let shown = shown.value(sum.to_string(), "d");
    working.lines.push(shown.judge(kept(ok), note));
}

pub(super) const HARD_LIMIT: Topic = Topic {
    name: "hard_limit",
    title: "A limit without grace",
    what: "The last day on which work may be done that a rule sets an interval for.",
    subject: Subject::Dates,
    wants: &[
        want("last_done", "Last done", Takes::Date),
        EVERY_WANT,
        want("today", "Today, or the day planned", Takes::Date).note("blank judges nothing"),
        want("done", "Done on", Takes::Date).note("held against the limit in place of today"),
        want("planned", "Planned for", Takes::Date).note("another name of the day planned"),
    ],
    answers: &[
        answer("limit", "", "the last day"),
        answer("grace_days", "d", "always 0"),
        answer(
            "days_left",
            "d",
            "from the day judged to the limit; below zero it has passed",
        ),
    ],
    run: hard_limit,
};

/// The day that is held against the limit: done, else planned, else today.
fn judged_day(given: &Given) -> Result<(&'static str, Option<Date>), Trouble> {
    let days = [
        ("Done on", given.date("done")?),
        ("Planned for", given.date("planned")?),
        ("Today, or the day planned", given.date("today")?),
    ];
    let found = days.into_iter().find(|(_, day)| day.is_some());
    Ok(found.unwrap_or(("Last day", None)))
}

fn hard_limit(given: &Given) -> Result<Figure, Trouble> {
    let done = given.need_date("last_done")?;
    let every = need_every(given, "every")?;
    let limit = due::add(done, every, 1).map_err(|why| trouble("every", why))?;
    let (label, today) = judged_day(given)?;
    let left = today.map(|today| (limit - today).whole_days());
    let mut working = Working::new("A limit without grace");
    let shown = line("limit", label).limit(limit.to_string()).rule(
        "last done + interval, no days of grace; a limit, not a target",
        "29 CFR 1910.147(c)(6)(i) for the yearly inspection of energy control",
    );
    working.lines.push(match (today, left) {
        (Some(today), Some(left)) => shown
            .value(today.to_string(), "")
            .margin(format!("{left} d"))
            .judge(kept(left >= 0), ""),
        _ => shown.value(limit.to_string(), ""),
    });
    working.cautions.push(
        "Plan it well before the last day. Where the limit has passed, the work stays off until the competent person has dealt with it."
            .into(),
    );
    Ok(Figure::new(working)
        .with("limit", limit.to_string())
        .with("grace_days", 0)
        .with_some("days_left", left))
}
