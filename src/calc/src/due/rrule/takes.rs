//! Which days a recurrence rule takes, what the start settles, and the times on a day.

use super::parts::{Day, Marks};
use super::{Freq, Recurrence};
use time::PrimitiveDateTime;

impl Recurrence {
    /// Whether the rule takes a day.
    pub(super) fn takes(&self, day: &Day) -> bool {
        let number = u32::from(day.day);
        let length = u32::from(day.month_length);
        self.months.allows(u32::from(day.month))
            && self.month_days.holds(number, length)
            && (!self.year_days.given()
                || self
                    .year_days
                    .holds(u32::from(day.ordinal), day.year_length()))
            && self.takes_weekday(day)
            && (!self.weeks.given() || {
                let (week, of) = day.week(self.week_start);
                self.weeks.holds(week, of)
            })
    }

    /// Weekdays that `BYDAY` names, Monday as the lowest bit; all where it names none.
    pub(super) fn weekdays_taken(&self) -> u8 {
        if self.nth.is_empty() && !self.weekdays.given() {
            return 0x7f;
        }
        let plain = self.weekdays.numbers(8).map(|n| n as u8 - 1);
        let named = self.nth.iter().map(|nth| nth.weekday);
        plain.chain(named).fold(0, |all, day| all | 1 << day)
    }

    fn takes_weekday(&self, day: &Day) -> bool {
        if self.nth.is_empty() && !self.weekdays.given() {
            return true;
        }
        let weekday = day.weekday();
        if self.weekdays.marked(u32::from(weekday) + 1) {
            return true;
        }
        // Counted in the year only where the rule is yearly and names no month.
        let in_year = self.freq == Freq::Yearly && !self.months.given();
        let (at, of) = if in_year {
            (u32::from(day.ordinal), day.year_length())
        } else {
            (u32::from(day.day), u32::from(day.month_length))
        };
        self.nth.iter().any(|nth| nth.is(weekday, at, of))
    }
}

/// What the rule does not say and the start settles (RFC 5545 3.3.10).
pub(super) fn filled(rule: &Recurrence, start: PrimitiveDateTime) -> Recurrence {
    let mut rule = rule.clone();
    let weekday = i32::from(start.weekday().number_from_monday());
    let days = rule.weekdays.given()
        || !rule.nth.is_empty()
        || rule.month_days.given()
        || rule.year_days.given();
    if !days {
        match rule.freq {
            Freq::Yearly if rule.weeks.given() => rule.weekdays = Marks::only(weekday),
            Freq::Yearly => {
                if !rule.months.given() {
                    rule.months = Marks::only(i32::from(u8::from(start.month())));
                }
                rule.month_days = Marks::only(i32::from(start.day()));
            }
            Freq::Monthly => rule.month_days = Marks::only(i32::from(start.day())),
            Freq::Weekly => rule.weekdays = Marks::only(weekday),
            _ => {}
        }
    }
    let settle = |marks: &mut Marks, longer: bool, at: u8| {
        if longer && !marks.given() {
            *marks = Marks::only(i32::from(at));
        }
    };
    settle(&mut rule.hours, rule.freq > Freq::Hourly, start.hour());
    settle(
        &mut rule.minutes,
        rule.freq > Freq::Minutely,
        start.minute(),
    );
    settle(
        &mut rule.seconds,
        rule.freq > Freq::Secondly,
        start.second(),
    );
    rule
}

/// The times of a period, from where it begins: at most the 86 400 seconds of a day.
pub(super) fn offsets(rule: &Recurrence) -> Vec<u32> {
    let list = |marks: &Marks, limit, within: bool| -> Vec<u32> {
        if within {
            vec![0]
        } else {
            marks.numbers(limit).collect()
        }
    };
    let hours = list(&rule.hours, 24, rule.freq <= Freq::Hourly);
    let minutes = list(&rule.minutes, 60, rule.freq <= Freq::Minutely);
    let seconds = list(&rule.seconds, 60, rule.freq <= Freq::Secondly);
    let mut offsets = Vec::new();
    for hour in &hours {
        for minute in &minutes {
            offsets.extend(seconds.iter().map(|s| hour * 3600 + minute * 60 + s));
        }
    }
    offsets
}
