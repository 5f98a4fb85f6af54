//! The one place that asks what time it is, and the shop's time zone.

use jiff::tz::TimeZone;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use time::{Date, Month};

/// Milliseconds since 1970 UTC.
pub type Millis = i64;

pub const MINUTE: Millis = 60_000;
pub const HOUR: Millis = 60 * MINUTE;
pub const DAY: Millis = 24 * HOUR;

/// Where the time comes from: the machine, or a test.
#[derive(Clone, Debug)]
pub enum Clock {
    System,
    Fixed(Arc<AtomicI64>),
}

impl Clock {
    pub fn fixed(at: Millis) -> Self {
        Clock::Fixed(Arc::new(AtomicI64::new(at)))
    }

    #[expect(clippy::disallowed_methods, reason = "this is the clock")]
    pub fn now(&self) -> Millis {
        match self {
            Clock::System => jiff::Timestamp::now().as_millisecond(),
            Clock::Fixed(at) => at.load(Ordering::Relaxed),
        }
    }

    /// Moves a fixed clock on; the system's own clock cannot be moved.
    pub fn advance(&self, by: Millis) {
        if let Clock::Fixed(at) = self {
            at.fetch_add(by, Ordering::Relaxed);
        }
    }
}

/// The shop's time zone: one, chosen at set-up.
#[derive(Clone, Debug)]
pub struct Zone(TimeZone);

impl Zone {
    pub fn utc() -> Self {
        Zone(TimeZone::UTC)
    }

    /// `None` where the name is not in the zone database.
    pub fn named(name: &str) -> Option<Self> {
        TimeZone::get(name).ok().map(Zone)
    }

    fn at(&self, at: Millis) -> jiff::ZonedDateTime {
        jiff::Timestamp::from_millisecond(at)
            .unwrap_or_default()
            .to_zoned_datetime(self.0.clone())
    }

    /// The day on the shop's wall calendar.
    pub fn date(&self, at: Millis) -> Date {
        let local = self.at(at);
        let month = Month::try_from(local.month() as u8).unwrap_or(Month::January);
        Date::from_calendar_date(i32::from(local.year()), month, local.day() as u8)
            .unwrap_or(Date::MIN)
    }

    /// The instant of a wall-clock time on a day; in a gap of the clock the one after it, and the
    /// first of two.
    pub fn instant(&self, day: Date, hour: u8, minute: u8) -> Option<Millis> {
        let at = jiff::civil::DateTime::new(
            i16::try_from(day.year()).ok()?,
            u8::from(day.month()) as i8,
            day.day() as i8,
            i8::try_from(hour).ok()?,
            i8::try_from(minute).ok()?,
            0,
            0,
        )
        .ok()?;
        let zoned = self.0.to_ambiguous_zoned_datetime(at).compatible().ok()?;
        Some(zoned.timestamp().as_millisecond())
    }

    /// `25 Nov 2026 14:05`
    pub fn minute_words(&self, at: Millis) -> String {
        self.at(at).strftime("%-d %b %Y %H:%M").to_string()
    }

    /// `14:05`
    pub fn time_words(&self, at: Millis) -> String {
        self.at(at).strftime("%H:%M").to_string()
    }
}

/// `Wed 25 Nov 2026`
pub fn date_words(date: Date) -> String {
    let weekday = &date.weekday().to_string()[..3];
    let month = &date.month().to_string()[..3];
    format!("{weekday} {} {month} {}", date.day(), date.year())
}

/// `2026-11-25`, as date inputs want it.
pub fn date_value(date: Date) -> String {
    format!(
        "{:04}-{:02}-{:02}",
        date.year(),
        u8::from(date.month()),
        date.day()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_day_follows_the_shops_zone() {
        let late = 1_793_577_600_000 + 23 * HOUR + 30 * MINUTE; // 2026-11-02 23:30 UTC
        assert_eq!(date_value(Zone::utc().date(late)), "2026-11-02");
        let east = Zone::named("Asia/Tokyo").expect("zone database is built in");
        assert_eq!(date_value(east.date(late)), "2026-11-03");
        assert_eq!(date_words(east.date(late)), "Tue 3 Nov 2026");
        assert!(Zone::named("Nowhere/Here").is_none());
    }
}
