//! The whole judgement of a repaired unit: trend first, then a rate that the trend allows.

use super::growth::{self, Estimate, PowerLaw};
use super::rate::{self, Rate};
use super::trend::{self, Finding, Trends};
use super::{Confidence, Ended, Refused, Sides, counts, sig, watched};
use crate::shown::{Fill, line};
use crate::working::Working;

/// The rate that may be quoted.
#[derive(Clone, Debug, PartialEq)]
pub enum Quoted {
    /// A constant rate; without failures a lower limit alone.
    Constant(Rate),
    /// The current rate of a unit that changes.
    Current(PowerLaw),
    /// A trend, but no current rate: why.
    Neither(&'static str),
}

/// What can be said of a repaired unit's failures.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// Failures.
    pub failures: u64,
    /// Age at the end.
    pub end: f64,
    /// The trend tests; `None` without an event to test.
    pub trends: Option<Trends>,
    /// What they find.
    pub finding: Finding,
    /// The rate that follows from it.
    pub quoted: Quoted,
}

/// Tests for a trend and gives the rate that it allows.
///
/// `events` are the ages of the unit at its failures (removals of parts are not failures), `end`
/// its age when watching ended. With a trend shown ([`Trends::finding`]) the current mean time
/// between failures of the power law, less biased estimate; else the constant rate with limits.
/// # Errors
/// See [`watched`].
/// Source: NIST/SEMATECH e-Handbook 8.2.3.4, 8.4.5.1 and 8.4.5.2.
pub fn judge(
    events: &[f64],
    end: Option<f64>,
    ended: Ended,
    confidence: Option<Confidence>,
    sides: Sides,
) -> Result<Judgement, Refused> {
    let (sorted, last) = watched(events, end, ended)?;
    let trends = trend::tests(events, end, ended)?;
    let finding = trends.as_ref().map_or(Finding::TooFew, Trends::finding);
    let asked = confidence.map(|confidence| (confidence, sides));
    let failures = sorted.len() as u64;
    let constant = || rate::mtbf(last, failures, confidence, sides, ended).map(Quoted::Constant);
    let quoted = match finding {
        Finding::Worse | Finding::Better => {
            match growth::fit(&[sorted], &[last], ended, Estimate::Modified, asked) {
                Ok(law) => Quoted::Current(law),
                Err(refused) => Quoted::Neither(refused.why),
            }
        }
        Finding::Steady | Finding::TooFew => constant()?,
    };
    Ok(Judgement {
        failures,
        end: last,
        trends,
        finding,
        quoted,
    })
}

/// The judgement as lines.
pub fn working(found: &Judgement, asked: Option<(Confidence, Sides)>) -> Working {
    let mut working = Working::new("How often the unit fails");
    working
        .lines
        .push(line("end", "Time watched").value(sig(found.end), ""));
    counts(&mut working, found.failures, None);
    trend::push(&mut working, found.trends.as_ref());
    match &found.quoted {
        Quoted::Constant(rate) => rate::push_mean(&mut working, rate),
        Quoted::Current(law) => growth::push(&mut working, law, asked),
        Quoted::Neither(why) => working.lines.push(
            line("mtbf", "Mean time between failures").note(format!("None can be quoted. {why}.")),
        ),
    }
    working.cautions.push(
        "Times are operating hours; calendar time in their place must be named as such.".into(),
    );
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    fn ask(events: &[f64], end: f64) -> Judgement {
        let confidence = Confidence::new(0.8).ok();
        judge(events, Some(end), Ended::Time, confidence, Sides::Two).expect("read")
    }

    #[test]
    fn a_worn_unit_gets_no_constant_rate() {
        let events = [
            900.0, 1700.0, 2350.0, 2900.0, 3300.0, 3600.0, 3800.0, 3950.0,
        ];
        let found = ask(&events, 4000.0);
        assert_eq!(found.finding, Finding::Worse);
        let Quoted::Current(law) = found.quoted else {
            panic!("a current rate is wanted");
        };
        assert!(law.mtbf().expect("a mean") < 500.0);
    }

    #[test]
    fn a_steady_unit_gets_a_constant_rate_with_limits() {
        let events = [480.0, 1010.0, 1490.0, 2030.0, 2480.0, 3020.0, 3510.0];
        let found = ask(&events, 4000.0);
        assert_eq!(found.finding, Finding::Steady);
        let Quoted::Constant(rate) = found.quoted else {
            panic!("a constant rate is wanted");
        };
        assert_eq!(rate.mtbf, Some(4000.0 / 7.0));
        assert!(rate.limits.lower.is_some() && rate.limits.upper.is_some());
    }

    #[test]
    fn a_trend_without_a_current_rate_gets_no_constant_one() {
        let found = ask(&[100.0; 4], 100.0);
        assert_eq!(found.finding, Finding::Worse);
        assert!(matches!(found.quoted, Quoted::Neither(_)));
    }

    #[test]
    fn without_failures_there_is_a_lower_limit() {
        let found = ask(&[], 2000.0);
        assert_eq!((found.failures, found.finding), (0, Finding::TooFew));
        let Quoted::Constant(rate) = found.quoted else {
            panic!("a lower limit is wanted");
        };
        assert!(rate.mtbf.is_none() && rate.limits.upper.is_none() && rate.limits.lower.is_some());
    }

    proptest! {
        #[test]
        fn no_events_panic(events in vec(any::<f64>(), 0..8), end in any::<f64>(), failed: bool) {
            let ended = if failed { Ended::Failure } else { Ended::Time };
            let asked = Confidence::new(0.9).ok().map(|c| (c, Sides::Two));
            let confidence = asked.map(|(c, _)| c);
            if let Ok(found) = judge(&events, Some(end), ended, confidence, Sides::Two) {
                let shown = working(&found, asked);
                for line in shown.lines {
                    prop_assert!(!line.value.contains("inf") && !line.value.contains("NaN"));
                }
            }
        }
    }
}
