//! The product-limit curve: share still alive at each age, with removals and no assumed shape.

use super::{Ages, Confidence, Limits, Sides, counts, dist, sig};
use crate::shown::{Fill, line};
use crate::working::Working;

const SOURCE: &str = "NIST/SEMATECH e-Handbook 8.2.1.5";

/// One step of the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Age.
    pub age: f64,
    /// Parts that reached it, `n`.
    pub at_risk: usize,
    /// Failures at it, `d`.
    pub failed: usize,
    /// Share alive after it, `S`.
    pub survival: f64,
    /// Limits of the share; both absent where nothing is left alive.
    pub limits: Limits,
}

/// Product-limit curve: `S(t) = product of (1 - d/n)` over the ages at failure up to `t`.
///
/// A part removed at an age at which another failed is counted as having reached it. Limits are
/// two-sided, from Greenwood's variance on `ln(-ln S)`, so that they stay between 0 and 1. No steps
/// without failures. Source: NIST/SEMATECH e-Handbook 8.2.1.5; limits textbook.
pub fn product_limit(ages: &Ages, confidence: Option<Confidence>) -> Vec<Step> {
    let total = ages.failed().len() + ages.removed().len();
    let z = confidence.and_then(|c| dist::normal_quantile(1.0 - c.tail(Sides::Two)));
    let mut steps = Vec::new();
    let (mut survival, mut greenwood) = (1.0, 0.0);
    for (before, group) in groups(ages.failed()) {
        let age = group[0];
        let gone = ages.removed().partition_point(|removed| *removed < age);
        let at_risk = total - gone - before;
        let failed = group.len();
        survival *= (at_risk - failed) as f64 / at_risk as f64;
        let left = at_risk - failed;
        if left > 0 {
            greenwood += failed as f64 / (at_risk as f64 * left as f64);
        }
        let limits = match z {
            Some(z) if left > 0 => log_log(survival, greenwood, z),
            _ => Limits::default(),
        };
        steps.push(Step {
            age,
            at_risk,
            failed,
            survival,
            limits,
        });
    }
    steps
}

/// Runs of equal ages in a sorted list, each with the count before it.
fn groups(sorted: &[f64]) -> impl Iterator<Item = (usize, &[f64])> {
    let mut before = 0;
    sorted.chunk_by(|a, b| a == b).map(move |group| {
        let at = before;
        before += group.len();
        (at, group)
    })
}

fn log_log(survival: f64, greenwood: f64, z: f64) -> Limits {
    let width = (z * greenwood.sqrt() / survival.ln()).exp();
    let (a, b) = (survival.powf(width), survival.powf(1.0 / width));
    Limits {
        lower: Some(a.min(b)),
        upper: Some(a.max(b)),
    }
}

/// Age by which half have failed; `None` where the curve does not come down to a half.
pub fn median(steps: &[Step]) -> Option<f64> {
    steps
        .iter()
        .find(|step| step.survival <= 0.5 + 1e-12)
        .map(|step| step.age)
}

/// The curve as lines; long ones are shown by their ends.
pub fn working(ages: &Ages, steps: &[Step], confidence: Option<Confidence>) -> Working {
    let mut working = Working::new("Share still alive by age");
    let removals = Some(ages.removed().len() as u64);
    counts(&mut working, ages.failed().len() as u64, removals);
    let shown = steps.iter().enumerate();
    for (_, step) in shown.filter(|(at, _)| *at < 12 || at + 3 > steps.len()) {
        let mut step_line = line("survival", "Alive after this age")
            .value(
                format!(
                    "{} at {}",
                    crate::shown::figure(step.survival, 4),
                    sig(step.age)
                ),
                "",
            )
            .rule("last share x (1 - failed / reached this age)", SOURCE)
            .note(format!(
                "{} failed of {} that reached it.",
                step.failed, step.at_risk
            ));
        if let (Some(c), Some(_)) = (confidence, step.limits.lower) {
            step_line = step_line.limit(format!(
                "{} at {}",
                step.limits.words(),
                c.words(Sides::Two)
            ));
        }
        working.lines.push(step_line);
    }
    let median = line("median", "Age by which half have failed")
        .rule("first age with a share of 0.5 or less", SOURCE);
    working.lines.push(match median_words(steps) {
        Some(age) => median.value(age, ""),
        None => median.note("Fewer than half have failed by the greatest age: no median yet."),
    });
    if confidence.is_none() {
        super::ask_confidence(&mut working);
    }
    working
}

fn median_words(steps: &[Step]) -> Option<String> {
    median(steps).map(sig)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    #[test]
    fn a_removal_at_the_age_of_a_failure_has_reached_it() {
        let ages = Ages::new(&[300.0, 300.0, 610.0], &[300.0, 610.0]).expect("ages");
        let steps = product_limit(&ages, None);
        let found: Vec<(usize, usize)> = steps.iter().map(|s| (s.at_risk, s.failed)).collect();
        assert_eq!(found, [(5, 2), (2, 1)]);
        assert!((steps[1].survival - 0.3).abs() < 1e-12);
        assert_eq!(median(&steps), Some(610.0));
    }

    proptest! {
        #[test]
        fn the_curve_only_falls_and_its_limits_bracket_it(
            failed in vec(0.1f64..50.0, 0..40), removed in vec(0.0f64..50.0, 0..40),
        ) {
            if let Ok(ages) = Ages::new(&failed, &removed) {
                let confidence = Confidence::new(0.9).ok();
                let steps = product_limit(&ages, confidence);
                working(&ages, &steps, confidence);
                let mut last = 1.0;
                for step in &steps {
                    prop_assert!((0.0..last).contains(&step.survival));
                    last = step.survival;
                    if let (Some(lower), Some(upper)) = (step.limits.lower, step.limits.upper) {
                        prop_assert!((0.0..=step.survival).contains(&lower));
                        prop_assert!((step.survival..=1.0).contains(&upper));
                    }
                }
            }
        }
    }
}
