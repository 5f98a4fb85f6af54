//! Where the time from failure to restoration went: waiting, and work, kept apart.

use super::spells::{self, Found};
use super::{finite, sig};
use crate::shown::{Fill, ask, line};
use crate::working::Working;

const SOURCE: &str = "IEC 60050-192, figures 1 and 2 (192-07-02, 192-07-04)";

/// The kinds of time between failure and restoration, in the order of the standard's figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// From the failure to somebody knowing of it.
    Detection,
    /// Waiting on people and papers: unread report, approval, access.
    Administrative,
    /// Waiting on parts, tools, crew, lift, weather; travel.
    Logistic,
    /// Making it dead, cooling, setting up, opening.
    Technical,
    /// Finding where.
    Localization,
    /// Finding what.
    Diagnosis,
    /// The fix.
    Correction,
    /// Proving it.
    Checkout,
}

impl Kind {
    /// All, in order.
    pub const ALL: [Kind; 8] = [
        Kind::Detection,
        Kind::Administrative,
        Kind::Logistic,
        Kind::Technical,
        Kind::Localization,
        Kind::Diagnosis,
        Kind::Correction,
        Kind::Checkout,
    ];

    /// Its name in questions and answers.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Detection => "fault_detection",
            Kind::Administrative => "administrative_delay",
            Kind::Logistic => "logistic_delay",
            Kind::Technical => "technical_delay",
            Kind::Localization => "localization",
            Kind::Diagnosis => "diagnosis",
            Kind::Correction => "correction",
            Kind::Checkout => "checkout",
        }
    }

    /// What people read.
    pub fn label(self) -> &'static str {
        match self {
            Kind::Detection => "Fault detection",
            Kind::Administrative => "Administrative delay",
            Kind::Logistic => "Logistic delay",
            Kind::Technical => "Technical delay",
            Kind::Localization => "Fault localization",
            Kind::Diagnosis => "Fault diagnosis",
            Kind::Correction => "Fault correction",
            Kind::Checkout => "Function checkout",
        }
    }

    /// The kind of this name.
    pub fn of(name: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// Which kind an hour belongs to where two are written for it: work before waiting, and among
    /// work what is furthest along. Source: common practice.
    pub(crate) fn rank(self) -> usize {
        Kind::ALL.iter().position(|kind| *kind == self).unwrap_or(0)
    }
}

/// The four times of the standard, in hours; one whose kinds are not all known is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Times {
    /// Hours of each kind, in the order of [`Kind::ALL`]; `None` is unknown, never zero.
    pub kinds: [Option<f64>; 8],
    /// Time to restoration: all of them.
    pub restoration: Option<f64>,
    /// Maintenance time: all but detection and administrative delay.
    pub maintenance: Option<f64>,
    /// Active corrective maintenance time: maintenance time less logistic delay.
    pub active: Option<f64>,
    /// Repair time: localization, diagnosis, correction and checkout.
    pub repair: Option<f64>,
}

/// Adds the kinds up to the four times of the standard; hours zero or above.
///
/// A sum with an unknown kind in it is unknown. A negative or endless figure counts as unknown.
/// Source: IEC 60050-192 figures 1 and 2.
pub fn split(kinds: [Option<f64>; 8]) -> Times {
    let kinds = kinds.map(|hours| hours.filter(|h| *h >= 0.0 && h.is_finite()));
    let sum = |from: Kind| {
        let all: Option<f64> = kinds[from.rank()..].iter().copied().sum();
        finite(all?)
    };
    Times {
        kinds,
        restoration: sum(Kind::Detection),
        maintenance: sum(Kind::Logistic),
        active: sum(Kind::Technical),
        repair: sum(Kind::Localization),
    }
}

/// The split as lines; `found` where it comes from written stretches.
pub fn working(times: &Times, found: Option<&Found>) -> Working {
    let mut working = Working::new("Time from failure to restoration");
    for (kind, hours) in Kind::ALL.into_iter().zip(times.kinds) {
        let shown = line(kind.name(), kind.label());
        match hours {
            Some(hours) => working.lines.push(shown.value(sig(hours), "h")),
            None => ask(
                &mut working,
                shown,
                format!("hours of {}", kind.label().to_lowercase()),
                "a sum with an unknown part in it is unknown",
                "take it from the times on the job; give 0 only where there was none",
            ),
        }
    }
    push_sums(&mut working, times);
    if let Some(found) = found {
        spells::push(&mut working, found);
    }
    working
}

fn push_sums(working: &mut Working, times: &Times) {
    let sums = [
        (
            "time_to_restoration",
            "Time to restoration",
            "all of it",
            times.restoration,
        ),
        (
            "maintenance_time",
            "Maintenance time",
            "without detection and administrative delay",
            times.maintenance,
        ),
        (
            "active_corrective_time",
            "Active corrective time",
            "without logistic delay too",
            times.active,
        ),
        (
            "repair_time",
            "Repair time",
            "without technical delay too",
            times.repair,
        ),
    ];
    for (key, label, rule, hours) in sums {
        if let Some(hours) = hours {
            working
                .lines
                .push(line(key, label).value(sig(hours), "h").rule(rule, SOURCE));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    #[test]
    fn an_unknown_part_makes_its_sums_unknown() {
        let some = Some(1.0);
        let times = split([some, None, Some(0.0), Some(0.0), some, some, some, some]);
        assert_eq!((times.restoration, times.repair), (None, Some(4.0)));
        assert_eq!(working(&times, None).missing.len(), 1);
    }

    proptest! {
        #[test]
        fn no_hours_panic(hours in vec(proptest::option::of(any::<f64>()), 8)) {
            let kinds: [Option<f64>; 8] = hours.try_into().expect("eight");
            let times = split(kinds);
            prop_assert!(times.restoration.is_none_or(f64::is_finite));
            working(&times, None);
        }
    }
}
