//! A feed as text, by RFC 5545 with the hints of RFC 7986.

use super::events::{Thing, Told};
use crate::clock::Millis;
use icalendar::{Calendar, Component, Event, Property};
use time::Date;

/// What stands around the events.
pub struct Around<'a> {
    /// The shop's own word in every name of an event.
    pub uid: &'a str,
    pub feed: i64,
    pub name: &'a str,
    pub zone: &'a str,
    /// The address of the program's pages, without a slash at its end.
    pub pages: &'a str,
}

/// The text of a feed: the same events give the same text, to the byte.
pub fn text(around: &Around<'_>, events: &[Told]) -> String {
    let mut calendar = Calendar::empty();
    for (name, value) in [
        ("VERSION", "2.0"),
        ("PRODID", "-//Brasstag//Calendar feed//EN"),
        ("CALSCALE", "GREGORIAN"),
    ] {
        calendar.append_property(Property::new(name, value));
    }
    // The library escapes what it knows to be text, and it does not know these.
    let name = escaped(around.name);
    for title in ["NAME", "X-WR-CALNAME"] {
        calendar.append_property(Property::new(title, &name));
    }
    calendar.append_property(Property::new("X-WR-TIMEZONE", around.zone));
    let uid = format!("feed-{}@{}", around.feed, around.uid);
    calendar.append_property(Property::new("UID", uid));
    if let Some(at) = events.iter().map(|told| told.changed_at).max() {
        calendar.append_property(Property::new("LAST-MODIFIED", instant(at)));
    }
    let mut hour = Property::new("REFRESH-INTERVAL", "PT1H");
    calendar.append_property(hour.add_parameter("VALUE", "DURATION").done());
    calendar.append_property(Property::new("X-PUBLISHED-TTL", "PT1H"));
    for told in events {
        calendar.push(event(around, told));
    }
    folded(&calendar.to_string())
}

/// Lines of 75 octets at most, broken between characters (RFC 5545, 3.1). The library counts some wide
/// characters short, so its own breaks are taken out first.
fn folded(text: &str) -> String {
    const MOST: usize = 75;
    let mut out = String::with_capacity(text.len() + text.len() / 60);
    for line in text.replace("\r\n ", "").split_inclusive("\r\n") {
        let mut length = 0;
        for c in line.trim_end_matches("\r\n").chars() {
            if length + c.len_utf8() > MOST {
                out.push_str("\r\n ");
                length = 1;
            }
            out.push(c);
            length += c.len_utf8();
        }
        out.push_str("\r\n");
    }
    out
}

fn event(around: &Around<'_>, told: &Told) -> Event {
    let mut event = Event::new();
    let uid = format!(
        "{}-{}@{}",
        told.thing.word(),
        told.thing.number(),
        around.uid
    );
    // Without METHOD the stamp is when the event was last revised (RFC 5545, 3.8.7.2).
    let at = instant(told.changed_at);
    event.add_property("UID", uid);
    event.add_property("DTSTAMP", &at);
    event.add_property("LAST-MODIFIED", &at);
    event.add_property("SEQUENCE", told.sequence.to_string());
    // A whole day on the shop's calendar; the end is the first day after it (3.6.1).
    for (name, date) in [
        ("DTSTART", Some(told.says.on_day)),
        ("DTEND", told.says.on_day.next_day()),
    ] {
        if let Some(date) = date {
            let mut property = Property::new(name, day(date));
            event.append_property(property.add_parameter("VALUE", "DATE").done());
        }
    }
    event.add_property("SUMMARY", &told.says.summary);
    if !told.says.place.is_empty() {
        event.add_property("LOCATION", &told.says.place);
    }
    let page = match told.thing {
        Thing::Job(id) => format!("{}/jobs/{id}", around.pages),
        Thing::Due(_) => format!("{}/rounds", around.pages),
    };
    event.add_property("URL", page);
    let status = match (told.cancelled, told.says.waits) {
        (true, _) => "CANCELLED",
        (false, true) => "TENTATIVE",
        (false, false) => "CONFIRMED",
    };
    event.add_property("STATUS", status);
    event.add_property("CLASS", "PRIVATE");
    // It takes no hour of the day.
    event.add_property("TRANSP", "TRANSPARENT");
    event.done()
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\\' | ',' | ';') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

fn day(date: Date) -> String {
    format!(
        "{:04}{:02}{:02}",
        date.year(),
        u8::from(date.month()),
        date.day()
    )
}

/// An instant in UTC, in whole seconds.
fn instant(at: Millis) -> String {
    let at = time::OffsetDateTime::from_unix_timestamp(at.div_euclid(1000))
        .unwrap_or(time::OffsetDateTime::UNIX_EPOCH);
    let (hour, minute, second) = at.to_hms();
    format!("{}T{hour:02}{minute:02}{second:02}Z", day(at.date()))
}

#[cfg(test)]
mod tests {
    use super::super::events::Says;
    use super::*;
    use proptest::prelude::*;
    use time::macros::date;

    fn told(summary: &str) -> Told {
        Told {
            thing: Thing::Job(7),
            says: Says {
                on_day: date!(2026 - 12 - 31),
                summary: summary.to_owned(),
                place: String::new(),
                waits: false,
            },
            cancelled: false,
            sequence: 3,
            changed_at: 1_795_608_000_999,
        }
    }

    fn written(name: &str, summary: &str) -> String {
        let around = Around {
            uid: "u",
            feed: 1,
            name,
            zone: "America/Chicago",
            pages: "https://shop.example",
        };
        text(&around, &[told(summary)])
    }

    #[test]
    fn a_day_ends_where_the_next_begins() {
        let text = written("Mill", "Job 7");
        for line in [
            "DTSTART;VALUE=DATE:20261231\r\n",
            "DTEND;VALUE=DATE:20270101\r\n",
            "DTSTAMP:20261125T120000Z\r\n",
            "UID:job-7@u\r\n",
            "SEQUENCE:3\r\n",
            "REFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n",
        ] {
            assert!(text.contains(line), "{line} in {text}");
        }
        assert_eq!(text, written("Mill", "Job 7"), "the same to the byte");
    }

    proptest! {
        #[test]
        fn lines_are_short_and_whole_whatever_is_written(name in "\\PC{0,120}", summary in "\\PC{0,200}") {
            let text = written(&name, &summary);
            prop_assert!(text.ends_with("END:VCALENDAR\r\n"));
            let lines: Vec<&str> = text.split("\r\n").collect();
            prop_assert!(lines.iter().all(|line| line.len() <= 75), "75 octets at most");
            prop_assert!(lines.iter().all(|line| !line.contains('\n')));
            let count = |line: &str| lines.iter().filter(|l| **l == line).count();
            prop_assert_eq!(count("BEGIN:VEVENT"), 1);
        }
    }
}
