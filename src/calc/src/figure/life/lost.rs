//! Topics of time lost: availability, and the split of a restoration.

use crate::figure::sheet::tidied;
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::life::availability;
use crate::life::restoration::{self, Kind, Times};
use crate::life::spells::{self, Found, Spell};
use crate::shown::{Fill, figure, line};
use crate::working::Working;
use serde_json::{Value, json};
use time::PrimitiveDateTime;

pub(super) const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

static STOP: &[Want] = &[
    want("from", "Down from", Takes::Moment),
    want("to", "Up again", Takes::Moment).note("blank is still down"),
];

pub(super) const AVAILABILITY: Topic = Topic {
    name: "availability",
    title: "Availability over a window",
    what: "Up time over required time, with down time clipped to the window and overlaps merged.",
    subject: Subject::Life,
    wants: &[
        want("window_start", "Window starts", Takes::Number)
            .unit("h")
            .note("as a number of hours; or give `from` and `to`"),
        want("window_end", "Window ends", Takes::Number).unit("h"),
        want("down", "Down spans", Takes::NumberLists)
            .unit("h")
            .note("pairs, such as [[10, 14], [90, 130]]; [] is never down"),
        want("from", "Window from", Takes::Moment).note("wall-clock time without a clock change"),
        want("to", "Window to", Takes::Moment),
        want("stops", "Stops", Takes::Rows(STOP)).note("with `from` and `to`; [] is none"),
    ],
    answers: &[
        answer("availability", "", "up / (up + down)"),
        answer("up_time", "h", "up time"),
        answer("down_time", "h", "down time, merged and clipped"),
        answer("down_events", "", "down spans after merging"),
        answer(
            "mean_down_time",
            "h",
            "down time / down spans; absent without one",
        ),
        answer(
            "merged",
            "h",
            "the spans that were counted, from the start of the window's scale",
        ),
    ],
    run: measured,
};

type Spans = Vec<(f64, f64)>;

fn measured(given: &Given) -> Result<Figure, Trouble> {
    let by_clock = given.has("from") || given.has("to") || given.has("stops");
    let (window, down) = if by_clock {
        clock(given)?
    } else {
        numbers(given)?
    };
    let found = availability::measured(window, &down).map_err(|refused| {
        match (by_clock, refused.field) {
            (true, "window_end") => Trouble::of("to", refused.why),
            (true, "down") => Trouble::of("stops", refused.why),
            _ => refused.into(),
        }
    })?;
    let merged: Vec<Value> = found.down.iter().map(|(a, b)| json!([a, b])).collect();
    Ok(Figure::new(availability::working(&found, down.len(), "h"))
        .with("availability", found.availability)
        .with("up_time", found.up_time)
        .with("down_time", found.down_time)
        .with("down_events", found.down.len())
        .with_some("mean_down_time", found.mean_down_time)
        .with("merged", merged))
}

fn numbers(given: &Given) -> Result<((f64, f64), Spans), Trouble> {
    let window = (
        given.need_number("window_start")?,
        given.need_number("window_end")?,
    );
    let lists = given.need("down", given.number_lists("down")?)?;
    let pair = |(at, list): (usize, &Vec<f64>)| match list.as_slice() {
        [from, to] => Ok((*from, *to)),
        _ => Err(Trouble::of(
            format!("down.{at}"),
            "Give start and end of the span",
        )),
    };
    let down = lists
        .iter()
        .enumerate()
        .map(pair)
        .collect::<Result<_, _>>()?;
    Ok((window, down))
}

fn clock(given: &Given) -> Result<((f64, f64), Spans), Trouble> {
    let start = given.need_moment("from")?;
    let end = given.need_moment("to")?;
    let hours = |at: PrimitiveDateTime| (at - start).as_seconds_f64() / 3600.0;
    let stops = given.rows("stops", |row| {
        Ok((row.need_moment("from")?, row.moment("to")?))
    })?;
    let down = given
        .need("stops", stops)?
        .into_iter()
        // A stop still open lasts to the end of the window.
        .map(|(from, to)| (hours(from), hours(to.unwrap_or(end.max(from)))))
        .collect();
    Ok(((0.0, hours(end)), down))
}

pub(super) const INHERENT: Topic = Topic {
    name: "inherent_availability",
    title: "Availability from failures and repair alone",
    what: "Availability that mean time between failures and mean repair time allow.",
    subject: Subject::Life,
    wants: &[
        want(
            "mtbf",
            "Mean operating time between failures",
            Takes::Number,
        )
        .unit("h")
        .note("above zero"),
        want("mttr", "Mean repair time", Takes::Number)
            .unit("h")
            .note("repair alone, without waiting; zero or above"),
    ],
    answers: &[answer(
        "availability",
        "",
        "MTBF / (MTBF + mean repair time)",
    )],
    run: |given| {
        let mtbf = given.need_positive("mtbf")?;
        let repair = given.need("mttr", given.not_negative("mttr")?)?;
        let found = given.need("mtbf", availability::inherent(mtbf, repair))?;
        let mut working = Working::new("Inherent availability");
        working.lines.push(
            line("availability", "Availability")
                .value(figure(100.0 * found, 4), "%")
                .rule("MTBF / (MTBF + mean repair time)", "IEC 61703; textbook")
                .note("Mean repair time is meant: no waiting, no detection, no planned work."),
        );
        Ok(Figure::new(working).with("availability", found))
    },
};

pub(super) const STEADY_STATES: Topic = Topic {
    name: "availability_steady_states",
    title: "Availability of units together",
    what: "What independent units give in series, side by side, and k of n.",
    subject: Subject::Life,
    wants: &[
        want("a", "Availability of each unit", Takes::Numbers)
            .note("shares, 0 to 1; or one share with n"),
        want("n", "Units alike", Takes::Whole).note("1 to 1000, where a is one share"),
        want("k", "Units needed", Takes::Whole).note("for k of n; blank gives series and parallel"),
    ],
    answers: &[
        answer("series", "", "all are needed"),
        answer("parallel", "", "one is enough"),
        answer("k_of_n", "", "at least k are up"),
    ],
    run: |given| Ok(tidied(steady_states(given)?)),
};

/// A list of shares, or one share of `n` units alike.
fn unit_shares(given: &Given) -> Result<Vec<f64>, Trouble> {
    let n = given.whole("n")?;
    if n.is_some_and(|n| !(1..=1000).contains(&n)) {
        return Err(Trouble::of("n", "Give 1 to 1000 units"));
    }
    let one = given.raw("a").is_some_and(|a| !a.is_array());
    if one {
        let share = given.need_number("a")?;
        return Ok(vec![share; given.need("n", n)? as usize]);
    }
    let list = given.need_numbers("a")?;
    match (list.as_slice(), n) {
        ([share], Some(n)) => Ok(vec![*share; n as usize]),
        (_, Some(n)) if n as usize != list.len() => Err(Trouble::of(
            "n",
            "Give as many shares as units, or one share",
        )),
        _ => Ok(list),
    }
}

fn steady_states(given: &Given) -> Result<Figure, Trouble> {
    let a = unit_shares(given)?;
    let (Some(series), Some(parallel)) = (availability::series(&a), availability::parallel(&a))
    else {
        return Err(Trouble::of("a", "Give 1 to 1000 shares from 0 to 1"));
    };
    let k_of_n = match given.whole("k")? {
        None => None,
        Some(k) => match availability::at_least(k as usize, &a) {
            None => return Err(Trouble::of("k", "More units are needed than there are")),
            share => share,
        },
    };
    let working = availability::together_working(series, parallel, k_of_n);
    Ok(Figure::new(working)
        .with("series", series)
        .with("parallel", parallel)
        .with_some("k_of_n", k_of_n))
}

static HOURS: &[Want] = &[
    want("fault_detection", "Fault detection", Takes::Number).unit("h"),
    want(
        "administrative_delay",
        "Administrative delay",
        Takes::Number,
    )
    .unit("h"),
    want("logistic_delay", "Logistic delay", Takes::Number).unit("h"),
    want("technical_delay", "Technical delay", Takes::Number).unit("h"),
    want("localization", "Fault localization", Takes::Number).unit("h"),
    want("diagnosis", "Fault diagnosis", Takes::Number).unit("h"),
    want("correction", "Fault correction", Takes::Number).unit("h"),
    want("checkout", "Function checkout", Takes::Number).unit("h"),
];
static SPELL: &[Want] = &[
    want(
        "kind",
        "What the time went on",
        Takes::Choice(&[
            ("fault_detection", "Nobody knew yet"),
            ("administrative_delay", "Waiting on people and papers"),
            ("logistic_delay", "Waiting on parts, tools, crew, travel"),
            ("technical_delay", "Making dead, cooling, setting up"),
            ("localization", "Finding where"),
            ("diagnosis", "Finding what"),
            ("correction", "The fix"),
            ("checkout", "Proving it"),
        ]),
    ),
    want("from", "From", Takes::Moment),
    want("to", "To", Takes::Moment),
    want("person", "Who", Takes::Text).note("blank where nobody was at it"),
];

pub(super) const REPAIR_TIME_SPLIT: Topic = Topic {
    name: "repair_time_split",
    title: "Where the time to restoration went",
    what: "Splits the time from failure to restoration into waiting and work, as IEC 60050-192 does.",
    subject: Subject::Life,
    wants: &[
        want("hours", "Hours of each kind", Takes::Group(HOURS))
            .unit("h")
            .note("0 only where there was none; blank is unknown"),
        want("spells", "Stretches of time", Takes::Rows(SPELL))
            .note("instead of hours; several people may overlap; at most 5000"),
        want("failed", "Failed at", Takes::Moment).note("with stretches; blank is the first start"),
        want("restored", "Restored at", Takes::Moment)
            .note("with stretches; blank is the last end; no clock change between"),
    ],
    answers: &[
        answer("time_to_restoration", "h", "failure to restored, all of it"),
        answer(
            "maintenance_time",
            "h",
            "without detection and administrative delay",
        ),
        answer("active_corrective_time", "h", "without logistic delay too"),
        answer("repair_time", "h", "without technical delay too"),
        answer("kinds", "h", "hours of each kind; null where unknown"),
        answer(
            "overlap_hours",
            "h",
            "hours written for two kinds, counted once",
        ),
        answer("unexplained_hours", "h", "hours with no reason"),
        answer(
            "odd",
            "",
            "stretches to look at again: row from 0, and what",
        ),
    ],
    run: split,
};

fn split(given: &Given) -> Result<Figure, Trouble> {
    if given.has("hours") && given.has("spells") {
        return Err(Trouble::of("spells", "Give hours or stretches, not both"));
    }
    let hours = given.group("hours", |hours| {
        let mut kinds = [None; 8];
        for (kind, cell) in Kind::ALL.into_iter().zip(&mut kinds) {
            *cell = hours.not_negative(kind.name())?;
        }
        Ok(kinds)
    })?;
    if let Some(kinds) = hours {
        let times = restoration::split(kinds);
        return Ok(times_figure(&times, None));
    }
    by_spells(given)
}

fn by_spells(given: &Given) -> Result<Figure, Trouble> {
    let rows = given.rows("spells", |row| {
        Ok(Spell {
            kind: row.need("kind", Kind::of(row.need_choice("kind")?))?,
            from: row.need_moment("from")?,
            to: row.need_moment("to")?,
            person: row.text("person")?,
        })
    })?;
    let Some(rows) = rows else {
        return Err(Trouble::of(
            "hours",
            "Not given: hours of each kind, or stretches of time",
        ));
    };
    if rows.len() > 5000 {
        return Err(Trouble::of("spells", "Give at most 5000 stretches"));
    }
    let (failed, restored) = (given.moment("failed")?, given.moment("restored")?);
    if let (Some(failed), Some(restored)) = (failed, restored)
        && restored < failed
    {
        return Err(Trouble::of(
            "restored",
            "It was restored before it failed; correct one of them",
        ));
    }
    let found = spells::from_spells(&rows, failed, restored);
    Ok(times_figure(&found.times, Some(&found)))
}

fn times_figure(times: &Times, found: Option<&Found>) -> Figure {
    let kinds: serde_json::Map<String, Value> = Kind::ALL
        .into_iter()
        .zip(times.kinds)
        .map(|(kind, hours)| (kind.name().to_owned(), json!(hours)))
        .collect();
    let figure = Figure::new(restoration::working(times, found))
        .with_some("time_to_restoration", times.restoration)
        .with_some("maintenance_time", times.maintenance)
        .with_some("active_corrective_time", times.active)
        .with_some("repair_time", times.repair)
        .with("kinds", kinds);
    let Some(found) = found else {
        return figure;
    };
    let odd: Vec<Value> = found
        .odd
        .iter()
        .map(|(at, odd)| json!({"row": at, "what": odd.word()}))
        .collect();
    figure
        .with("overlap_hours", found.overlap)
        .with("unexplained_hours", found.unexplained)
        .with("odd", odd)
}
