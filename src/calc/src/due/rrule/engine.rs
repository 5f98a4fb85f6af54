//! The pattern itself: period by period, the days a rule takes, and the times on each.

use super::parts::{Day, Marks};
use super::takes::{filled, offsets};
use super::{BadRule, Freq, Recurrence, bad};
use time::{Date, Month, PrimitiveDateTime, Time};

/// Days or clock steps looked at without finding one before the rule is said to name none. Every
/// pattern of days comes back within the 400 years (146 097 days) of the calendar.
const LOOKS: u32 = 200_000;
const DAY: i64 = 86_400;

#[derive(Clone, Debug)]
pub(super) struct Engine {
    /// The rule with what the start settles filled in.
    rule: Recurrence,
    /// Seconds since julian day 0; nothing before it counts.
    start: i64,
    /// The period to load next: year, month index, julian day, or seconds, as `freq` has it.
    at: i64,
    step: i64,
    /// Weekdays the rule can take, Monday as the lowest bit: most days are passed over by it.
    weekdays: u8,
    /// Seconds within a period's day (or hour, or minute), rising.
    offsets: Vec<u32>,
    /// The loaded period: its days, where its times begin, which places count, and the next place.
    days: Vec<i32>,
    base: i64,
    picks: Option<Vec<usize>>,
    place: usize,
    looks: u32,
    over: bool,
}

impl Engine {
    pub(super) fn new(rule: &Recurrence, start: PrimitiveDateTime) -> Engine {
        let rule = filled(rule, start);
        let unit = match rule.freq {
            Freq::Minutely => 60,
            Freq::Hourly => 3600,
            Freq::Weekly => 7,
            _ => 1,
        };
        let mut engine = Engine {
            start: seconds(start),
            at: 0,
            step: unit * i64::from(rule.interval),
            weekdays: rule.weekdays_taken(),
            offsets: offsets(&rule),
            days: Vec::new(),
            base: 0,
            picks: None,
            place: 0,
            looks: 0,
            over: false,
            rule,
        };
        engine.at = engine.period_of(start);
        engine
    }

    pub(super) fn end(&mut self) {
        self.over = true;
        self.days.clear();
    }

    /// The period that holds a time.
    fn period_of(&self, at: PrimitiveDateTime) -> i64 {
        let julian = i64::from(at.date().to_julian_day());
        let month = i64::from(u8::from(at.month()));
        match self.rule.freq {
            Freq::Yearly => i64::from(at.year()),
            Freq::Monthly => i64::from(at.year()) * 12 + month - 1,
            Freq::Weekly => julian - (julian - i64::from(self.rule.week_start)).rem_euclid(7),
            Freq::Daily => julian,
            Freq::Hourly => seconds(at).div_euclid(3600) * 3600,
            Freq::Minutely => seconds(at).div_euclid(60) * 60,
            Freq::Secondly => seconds(at),
        }
    }

    /// Moves on to the period at or before a time, without loading those between.
    pub(super) fn skip_to(&mut self, at: PrimitiveDateTime) {
        let periods = (self.period_of(at) - self.at).div_euclid(self.step);
        if periods > 0 {
            self.at += periods * self.step;
            self.days.clear();
        }
    }

    /// What a rule says that has found nothing more: its trouble, unless it had ended by `until` before
    /// the search did; two days are left for the offset of a zone.
    pub(super) fn unless_over<T>(
        &self,
        until: Option<PrimitiveDateTime>,
        why: BadRule,
    ) -> Option<Result<T, BadRule>> {
        let end = until.map(|until| seconds(until) + 2 * DAY);
        let over = end.is_some_and(|end| self.reached().is_none_or(|at| at > end));
        (!over).then_some(Err(why))
    }

    /// Where the next period begins, in seconds; `None` beyond the calendar.
    fn reached(&self) -> Option<i64> {
        let day = |date: Date| i64::from(date.to_julian_day()) * DAY;
        match self.rule.freq {
            Freq::Yearly => {
                let year = i32::try_from(self.at).ok()?;
                Date::from_ordinal_date(year, 1).ok().map(day)
            }
            Freq::Monthly => {
                let year = i32::try_from(self.at.div_euclid(12)).ok()?;
                let month = Month::try_from(u8::try_from(self.at.rem_euclid(12) + 1).ok()?).ok()?;
                Date::from_calendar_date(year, month, 1).ok().map(day)
            }
            Freq::Weekly | Freq::Daily => self.at.checked_mul(DAY),
            _ => Some(self.at),
        }
    }

    /// Places in the loaded period.
    fn places(&self) -> usize {
        match &self.picks {
            Some(picks) => picks.len(),
            None => self.days.len() * self.offsets.len(),
        }
    }

    fn value(&self, place: usize) -> Option<i64> {
        let place = match &self.picks {
            Some(picks) => *picks.get(place)?,
            None => place,
        };
        let day = self.days.get(place.checked_div(self.offsets.len())?)?;
        let offset = self.offsets.get(place % self.offsets.len())?;
        Some(i64::from(*day) * DAY + self.base + i64::from(*offset))
    }

    /// Loads the period at `at` and moves `at` on. `None` at the end of the calendar.
    fn load(&mut self) -> Option<()> {
        self.days.clear();
        self.base = 0;
        match self.rule.freq {
            Freq::Yearly => {
                let year = i32::try_from(self.at).ok()?;
                let mut first = Date::from_ordinal_date(year, 1).ok()?.to_julian_day();
                let mut ordinal = 1;
                for month in 1..=12 {
                    let length = self.month(year, month, first, ordinal)?;
                    first += i32::from(length);
                    ordinal += u16::from(length);
                }
            }
            Freq::Monthly => {
                let year = i32::try_from(self.at.div_euclid(12)).ok()?;
                let month = u8::try_from(self.at.rem_euclid(12) + 1).ok()?;
                let name = Month::try_from(month).ok()?;
                let first = Date::from_calendar_date(year, name, 1).ok()?;
                self.month(year, month, first.to_julian_day(), first.ordinal())?;
            }
            Freq::Weekly => {
                let first = i32::try_from(self.at).ok()?;
                // A week that runs over the calendar's end keeps the days it has.
                Date::from_julian_day(first).ok()?;
                for julian in first..first.saturating_add(7) {
                    self.try_day(julian);
                }
            }
            Freq::Daily => {
                let julian = i32::try_from(self.at).ok()?;
                Date::from_julian_day(julian).ok()?;
                self.try_day(julian);
            }
            _ => return self.load_clock(),
        }
        self.at = self.at.checked_add(self.step)?;
        Some(())
    }

    /// Takes the days of one month; its length, or `None` outside the calendar.
    fn month(&mut self, year: i32, month: u8, first: i32, ordinal: u16) -> Option<u8> {
        let length = Month::try_from(month).ok()?.length(year);
        self.looks += 1;
        if !self.rule.months.allows(u32::from(month)) {
            return Some(length);
        }
        self.looks += u32::from(length);
        for day in 1..=length {
            let julian = first + i32::from(day) - 1;
            if !self.can_take(julian) {
                continue;
            }
            let day = Day {
                julian,
                year,
                month,
                day,
                month_length: length,
                ordinal: ordinal + u16::from(day) - 1,
            };
            if self.rule.takes(&day) {
                self.days.push(day.julian);
            }
        }
        Some(length)
    }

    /// Whether the weekday of a day is one that the rule can take.
    fn can_take(&self, julian: i32) -> bool {
        self.weekdays >> julian.rem_euclid(7) & 1 == 1
    }

    fn try_day(&mut self, julian: i32) -> bool {
        self.looks += 1;
        if !self.can_take(julian) {
            return false;
        }
        let Ok(date) = Date::from_julian_day(julian) else {
            return false;
        };
        let day = Day {
            julian,
            year: date.year(),
            month: date.month().into(),
            day: date.day(),
            month_length: date.month().length(date.year()),
            ordinal: date.ordinal(),
        };
        let takes = self.rule.takes(&day);
        if takes {
            self.days.push(julian);
        }
        takes
    }

    /// A period shorter than a day. What the rule does not take is passed over by whole days, hours
    /// and minutes.
    fn load_clock(&mut self) -> Option<()> {
        let at = self.at;
        let julian = i32::try_from(at.div_euclid(DAY)).ok()?;
        Date::from_julian_day(julian).ok()?;
        let of_day = at.rem_euclid(DAY);
        let (hour, minute) = (of_day / 3600, of_day / 60 % 60);
        let fits = |marks: &Marks, at: i64| marks.allows(u32::try_from(at).unwrap_or(u32::MAX));
        let freq = self.rule.freq;
        let next = if !self.try_day(julian) {
            at - of_day + DAY
        } else if !fits(&self.rule.hours, hour) {
            at - of_day + (hour + 1) * 3600
        } else if freq < Freq::Hourly && !fits(&self.rule.minutes, minute) {
            at - of_day + hour * 3600 + (minute + 1) * 60
        } else if freq == Freq::Secondly && !fits(&self.rule.seconds, of_day % 60) {
            at + 1
        } else {
            self.base = of_day;
            self.at = at.checked_add(self.step)?;
            return Some(());
        };
        self.days.clear();
        let steps = (next - at + self.step - 1).div_euclid(self.step).max(1);
        self.at = at.checked_add(steps.checked_mul(self.step)?)?;
        Some(())
    }

    /// Sets the places that count, and the first one not before the start.
    fn open(&mut self) {
        self.picks = None;
        if !self.rule.set_pos.is_empty() {
            let all = self.places() as i64;
            let place = |at: &i16| {
                let at = i64::from(*at);
                let place = if at > 0 { at - 1 } else { all + at };
                usize::try_from(place).ok().filter(|_| place < all)
            };
            let mut picks: Vec<usize> = self.rule.set_pos.iter().filter_map(place).collect();
            picks.sort_unstable();
            picks.dedup();
            self.picks = Some(picks);
        }
        let (mut low, mut high) = (0, self.places());
        if self.value(0).is_some_and(|first| first >= self.start) {
            high = 0;
        }
        while low < high {
            let middle = low + (high - low) / 2;
            if self.value(middle).is_some_and(|at| at < self.start) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        self.place = low;
    }
}

impl Iterator for Engine {
    type Item = Result<PrimitiveDateTime, BadRule>;

    fn next(&mut self) -> Option<Self::Item> {
        while !self.over {
            if let Some(at) = self.value(self.place) {
                self.place += 1;
                self.looks = 0;
                return moment(at).map(Ok);
            }
            if self.looks > LOOKS {
                self.end();
                return Some(Err(bad(
                    "the rule",
                    "names no further date among the next 200 000 days or steps",
                )));
            }
            match self.load() {
                Some(()) => self.open(),
                None => self.end(),
            }
        }
        None
    }
}

fn seconds(at: PrimitiveDateTime) -> i64 {
    let (hour, minute, second) = at.as_hms();
    let of_day = i64::from(hour) * 3600 + i64::from(minute) * 60 + i64::from(second);
    i64::from(at.date().to_julian_day()) * DAY + of_day
}

fn moment(at: i64) -> Option<PrimitiveDateTime> {
    let day = Date::from_julian_day(i32::try_from(at.div_euclid(DAY)).ok()?).ok()?;
    let of_day = u32::try_from(at.rem_euclid(DAY)).ok()?;
    let part = |value: u32| u8::try_from(value).ok();
    let time = Time::from_hms(
        part(of_day / 3600)?,
        part(of_day / 60 % 60)?,
        part(of_day % 60)?,
    );
    Some(PrimitiveDateTime::new(day, time.ok()?))
}
