//! What the last services of a plan say about its interval: pure.
//!
//! Each service is scored by what was found before anything was changed (as DOE-STD-1052 asks): the worst
//! part decides. Six good ones running suggest a longer interval; one bad one among the last two suggests
//! a shorter one. The counts are common practice; a person decides.

use time::Date;

/// How a service found the machine; the worst part decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AsFound {
    Good,
    /// Cleaned or adjusted, as a service does.
    Fair,
    /// Replaced, bad and left, or a reading as found outside its limits.
    Bad,
}

impl AsFound {
    pub fn words(self) -> &'static str {
        match self {
            AsFound::Good => "good",
            AsFound::Fair => "fair",
            AsFound::Bad => "bad",
        }
    }
}

/// One service, of a due item that was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Service {
    pub due_on: Date,
    pub done_on: Date,
    /// `None`: nothing was written down, or nothing was looked at.
    pub found: Option<AsFound>,
    /// A corrective job on the machine since the service before.
    pub failed_before: bool,
}

/// Good services running that suggest a longer interval.
pub const RUNNING: usize = 6;

/// What the services suggest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Says {
    Longer,
    Shorter,
    Keep,
    /// Not enough is written down.
    NotKnown,
}

impl Says {
    pub fn words(self) -> &'static str {
        match self {
            Says::Longer => "a longer interval may do",
            Says::Shorter => "a shorter interval is suggested",
            Says::Keep => "keep the interval",
            Says::NotKnown => "not enough is written down to tell",
        }
    }
}

/// What services with the newest first suggest. A service of which nothing is known breaks the run of good
/// ones and is never taken for good; so does a failure between two services.
pub fn says(services: &[Service]) -> Says {
    let known: Vec<AsFound> = services
        .iter()
        .filter_map(|service| service.found)
        .collect();
    let bad = services
        .iter()
        .take(2)
        .any(|s| s.found == Some(AsFound::Bad));
    if bad {
        return Says::Shorter;
    }
    let good = |service: &&Service| service.found == Some(AsFound::Good) && !service.failed_before;
    match services.iter().take_while(good).count() {
        running if running >= RUNNING => Says::Longer,
        _ if known.len() >= 3 => Says::Keep,
        _ => Says::NotKnown,
    }
}

/// Days early and late over the services.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Drift {
    pub services: i64,
    pub early: i64,
    pub late: i64,
    /// All days late less all days early: so far have the dates of a floating plan moved.
    pub days: i64,
}

pub fn drift(services: &[Service]) -> Drift {
    let mut drift = Drift::default();
    for service in services {
        let days = (service.done_on - service.due_on).whole_days();
        drift.services += 1;
        drift.early += i64::from(days < 0);
        drift.late += i64::from(days > 0);
        drift.days += days;
    }
    drift
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use time::Duration;
    use time::macros::date;

    fn service(found: Option<AsFound>, late: i64) -> Service {
        let due_on = date!(2026 - 06 - 01);
        Service {
            due_on,
            done_on: due_on + Duration::days(late),
            found,
            failed_before: false,
        }
    }

    #[test]
    fn six_good_ones_running_suggest_longer_and_a_bad_one_shorter() {
        let good = service(Some(AsFound::Good), 0);
        let bad = service(Some(AsFound::Bad), 0);
        let blank = service(None, 0);
        assert_eq!(says(&[good; 6]), Says::Longer);
        assert_eq!(says(&[good; 5]), Says::Keep);
        assert_eq!(says(&[good, good]), Says::NotKnown);
        assert_eq!(says(&[good, bad, good, good, good, good]), Says::Shorter);
        assert_eq!(says(&[good, good, bad, good]), Says::Keep);
        let gap = [good, good, good, blank, good, good, good];
        assert_eq!(says(&gap), Says::Keep, "what is not known is not good");
        let mut failed = [good; 7];
        failed[2].failed_before = true;
        assert_eq!(says(&failed), Says::Keep, "it failed in between");
        assert_eq!(says(&[blank; 9]), Says::NotKnown);
    }

    #[test]
    fn days_early_do_not_hide_days_late() {
        let of = [service(None, 9), service(None, -4), service(None, 0)];
        let expected = Drift {
            services: 3,
            early: 1,
            late: 1,
            days: 5,
        };
        assert_eq!(drift(&of), expected);
    }

    proptest! {
        #[test]
        fn a_worse_finding_never_lengthens(found in prop::collection::vec(0..4_u8, 0..9), at in 0..9_usize) {
            let score = |n: u8| match n {
                0 => Some(AsFound::Good),
                1 => Some(AsFound::Fair),
                2 => Some(AsFound::Bad),
                _ => None,
            };
            let before: Vec<Service> = found.iter().map(|n| service(score(*n), 0)).collect();
            let mut after = before.clone();
            if let Some(worse) = after.get_mut(at) {
                worse.found = Some(AsFound::Bad);
            }
            prop_assert!(after == before || says(&after) != Says::Longer || says(&before) == Says::Longer);
        }
    }
}
