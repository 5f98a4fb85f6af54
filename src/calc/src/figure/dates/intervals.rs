//! Topics. Intervals on the calendar and from the day last done.

use super::read::{self, EVERY_WANT, FIRST_N, first_n, need_every, texts, trouble};
use super::{CALENDAR_ONLY, Figure, Given, PRACTICE, Subject, Takes, Topic, Trouble, answer, want};
use crate::due::{self, Every, Meter, Rule};
use crate::shown::{Fill, line};
use crate::working::{Text, Working};
use serde_json::{Value, json};
use time::Date;

const MONTH_END: &str = "a day that a month does not have is its last one";

pub(super) const ANCHORED: Topic = Topic {
    name: "interval_anchored",
    title: "Every so often from a date",
    what: "Dates on a grid counted from the first date, so that the month's end is never lost.",
    subject: Subject::Dates,
    wants: &[
        want("anchor", "First date", Takes::Date),
        EVERY_WANT,
        FIRST_N,
        want(
            "rule",
            "At a short month",
            Takes::Choice(&[("clamp_to_month_end_from_anchor", "its last day")]),
        )
        .note("blank is the same"),
    ],
    answers: &[answer("result", "", "the dates")],
    run: anchored,
};

fn grid(anchor: Date, every: Every, n: usize) -> Vec<due::Due> {
    let before = anchor.previous_day().unwrap_or(anchor);
    let rule = Rule::Calendar { every };
    due::upcoming(&rule, anchor, None, before, &Meter::default(), n)
}

fn anchored(given: &Given) -> Result<Figure, Trouble> {
    let anchor = given.need_date("anchor")?;
    let every = need_every(given, "every")?;
    let n = first_n(given)?;
    given.choice("rule")?;
    let dates = grid(anchor, every, n);
    let mut working = Working::new("Every so often from a date");
    for due in &dates {
        working.lines.push(
            line("due", "Due")
                .value(due.on.to_string(), "")
                .rule(MONTH_END, PRACTICE)
                .note(due.reason.clone()),
        );
    }
    Ok(Figure::bare(
        working,
        texts(dates.into_iter().map(|due| due.on)),
    ))
}

pub(super) const CHAINED: Topic = Topic {
    name: "interval_chained_wrong",
    title: "What counting from the last date would lose",
    what: "Dates as they come out wrong when each is counted from the one before, beside the right ones.",
    subject: Subject::Dates,
    wants: &[
        want("anchor", "First date", Takes::Date),
        EVERY_WANT,
        FIRST_N,
        want("rule", "Rule", Takes::Choice(&[("chained", "chained")])).note("blank is the same"),
    ],
    answers: &[
        answer("result", "", "the wrong dates"),
        answer("anchored", "", "the dates counted from the first date"),
        answer(
            "first_wrong",
            "",
            "the first date that differs; left out where none does",
        ),
    ],
    run: chained,
};

fn chained(given: &Given) -> Result<Figure, Trouble> {
    let anchor = given.need_date("anchor")?;
    let every = need_every(given, "every")?;
    let n = first_n(given)?;
    given.choice("rule")?;
    let wrong = due::chained(anchor, every, n);
    let right: Vec<Date> = grid(anchor, every, n)
        .into_iter()
        .map(|due| due.on)
        .collect();
    let first = wrong
        .iter()
        .zip(&right)
        .find(|(a, b)| a != b)
        .map(|(a, _)| *a);
    let mut working = Working::new("What counting from the last date would lose");
    for (wrong, right) in wrong.iter().zip(&right) {
        let note = if wrong == right { "the same" } else { "lost" };
        working.lines.push(
            line("chained", "Counted from the date before")
                .value(wrong.to_string(), "")
                .limit(right.to_string())
                .rule("counted from the first date instead", PRACTICE)
                .note(note),
        );
    }
    working.cautions.push(Text::Borrowed(
        "Wrong on purpose: counted like this, a month's end once clamped stays lost. No due date of this program is made this way.",
    ));
    Ok(Figure::bare(working, texts(wrong))
        .with("anchored", texts(right))
        .with_some("first_wrong", first.map(|date| date.to_string())))
}

pub(super) const FIXED: Topic = Topic {
    name: "fixed_next",
    title: "Next date on a fixed grid",
    what: "The next date after a piece of work, on a grid that late or early work does not move.",
    subject: Subject::Dates,
    wants: &[
        want("anchor", "First date of the grid", Takes::Date),
        EVERY_WANT,
        want("served_index", "Place of the date served", Takes::Whole)
            .note("0 is the first date; blank where the date itself is given"),
        want("served_due", "Due date served", Takes::Date).note("blank where its place is given"),
        want("completed", "Done on", Takes::Date),
    ],
    answers: &[
        answer("next_due", "", "the next date"),
        answer(
            "missed",
            "",
            "grid dates that went by unserved, the first 1000",
        ),
        answer("missed_count", "", "how many they are in all"),
    ],
    run: fixed,
};

fn served(given: &Given, anchor: Date, every: Every) -> Result<Date, Trouble> {
    let named = given.date("served_due")?;
    let Some(index) = read::small(given, "served_index")? else {
        return given.need("served_due", named);
    };
    let counted = due::add(anchor, every, index).map_err(|why| trouble("served_index", why))?;
    match named {
        Some(named) if named != counted => Err(Trouble::of(
            "served_index",
            format!("Place {index} of the grid is {counted}, not {named}"),
        )),
        _ => Ok(counted),
    }
}

fn fixed(given: &Given) -> Result<Figure, Trouble> {
    let anchor = given.need_date("anchor")?;
    let every = need_every(given, "every")?;
    let served = served(given, anchor, every)?;
    let completed = given.need_date("completed")?;
    let (next, mut missed) =
        due::fixed_next(anchor, every, served, completed).map_err(|why| trouble("every", why))?;
    let mut working = Working::new("Next date on a fixed grid");
    working.lines = vec![
        line("served", "Due date served").value(served.to_string(), ""),
        line("completed", "Done on").value(completed.to_string(), ""),
        line("next_due", "Next due")
            .value(next.to_string(), "")
            .rule(
                "first grid date later than both; the grid does not move",
                PRACTICE,
            ),
    ];
    let count = missed.len();
    missed.truncate(1000);
    if !missed.is_empty() {
        let list: Vec<String> = missed.iter().take(20).map(Date::to_string).collect();
        let more = match count.saturating_sub(list.len()) {
            0 => String::new(),
            more => format!("and {more} more"),
        };
        working.lines.push(
            line("missed", "Went by unserved")
                .value(list.join(", "), "")
                .rule("kept as missed, not raised as further jobs", PRACTICE)
                .note(more),
        );
    }
    working.cautions.push(CALENDAR_ONLY.into());
    Ok(Figure::new(working)
        .with("next_due", next.to_string())
        .with("missed", texts(missed))
        .with("missed_count", count))
}

pub(super) const FLOATING: Topic = Topic {
    name: "floating_next",
    title: "Next date from the day last done",
    what: "The next date counted from the day the work was done.",
    subject: Subject::Dates,
    wants: &[want("completed", "Done on", Takes::Date), EVERY_WANT],
    answers: &[answer("next_due", "", "the next date")],
    run: floating,
};

fn floating(given: &Given) -> Result<Figure, Trouble> {
    let completed = given.need_date("completed")?;
    let every = need_every(given, "every")?;
    let rule = Rule::AfterDone { every };
    let next = due::next(
        &rule,
        completed,
        Some(completed),
        completed,
        &Meter::default(),
    )
    .map_err(|why| trouble("every", why))?;
    let mut working = Working::new("Next date from the day last done");
    working.lines = vec![
        line("completed", "Done on").value(completed.to_string(), ""),
        line("next_due", "Next due")
            .value(next.on.to_string(), "")
            .rule(MONTH_END, PRACTICE)
            .note(next.reason),
    ];
    working.cautions.push(CALENDAR_ONLY.into());
    Ok(Figure::new(working).with("next_due", next.on.to_string()))
}

pub(super) const DRIFT: Topic = Topic {
    name: "floating_drift",
    title: "How floating dates drift",
    what: "What small delays do to dates that are counted from the day last done.",
    subject: Subject::Dates,
    wants: &[
        want("first_due", "First due date", Takes::Date),
        EVERY_WANT,
        want(
            "days_late",
            "Days late, one after the other",
            Takes::Numbers,
        )
        .unit("d")
        .note("whole days; below zero is early"),
    ],
    answers: &[
        answer("history", "", "due and done, one after the other"),
        answer("next_due", "", "the date after the last"),
        answer(
            "drift_days",
            "d",
            "how far that is from the same place on a fixed grid",
        ),
    ],
    run: drift,
};

fn drift(given: &Given) -> Result<Figure, Trouble> {
    let first = given.need_date("first_due")?;
    let every = need_every(given, "every")?;
    let late = given.need_numbers("days_late")?;
    let whole = |n: &f64| (n.fract() == 0.0 && n.abs() < 1e6).then_some(*n as i64);
    let late: Option<Vec<i64>> = late.iter().map(whole).collect();
    let late = late
        .filter(|late| late.len() <= 1000)
        .ok_or_else(|| Trouble::of("days_late", "Give whole days, 1000 at most"))?;
    let (history, next) = due::drift(first, every, &late).map_err(|why| trouble("every", why))?;
    let mut working = Working::new("How floating dates drift");
    let mut list: Vec<Value> = Vec::new();
    for (due, done) in &history {
        list.push(json!({"due": due.to_string(), "completed": done.to_string()}));
        working.lines.push(
            line("done", "Done on")
                .value(done.to_string(), "")
                .limit(due.to_string())
                .margin(format!("{} d late", (*done - *due).whole_days()))
                .rule("the next counts from the day done", PRACTICE),
        );
    }
    let grid = due::add(first, every, late.len() as u32).ok();
    let days = grid.map(|grid| (next - grid).whole_days());
    working.lines.push(
        line("next_due", "Next due")
            .value(next.to_string(), "")
            .limit(grid.map(|grid| grid.to_string()).unwrap_or_default())
            .margin(days.map(|days| format!("{days} d")).unwrap_or_default())
            .rule("against a grid that does not move", PRACTICE),
    );
    Ok(Figure::new(working)
        .with("history", list)
        .with("next_due", next.to_string())
        .with_some("drift_days", days))
}
