//! Topics. Run-hour and other meters.

use super::read::{self, CHANGE, READING, texts};
use super::{Figure, Given, PRACTICE, Subject, Takes, Topic, Trouble, Want, answer, want};
use crate::due::{self, MeterReading};
use crate::shown::{Fill, ask, figure, line};
use crate::working::{Verdict, Working};
use serde_json::Value;

const READINGS: Want = want("readings", "Readings", Takes::Rows(READING))
    .note("oldest first, as [\"2024-05-01\", 5000] or {\"on\": \"2024-05-01\", \"value\": 5000}");
const FULL: Want = want("rolls_over_at", "Returns to zero at", Takes::Number)
    .note("such as 100000 for five digits; blank where it does not");
const DIGITS: Want = want("digits", "Digits of the meter", Takes::Whole)
    .note("1 to 12, for a meter that returns to zero after all nines; blank where it does not");
const CHANGED: Want = want("replaced", "Meter changed", Takes::Group(CHANGE))
    .note("date, old_final, new_start; blank where it was not");

fn need_readings(given: &Given) -> Result<Vec<MeterReading>, Trouble> {
    given.need("readings", read::readings(given, "readings")?)
}

/// Where the meter returns to zero: said outright, or by its digits.
fn full(given: &Given) -> Result<Option<f64>, Trouble> {
    let said = given.positive("rolls_over_at")?;
    let counted = match given.whole("digits")? {
        None => return Ok(said),
        Some(digits @ 1..=12) => 10_f64.powi(digits as i32),
        Some(_) => return Err(Trouble::of("digits", "Give 1 to 12 digits")),
    };
    match said {
        Some(said) if said != counted => Err(Trouble::of(
            "digits",
            "These digits do not fit the figure at which the meter returns to zero",
        )),
        _ => Ok(Some(counted)),
    }
}

/// The readings as one running total.
fn total(given: &Given) -> Result<Vec<MeterReading>, Trouble> {
    let readings = need_readings(given)?;
    let changes = read::change(given, "replaced")?;
    let full = full(given)?;
    due::continuous(&readings, &changes, full).map_err(|_| {
        Trouble::of(
            "readings",
            "A reading is lower or earlier than the one before; say so where the meter was changed or has returned to zero",
        )
    })
}

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
    run: predict,
};

fn predict(given: &Given) -> Result<Figure, Trouble> {
    let every = given.need_positive("every")?;
    let service = given.need_number("last_service_meter")?;
    let all = total(given)?;
    let readings = match read::small(given, "window_days")? {
        Some(days) => due::recent(&all, days),
        None => &all[..],
    };
    let by_line = given.choice("rate_by")? == Some("least_squares");
    let found = due::predict(&all, readings, service, every, by_line);
    let found = found.map_err(|why| read::trouble("readings", why))?;
    let on = found.on.map(|on| on.to_string());
    Ok(Figure::new(predicted(&found, by_line))
        .with("due_at", found.due_at)
        .with_some("rate_per_day", found.rate)
        .with("remaining", found.left)
        .with("predicted", on))
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
    let (on, trigger) = given.need("calendar_due", due::whichever_first(calendar, meter))?;
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
    run: continuity,
};

fn continuity(given: &Given) -> Result<Figure, Trouble> {
    let mut readings = need_readings(given)?;
    readings.extend(read::one_reading(given, "then")?);
    let changes = read::change(given, "replaced")?;
    let full = full(given)?;
    let list =
        due::continuous(&readings, &changes, full).map_err(|why| read::trouble("readings", why))?;
    let (Some(first), Some(last)) = (list.first(), list.last()) else {
        return Err(Trouble::of("readings", "Give one reading at least"));
    };
    let mut working = Working::new("A meter that was changed or ran over");
    for (read, total) in readings.iter().zip(&list) {
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
        CHANGED,
    ],
    answers: &[
        answer("accepted", "", "true or false"),
        answer(
            "reason",
            "",
            "decreasing, more_than_24_hours_per_day, dates_out_of_order, or null where accepted",
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
    run: least_squares,
};

fn least_squares(given: &Given) -> Result<Figure, Trouble> {
    let days = given.need_numbers("day")?;
    let readings = given.need_numbers("reading")?;
    if days.len() != readings.len() {
        return Err(Trouble::of("reading", "Give one reading for each day"));
    }
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
