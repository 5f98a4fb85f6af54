//! What people can be told, and how soon.

use crate::clock::{Millis, Zone};
use crate::people::Role;

/// A kind of news.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Handed,
    HoldEnded,
    Lock,
    Report,
    Overdue,
    DueSoon,
}

impl Kind {
    pub const ALL: [Kind; 6] = [
        Kind::Handed,
        Kind::HoldEnded,
        Kind::Lock,
        Kind::Report,
        Kind::Overdue,
        Kind::DueSoon,
    ];

    /// The word in the database.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Handed => "handed",
            Kind::HoldEnded => "hold_ended",
            Kind::Lock => "lock",
            Kind::Report => "report",
            Kind::Overdue => "overdue",
            Kind::DueSoon => "due_soon",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Kind::Handed => "A job is handed to me",
            Kind::HoldEnded => "A job of mine goes on after waiting",
            Kind::Lock => "A lock stands at the end of the shift",
            Kind::Report => "A report came in",
            Kind::Overdue => "Work is overdue",
            Kind::DueSoon => "Planned work falls due within seven days",
        }
    }

    pub fn open_to(self, role: Role) -> bool {
        match self {
            Kind::Handed | Kind::HoldEnded | Kind::Lock | Kind::Overdue => {
                matches!(role, Role::Technician | Role::Supervisor)
            }
            Kind::Report | Kind::DueSoon => role == Role::Supervisor,
        }
    }

    /// What somebody with an address gets who chose nothing.
    pub fn usual(self) -> Way {
        match self {
            Kind::Overdue | Kind::DueSoon => Way::Digest,
            Kind::Handed | Kind::HoldEnded | Kind::Lock | Kind::Report => Way::AtOnce,
        }
    }
}

/// How soon.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    AtOnce,
    Digest,
    Nothing,
}

pub const WAYS: [(&str, &str); 3] = [
    ("at_once", "at once"),
    ("digest", "once a day"),
    ("nothing", "not by mail"),
];

impl Way {
    pub fn word(self) -> &'static str {
        match self {
            Way::AtOnce => "at_once",
            Way::Digest => "digest",
            Way::Nothing => "nothing",
        }
    }

    pub fn named(word: &str) -> Option<Way> {
        [Way::AtOnce, Way::Digest, Way::Nothing]
            .into_iter()
            .find(|way| way.word() == word)
    }
}

/// The next time the shop's clock shows this hour, after now. On the day on which the clock leaves the
/// hour out it is the hour after; where it shows the hour twice, the first one.
pub fn next_digest(zone: &Zone, hour: i64, now: Millis) -> Millis {
    let hour = u8::try_from(hour).unwrap_or(6).min(23);
    let today = zone.date(now);
    let days = [Some(today), today.next_day()].into_iter().flatten();
    days.filter_map(|day| zone.instant(day, hour, 0))
        .find(|at| *at > now)
        .unwrap_or(now)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::{DAY, HOUR, MINUTE};
    use time::macros::date;

    fn chicago() -> Zone {
        Zone::named("America/Chicago").expect("zone database is built in")
    }

    #[test]
    fn a_digest_comes_once_a_day_also_when_the_clock_changes() {
        let zone = chicago();
        // Spring: 2 o'clock is left out on 8 March 2026; autumn: 1 o'clock comes twice on 1 November.
        for (start, hour) in [(date!(2026 - 03 - 05), 2), (date!(2026 - 10 - 29), 1)] {
            let mut now = zone.instant(start, 12, 0).expect("noon");
            let mut days = Vec::new();
            for _ in 0..7 {
                let next = next_digest(&zone, hour, now);
                assert!(next > now && next - now <= DAY + HOUR);
                // Asked again in between, it is the same one.
                assert_eq!(next_digest(&zone, hour, next - MINUTE), next);
                days.push(zone.date(next));
                now = next;
            }
            let expected: Vec<_> = (1..=7).map(|n| start + time::Duration::days(n)).collect();
            assert_eq!(days, expected, "hour {hour}");
        }
    }

    #[test]
    fn the_hour_is_the_shops() {
        let zone = chicago();
        let now = zone
            .instant(date!(2026 - 11 - 25), 5, 59)
            .expect("before six");
        assert_eq!(
            zone.minute_words(next_digest(&zone, 6, now)),
            "25 Nov 2026 06:00"
        );
        let six = next_digest(&zone, 6, now);
        assert_eq!(
            zone.minute_words(next_digest(&zone, 6, six)),
            "26 Nov 2026 06:00"
        );
    }
}
