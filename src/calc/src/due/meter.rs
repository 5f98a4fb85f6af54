//! Run-hour and other meters: totals over a change of meter, readings to refuse, forecasts.

use super::NoDue;
use crate::shown::iso_date;
use serde::{Deserialize, Serialize};
use time::{Date, Duration};

/// One reading of a run-hour or other meter.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeterReading {
    /// Day of the reading.
    #[serde(with = "iso_date")]
    pub on: Date,
    /// What the meter showed.
    pub value: f64,
}

/// A machine's meter, oldest reading first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Meter {
    /// All readings, oldest first.
    pub readings: Vec<MeterReading>,
    /// Reading at the last service.
    pub last_service: Option<f64>,
}

/// A meter that was changed for another.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Replacement {
    /// Day of the change.
    #[serde(with = "iso_date")]
    pub on: Date,
    /// What the old meter showed at the end.
    pub old_final: f64,
    /// What the new one showed at the start.
    pub new_start: f64,
}

/// Readings as one running total, over changes of the meter and over its return to zero.
///
/// The total begins at the first reading and never falls: `(old final - last) + (reading - new
/// start)` over a change, `(full - last) + reading` where a meter that returns to zero at `full`
/// shows less than before. A change on the day of a reading comes after it where the reading is the
/// old meter's last, else before it. Source: common practice.
/// # Errors
/// [`NoDue::Readings`] where a reading falls without either, or days do not follow.
pub fn continuous(
    readings: &[MeterReading],
    changes: &[Replacement],
    full: Option<f64>,
) -> Result<Vec<MeterReading>, NoDue> {
    let mut changes = changes.to_vec();
    changes.sort_by_key(|change| change.on);
    let mut changes = changes.into_iter().peekable();
    let Some(first) = readings.first() else {
        return Ok(Vec::new());
    };
    // Changes before the first reading are behind it.
    while changes.next_if(|change| before(change, first)).is_some() {}
    let (mut at, mut total) = (first.value, first.value);
    let mut list = Vec::with_capacity(readings.len());
    let mut on = first.on;
    for reading in readings {
        if reading.on < on {
            return Err(NoDue::Readings);
        }
        while let Some(change) = changes.next_if(|change| before(change, reading)) {
            total += used(at, change.old_final, full)?;
            at = change.new_start;
        }
        total += used(at, reading.value, full)?;
        (at, on) = (reading.value, reading.on);
        if !total.is_finite() {
            return Err(NoDue::Readings);
        }
        list.push(MeterReading { on, value: total });
    }
    Ok(list)
}

/// Whether a change lies before a reading.
fn before(change: &Replacement, reading: &MeterReading) -> bool {
    change.on < reading.on || (change.on == reading.on && reading.value != change.old_final)
}

fn used(from: f64, to: f64, full: Option<f64>) -> Result<f64, NoDue> {
    if !(from.is_finite() && to.is_finite()) {
        return Err(NoDue::Readings);
    }
    match full {
        _ if to >= from => Ok(to - from),
        Some(full) if full.is_finite() && from <= full && to >= 0.0 => Ok(full - from + to),
        _ => Err(NoDue::Readings),
    }
}

/// Why a reading should be asked about before it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Refusal {
    /// Not a number.
    NotANumber,
    /// An earlier day than the reading before it.
    DatesOutOfOrder,
    /// At or above the figure at which the meter returns to zero.
    BeyondRollover,
    /// Less than the one before, with no change of meter or return to zero.
    Decreasing,
    /// More run hours than hours have passed.
    #[serde(rename = "more_than_24_hours_per_day")]
    MoreThanADay,
}

impl Refusal {
    /// The word of the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Refusal::NotANumber => "not_a_number",
            Refusal::DatesOutOfOrder => "dates_out_of_order",
            Refusal::BeyondRollover => "beyond_rollover",
            Refusal::Decreasing => "decreasing",
            Refusal::MoreThanADay => "more_than_24_hours_per_day",
        }
    }
}

/// The first thing wrong with a meter's readings; `hours` says that it counts run hours, which cannot
/// exceed 24 times the days between two readings (one day for two readings of the same day).
/// Source: common practice.
pub fn refusal(
    readings: &[MeterReading],
    changes: &[Replacement],
    full: Option<f64>,
    hours: bool,
) -> Option<Refusal> {
    if readings.iter().any(|reading| !reading.value.is_finite()) {
        return Some(Refusal::NotANumber);
    }
    if beyond_rollover(readings, full) {
        return Some(Refusal::BeyondRollover);
    }
    if readings.windows(2).any(|pair| pair[1].on < pair[0].on) {
        return Some(Refusal::DatesOutOfOrder);
    }
    let Ok(total) = continuous(readings, changes, full) else {
        return Some(Refusal::Decreasing);
    };
    let too_many = |pair: &[MeterReading]| {
        let days = (pair[1].on - pair[0].on).whole_days().max(1) as f64;
        pair[1].value - pair[0].value > 24.0 * days
    };
    (hours && total.windows(2).any(too_many)).then_some(Refusal::MoreThanADay)
}

/// Whether a reading is one that a meter which returns to zero at `full` cannot show.
/// Source: common practice.
pub fn beyond_rollover(readings: &[MeterReading], full: Option<f64>) -> bool {
    full.is_some_and(|full| readings.iter().any(|reading| reading.value >= full))
}

/// The first return to zero that would have used more than half the meter's range: a misread or
/// exchanged meter looks just like it, so that it is asked about. Source: common practice.
pub fn doubtful_return(readings: &[MeterReading], full: Option<f64>) -> Option<MeterReading> {
    let full = full?;
    let mut pairs = readings.windows(2);
    pairs
        .find(|pair| {
            pair[1].value < pair[0].value && full - pair[0].value + pair[1].value > full / 2.0
        })
        .map(|pair| pair[1])
}

/// What made work due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Trigger {
    /// The calendar.
    Calendar,
    /// The meter.
    Meter,
}

/// The earlier of a calendar date and a meter's forecast; the calendar where both name one day.
/// `None` where there is neither. Source: US Army TM 5-4520-208-15 and MIL-HDBK-1164, which both set
/// months or operating hours, whichever comes first.
pub fn whichever_first(calendar: Option<Date>, meter: Option<Date>) -> Option<(Date, Trigger)> {
    match (calendar, meter) {
        (Some(calendar), Some(meter)) if meter < calendar => Some((meter, Trigger::Meter)),
        (Some(calendar), _) => Some((calendar, Trigger::Calendar)),
        (None, meter) => meter.map(|meter| (meter, Trigger::Meter)),
    }
}

/// The readings of the last so many days, counted back from the newest; two at least where there are
/// two, so that a rate can be told. 90 days are common. Source: common practice.
pub fn recent(readings: &[MeterReading], days: u32) -> &[MeterReading] {
    let Some(last) = readings.last() else {
        return readings;
    };
    let old = |r: &MeterReading| (last.on - r.on).whole_days() > i64::from(days);
    let keep = readings.iter().take_while(|r| old(r)).count();
    &readings[keep.min(readings.len().saturating_sub(2))..]
}

/// Readings looked over once, for one forecast after another.
pub(super) struct Known<'a> {
    readings: &'a [MeterReading],
    /// Units a day from the first reading to the last; an error where they fall.
    rate: Result<f64, NoDue>,
}

impl<'a> Known<'a> {
    pub(super) fn of(readings: &'a [MeterReading]) -> Known<'a> {
        let falls =
            |pair: &[MeterReading]| pair[1].value < pair[0].value || pair[1].on < pair[0].on;
        let rate = match (readings.first(), readings.last()) {
            _ if readings.iter().any(|r| !r.value.is_finite()) => Err(NoDue::Readings),
            _ if readings.windows(2).any(falls) => Err(NoDue::Readings),
            (Some(first), Some(last)) => match (last.on - first.on).whole_days() {
                0 => Ok(0.0),
                days => Ok((last.value - first.value) / days as f64),
            },
            _ => Err(NoDue::NoForecast),
        };
        Known { readings, rate }
    }

    pub(super) fn forecast(
        &self,
        last_service: Option<f64>,
        every: f64,
    ) -> Result<(f64, f64, f64, Date), NoDue> {
        if !(every.is_finite() && every > 0.0) {
            return Err(NoDue::Interval);
        }
        let last_service = last_service
            .filter(|v| v.is_finite())
            .ok_or(NoDue::NoForecast)?;
        let rate = self.rate?;
        let last = self.readings.last().ok_or(NoDue::NoForecast)?;
        let due_at = last_service + every;
        let left = due_at - last.value;
        let passed = self.readings.partition_point(|r| r.value < due_at);
        if let Some(passed) = self.readings.get(passed) {
            return Ok((due_at, rate, left, passed.on));
        }
        if rate <= 0.0 {
            return Err(NoDue::NoForecast);
        }
        let days = (left / rate).ceil();
        // Beyond the calendar's own length a forecast says nothing.
        if !days.is_finite() || days > 4_000_000.0 {
            return Err(NoDue::Calendar);
        }
        let date = last.on.checked_add(Duration::days(days as i64));
        Ok((due_at, rate, left, date.ok_or(NoDue::Calendar)?))
    }

    /// What the meter will show when the work is done on a day; `None` stays so.
    pub(super) fn after_service(&self, last_service: Option<f64>, on: Date) -> Option<f64> {
        let (Ok(rate), Some(last)) = (self.rate, self.readings.last()) else {
            return last_service;
        };
        let days = (on - last.on).whole_days().max(0) as f64;
        last_service.map(|_| last.value + rate * days)
    }
}

/// A meter's forecast: (reading at which it is due, units a day, units left, date).
///
/// `date = last reading + ceil(left / rate)`, `rate` from the first to the last reading; passed
/// already: the date of the first reading that passed it. Source: common practice.
/// # Errors
/// [`NoDue`] where the readings fall or say too little.
pub fn forecast(meter: &Meter, every: f64) -> Result<(f64, f64, f64, Date), NoDue> {
    Known::of(&meter.readings).forecast(meter.last_service, every)
}

/// A meter's forecast, told as far as it can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// Reading at which it is due.
    pub due_at: f64,
    /// Units a day; `None` with readings of one day only.
    pub rate: Option<f64>,
    /// Units left; below zero it has passed.
    pub left: f64,
    /// The day; `None` where the meter does not move.
    pub on: Option<Date>,
}

/// As [`forecast`], with the rate from some readings only (see [`recent`]) or by a line through them,
/// and an answer even where the meter stands still. Source: common practice.
/// # Errors
/// [`NoDue`] where readings fall, there are none, or the interval is not above zero.
pub fn predict(
    all: &[MeterReading],
    rate_from: &[MeterReading],
    last_service: f64,
    every: f64,
    by_line: bool,
) -> Result<Prediction, NoDue> {
    let mut known = Known::of(all);
    let rate = Known::of(rate_from).rate?;
    let days = rate_from
        .first()
        .zip(rate_from.last())
        .map_or(0, |(first, last)| (last.on - first.on).whole_days());
    let rate = (days > 0).then(|| {
        let points = rate_from
            .iter()
            .map(|r| (f64::from(r.on.to_julian_day()), r.value));
        let line = || rate_least_squares(&points.collect::<Vec<_>>());
        by_line.then(line).flatten().unwrap_or(rate)
    });
    known.rate = known.rate.map(|_| rate.unwrap_or(0.0));
    let (due_at, on) = match known.forecast(Some(last_service), every) {
        Ok((due_at, .., on)) => (due_at, Some(on)),
        Err(NoDue::NoForecast | NoDue::Calendar) => (last_service + every, None),
        Err(why) => return Err(why),
    };
    let last = all.last().ok_or(NoDue::NoForecast)?;
    let left = due_at - last.value;
    Ok(Prediction {
        due_at,
        rate,
        left,
        on,
    })
}

/// The slope of readings over days by least squares, units a day. Source: textbook.
pub fn rate_least_squares(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len() as f64;
    let (sx, sy) = points
        .iter()
        .fold((0.0, 0.0), |(x, y), p| (x + p.0, y + p.1));
    let (mx, my) = (sx / n, sy / n);
    let over: f64 = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    let under: f64 = points.iter().map(|p| (p.0 - mx).powi(2)).sum();
    let slope = over / under;
    slope.is_finite().then_some(slope)
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn at(on: Date, value: f64) -> MeterReading {
        MeterReading { on, value }
    }

    #[test]
    fn a_change_and_a_return_to_zero_keep_the_total() {
        let readings = [
            at(date!(2024 - 01 - 01), 8200.0),
            at(date!(2024 - 01 - 20), 8390.0),
            at(date!(2024 - 01 - 31), 122.0),
        ];
        // The reading of the 20th is the old meter's last, so the change comes after it.
        let change = Replacement {
            on: date!(2024 - 01 - 20),
            old_final: 8390.0,
            new_start: 12.0,
        };
        let total = continuous(&readings, &[change], None).expect("a total");
        let values: Vec<f64> = total.iter().map(|r| r.value).collect();
        assert_eq!(values, [8200.0, 8390.0, 8500.0]);
        assert_eq!(continuous(&readings, &[], None), Err(NoDue::Readings));

        let over = [
            at(date!(2024 - 01 - 01), 99_950.0),
            at(date!(2024 - 01 - 11), 150.0),
        ];
        let total = continuous(&over, &[], Some(100_000.0)).expect("a total");
        assert_eq!(total[1].value, 100_150.0);
        assert_eq!(refusal(&over, &[], None, true), Some(Refusal::Decreasing));
        assert_eq!(refusal(&over, &[], Some(100_000.0), true), None);
    }

    #[test]
    fn a_reading_that_the_meter_cannot_show_and_a_doubtful_return() {
        let list = |a, b| [at(date!(2024 - 01 - 01), a), at(date!(2024 - 03 - 01), b)];
        let full = Some(10_000.0);
        assert!(beyond_rollover(&list(1.0, 10_000.0), full));
        assert!(!beyond_rollover(&list(1.0, 9_999.0), full));
        assert!(!beyond_rollover(&list(1.0, 10_000.0), None));
        let refused = refusal(&list(1.0, 12_000.0), &[], full, false);
        assert_eq!(refused, Some(Refusal::BeyondRollover));
        assert_eq!(doubtful_return(&list(9_900.0, 50.0), full), None);
        let doubted = doubtful_return(&list(5_000.0, 4_900.0), full);
        assert_eq!(doubted.map(|reading| reading.value), Some(4_900.0));
    }

    #[test]
    fn a_meter_that_stands_still_forecasts_nothing() {
        let still = [
            at(date!(2024 - 01 - 01), 10.0),
            at(date!(2024 - 02 - 01), 10.0),
        ];
        let meter = Meter {
            readings: still.to_vec(),
            last_service: Some(0.0),
        };
        assert_eq!(forecast(&meter, 500.0), Err(NoDue::NoForecast));
        let found = predict(&still, &still, 0.0, 500.0, false).expect("an answer");
        assert_eq!((found.rate, found.left, found.on), (Some(0.0), 490.0, None));
        let one = predict(&still[..1], &still[..1], 0.0, 500.0, false).expect("an answer");
        assert_eq!((one.rate, one.on), (None, None));
    }

    #[test]
    fn the_recent_past_makes_the_rate() {
        let readings = [
            at(date!(2023 - 01 - 01), 0.0),
            at(date!(2024 - 01 - 01), 100.0),
            at(date!(2024 - 03 - 01), 700.0),
        ];
        assert_eq!(recent(&readings, 90).len(), 2);
        assert_eq!(recent(&readings, 1).len(), 2);
        assert_eq!(recent(&readings, 4000).len(), 3);
        assert!(recent(&[], 90).is_empty());
        let fast = predict(&readings, recent(&readings, 90), 700.0, 100.0, false);
        assert_eq!(fast.expect("an answer").on, Some(date!(2024 - 03 - 11)));
    }
}
