//! A constant failure rate: mean operating time between failures with its limits.

use super::{Confidence, Ended, Limits, Refused, Sides, counts, dist, finite, refuse, sig};
use crate::shown::{Fill, line};
use crate::working::Working;

const SOURCE: &str = "NIST/SEMATECH e-Handbook 8.4.5.1";

/// A mean operating time between failures (or to failure) and what it stands on.
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// Operating time of all units together, `T`.
    pub total_time: f64,
    /// Failures in it, `r`.
    pub failures: u64,
    /// `T / r`; `None` without failures.
    pub mtbf: Option<f64>,
    /// Limits of the mean time, where a confidence was given.
    pub limits: Limits,
    /// Confidence of the limits.
    pub confidence: Option<Confidence>,
    /// Sides that the limits have: without failures never both.
    pub sides: Sides,
    /// What ended the time.
    pub ended: Ended,
}

impl Rate {
    /// Failures a unit of time, `r / T`; `None` without failures.
    pub fn rate(&self) -> Option<f64> {
        finite(self.mtbf?.recip())
    }
}

/// Mean operating time between failures `T / r`, with limits from chi-squared.
///
/// Time-ended: lower `2T / chi2(1-t; 2r+2)`, upper `2T / chi2(t; 2r)`, where the tail `t` is
/// `(1-c)/2` two-sided and `1-c` one-sided. Failure-ended: `2r` degrees of freedom on both sides.
/// Without failures there is no point value and no upper limit; the lower limit is one-sided,
/// `T / -ln(1-c)`, unless the upper one alone was asked. Valid with removals; only while the rate is constant, so
/// test for a trend first. `T` above 0 and at most 1e15, `r` to 1 000 000.
/// # Errors
/// A total time that is not above zero, too many failures, or a failure-ended time without one.
/// Source: NIST/SEMATECH e-Handbook 8.4.5.1.
pub fn mtbf(
    total_time: f64,
    failures: u64,
    confidence: Option<Confidence>,
    sides: Sides,
    ended: Ended,
) -> Result<Rate, Refused> {
    if !(total_time > 0.0 && total_time.is_finite()) {
        return refuse("total_time", "Give the operating time, above zero");
    }
    if failures > 1_000_000 {
        return refuse("failures", "Give at most 1 000 000 failures");
    }
    if failures == 0 && ended == Ended::Failure {
        return refuse(
            "failures",
            "Time that ended with a failure holds at least one",
        );
    }
    let sides = match (failures, sides) {
        (0, Sides::Two) => Sides::Lower,
        _ => sides,
    };
    Ok(Rate {
        total_time,
        failures,
        mtbf: (failures > 0)
            .then(|| total_time / failures as f64)
            .and_then(finite),
        limits: confidence.map_or_else(Limits::default, |confidence| {
            limits(total_time, failures, confidence, sides, ended)
        }),
        confidence,
        sides,
        ended,
    })
}

fn limits(time: f64, failures: u64, confidence: Confidence, sides: Sides, ended: Ended) -> Limits {
    let tail = confidence.tail(sides);
    let df = 2.0 * failures as f64;
    let lower_df = match ended {
        Ended::Time => df + 2.0,
        Ended::Failure => df,
    };
    let at = |p: f64, df: f64| finite(2.0 * time / dist::chi2_quantile(p, df)?);
    Limits {
        lower: (sides != Sides::Upper)
            .then(|| at(1.0 - tail, lower_df))
            .flatten(),
        upper: (sides != Sides::Lower && failures > 0)
            .then(|| at(tail, df))
            .flatten(),
    }
}

/// As [`mtbf`], of several like units: times and failures are each added up and then divided.
///
/// The mean of the units' own figures is never used: it gives a short-lived unit the weight of a
/// long-lived one, and fails at the first unit without failures.
/// # Errors
/// As [`mtbf`]; a unit's time below zero; more than 20 000 units.
/// Source: NIST/SEMATECH e-Handbook 8.4.5.1.
pub fn pooled(
    unit_hours: &[f64],
    failures: u64,
    confidence: Option<Confidence>,
    sides: Sides,
    ended: Ended,
) -> Result<Rate, Refused> {
    if unit_hours.len() > super::MOST {
        return refuse("unit_hours", "Give at most 20 000 units");
    }
    if !unit_hours.iter().all(|time| *time >= 0.0) {
        return refuse(
            "unit_hours",
            "Give each unit's operating time, zero or above",
        );
    }
    let total = unit_hours.iter().sum();
    mtbf(total, failures, confidence, sides, ended).map_err(|refused| match refused.field {
        "total_time" => Refused {
            field: "unit_hours",
            ..refused
        },
        _ => refused,
    })
}

/// Chance to run for `t` without failure and chance to fail in it: `exp(-t/m)`, `1 - exp(-t/m)`.
///
/// `m` is the mean time between failures, above zero; `t` zero or above, in its unit.
/// `None` outside of that. Source: IEC 61703; textbook.
pub fn survive(mtbf: f64, t: f64) -> Option<(f64, f64)> {
    if !(mtbf > 0.0 && mtbf.is_finite() && t >= 0.0 && t.is_finite()) {
        return None;
    }
    let x = -t / mtbf;
    Some((x.exp(), -x.exp_m1()))
}

/// The calculation, to be followed by hand.
pub fn working(rate: &Rate, title: &'static str) -> Working {
    let mut working = Working::new(title);
    working
        .lines
        .push(line("total_time", "Operating time of all units").value(sig(rate.total_time), ""));
    counts(&mut working, rate.failures, None);
    push_mean(&mut working, rate);
    working.cautions.push(
        "Holds only while the rate is constant: test the dates of failure for a trend first."
            .into(),
    );
    working
}

/// The mean with its limits, or the sentence that takes its place without failures.
pub(crate) fn push_mean(working: &mut Working, rate: &Rate) {
    let shown = line("mtbf", "Mean operating time between failures")
        .rule("operating time / failures; limits from chi-squared", SOURCE);
    let limits = rate.confidence.map(|confidence| {
        format!(
            "{} at {}",
            rate.limits.words(),
            confidence.words(rate.sides)
        )
    });
    let shown = match (&limits, rate.mtbf) {
        (Some(limits), _) => shown.limit(limits.clone()),
        (None, _) => shown,
    };
    working.lines.push(match (rate.mtbf, rate.limits.lower, rate.confidence) {
        (Some(mtbf), _, _) => shown.value(sig(mtbf), ""),
        (None, Some(lower), Some(confidence)) => shown.note(format!(
            "No failures in {}; at least {} with {} % confidence. There is no mean and no upper limit.",
            sig(rate.total_time),
            sig(lower),
            crate::shown::figure(confidence.share() * 100.0, 4),
        )),
        _ => shown.note(format!(
            "No failures in {}. There is no mean and no upper limit.",
            sig(rate.total_time)
        )),
    });
    if rate.confidence.is_none() {
        super::ask_confidence(working);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ninety() -> Option<Confidence> {
        Confidence::new(0.9).ok()
    }

    #[test]
    fn without_failures_there_is_a_lower_limit_alone() {
        let upper = mtbf(2000.0, 0, ninety(), Sides::Upper, Ended::Time).expect("a rate");
        assert_eq!(upper.limits, Limits::default());
        for sides in [Sides::Two, Sides::Lower] {
            let rate = mtbf(2000.0, 0, ninety(), sides, Ended::Time).expect("a rate");
            assert_eq!((rate.mtbf, rate.limits.upper), (None, None));
            let lower = rate.limits.lower.expect("a limit");
            assert!((lower - 868.588_963_806_503_6).abs() < 1e-9);
            let said = working(&rate, "x")
                .line("mtbf")
                .expect("it is there")
                .note
                .clone();
            assert!(said.starts_with("No failures in 2000; at least 868.59 with 90 % confidence"));
        }
    }

    #[test]
    fn a_failure_that_ended_the_time_is_counted_on_both_sides() {
        let time = mtbf(800.0, 2, ninety(), Sides::Two, Ended::Time).expect("a rate");
        let failure = mtbf(800.0, 2, ninety(), Sides::Two, Ended::Failure).expect("a rate");
        assert_eq!(time.limits.upper, failure.limits.upper);
        assert!(failure.limits.lower > time.limits.lower);
        // 1600 / chi2(0.95; 4) = 1600 / 9.487729
        assert!((failure.limits.lower.unwrap_or(0.0) - 168.638_97).abs() < 1e-3);
    }

    #[test]
    fn nothing_to_divide_is_refused() {
        assert!(mtbf(0.0, 1, None, Sides::Two, Ended::Time).is_err());
        assert!(mtbf(10.0, 0, None, Sides::Two, Ended::Failure).is_err());
        assert_eq!(
            pooled(&[], 1, None, Sides::Two, Ended::Time)
                .unwrap_err()
                .field,
            "unit_hours"
        );
    }

    proptest! {
        #[test]
        fn limits_bracket_the_mean(
            time in 1e-6f64..1e15, failures in 1u64..2000, share in 0.5f64..0.9999, failed: bool,
        ) {
            let ended = if failed { Ended::Failure } else { Ended::Time };
            let confidence = Confidence::new(share).ok();
            let rate = mtbf(time, failures, confidence, Sides::Two, ended).expect("a rate");
            let mean = rate.mtbf.expect("a mean");
            prop_assert!(rate.limits.lower.expect("lower") < mean);
            prop_assert!(mean < rate.limits.upper.expect("upper") || (failed && share < 0.6)
                || (failures == 1 && share < 0.6));
        }

        #[test]
        fn more_confidence_never_narrows(failures in 1u64..300, a in 0.1f64..0.99, b in 0.1f64..0.99) {
            let lower = |share: f64| {
                let confidence = Confidence::new(share).ok();
                let rate = mtbf(1000.0, failures, confidence, Sides::Lower, Ended::Time);
                rate.expect("a rate").limits.lower.expect("a limit")
            };
            prop_assert!(lower(a.max(b)) <= lower(a.min(b)) + 1e-9);
        }

        #[test]
        fn no_input_panics(time in any::<f64>(), failures in any::<u64>(), mean in any::<f64>()) {
            if let Ok(rate) = mtbf(time, failures, ninety(), Sides::Two, Ended::Time) {
                prop_assert!(rate.limits.lower.is_none_or(f64::is_finite));
                prop_assert!(rate.mtbf.is_none_or(f64::is_finite));
                working(&rate, "x");
            }
            if let Some((up, down)) = survive(mean, time) {
                prop_assert!((0.0..=1.0).contains(&up) && (up + down - 1.0).abs() < 1e-12);
            }
        }
    }
}
