//! The next date of a rule, and the dates after it.

use super::grid::{nth_after, yearly};
use super::meter::Known;
use super::rrule::{BadRule, Dates, Recurrence};
use super::words::{Reason, Why};
use super::{Due, Every, Meter, MonthDay, NoDue, Rule, Season, add, grid_after};
use time::Date;

/// The next due date of a rule.
///
/// Grids give the first date later than both `after` and `last_done`. Rules that float give the date
/// that follows from `last_done` even where it has passed: it is overdue, not skipped; never done, the
/// anchor is the first due date. Source: common practice; the reason names the rule.
/// # Errors
/// [`NoDue`] says why there is no date.
pub fn next(
    rule: &Rule,
    anchor: Date,
    last_done: Option<Date>,
    after: Date,
    meter: &Meter,
) -> Result<Due, NoDue> {
    let ask = Ask {
        anchor,
        done: last_done,
        after,
        last_service: meter.last_service,
    };
    let (on, reason) = Ready::of(rule, &ask).next(&ask, &Known::of(&meter.readings))?;
    Ok(Due {
        on,
        reason: reason.words(),
    })
}

/// The next `n` due dates (1000 at most), each taken as done on its day.
///
/// Every date follows from the one before without starting again from the anchor.
pub fn upcoming(
    rule: &Rule,
    anchor: Date,
    last_done: Option<Date>,
    after: Date,
    meter: &Meter,
    n: usize,
) -> Vec<Due> {
    let mut ask = Ask {
        anchor,
        done: last_done,
        after,
        last_service: meter.last_service,
    };
    let known = Known::of(&meter.readings);
    let mut ready = Ready::of(rule, &ask);
    let mut list: Vec<Due> = Vec::with_capacity(n.min(1000));
    let mut before: Option<Reason> = None;
    while list.len() < n.min(1000) {
        let Ok((on, why)) = ready.next(&ask, &known) else {
            break;
        };
        // A forecast that does not move on says nothing more.
        if list.last().is_some_and(|last| on <= last.on) {
            break;
        }
        let reason = match (before, list.last()) {
            (Some(before), Some(last)) if before == why => last.reason.clone(),
            _ => why.words(),
        };
        before = Some(why);
        list.push(Due { on, reason });
        // A meter may say that the work was due before it was last done: time does not go back.
        ask.done = ask.done.max(Some(on));
        ask.after = ask.after.max(on);
        ask.last_service = known.after_service(ask.last_service, on);
    }
    list
}

/// What a rule is asked: where it is anchored, when the work was last done, after which day.
struct Ask {
    anchor: Date,
    done: Option<Date>,
    after: Date,
    last_service: Option<f64>,
}

impl Ask {
    fn since(&self) -> Date {
        self.done.map_or(self.after, |done| done.max(self.after))
    }
}

type Found<'a> = Result<(Date, Reason<'a>), NoDue>;

/// A rule made ready to give date after date.
enum Ready<'a> {
    Plain(&'a Rule),
    Recurrence(Box<Running<'a>>),
    Bad(BadRule),
    FirstOf(Vec<Ready<'a>>),
}

/// A recurrence rule under way, with the date it gave that has not been used.
struct Running<'a> {
    text: &'a str,
    dates: Dates,
    waiting: Option<Date>,
}

impl<'a> Ready<'a> {
    fn of(rule: &'a Rule, ask: &Ask) -> Ready<'a> {
        match rule {
            Rule::Recurrence { rule } => {
                let read = rule.parse::<Recurrence>();
                match read.and_then(|read| read.dates(ask.anchor)) {
                    Ok(mut dates) => {
                        dates.skip_to(ask.since());
                        Ready::Recurrence(Box::new(Running {
                            text: rule,
                            dates,
                            waiting: None,
                        }))
                    }
                    Err(why) => Ready::Bad(why),
                }
            }
            Rule::FirstOf { rules } => {
                Ready::FirstOf(rules.iter().map(|rule| Ready::of(rule, ask)).collect())
            }
            plain => Ready::Plain(plain),
        }
    }

    fn next(&mut self, ask: &Ask, known: &Known) -> Found<'a> {
        match self {
            Ready::Plain(rule) => plain(rule, ask, known),
            Ready::Bad(why) => Err(NoDue::Recurrence(*why)),
            Ready::Recurrence(running) => {
                let on = running.later_than(ask.since())?;
                Ok((on, Reason::of(Why::Recurrence(running.text))))
            }
            Ready::FirstOf(rules) => {
                let mut best: Option<(Date, Reason)> = None;
                let mut error = NoDue::Rule;
                for rule in rules {
                    match rule.next(ask, known) {
                        Ok(found) if best.as_ref().is_none_or(|best| found.0 < best.0) => {
                            best = Some(found);
                        }
                        Ok(_) => {}
                        // A meter without a forecast leaves the calendar to rule.
                        Err(found) => error = found,
                    }
                }
                let (on, reason) = best.ok_or(error)?;
                Ok((on, reason.first()))
            }
        }
    }
}

impl Running<'_> {
    fn later_than(&mut self, since: Date) -> Result<Date, NoDue> {
        loop {
            if let Some(on) = self.waiting.filter(|on| *on > since) {
                return Ok(on);
            }
            self.waiting = Some(self.dates.next().ok_or(NoDue::Ended)??);
        }
    }
}

fn plain<'a>(rule: &'a Rule, ask: &Ask, known: &Known) -> Found<'a> {
    let (anchor, since) = (ask.anchor, ask.since());
    let (on, why) = match rule {
        Rule::Calendar { every } => {
            let on = grid_after(anchor, *every, since)?;
            (on, Why::grid(*every, anchor, on))
        }
        Rule::AfterDone { every } => after_done(*every, ask)?,
        Rule::InSeason { every, season } => in_season(*every, *season, ask)?,
        Rule::Months { months, day } => {
            let since = since.max(anchor.previous_day().unwrap_or(anchor));
            (
                in_months(months, *day, since)?,
                Why::Months { months, day: *day },
            )
        }
        Rule::BeforeSeason { start, lead_days } => {
            let (start, days) = (*start, *lead_days);
            (yearly(start, days, since)?, Why::Before { start, days })
        }
        Rule::NthWeekday {
            nth,
            weekday,
            every_months,
        } => {
            let (nth, weekday, months) = (*nth, *weekday, *every_months);
            let on = nth_after(anchor, nth, weekday, months, since)?;
            (
                on,
                Why::Nth {
                    nth,
                    weekday,
                    months,
                },
            )
        }
        Rule::Meter { every } => {
            let (due_at, rate, left, on) = known.forecast(ask.last_service, *every)?;
            let passed = left <= 0.0;
            (
                on,
                Why::Meter {
                    due_at,
                    rate,
                    passed,
                },
            )
        }
        // Made ready on their own.
        Rule::Recurrence { .. } | Rule::FirstOf { .. } => return Err(NoDue::Rule),
    };
    Ok((on, Reason::of(why)))
}

fn after_done<'a>(every: Every, ask: &Ask) -> Result<(Date, Why<'a>), NoDue> {
    match ask.done {
        Some(done) => Ok((later(done, every)?, Why::After { every, done })),
        None => Ok((ask.anchor, Why::FirstDate)),
    }
}

fn in_months(months: &[u8], day: u8, since: Date) -> Result<Date, NoDue> {
    let at = |month: &u8| yearly(MonthDay { month: *month, day }, 0, since);
    let dates: Vec<Date> = months.iter().map(at).collect::<Result<_, _>>()?;
    dates.into_iter().min().ok_or(NoDue::Rule)
}

/// One step after a date, which must move it.
fn later(done: Date, every: Every) -> Result<Date, NoDue> {
    let on = add(done, every, 1)?;
    if on > done {
        Ok(on)
    } else {
        Err(NoDue::Interval)
    }
}

fn in_season<'a>(every: Every, season: Season, ask: &Ask) -> Result<(Date, Why<'a>), NoDue> {
    let (on, why, moved) = match ask.done {
        Some(done) => (
            later(done, every)?,
            Why::After { every, done },
            Why::AfterMoved { every, done },
        ),
        None => (ask.anchor, Why::FirstDate, Why::FirstDateMoved),
    };
    if season.holds(on) {
        return Ok((on, why));
    }
    let start = yearly(season.start, 0, on.previous_day().unwrap_or(on))?;
    Ok((start, moved))
}
