//! The power law of a repaired unit: expected failures `lambda t^beta`, and the rate it has now.

use super::growth_full::{self, FullFit, full_fit};
use super::growth_limits::{beta_limits, fit_limit, mtbf_limits};
use super::{Confidence, Ended, Limits, Refused, Sides, counts, finite, refuse, sig, watched};
use crate::shown::{Fill, line};
use crate::working::{Verdict, Working};

/// Which estimate of the shape is used; they differ by `(n-1)/n` and are always named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Estimate {
    /// Plain maximum likelihood: `n / S`.
    Plain,
    /// Less biased: `(n-1) / S` time-ended, `(n-2) / S` failure-ended.
    Modified,
}

/// A fitted power law; `S = sum ln(T/t)`.
#[derive(Clone, Debug, PartialEq)]
pub struct PowerLaw {
    /// Events of all units, `n`.
    pub events: u64,
    /// Units, each with the same law.
    pub units: usize,
    /// Shape; above 1 is getting worse.
    pub beta: f64,
    /// Scale a unit, `n / sum T^beta`; `None` where it is beyond the range of numbers.
    pub lambda: Option<f64>,
    /// The less biased shape, whichever was used; `None` with too few events.
    pub beta_unbiased: Option<f64>,
    /// Limits of the shape from chi-squared: `chi2 / (2 S)`.
    pub beta_limits: Limits,
    /// Failures a unit of time of one unit, at the end.
    pub intensity: f64,
    /// Limits of the current mean time between failures of one unit; none for unequal ends.
    pub mtbf_limits: Limits,
    /// Cramer-von Mises statistic of the fit; `None` with too few events.
    pub w2: Option<f64>,
    /// Age at the end; the greatest of them for several units.
    pub end: f64,
    /// The law by the whole likelihood; the same shape where the ends are equal.
    pub full: Option<FullFit>,
    /// All units were watched for the same time.
    pub equal_ends: bool,
    /// Which estimate `beta` is.
    pub estimate: Estimate,
    /// What ended the time.
    pub ended: Ended,
    /// `sum (T/T_max)^beta`, the units' weight.
    weight: f64,
}

impl PowerLaw {
    /// Mean time between failures of one unit at the end: `1 / (lambda beta T^(beta-1))`.
    /// Source: NIST/SEMATECH e-Handbook 8.4.5.2.
    pub fn mtbf(&self) -> Option<f64> {
        finite(self.intensity.recip())
    }

    /// Failures of one unit expected in the next `more` after the end:
    /// `lambda ((T+more)^beta - T^beta)`. `None` below zero or beyond the range of numbers.
    /// Source: MIL-HDBK-189.
    pub fn expected(&self, more: f64) -> Option<f64> {
        if !(more >= 0.0 && more.is_finite()) {
            return None;
        }
        let growth = (self.beta * (more / self.end).ln_1p()).exp_m1();
        finite(self.events as f64 / self.weight * growth)
    }
}

/// One or more units watched from age zero.
struct Watched {
    units: Vec<Vec<f64>>,
    ends: Vec<f64>,
    sum: f64,
    events: usize,
}

fn read(systems: &[Vec<f64>], ends: &[f64], ended: Ended) -> Result<Watched, Refused> {
    let no_ends = ended == Ended::Failure && ends.is_empty();
    if systems.is_empty() || systems.iter().map(Vec::len).sum::<usize>() > super::MOST {
        return refuse(
            "systems",
            "Give the events of 1 unit or more, at most 20 000 events",
        );
    }
    if !no_ends && systems.len() != ends.len() {
        return refuse("ends", "Give one end for each unit");
    }
    let mut found = Watched {
        units: Vec::new(),
        ends: Vec::new(),
        sum: 0.0,
        events: 0,
    };
    for (at, events) in systems.iter().enumerate() {
        let (events, end) = watched(events, ends.get(at).copied(), ended)?;
        found.sum += events.iter().map(|t| (end / t).ln()).sum::<f64>();
        found.events += events.len();
        found.units.push(events);
        found.ends.push(end);
    }
    Ok(found)
}

/// Fits the power law to one unit or to several like ones, each from age zero.
///
/// Shape `n / S` (plain) or `(n-1) / S` (modified, time-ended) and `(n-2) / S` (modified,
/// failure-ended), with `S = sum ln(T/t)`; scale `n / sum T^beta`, a unit. For unequal ends the
/// shape is the maximum likelihood given each unit's count; [`full_fit`] gives that of the whole. Limits of the shape: `chi2 / (2 S)` on `2n`
/// degrees of freedom, less 2 for each unit whose last failure ended it. Limits of the current mean
/// time, for equal ends: see [`mtbf_limits`].
/// # Errors
/// What [`watched`] refuses; too few events for a shape; all events at the end.
/// Source: MIL-HDBK-189; NIST/SEMATECH e-Handbook 8.4.5.2.
pub fn fit(
    systems: &[Vec<f64>],
    ends: &[f64],
    ended: Ended,
    estimate: Estimate,
    confidence: Option<(Confidence, Sides)>,
) -> Result<PowerLaw, Refused> {
    let found = read(systems, ends, ended)?;
    let n = found.events as f64;
    let dropped = match ended {
        Ended::Time => 0.0,
        Ended::Failure => found.units.len() as f64,
    };
    let beta = shape(&found, dropped, estimate)?;
    let end = found.ends.iter().copied().fold(0.0, f64::max);
    let weight: f64 = found.ends.iter().map(|t| (t / end).powf(beta)).sum();
    let Some(intensity) = finite(n * beta / (end * weight)).filter(|i| *i > 0.0) else {
        return refuse(
            "events",
            "The events give no rate within the range of numbers",
        );
    };
    let unbiased = (n - 1.0 - dropped >= 1.0).then(|| (n - 1.0 - dropped) / found.sum);
    let equal = found.ends.iter().all(|t| *t == end);
    Ok(PowerLaw {
        events: found.events as u64,
        units: found.units.len(),
        beta,
        lambda: finite(n / (end.powf(beta) * weight)).filter(|lambda| *lambda > 0.0),
        beta_unbiased: unbiased,
        beta_limits: confidence.map_or_else(Limits::default, |(c, sides)| {
            beta_limits(n - dropped, found.sum, c, sides)
        }),
        intensity,
        mtbf_limits: match confidence {
            Some((c, sides)) if equal => limits(&found, end, ended, c, sides),
            _ => Limits::default(),
        },
        w2: unbiased.and_then(|beta| cramer_von_mises(&found, beta, ended)),
        end,
        full: full_fit(&found.units, &found.ends),
        equal_ends: equal,
        estimate,
        ended,
        weight,
    })
}

fn shape(found: &Watched, dropped: f64, estimate: Estimate) -> Result<f64, Refused> {
    let n = found.events as f64;
    let take = match estimate {
        Estimate::Plain => n,
        Estimate::Modified => n - 1.0 - dropped,
    };
    if n - dropped < 1.0 || take < 1.0 {
        return refuse(
            "events",
            "Too few events for a power law; use the constant rate",
        );
    }
    let beta = take / found.sum;
    if found.sum <= 0.0 || !beta.is_finite() || beta > 1e6 {
        return refuse(
            "events",
            "All events lie at the end: no power law can be fitted",
        );
    }
    Ok(beta)
}

fn limits(found: &Watched, end: f64, ended: Ended, c: Confidence, sides: Sides) -> Limits {
    // Like units with equal ends fail together as one unit that fails as often as all of them.
    let units = found.units.len() as f64;
    let by = |limit: Option<f64>| limit.and_then(|limit| finite(limit * units));
    let one = match (ended, found.units.len()) {
        (Ended::Failure, 2..) => Limits::default(),
        _ => mtbf_limits(found.events as u64, found.sum, end, ended, c, sides),
    };
    Limits {
        lower: by(one.lower),
        upper: by(one.upper),
    }
}

/// `1/(12 M) + sum ((t/T)^beta - (2i-1)/(2M))^2` over all events, smallest share first; the event
/// that ended a unit's time is left out. Source: MIL-HDBK-189.
fn cramer_von_mises(found: &Watched, beta: f64, ended: Ended) -> Option<f64> {
    let mut shares: Vec<f64> = Vec::new();
    for (events, end) in found.units.iter().zip(&found.ends) {
        let kept = match ended {
            Ended::Time => events.len(),
            Ended::Failure => events.len().saturating_sub(1),
        };
        shares.extend(events.iter().take(kept).map(|t| (t / end).powf(beta)));
    }
    shares.sort_by(f64::total_cmp);
    let m = shares.len() as f64;
    let off = |(i, share): (usize, &f64)| (share - (2.0 * i as f64 + 1.0) / (2.0 * m)).powi(2);
    finite(1.0 / (12.0 * m) + shares.iter().enumerate().map(off).sum::<f64>())
}

/// The law as lines.
pub fn working(law: &PowerLaw, confidence: Option<(Confidence, Sides)>) -> Working {
    let mut working = Working::new("Power law of a repaired unit");
    counts(&mut working, law.events, None);
    push(&mut working, law, confidence);
    growth_full::push(&mut working, law.full, law.equal_ends);
    working.cautions.push(
        "For units that are repaired and run on, each watched from age zero; not for parts.".into(),
    );
    working
}

/// The lines of the law.
pub(crate) fn push(working: &mut Working, law: &PowerLaw, confidence: Option<(Confidence, Sides)>) {
    let with = |limits: &Limits| match confidence {
        Some((c, sides)) => format!("{} at {}", limits.words(), c.words(sides)),
        None => String::new(),
    };
    let (rule, source) = match law.estimate {
        Estimate::Plain => (
            "events / sum ln(T/t): maximum likelihood given each unit's count",
            "MIL-HDBK-189",
        ),
        Estimate::Modified => (
            "less biased estimate: (events - 1) / sum ln(T/t); - 2 where a failure ended the time",
            "NIST/SEMATECH e-Handbook 8.4.5.2",
        ),
    };
    working.lines.push(
        line("beta", "Shape of the power law")
            .value(sig(law.beta), "")
            .limit(with(&law.beta_limits))
            .rule(rule, source)
            .note(if law.beta > 1.0 {
                "Above 1: failures come closer together."
            } else {
                "Not above 1: failures come no closer together."
            }),
    );
    working.lines.push(
        line("mtbf_now", "Mean time between failures now")
            .value(law.mtbf().map_or_else(String::new, sig), "")
            .limit(with(&law.mtbf_limits))
            .rule(
                "1 / (lambda beta T^(beta-1))",
                "NIST/SEMATECH e-Handbook 8.4.5.2",
            )
            .note(format!("For one unit, at age {}.", sig(law.end))),
    );
    push_fit(working, law);
    if confidence.is_none() {
        super::ask_confidence(working);
    }
}

/// Whether a power law fits the events at all.
fn push_fit(working: &mut Working, law: &PowerLaw) {
    let left_out = match law.ended {
        Ended::Time => 0,
        Ended::Failure => law.units,
    };
    let limit = fit_limit((law.events as usize).saturating_sub(left_out));
    let (Some(w2), Some(limit)) = (law.w2, limit) else {
        return;
    };
    let (verdict, note) = if w2 <= limit {
        (Verdict::Within, "A power law suits these events.")
    } else {
        (
            Verdict::WithinNote,
            "A power law suits these events badly; look at the plot of failures over age.",
        )
    };
    working.lines.push(
        line("w2", "Fit (Cramer-von Mises)")
            .value(sig(w2), "")
            .limit(format!("at most {limit}, nine times in ten"))
            .rule(
                "1/(12 M) + sum of ((t/T)^shape - (2i-1)/(2M))^2, less biased shape",
                "MIL-HDBK-189, from memory",
            )
            .judge(verdict, note),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    fn two(share: f64) -> Option<(Confidence, Sides)> {
        Some((Confidence::new(share).ok()?, Sides::Two))
    }

    #[test]
    fn too_few_events_are_refused() {
        let fit = |events: &[f64], ended| {
            fit(
                &[events.to_vec()],
                &[100.0],
                ended,
                Estimate::Modified,
                two(0.9),
            )
        };
        assert!(fit(&[50.0], Ended::Time).is_err());
        assert!(fit(&[100.0, 100.0], Ended::Time).is_err());
        assert!(fit(&[50.0, 100.0], Ended::Failure).is_err());
        assert!(fit(&[50.0, 70.0, 100.0], Ended::Failure).is_ok());
    }

    #[test]
    fn an_upper_limit_that_does_not_exist_is_left_out() {
        let law = fit(
            &[vec![40.0, 60.0]],
            &[100.0],
            Ended::Time,
            Estimate::Plain,
            two(0.99),
        );
        let limits = law.expect("a law").mtbf_limits;
        assert!(limits.lower.is_some() && limits.upper.is_none());
    }

    proptest! {
        #[test]
        fn the_unit_of_time_does_not_matter(events in vec(0.1f64..99.0, 4..20), scale in 1e-6f64..1e9) {
            let with = |by: f64| {
                let events: Vec<f64> = events.iter().map(|t| t * by).collect();
                fit(&[events], &[100.0 * by], Ended::Time, Estimate::Plain, two(0.8)).expect("a law")
            };
            let (one, other) = (with(1.0), with(scale));
            prop_assert!((one.beta / other.beta - 1.0).abs() < 1e-9);
            prop_assert!((one.intensity / other.intensity / scale - 1.0).abs() < 1e-9);
        }

        #[test]
        fn limits_bracket_the_current_mean(
            events in vec(0.1f64..99.0, 4..20), share in 0.7f64..0.99, failed: bool,
        ) {
            let ended = if failed { Ended::Failure } else { Ended::Time };
            let ends: &[f64] = if failed { &[] } else { &[100.0] };
            let law = fit(&[events], ends, ended, Estimate::Modified, two(share)).expect("a law");
            let mtbf = law.mtbf().expect("a mean");
            prop_assert!(law.mtbf_limits.lower.expect("lower") < mtbf);
            prop_assert!(law.mtbf_limits.upper.is_none_or(|upper| upper > mtbf));
        }

        #[test]
        fn no_events_panic(
            events in vec(any::<f64>(), 0..6), end in any::<f64>(), failed: bool, more in any::<f64>(),
        ) {
            let ended = if failed { Ended::Failure } else { Ended::Time };
            for estimate in [Estimate::Plain, Estimate::Modified] {
                if let Ok(law) = fit(std::slice::from_ref(&events), &[end], ended, estimate, two(0.9)) {
                    prop_assert!(law.beta.is_finite() && law.intensity.is_finite());
                    prop_assert!(law.expected(more).is_none_or(f64::is_finite));
                    working(&law, two(0.9));
                }
            }
        }
    }
}
