//! Topics. Run-hour and other meters.

use super::meter_read::{
    CHANGED, DIGITS, FULL, MAX_READING, MODULUS, READINGS, ROLLOVER, ROLLOVER_AT, ask_return, full,
    need_readings, total,
};
use super::read::{self, texts};
use super::{Figure, Given, PRACTICE, Subject, Takes, Topic, Trouble, answer, want};
use crate::due;
use crate::figure::sheet::tidied;
use crate::shown::{Fill, ask, figure, line};
use crate::working::{Verdict, Working};
use serde_json::Value;

pub(super) const PREDICT: Topic = Topic {
    name: "meter_predict",
    title: "When a meter makes work due",
    what: "The reading at which work is due, and the day on which the meter should show it.",
    subject: Subject::Dates,
    wants: &[
        READINGS,
        want(
            "last_service_meter",
            "Reading at the last service",
            Takes::Number,
        )
        .note("of the first meter's count where the meter was changed"),
        want("every", "Interval", Takes::Number).note("above zero, in the meter's unit"),
        want("window_days", "Days that make the rate", Takes::Whole)
            .unit("d")
            .note("counted back from the newest reading, 90 are common; blank takes all readings"),
        want(
            "rate_by",
            "Rate by",
            Takes::Choice(&[
                ("first_and_last", "first and last reading"),
                ("least_squares", "a line through all readings"),
            ]),
        )
        .note("blank is first and last"),
        FULL,
        DIGITS,
        MAX_READING,
        ROLLOVER,
        ROLLOVER_AT,
        MODULUS,
        CHANGED,
    ],
    answers: &[
        answer("due_at", "", "reading at which it is due"),
        answer("rate_per_day", "1/d", "what the meter gains a day"),
        answer(
            "remaining",
            "",
            "what is left to it; below zero it has passed",
        ),
        answer(
            "predicted",
            "",
            "the day, or null where the meter does not move",
        ),
    ],
    run: |given| Ok(tidied(predict(given)?)),
};

fn predict(given: &Given) -> Result<Figure, Trouble> {
    let every = given.need_positive("every")?;
    let service = given.need_number("last_service_meter")?;
    let read = total(given, None)?;
    let all = &read.total;
    let readings = match read::small(given, "window_days")? {
        Some(days) => due::recent(all, days),
        None => &all[..],
    };
    let by_line = given.choice("rate_by")? == Some("least_squares");
    let found = due::predict(all, readings, service, every, by_line);
    let found = found.map_err(|why| read::trouble("readings", why))?;
    if all.last().is_some_and(|newest| service > newest.value) {
        return Ok(service_ahead(&found));
    }
    let on = found.on.map(|on| on.to_string());
    let mut working = predicted(&found, by_line);
    ask_return(&mut working, read.doubt);
    Ok(Figure::new(working)
        .with("due_at", found.due_at)
        .with_some("rate_per_day", found.rate)
        .with("remaining", found.left)
        .with("predicted", on))
}

/// The meter shows less than it did at the last service: one of the two figures is wrong.
fn service_ahead(found: &due::Prediction) -> Figure {
    let mut working = Working::new("When a meter makes work due");
    ask(
        &mut working,
        line("due_at", "Due at").rule("reading at the last service + interval", PRACTICE),
        "reading at the last service, not above the newest reading",
        "a meter does not run back; one of the two was misread, or the meter was changed",
        "look at the job's record and read the meter again",
    );
    Figure::new(working)
        .with("due_at", None::<f64>)
        .with_some("rate_per_day", found.rate)
        .with("remaining", None::<f64>)
        .with("predicted", None::<String>)
}

fn predicted(found: &due::Prediction, by_line: bool) -> Working {
    let mut working = Working::new("When a meter makes work due");
    working.lines = vec![
        line("due_at", "Due at")
            .value(figure(found.due_at, 3), "")
            .rule("reading at the last service + interval", PRACTICE),
        line("remaining", "Left").value(figure(found.left, 3), ""),
    ];
    let rule = if by_line {
        "slope of the line through the readings"
    } else {
        "(last - first reading) / days between"
    };
    if let Some(rate) = found.rate {
        let shown = line("rate_per_day", "A day").value(figure(rate, 3), "1/d");
        working.lines.push(shown.rule(rule, PRACTICE));
    }
    let day = line("predicted", "Day").rule(
        "last reading + left / rate, rounded up; passed already, the day of the reading that passed it",
        PRACTICE,
    );
    match found.on {
        Some(on) => working.lines.push(day.value(on.to_string(), "")),
        None if found.rate.is_some_and(|rate| rate > 0.0) => working.lines.push(
            day.value("none", "")
                .note("At this rate it lies beyond the calendar."),
        ),
        None => ask(
            &mut working,
            day,
            "Use of the machine",
            "without a rise between two readings of different days there is no forecast",
            "read the meter again after some days of work",
        ),
    }
    working
}

pub(super) const DUAL: Topic = Topic {
    name: "dual_trigger",
    title: "Calendar or meter, whichever first",
    what: "The earlier of a calendar date and the day a meter forecasts.",
    subject: Subject::Dates,
    wants: &[
        want("calendar_due", "Due by the calendar", Takes::Date).note("blank where there is none"),
        want("meter_predicted", "Due by the meter", Takes::Date)
            .note("blank where there is no forecast"),
    ],
    answers: &[
        answer("due", "", "the date"),
        answer(
            "trigger",
            "",
            "calendar or meter; calendar where both name one day",
        ),
    ],
    run: dual,
};

fn dual(given: &Given) -> Result<Figure, Trouble> {
    let calendar = given.date("calendar_due")?;
    let meter = given.date("meter_predicted")?;
    let Some((on, trigger)) = due::whichever_first(calendar, meter) else {
        return Ok(neither());
    };
    let mut working = Working::new("Calendar or meter, whichever first");
    let shown = |date: Option<time::Date>| date.map_or("none".to_owned(), |date| date.to_string());
    let word = match trigger {
        due::Trigger::Calendar => "calendar",
        due::Trigger::Meter => "meter",
    };
    working.lines = vec![
        line("calendar_due", "By the calendar").value(shown(calendar), ""),
        line("meter_predicted", "By the meter").value(shown(meter), ""),
        line("due", "Due")
            .value(on.to_string(), "")
            .rule(
                "the earlier; work done then resets both",
                "US Army TM 5-4520-208-15; MIL-HDBK-1164",
            )
            .note(format!("by the {word}")),
    ];
    Ok(Figure::new(working)
        .with("due", on.to_string())
        .with("trigger", word))
}

fn neither() -> Figure {
    let mut working = Working::new("Calendar or meter, whichever first");
    ask(
        &mut working,
        line("due", "Due").rule("the earlier", "US Army TM 5-4520-208-15; MIL-HDBK-1164"),
        "date by the calendar, or the day that the meter forecasts",
        "with neither there is no date",
        "work the calendar date out, or read the meter twice some days apart",
    );
    Figure::new(working)
        .with("due", None::<String>)
        .with("trigger", None::<String>)
}

pub(super) const CONTINUITY: Topic = Topic {
    name: "meter_continuity",
    title: "A meter that was changed or ran over",
    what: "What a machine ran in all, over a change of its meter or its return to zero.",
    subject: Subject::Dates,
    wants: &[
        READINGS,
        CHANGED,
        want("then", "Reading after that", Takes::Json)
            .note("one reading, as [\"2024-01-31\", 122]; blank where readings has it"),
        FULL,
        DIGITS,
        MAX_READING,
        ROLLOVER,
        ROLLOVER_AT,
        MODULUS,
    ],
    answers: &[
        answer("usage", "", "run from the first reading to the last"),
        answer(
            "cumulative_after",
            "",
            "first reading + usage: the running total",
        ),
        answer("totals", "", "the running total at each reading"),
        answer("dates", "", "their days"),
    ],
    run: |given| Ok(tidied(continuity(given)?)),
};

fn continuity(given: &Given) -> Result<Figure, Trouble> {
    let read = total(given, read::one_reading(given, "then")?)?;
    let (readings, list) = (&read.readings, &read.total);
    let (Some(first), Some(last)) = (list.first(), list.last()) else {
        return Err(Trouble::of("readings", "Give one reading at least"));
    };
    let mut working = Working::new("A meter that was changed or ran over");
    ask_return(&mut working, read.doubt);
    for (read, total) in readings.iter().zip(list) {
        working.lines.push(
            line("total", "Running total")
                .value(figure(total.value, 3), "")
                .limit(figure(read.value, 3))
                .rule("old meter to its end + new meter from its start", PRACTICE)
                .note(format!("read on {}", read.on)),
        );
    }
    let usage = last.value - first.value;
    working
        .lines
        .push(line("usage", "Run in all").value(figure(usage, 3), ""));
    let totals: Vec<f64> = list.iter().map(|reading| reading.value).collect();
    Ok(Figure::new(working)
        .with("usage", usage)
        .with("cumulative_after", last.value)
        .with("totals", totals)
        .with("dates", texts(list.iter().map(|reading| reading.on))))
}

pub(super) const REJECT: Topic = Topic {
    name: "meter_reject",
    title: "A reading to ask about",
    what: "Whether readings can be right: none falls, and none gains more hours than have passed.",
    subject: Subject::Dates,
    wants: &[
        READINGS,
        want(
            "counts",
            "Counts",
            Takes::Choice(&[
                ("hours", "run hours"),
                ("other", "starts, cycles or others"),
            ]),
        )
        .note("blank is run hours"),
        FULL,
        DIGITS,
        MAX_READING,
        ROLLOVER,
        ROLLOVER_AT,
        MODULUS,
        CHANGED,
    ],
    answers: &[
        answer("accepted", "", "true or false"),
        answer(
            "reason",
            "",
            "beyond_rollover, decreasing, more_than_24_hours_per_day, dates_out_of_order, or null where accepted",
        ),
    ],
    run: reject,
};

fn reject(given: &Given) -> Result<Figure, Trouble> {
    let readings = need_readings(given)?;
    let changes = read::change(given, "replaced")?;
    let full = full(given)?;
    let hours = given.choice("counts")? != Some("other");
    let refusal = due::refusal(&readings, &changes, full, hours);
    let word = refusal.map(due::Refusal::word);
    let (verdict, note) = match refusal {
        None => (Verdict::Within, "the readings can be right"),
        Some(due::Refusal::NotANumber) => (Verdict::Beyond, "a reading is no number"),
        Some(due::Refusal::DatesOutOfOrder) => {
            (Verdict::Beyond, "a reading is earlier than the one before")
        }
        Some(due::Refusal::BeyondRollover) => (
            Verdict::Beyond,
            "at or above the figure at which the meter returns to zero: it cannot show that",
        ),
        Some(due::Refusal::Decreasing) => (
            Verdict::Beyond,
            "lower than the one before: misread, changed, or back at zero? Ask who read it",
        ),
        Some(due::Refusal::MoreThanADay) => (
            Verdict::Beyond,
            "more run hours than hours have passed: misread, or another meter? Ask who read it",
        ),
    };
    let mut working = Working::new("A reading to ask about");
    working.lines.push(
        line("readings", "Readings")
            .value(readings.len().to_string(), "")
            .rule(
                "never falling; 24 h for each day between two readings at most",
                PRACTICE,
            )
            .judge(verdict, note),
    );
    if refusal.is_none() && changes.is_empty() {
        ask_return(&mut working, due::doubtful_return(&readings, full));
    }
    Ok(Figure::new(working)
        .with("accepted", refusal.is_none())
        .with("reason", word.map_or(Value::Null, Value::from)))
}

pub(super) const LEAST_SQUARES: Topic = Topic {
    name: "meter_rate_least_squares",
    title: "Rate of a meter by a line through its readings",
    what: "What a meter gains a day, by the line that fits all readings best.",
    subject: Subject::Dates,
    wants: &[
        want("day", "Days", Takes::Numbers)
            .unit("d")
            .note("two at least, counted from any day"),
        want("reading", "Readings", Takes::Numbers).note("one for each day"),
    ],
    answers: &[answer("rate_per_day", "1/d", "slope of the line")],
    run: |given| Ok(tidied(least_squares(given)?)),
};

fn least_squares(given: &Given) -> Result<Figure, Trouble> {
    let days = given.need_numbers("day")?;
    let readings = given.need_numbers("reading")?;
    if days.len() != readings.len() {
        return Err(Trouble::of("reading", "Give one reading for each day"));
    }
    read::not_too_many("day", days.len())?;
    let points: Vec<(f64, f64)> = days.into_iter().zip(readings).collect();
    let rate = due::rate_least_squares(&points)
        .ok_or_else(|| Trouble::of("day", "Give two different days at least"))?;
    let mut working = Working::new("Rate of a meter by a line through its readings");
    working.lines = vec![
        line("readings", "Readings").value(points.len().to_string(), ""),
        line("rate_per_day", "A day")
            .value(figure(rate, 4), "1/d")
            .rule(
                "sum of (day - mean)(reading - mean) / sum of (day - mean)^2",
                "ordinary least squares, textbook",
            ),
    ];
    Ok(Figure::new(working).with("rate_per_day", rate))
}
