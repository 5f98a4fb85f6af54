//! Topics. Seasons.

use super::read::{self, FIRST_N, first_n, texts, trouble};
use super::{Figure, Given, PRACTICE, Subject, Takes, Topic, Trouble, Want, answer, want};
use crate::due::{self, Every, Meter, Rule};
use crate::shown::{Fill, line};
use crate::working::Working;

const SEASON: Want = want("season", "Season", Takes::Texts).note(
    "first and last day as [\"05-01\", \"09-30\"]; both belong to it; over the year's end as [\"10-01\", \"04-30\"]",
);

pub(super) const RESTART: Topic = Topic {
    name: "seasonal_restart",
    title: "Every so often in a season",
    what: "Dates counted from the last one inside a season; outside it, the season's next first day.",
    subject: Subject::Dates,
    wants: &[
        want("anchor", "First date", Takes::Date),
        want("every_days", "Interval", Takes::Whole)
            .unit("d")
            .note("1 or more"),
        SEASON,
        FIRST_N,
    ],
    answers: &[answer("result", "", "the dates")],
    run: restart,
};

fn restart(given: &Given) -> Result<Figure, Trouble> {
    let anchor = given.need_date("anchor")?;
    let every = Every::Days(read::need_interval(given, "every_days")?);
    let season = read::season(given, "season")?;
    let n = first_n(given)?;
    let rule = Rule::InSeason { every, season };
    let dates = due::upcoming(&rule, anchor, None, anchor, &Meter::default(), n);
    let mut working = Working::new("Every so often in a season");
    for due in &dates {
        working.lines.push(
            line("due", "Due")
                .value(due.on.to_string(), "")
                .rule(
                    "a date out of season moves to the season's next first day",
                    PRACTICE,
                )
                .note(due.reason.clone()),
        );
    }
    Ok(Figure::bare(
        working,
        texts(dates.into_iter().map(|due| due.on)),
    ))
}

pub(super) const BEFORE: Topic = Topic {
    name: "before_season",
    title: "Some days before a season",
    what: "The day each year that lies so many days before a season begins.",
    subject: Subject::Dates,
    wants: &[
        want("season_start", "Season begins", Takes::Text).note("month and day, as 10-01"),
        want("lead_days", "Days before", Takes::Whole)
            .unit("d")
            .note("0 to 366"),
        want("years", "Years", Takes::Numbers)
            .note("years in which the season begins, 1900 to 2400; a list or one year"),
    ],
    answers: &[answer("result", "", "the dates")],
    run: before,
};

fn years(given: &Given) -> Result<Vec<i32>, Trouble> {
    let wrong = || Trouble::of("years", "Give years from 1900 to 2400, as [2026, 2027]");
    let list = match given.raw("years") {
        Some(value) if value.is_array() => given.need_numbers("years")?,
        _ => vec![given.need_number("years")?],
    };
    read::not_too_many("years", list.len())?;
    list.iter()
        .map(|year| {
            (year.fract() == 0.0 && (1900.0..=2400.0).contains(year)).then_some(*year as i32)
        })
        .collect::<Option<Vec<i32>>>()
        .ok_or_else(wrong)
}

fn before(given: &Given) -> Result<Figure, Trouble> {
    let start = read::month_day(given, "season_start")?;
    let lead = read::need_small(given, "lead_days")?;
    if lead > 366 {
        return Err(Trouble::of("lead_days", "Give 0 to 366 days"));
    }
    let mut working = Working::new("Some days before a season");
    let mut dates = Vec::new();
    for year in years(given)? {
        let on =
            due::before_season(start, lead, year).map_err(|why| trouble("season_start", why))?;
        working.lines.push(
            line("due", "Due")
                .value(on.to_string(), "")
                .rule("first day of the season less the lead", PRACTICE)
                .note(format!("for the season of {year}")),
        );
        dates.push(on);
    }
    Ok(Figure::bare(working, texts(dates)))
}

pub(super) const MEMBERSHIP: Topic = Topic {
    name: "season_membership",
    title: "In season or not",
    what: "Whether dates lie in a season; both ends belong to it.",
    subject: Subject::Dates,
    wants: &[SEASON, want("dates", "Dates", Takes::Dates)],
    answers: &[answer("result", "", "true or false for each date")],
    run: membership,
};

fn membership(given: &Given) -> Result<Figure, Trouble> {
    let season = read::season(given, "season")?;
    let dates = given.need("dates", given.dates("dates")?)?;
    read::not_too_many("dates", dates.len())?;
    let mut working = Working::new("In season or not");
    let holds: Vec<bool> = dates.iter().map(|date| season.holds(*date)).collect();
    for (date, holds) in dates.iter().zip(&holds) {
        let word = if *holds { "in season" } else { "out of season" };
        working.lines.push(
            line("date", "Date")
                .value(date.to_string(), "")
                .rule(
                    "a first day later than the last goes over the year's end",
                    PRACTICE,
                )
                .note(word),
        );
    }
    Ok(Figure::bare(working, holds))
}
