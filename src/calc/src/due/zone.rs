//! Wall clocks and UTC: the only place of this crate that knows time zones.
//!
//! The database is the one compiled in, so that the same question has the same answer on every
//! machine. A wall-clock time in a gap takes the offset before the gap; one in an overlap is the
//! first of the two. Source: RFC 5545 3.3.5.

use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::{AmbiguousOffset, Offset, TimeZone, TimeZoneDatabase};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use time::{Duration, OffsetDateTime, PrimitiveDateTime, UtcOffset};

static DATABASE: LazyLock<TimeZoneDatabase> = LazyLock::new(TimeZoneDatabase::bundled);

/// A time zone by its name in the public database.
#[derive(Clone, Debug)]
pub struct Zone(TimeZone);

/// Why a time cannot be converted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadZone {
    /// No such zone.
    #[error("there is no time zone named {0}; give one such as America/New_York")]
    Unknown(String),
    /// The time lies outside the years that have time zones.
    #[error("the time lies outside the calendar")]
    Calendar,
}

/// What the clocks did at a wall-clock time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Clock {
    /// It came once.
    Normal,
    /// It was left out when the clocks went forward.
    Gap,
    /// It came twice when the clocks went back.
    Overlap,
}

impl Clock {
    /// The word of the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Clock::Normal => "normal",
            Clock::Gap => "gap",
            Clock::Overlap => "overlap",
        }
    }
}

/// A wall-clock time, converted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The same in UTC.
    pub utc: PrimitiveDateTime,
    /// What a clock on the wall shows at that instant.
    pub local: OffsetDateTime,
    /// What the clocks did.
    pub clock: Clock,
}

impl Zone {
    /// The zone of this name, such as `America/New_York`, in any case.
    /// # Errors
    /// [`BadZone::Unknown`].
    pub fn named(name: &str) -> Result<Zone, BadZone> {
        let unknown = || BadZone::Unknown(name.trim().chars().take(60).collect());
        DATABASE.get(name.trim()).map(Zone).map_err(|_| unknown())
    }

    /// UTC of a wall-clock time. Source: RFC 5545 3.3.5.
    /// # Errors
    /// [`BadZone::Calendar`].
    pub fn to_utc(&self, wall: PrimitiveDateTime) -> Result<Shown, BadZone> {
        let civil = civil(wall)?;
        let (offset, clock) = match self.0.to_ambiguous_timestamp(civil).offset() {
            AmbiguousOffset::Unambiguous { offset } => (offset, Clock::Normal),
            AmbiguousOffset::Gap { before, .. } => (before, Clock::Gap),
            AmbiguousOffset::Fold { before, .. } => (before, Clock::Overlap),
        };
        let utc = wall
            .checked_sub(Duration::seconds(i64::from(offset.seconds())))
            .ok_or(BadZone::Calendar)?;
        let local = self.to_local(utc)?;
        Ok(Shown { utc, local, clock })
    }

    /// What a clock on the wall shows at a time of UTC.
    /// # Errors
    /// [`BadZone::Calendar`].
    pub fn to_local(&self, utc: PrimitiveDateTime) -> Result<OffsetDateTime, BadZone> {
        let seconds = utc.assume_utc().unix_timestamp();
        let at = Timestamp::from_second(seconds).map_err(|_| BadZone::Calendar)?;
        let offset = utc_offset(self.0.to_offset(at))?;
        utc.assume_utc()
            .checked_to_offset(offset)
            .ok_or(BadZone::Calendar)
    }
}

fn utc_offset(offset: Offset) -> Result<UtcOffset, BadZone> {
    UtcOffset::from_whole_seconds(offset.seconds()).map_err(|_| BadZone::Calendar)
}

fn civil(wall: PrimitiveDateTime) -> Result<DateTime, BadZone> {
    let year = i16::try_from(wall.year()).map_err(|_| BadZone::Calendar)?;
    let part = |value: u8| i8::try_from(value).map_err(|_| BadZone::Calendar);
    let (hour, minute, second) = wall.as_hms();
    DateTime::new(
        year,
        part(wall.month().into())?,
        part(wall.day())?,
        part(hour)?,
        part(minute)?,
        part(second)?,
        0,
    )
    .map_err(|_| BadZone::Calendar)
}

/// Hours that pass between two wall-clock times of a zone, and the hours its clocks show between
/// them. Down time and run hours go by the first; due dates go by the calendar.
/// Source: common practice.
/// # Errors
/// [`BadZone::Calendar`].
pub fn elapsed_hours(
    zone: &Zone,
    from: PrimitiveDateTime,
    to: PrimitiveDateTime,
) -> Result<(f64, f64), BadZone> {
    let passed = zone.to_utc(to)?.utc - zone.to_utc(from)?.utc;
    let shown = to - from;
    let hours = |span: Duration| span.whole_seconds() as f64 / 3600.0;
    Ok((hours(passed), hours(shown)))
}

/// `2024-03-10T07:30:00`, without an offset.
pub fn wall_text(at: PrimitiveDateTime) -> String {
    let (hour, minute, second) = at.as_hms();
    format!("{}T{hour:02}:{minute:02}:{second:02}", at.date())
}

/// `2024-03-10T03:30:00-04:00`; an offset that has seconds shows them.
pub fn local_text(at: OffsetDateTime) -> String {
    let wall = wall_text(PrimitiveDateTime::new(at.date(), at.time()));
    let (hour, minute, second) = at.offset().as_hms();
    let sign = if at.offset().is_negative() { '-' } else { '+' };
    let (hour, minute) = (hour.unsigned_abs(), minute.unsigned_abs());
    match second.unsigned_abs() {
        0 => format!("{wall}{sign}{hour:02}:{minute:02}"),
        second => format!("{wall}{sign}{hour:02}:{minute:02}:{second:02}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    #[test]
    fn zones_are_known_by_name_or_refused() {
        assert!(Zone::named(" america/new_york ").is_ok());
        let why = Zone::named("Mars/Base").map(|_| ()).unwrap_err();
        assert_eq!(
            why.to_string(),
            "there is no time zone named Mars/Base; give one such as America/New_York"
        );
        assert!(Zone::named("").is_err());
    }

    #[test]
    fn hours_that_pass_are_not_those_of_the_clock() {
        let zone = Zone::named("America/New_York").expect("a zone");
        let night = |from, to| elapsed_hours(&zone, from, to).expect("hours");
        let spring = night(datetime!(2024-03-09 19:00), datetime!(2024-03-10 07:00));
        assert_eq!(spring, (11.0, 12.0));
        let autumn = night(datetime!(2024-11-02 19:00), datetime!(2024-11-03 07:00));
        assert_eq!(autumn, (13.0, 12.0));
    }

    #[test]
    fn offsets_of_old_clocks_show_their_seconds() {
        let zone = Zone::named("America/New_York").expect("a zone");
        let shown = zone.to_utc(datetime!(1880-01-01 12:00)).expect("a time");
        assert_eq!(local_text(shown.local), "1880-01-01T12:00:00-04:56:02");
        assert_eq!(wall_text(shown.utc), "1880-01-01T16:56:02");
    }
}
