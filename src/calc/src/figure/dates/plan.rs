//! Topics. A whole plan: its rule, its window, the days the site is closed.

use super::plan_rule::{self, needs_anchor};
use super::read::{self, READING, SHIFTS, closed, count, every, sentence, shift, texts, trouble};
use super::{
    CALENDAR_ONLY, Figure, Given, PRACTICE, Subject, Takes, Topic, Trouble, Want, answer, want,
};
use crate::due::{self, Due, Meter, NoDue, Rule, Service, Visit};
use crate::shown::{Fill, ask, line};
use crate::working::{Verdict, Working};
use serde_json::{Value, json};
use time::Date;

const WEEKEND: Want = want("weekend", "Closed each week", Takes::Texts)
    .note("such as [\"Sat\", \"Sun\"]; blank is none");
const HOLIDAYS: Want = want("holidays", "Closed days", Takes::Dates).note("blank is none");

pub(super) const CLOSED_DAY: Topic = Topic {
    name: "closed_day_shift",
    title: "Planned on a closed day",
    what: "The open day on which work is planned that falls due when the site is closed.",
    subject: Subject::Dates,
    wants: &[
        want("due", "Due", Takes::Date),
        want("mode", "Moves to", Takes::Choice(SHIFTS)),
        WEEKEND,
        HOLIDAYS,
    ],
    answers: &[answer("result", "", "the day it is planned for")],
    run: closed_day,
};

fn closed_day(given: &Given) -> Result<Figure, Trouble> {
    let on = given.need_date("due")?;
    let mode = given.need("mode", shift(given, "mode")?)?;
    let closed = closed(given)?;
    let planned = due::shift(on, mode, &closed)
        .ok_or_else(|| Trouble::of("weekend", "No day within two years is open"))?;
    let mut working = Working::new("Planned on a closed day");
    let open = if closed.holds(on) { "closed" } else { "open" };
    working.lines = vec![
        line("due", "Due").value(on.to_string(), "").note(open),
        line("planned", "Planned for")
            .value(planned.to_string(), "")
            .rule(
                "day by day to an open one; the due date itself stays, and so do the dates after it",
                PRACTICE,
            ),
    ];
    Ok(Figure::bare(working, planned.to_string()))
}

const SERVICE: &[Want] = &[
    want("name", "Service", Takes::Text),
    want("anchor", "First date", Takes::Date),
    read::EVERY_WANT,
];

pub(super) const NESTED: Topic = Topic {
    name: "nested_services",
    title: "Services within services",
    what: "The next visits to a machine that has several services: on one day the longest includes the others.",
    subject: Subject::Dates,
    wants: &[
        want("services", "Services", Takes::Rows(SERVICE)),
        want("after", "Later than", Takes::Date).note("blank begins with the first of them"),
        read::FIRST_N,
    ],
    answers: &[answer(
        "visits",
        "",
        "due, service and includes, one job a day",
    )],
    run: nested,
};

fn nested(given: &Given) -> Result<Figure, Trouble> {
    let services = given.rows("services", |row| {
        let service = Service {
            anchor: row.need_date("anchor")?,
            every: read::need_every(row, "every")?,
        };
        Ok((row.need_text("name")?, service))
    })?;
    let (names, services): (Vec<String>, Vec<Service>) =
        given.need("services", services)?.into_iter().unzip();
    if services.len() > 50 {
        return Err(Trouble::of("services", "Give 50 services at most"));
    }
    let first = services.iter().map(|service| service.anchor).min();
    let before = first.and_then(Date::previous_day);
    let after = given.need("services", given.date("after")?.or(before))?;
    let visits = due::visits(&services, after, read::first_n(given)?)
        .map_err(|why| trouble("services", why))?;
    let mut working = Working::new("Services within services");
    let list: Vec<Value> = visits
        .iter()
        .map(|visit| one_visit(visit, &names, &mut working))
        .collect();
    Ok(Figure::new(working).with("visits", list))
}

fn one_visit(visit: &Visit, names: &[String], working: &mut Working) -> Value {
    let service = &names[visit.service];
    let includes: Vec<&str> = visit
        .includes
        .iter()
        .map(|at| names[*at].as_str())
        .collect();
    let note = match includes.as_slice() {
        [] => String::new(),
        some => format!("includes {}", some.join(", ")),
    };
    working.lines.push(
        line("visit", "Visit")
            .value(format!("{} {service}", visit.on), "")
            .rule(
                "one job a day; the longest interval includes the shorter",
                PRACTICE,
            )
            .note(note),
    );
    json!({"due": visit.on.to_string(), "service": service, "includes": includes})
}

pub(super) const DUE: Topic = Topic {
    name: "due",
    title: "The next dates of a plan",
    what: "The next dates of a whole plan, each with its reason, window, planned day and limit.",
    subject: Subject::Dates,
    wants: &[
        plan_rule::KIND,
        read::EVERY_WANT,
        plan_rule::SEASON,
        plan_rule::LEAD,
        plan_rule::NTH,
        plan_rule::WEEKDAY,
        plan_rule::EVERY_MONTHS,
        plan_rule::MONTHS,
        plan_rule::DAY,
        plan_rule::METER,
        plan_rule::RRULE,
        want("rule", "Rule", Takes::Json).note(
            "in place of kind and its fields: such as {\"kind\": \"calendar\", \"every\": {\"months\": 3}}; kinds: calendar, after_done, in_season, months, before_season, nth_weekday, meter, recurrence, first_of",
        ),
        want("anchor", "First date", Takes::Date)
            .note("may stay blank where the day last done, the readings or later than settle the dates"),
        want("last_done", "Last done", Takes::Date).note("blank where it was never done"),
        want("after", "Later than", Takes::Date)
            .note("dates of a grid later than this; blank begins with the first date, or after the day last done"),
        want("readings", "Meter readings", Takes::Rows(READING)).note("oldest first; blank where there is no meter"),
        want("last_service_meter", "Meter at the last service", Takes::Number),
        want("window_before_days", "Window opens before", Takes::Whole).unit("d").note("blank is no window"),
        want("window_after_days", "Window closes after", Takes::Whole).unit("d").note("blank is no window"),
        want("limit_every", "Limit without grace", Takes::Group(read::EVERY))
            .note("longest time a rule allows between two services, such as {\"months\": 12}"),
        want("closed_mode", "On a closed day", Takes::Choice(SHIFTS)).note("blank stays"),
        WEEKEND,
        HOLIDAYS,
        want("count", "How many", Takes::Whole).note("1 to 1000; blank gives 10"),
    ],
    answers: &[
        answer("dates", "", "due, reason, and where asked planned, first, last, limit"),
        answer("days", "", "the due dates alone"),
        answer("no_date", "", "why there is none, or null"),
    ],
    run: preview,
};

/// The first date: as given, or where the dates do not hang on it, a day that begins the list.
fn anchor(given: &Given, rule: &Rule, meter: &Meter) -> Result<Date, Trouble> {
    let named = given.date("anchor")?;
    let done = given.date("last_done")?;
    if named.is_some() || needs_anchor(rule, done.is_some()) {
        return given.need("anchor", named);
    }
    let first = meter.readings.first().map(|reading| reading.on);
    given.need("anchor", done.or(given.date("after")?).or(first))
}

/// What is asked of each date beside the date itself.
struct Extras {
    window: Option<(u32, u32)>,
    limit: Option<due::Every>,
    shift: due::Shift,
    closed: due::Closed,
}

fn extras(given: &Given) -> Result<Extras, Trouble> {
    let before = read::small(given, "window_before_days")?;
    let after = read::small(given, "window_after_days")?;
    Ok(Extras {
        window: (before.is_some() || after.is_some())
            .then(|| (before.unwrap_or(0), after.unwrap_or(0))),
        limit: every(given, "limit_every")?,
        shift: shift(given, "closed_mode")?.unwrap_or(due::Shift::Stay),
        closed: closed(given)?,
    })
}

impl Extras {
    /// One date as JSON, with its line.
    fn one(&self, due: &Due, last: Option<Date>, working: &mut Working) -> Value {
        let mut out = json!({"due": due.on.to_string(), "reason": due.reason});
        let mut shown = line("due", "Due")
            .value(due.on.to_string(), "")
            .rule("the plan's own rule", PRACTICE)
            .note(sentence(&due.reason));
        if let Some((before, after)) = self.window
            && let Some((first, last)) = due::window(due.on, before, after)
        {
            out["first"] = first.to_string().into();
            out["last"] = last.to_string().into();
            shown = shown.limit(format!("{first} to {last}"));
        }
        let planned = due::shift(due.on, self.shift, &self.closed);
        if self.shift != due::Shift::Stay {
            out["planned"] = planned.map(|day| day.to_string()).into();
        }
        if let (Some(every), Some(last)) = (self.limit, last)
            && let Ok(limit) = due::add(last, every, 1)
        {
            out["limit"] = limit.to_string().into();
            let day = planned.unwrap_or(due.on).max(due.on);
            shown = if day > limit {
                let note = format!("{}, but the limit is {limit}", sentence(&due.reason));
                shown.judge(Verdict::Beyond, note)
            } else {
                let note = shown.note.clone();
                shown.judge(Verdict::Within, note)
            };
            shown = shown.margin(format!(
                "{} d to the limit {limit}",
                (limit - day).whole_days()
            ));
        }
        working.lines.push(shown);
        out
    }
}

fn preview(given: &Given) -> Result<Figure, Trouble> {
    let rule = plan_rule::rule(given)?;
    let done = given.date("last_done")?;
    let meter = Meter {
        readings: read::readings(given, "readings")?.unwrap_or_default(),
        last_service: given.number("last_service_meter")?,
    };
    let anchor = anchor(given, &rule, &meter)?;
    let after = given.date("after")?;
    let after = after.unwrap_or_else(|| anchor.previous_day().unwrap_or(anchor));
    let n = count(given, "count", 1000)?;
    let extras = extras(given)?;
    let mut working = Working::new("The next dates of a plan");
    let list = due::upcoming(&rule, anchor, done, after, &meter, n);
    let mut last = done;
    let mut dates = Vec::new();
    for due in &list {
        dates.push(extras.one(due, last, &mut working));
        last = Some(due.on);
    }
    let why = match list.last() {
        Some(_) => None,
        None => due::next(&rule, anchor, done, after, &meter).err(),
    };
    if let Some(why) = why {
        no_date(
            &mut working,
            why,
            if given.has("rule") { "rule" } else { "kind" },
        )?;
    }
    if extras.limit.is_some() && done.is_none() {
        ask_last_done(&mut working);
    }
    let texts = texts(list.iter().map(|due| due.on));
    working.cautions.push(CALENDAR_ONLY.into());
    Ok(Figure::new(working)
        .with("dates", dates)
        .with("days", texts)
        .with("no_date", why.map(|why| sentence(&why.to_string()))))
}

fn ask_last_done(working: &mut Working) {
    ask(
        working,
        line("limit", "Limit of the first date"),
        "Day last done",
        "a limit counts from the last service",
        "look in the history, or do the work now",
    );
}

/// A meter that says too little is asked for; a rule that cannot be is refused.
fn no_date(working: &mut Working, why: NoDue, rule_field: &str) -> Result<(), Trouble> {
    match why {
        NoDue::NoForecast => {
            let shown = line("due", "Due");
            ask(
                working,
                shown,
                "Meter readings",
                "a meter forecasts from two readings that rise and the reading at the last service",
                "read the meter now and again after some days of work",
            );
            Ok(())
        }
        NoDue::Readings => Err(trouble("readings", why)),
        NoDue::Calendar | NoDue::Ended => {
            let shown = line("due", "Due").note(sentence(&why.to_string()));
            working.lines.push(shown);
            Ok(())
        }
        NoDue::Interval | NoDue::Rule | NoDue::Recurrence(_) => Err(trouble(rule_field, why)),
    }
}
