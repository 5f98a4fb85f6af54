//! A recurrence rule expanded: dates, wall-clock times, or instants of a time zone.

use super::engine::Engine;
use super::{BadRule, Recurrence, Until, bad};
use crate::due::zone::{Shown, Zone};
use time::{Date, PrimitiveDateTime};

/// The dates of a rule, rising. Ends after an error.
#[derive(Clone, Debug)]
pub struct Dates {
    engine: Engine,
    until: Option<Date>,
    left: Option<u32>,
}

/// The wall-clock times of a rule, rising. Ends after an error.
#[derive(Clone, Debug)]
pub struct Walls {
    engine: Engine,
    until: Option<PrimitiveDateTime>,
    left: Option<u32>,
}

/// The instants of a rule in a time zone, rising. Ends after an error.
#[derive(Clone, Debug)]
pub struct Instants {
    engine: Engine,
    zone: Zone,
    until: Option<PrimitiveDateTime>,
    left: Option<u32>,
    last: Option<PrimitiveDateTime>,
}

impl Recurrence {
    /// Its dates from `start` on. Bounded: after 200 000 days without one it says so and ends.
    /// # Errors
    /// [`BadRule`] where the rule names times of day.
    pub fn dates(&self, start: Date) -> Result<Dates, BadRule> {
        if self.names_times() {
            return Err(bad(
                "the rule",
                "names times of day; a plan of dates takes FREQ=DAILY and longer, without BYHOUR, BYMINUTE, BYSECOND",
            ));
        }
        let until = self.until.map(|until| match until {
            Until::Day(day) => day,
            Until::Wall(at) | Until::Utc(at) => at.date(),
        });
        Ok(Dates {
            engine: Engine::new(self, start.midnight()),
            until,
            left: self.count,
        })
    }

    /// Its times of a clock that hangs on no zone, from `start` on.
    pub fn walls(&self, start: PrimitiveDateTime) -> Walls {
        let until = self.until.map(|until| match until {
            Until::Day(day) => end_of(day),
            Until::Wall(at) | Until::Utc(at) => at,
        });
        Walls {
            engine: Engine::new(self, start),
            until,
            left: self.count,
        }
    }

    /// Its instants in a zone, from the wall-clock time `start` on.
    ///
    /// Expanded on the wall clock and then converted, so that seven in the morning stays seven.
    /// Where a gap makes two wall-clock times one instant, it is given once.
    /// # Errors
    /// [`BadRule`] where `UNTIL` lies outside the calendar.
    pub fn instants(&self, start: PrimitiveDateTime, zone: &Zone) -> Result<Instants, BadRule> {
        let outside = bad("UNTIL", "lies outside the calendar");
        let until = match self.until {
            None => None,
            Some(Until::Utc(at)) => Some(at),
            Some(Until::Wall(at)) => Some(zone.to_utc(at).map_err(|_| outside)?.utc),
            Some(Until::Day(day)) => Some(zone.to_utc(end_of(day)).map_err(|_| outside)?.utc),
        };
        Ok(Instants {
            engine: Engine::new(self, start),
            zone: zone.clone(),
            until,
            left: self.count,
            last: None,
        })
    }
}

fn end_of(day: Date) -> PrimitiveDateTime {
    PrimitiveDateTime::new(day, time::macros::time!(23:59:59))
}

/// Counts one off; `None` when the rule's count is used up.
fn count_off(left: &mut Option<u32>) -> Option<()> {
    match left {
        None => Some(()),
        Some(left) => {
            *left = left.checked_sub(1)?;
            Some(())
        }
    }
}

impl Dates {
    /// Passes over what lies before `date`, where the rule does not count its dates.
    pub(in crate::due) fn skip_to(&mut self, date: Date) {
        if self.left.is_none() {
            self.engine.skip_to(date.midnight());
        }
    }
}

impl Iterator for Dates {
    type Item = Result<Date, BadRule>;

    fn next(&mut self) -> Option<Self::Item> {
        count_off(&mut self.left)?;
        let at = match self.engine.next()? {
            Ok(at) => at.date(),
            Err(why) => return self.engine.unless_over(self.until.map(end_of), why),
        };
        if self.until.is_some_and(|until| at > until) {
            self.engine.end();
            return None;
        }
        Some(Ok(at))
    }
}

impl Iterator for Walls {
    type Item = Result<PrimitiveDateTime, BadRule>;

    fn next(&mut self) -> Option<Self::Item> {
        count_off(&mut self.left)?;
        let at = match self.engine.next()? {
            Ok(at) => at,
            Err(why) => return self.engine.unless_over(self.until, why),
        };
        if self.until.is_some_and(|until| at > until) {
            self.engine.end();
            return None;
        }
        Some(Ok(at))
    }
}

impl Iterator for Instants {
    /// The wall-clock time of the rule, and the instant it became.
    type Item = Result<(PrimitiveDateTime, Shown), BadRule>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.left == Some(0) {
            return None;
        }
        loop {
            let wall = match self.engine.next()? {
                Ok(at) => at,
                Err(why) => return self.engine.unless_over(self.until, why),
            };
            let Ok(shown) = self.zone.to_utc(wall) else {
                self.engine.end();
                return None;
            };
            if self.until.is_some_and(|until| shown.utc > until) {
                self.engine.end();
                return None;
            }
            if self.last.is_none_or(|last| shown.utc > last) {
                self.last = Some(shown.utc);
                count_off(&mut self.left)?;
                return Some(Ok((wall, shown)));
            }
        }
    }
}
