//! A Weibull life fitted to ages at failure and at removal by maximum likelihood.

use super::weibull::Weibull;
use super::{Ages, Confidence, Limits, Refused, Sides, counts, dist, finite, refuse, sig};
use crate::shown::{Fill, line};
use crate::working::{Line, Working};

const SOURCE: &str = "NIST/SEMATECH e-Handbook 8.4.1.3";

/// A fitted life and how well it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The life.
    pub law: Weibull,
    /// Log-likelihood at it.
    pub loglik: f64,
    /// Akaike's criterion, `4 - 2 loglik`.
    pub aic: f64,
    /// 95 % two-sided limits of the shape.
    pub beta: Limits,
    /// 95 % two-sided limits of the characteristic life; a limit that overflows is left out.
    pub eta: Limits,
    /// Failures.
    pub failures: u64,
    /// Removals.
    pub removals: u64,
}

/// Logarithms of ages over the largest of them, all zero or below: nothing overflows.
struct Logs {
    failed: Vec<f64>,
    all: Vec<f64>,
    largest: f64,
}

impl Logs {
    fn new(ages: &Ages) -> Self {
        let largest = ages.largest();
        let log = |age: f64| {
            if age > 0.5 * largest {
                ((age - largest) / largest).ln_1p()
            } else {
                age.ln() - largest.ln()
            }
        };
        // A removal at age zero has seen nothing and adds nothing.
        let removed = ages.removed().iter().filter(|age| **age > 0.0);
        Logs {
            failed: ages.failed().iter().map(|age| log(*age)).collect(),
            all: ages
                .failed()
                .iter()
                .chain(removed)
                .map(|age| log(*age))
                .collect(),
            largest,
        }
    }

    fn mean_failed(&self) -> f64 {
        self.failed.iter().sum::<f64>() / self.failed.len() as f64
    }

    /// The likelihood equation of the shape and its slope; it rises steadily with `b`.
    fn slope(&self, b: f64, mean: f64) -> (f64, f64) {
        let (mut s0, mut s1, mut s2) = (0.0, 0.0, 0.0);
        for l in &self.all {
            let power = (b * l).exp();
            s0 += power;
            s1 += power * l;
            s2 += power * l * l;
        }
        let value = s1 / s0 - 1.0 / b - mean;
        let slope = (s2 / s0 - (s1 / s0).powi(2)).max(0.0) + 1.0 / (b * b);
        (value, slope)
    }

    /// Root of [`Logs::slope`]: bracketed, then Newton's step where it stays inside, else bisection.
    fn shape(&self) -> Option<f64> {
        let mean = self.mean_failed();
        let (mut low, mut high) = (1.0, 1.0);
        while self.slope(low, mean).0 > 0.0 {
            low /= 4.0;
            if low < 1e-9 {
                return None;
            }
        }
        while self.slope(high, mean).0 < 0.0 {
            high *= 4.0;
            if high > 1e6 {
                return None;
            }
        }
        let mut b: f64 = (low * high).sqrt();
        for _ in 0..200 {
            let (value, slope) = self.slope(b, mean);
            if value > 0.0 {
                high = b;
            } else {
                low = b;
            }
            let newton = b - value / slope;
            let next = if newton > low && newton < high {
                newton
            } else {
                (low * high).sqrt()
            };
            if (next - b).abs() <= 1e-14 * b || high - low <= 1e-15 * low {
                return Some(next);
            }
            b = next;
        }
        Some(b)
    }
}

/// Fits shape and life by maximum likelihood, with removals.
///
/// Shape: the root `b` of `sum(t^b ln t)/sum(t^b) - 1/b - mean(ln t_failed) = 0` over all ages;
/// life: `eta = (sum t^b / r)^(1/b)`. Ages are divided by the largest first. Limits: 95 %, normal
/// on `ln beta` and `ln eta` from the observed information. `Ok(None)` with fewer than two
/// different ages at failure, or ages so near to each other that the shape passes 1e6: the data
/// hold no shape; a constant rate or an assumed shape is then what can be had.
/// # Errors
/// A fitted life beyond the range of numbers.
/// Source: NIST/SEMATECH e-Handbook 8.4.1.2 and 8.4.1.3.
pub fn fit(ages: &Ages) -> Result<Option<Fit>, Refused> {
    if ages.distinct() < 2 {
        return Ok(None);
    }
    let logs = Logs::new(ages);
    let Some(beta) = logs.shape() else {
        return Ok(None);
    };
    let r = logs.failed.len() as f64;
    let sum: f64 = logs.all.iter().map(|l| (beta * l).exp()).sum();
    // ln(eta / largest age)
    let ln_eta = (sum / r).ln() / beta;
    let Ok(law) = Weibull::new(beta, logs.largest * ln_eta.exp()) else {
        return refuse(
            "failures",
            "The ages give no life within the range of numbers",
        );
    };
    let above: f64 = logs.failed.iter().map(|l| l - ln_eta).sum();
    let loglik = r * (beta.ln() - logs.largest.ln()) - r * ln_eta + (beta - 1.0) * above - r;
    let (beta_limits, eta_limits) = ninety_five(&logs, law, ln_eta);
    Ok(Some(Fit {
        law,
        loglik,
        aic: 4.0 - 2.0 * loglik,
        beta: beta_limits,
        eta: eta_limits,
        failures: ages.failed().len() as u64,
        removals: ages.removed().len() as u64,
    }))
}

/// From the information in `ln eta` and `ln beta`: with `z = beta ln(t/eta)`, `A = sum z e^z`,
/// `B = sum z^2 e^z` and `D = r(r+B) - A^2`, the variances are `(r+B)/(beta^2 D)` and `r/D`.
fn ninety_five(logs: &Logs, law: Weibull, ln_eta: f64) -> (Limits, Limits) {
    let r = logs.failed.len() as f64;
    let (mut a, mut b) = (0.0, 0.0);
    for l in &logs.all {
        let z = law.beta * (l - ln_eta);
        a += z * z.exp();
        b += z * z * z.exp();
    }
    let d = r * (r + b) - a * a;
    let z = dist::normal_quantile(0.975).unwrap_or(1.96);
    let about = |value: f64, variance: f64| {
        let width = (z * variance.max(0.0).sqrt()).exp();
        Limits {
            lower: finite(value / width),
            upper: finite(value * width),
        }
    };
    let eta = about(law.eta, (r + b) / (law.beta * law.beta * d));
    (about(law.beta, r / d), eta)
}

/// A life of an assumed shape.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// The shape taken.
    pub beta: f64,
    /// Characteristic life; `None` without failures.
    pub eta: Option<f64>,
    /// One-sided limits of it, each at the confidence given; the upper one needs a failure.
    pub limits: Limits,
    /// The confidence.
    pub confidence: Option<Confidence>,
    /// Failures.
    pub failures: u64,
    /// Removals.
    pub removals: u64,
}

/// Characteristic life under an assumed shape: `eta = (sum t^beta / r)^(1/beta)`.
///
/// One-sided limits `eta = (2 sum t^beta / chi2(c; 2r+2))^(1/beta)` and, with failures,
/// `(2 sum t^beta / chi2(1-c; 2r))^(1/beta)`; without failures the lower one is
/// `(sum t^beta / -ln(1-c))^(1/beta)`. The limits leave out that the shape itself is a guess.
/// `beta` above 0 and at most 100.
/// # Errors
/// A shape out of range.
/// Source: textbook, one-parameter Weibull.
pub fn assumed(ages: &Ages, beta: f64, confidence: Option<Confidence>) -> Result<Assumed, Refused> {
    if !(beta > 0.0 && beta <= 100.0) {
        return refuse("beta", "Give an assumed shape above 0 and at most 100");
    }
    let largest = ages.largest();
    let sum: f64 = ages.all().map(|age| (age / largest).powf(beta)).sum();
    let life = |share: f64| finite(largest * (sum / share).powf(1.0 / beta));
    let r = ages.failed().len() as f64;
    let limit = |p: f64, df: f64| life(dist::chi2_quantile(p, df)? / 2.0);
    Ok(Assumed {
        beta,
        eta: (r > 0.0).then(|| life(r)).flatten(),
        limits: Limits {
            lower: confidence.and_then(|c| limit(c.share(), 2.0 * r + 2.0)),
            upper: confidence.and_then(|c| limit(1.0 - c.share(), 2.0 * r)),
        },
        confidence,
        failures: ages.failed().len() as u64,
        removals: ages.removed().len() as u64,
    })
}

/// The fit, or what can be had without a shape.
pub fn working(ages: &Ages, fit: Option<&Fit>) -> Working {
    let mut working = Working::new("Life of a part, with removals");
    let removals = Some(ages.removed().len() as u64);
    counts(&mut working, ages.failed().len() as u64, removals);
    let shape = line("beta", "Shape").rule(
        "likelihood equation of the shape, removals in every sum",
        SOURCE,
    );
    let Some(fit) = fit else {
        working.lines.push(shape.note(
            "No shape: it takes at least two different ages at failure. Use the constant rate (exp_mtbf), or a shape assumed from like parts (weibull_assumed_shape).",
        ));
        return working;
    };
    push_fit(&mut working, shape, fit);
    working.cautions.push(
        "For parts that are replaced when they fail, not for the unit that they sit in.".into(),
    );
    working
}

fn push_fit(working: &mut Working, shape: Line, fit: &Fit) {
    working.lines.push(
        shape
            .value(sig(fit.law.beta), "")
            .limit(format!("{} at 95 % two-sided", fit.beta.words()))
            .note(fit.law.shape_words()),
    );
    working.lines.push(
        line("eta", "Age by which 63.2 % have failed")
            .value(sig(fit.law.eta), "")
            .limit(format!("{} at 95 % two-sided", fit.eta.words()))
            .rule("(sum t^beta / failures)^(1/beta)", SOURCE),
    );
    let b10 = fit.law.quantile(0.1).map_or_else(String::new, sig);
    working.lines.push(
        line("b10", "Age by which 10 % have failed")
            .value(b10, "")
            .rule("eta (-ln 0.9)^(1/beta)", "textbook"),
    );
    working.lines.push(match fit.law.mean() {
        Some(mean) => line("mean", "Mean life")
            .value(sig(mean), "")
            .rule("eta Gamma(1 + 1/beta)", SOURCE),
        None => line("mean", "Mean life").note("Too spread out for a mean that means anything."),
    });
}

/// The working of an assumed shape.
pub fn assumed_working(found: &Assumed) -> Working {
    let mut working = Working::new("Life of a part of an assumed shape");
    counts(&mut working, found.failures, Some(found.removals));
    working.lines.push(
        line("beta", "Assumed shape")
            .value(sig(found.beta), "")
            .note("Taken, not found from these ages: the limits do not include a wrong guess."),
    );
    let shown = line("eta", "Age by which 63.2 % have failed")
        .rule("(sum t^beta / failures)^(1/beta)", "textbook");
    let shown = match found.confidence {
        Some(confidence) => shown.limit(format!(
            "{}, each at {}",
            found.limits.words(),
            confidence.words(Sides::Lower)
        )),
        None => shown,
    };
    working.lines.push(match found.eta {
        Some(eta) => shown.value(sig(eta), ""),
        None => shown.note("No failures: a lower limit alone, no figure and no upper limit."),
    });
    if found.confidence.is_none() {
        super::ask_confidence(&mut working);
    }
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    fn ages(failed: &[f64], removed: &[f64]) -> Ages {
        Ages::new(failed, removed).expect("ages")
    }

    #[test]
    fn one_age_holds_no_shape() {
        assert_eq!(fit(&ages(&[300.0, 300.0], &[500.0])), Ok(None));
        assert_eq!(fit(&ages(&[], &[500.0])), Ok(None));
        assert_eq!(fit(&ages(&[700.0], &[])), Ok(None));
    }

    #[test]
    fn a_thousand_ages_are_fitted() {
        let failed: Vec<f64> = (1..=1000).map(|i| f64::from(i) * 1e3).collect();
        let found = fit(&ages(&failed, &[1e6; 50]))
            .expect("in range")
            .expect("a fit");
        assert!(found.law.beta > 1.0 && found.law.beta < 3.0);
    }

    fn some_ages() -> impl Strategy<Value = (Vec<f64>, Vec<f64>)> {
        (vec(1.0f64..1e4, 2..30), vec(1.0f64..1e4, 0..30))
    }

    #[test]
    fn ages_at_the_end_of_the_range_of_numbers_have_a_likelihood() {
        let ages = ages(
            &[1.182_155_317_417_677_3e-308, 7.030_946_402_368_117e-309],
            &[],
        );
        let found = fit(&ages).expect("in range").expect("a shape");
        assert!(found.loglik.is_finite());
    }

    proptest! {
        #[test]
        fn the_unit_of_time_does_not_matter((failed, removed) in some_ages(), scale in 1e-6f64..1e9) {
            let plain = fit(&ages(&failed, &removed)).expect("in range");
            let by = |list: &[f64]| -> Vec<f64> { list.iter().map(|age| age * scale).collect() };
            let scaled = fit(&ages(&by(&failed), &by(&removed))).expect("in range");
            if let (Some(plain), Some(scaled)) = (plain, scaled) {
                prop_assert!((plain.law.beta / scaled.law.beta - 1.0).abs() < 1e-6);
                prop_assert!((plain.law.eta * scale / scaled.law.eta - 1.0).abs() < 1e-6);
            }
        }

        #[test]
        fn limits_bracket_the_figures((failed, removed) in some_ages()) {
            if let Ok(Some(found)) = fit(&ages(&failed, &removed)) {
                prop_assert!(found.beta.lower.expect("lower") < found.law.beta);
                prop_assert!(found.law.beta < found.beta.upper.expect("upper"));
                prop_assert!(found.eta.lower.is_none_or(|lower| lower < found.law.eta));
                prop_assert!(found.eta.upper.is_none_or(|upper| upper > found.law.eta));
            }
        }

        /// A part taken out alive at the age where it would have failed never makes life look
        /// shorter under the same shape. (With the shape fitted too, a removal of the youngest raises
        /// the shape and may lower `eta`; that is the likelihood, not an error.)
        #[test]
        fn a_removal_in_place_of_a_failure_never_shortens_life(
            (failed, removed) in some_ages(), beta in 0.3f64..6.0,
        ) {
            let before = assumed(&ages(&failed, &removed), beta, None).expect("in range").eta;
            let (one, rest) = failed.split_first().expect("an age");
            let mut more = removed.clone();
            more.push(*one);
            let after = assumed(&ages(rest, &more), beta, None).expect("in range").eta;
            prop_assert!(after >= before);
        }

        #[test]
        fn no_ages_panic(failed in vec(any::<f64>(), 0..8), removed in vec(any::<f64>(), 0..8), beta in any::<f64>()) {
            if let Ok(ages) = Ages::new(&failed, &removed) {
                if let Ok(Some(found)) = fit(&ages) {
                    prop_assert!(found.loglik.is_finite() && found.law.eta.is_finite());
                    working(&ages, Some(&found));
                }
                if let Ok(found) = assumed(&ages, beta, Confidence::new(0.9).ok()) {
                    prop_assert!(found.eta.is_none_or(f64::is_finite));
                    assumed_working(&found);
                }
            }
        }
    }
}
