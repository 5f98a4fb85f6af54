//! The two-parameter Weibull life of a part: chance to survive, hazard, mean and quantiles.

use super::{Refused, dist, finite, refuse};

/// A Weibull life: `R(t) = exp(-(t/eta)^beta)`.
///
/// `beta` is the shape: below 1 early failures, 1 by chance, above 1 wear. `eta` is the age by which
/// 63.2 % have failed, in the unit of the ages. Source: NIST/SEMATECH e-Handbook 8.1.6.2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weibull {
    /// Shape, without unit.
    pub beta: f64,
    /// Characteristic life, in the unit of the ages.
    pub eta: f64,
}

impl Weibull {
    /// # Errors
    /// A shape or a life that is not above zero, or a shape above 1e6.
    pub fn new(beta: f64, eta: f64) -> Result<Self, Refused> {
        if !(beta > 0.0 && beta <= 1e6) {
            return refuse("beta", "Give a shape above zero, such as 2.5");
        }
        if !(eta > 0.0 && eta.is_finite()) {
            return refuse("eta", "Give a characteristic life above zero");
        }
        Ok(Weibull { beta, eta })
    }

    /// `(t/eta)^beta`, at most the largest number there is.
    fn load(&self, t: f64) -> f64 {
        (t / self.eta).powf(self.beta).min(f64::MAX)
    }

    /// Share that survives age `t`: `exp(-(t/eta)^beta)`. `None` below age 0.
    /// Source: NIST/SEMATECH e-Handbook 8.1.6.2.
    pub fn survival(&self, t: f64) -> Option<f64> {
        (t >= 0.0 && t.is_finite()).then(|| (-self.load(t)).exp())
    }

    /// Share failed by age `t`: `1 - R(t)`, exact where it is small.
    pub fn failed(&self, t: f64) -> Option<f64> {
        (t >= 0.0 && t.is_finite()).then(|| -(-self.load(t)).exp_m1())
    }

    /// Hazard at age `t`, failures a unit of time among the survivors:
    /// `(beta/eta) (t/eta)^(beta-1)`. `None` below age 0 and where it has no bound: at age 0 with a
    /// shape below 1. Source: NIST/SEMATECH e-Handbook 8.1.6.2.
    pub fn hazard(&self, t: f64) -> Option<f64> {
        if !(t >= 0.0 && t.is_finite()) {
            return None;
        }
        finite(self.beta / self.eta * (t / self.eta).powf(self.beta - 1.0))
    }

    /// Chance of a part that has reached age `t` to run for `more` without failure:
    /// `R(t + more) / R(t)`. `None` below zero. Source: textbook.
    pub fn conditional(&self, t: f64, more: f64) -> Option<f64> {
        if !(t >= 0.0 && more >= 0.0 && (t + more).is_finite()) {
            return None;
        }
        let (now, then) = (self.load(t), self.load(t + more));
        // Beyond the range of numbers next to nothing is left of a wearing part.
        Some(if then == f64::MAX && more > 0.0 {
            0.0
        } else {
            (now - then).exp().min(1.0)
        })
    }

    /// Mean life `eta Gamma(1 + 1/beta)`; `None` where it overflows (a shape below about 0.006).
    /// Source: NIST/SEMATECH e-Handbook 8.4.1.3.
    pub fn mean(&self) -> Option<f64> {
        finite(self.eta * dist::gamma_of(1.0 + 1.0 / self.beta)?)
    }

    /// Standard deviation `eta sqrt(Gamma(1+2/beta) - Gamma(1+1/beta)^2)`; `None` on overflow.
    /// Source: NIST/SEMATECH e-Handbook 8.4.1.3.
    pub fn deviation(&self) -> Option<f64> {
        let x = 1.0 / self.beta;
        // ln(Gamma(1+2x) / Gamma(1+x)^2); near zero by its series, where the difference cancels.
        let spread = if x < 1e-3 {
            x * x * (1.644_934_066_848_226_4 - 2.404_113_806_319_188_6 * x)
                + 3.788_131_317_688_488 * x.powi(4)
        } else {
            dist::ln_gamma(1.0 + 2.0 * x) - 2.0 * dist::ln_gamma(1.0 + x)
        };
        finite(self.mean()? * spread.exp_m1().max(0.0).sqrt())
    }

    /// Age by which the share `p` has failed: `eta (-ln(1-p))^(1/beta)`; `None` unless `0 < p < 1`.
    /// Source: textbook; `B10` is the age at which 10 % have failed.
    pub fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        finite(self.eta * (-(-p).ln_1p()).powf(1.0 / self.beta))
    }

    /// What the shape says about the way of failing. Source: common practice.
    pub fn shape_words(&self) -> &'static str {
        match self.beta {
            beta if beta < 0.95 => {
                "Below 1: failures come early. Look at fitting, setting and supplied quality; replacing by age does harm."
            }
            beta if beta <= 1.05 => {
                "About 1: failures come by chance, at any age. Replacing by age gains nothing."
            }
            beta if beta < 4.0 => "Above 1: the part wears. Replacing by age may pay.",
            _ => {
                "Well above 1: the part wears out within a narrow span of ages. Replacing by age may pay."
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn law(beta: f64, eta: f64) -> Weibull {
        Weibull::new(beta, eta).expect("a law")
    }

    #[test]
    fn a_shape_of_one_is_the_constant_rate() {
        let law = law(1.0, 400.0);
        assert!((law.survival(720.0).unwrap_or(0.0) - 0.165_298_888_221_586_5).abs() < 1e-12);
        assert!((law.mean().unwrap_or(0.0) - 400.0).abs() < 1e-9);
        assert!((law.deviation().unwrap_or(0.0) - 400.0).abs() < 1e-9);
        assert!((law.hazard(0.0).unwrap_or(0.0) - 1.0 / 400.0).abs() < 1e-15);
    }

    #[test]
    fn hazard_without_bound_is_no_figure() {
        assert_eq!(law(0.5, 10.0).hazard(0.0), None);
        assert_eq!(law(0.005, 10.0).mean(), None);
    }

    #[test]
    fn the_spread_is_smooth_where_the_series_takes_over() {
        let a = law(999.9, 1.0).deviation().expect("a spread");
        let b = law(1000.1, 1.0).deviation().expect("a spread");
        assert!((a / b - 1000.1 / 999.9).abs() < 1e-6);
    }

    proptest! {
        #[test]
        fn survival_falls_and_the_quantile_turns_it_round(
            beta in 0.2f64..20.0, eta in 1e-3f64..1e6, a in 0.0f64..1e6, b in 0.0f64..1e6, p in 0.001f64..0.999,
        ) {
            let law = law(beta, eta);
            prop_assert!(law.survival(a.max(b)) <= law.survival(a.min(b)));
            let age = law.quantile(p).expect("an age");
            prop_assert!((law.failed(age).unwrap_or(2.0) - p).abs() < 1e-9);
        }

        #[test]
        fn no_figure_is_ever_infinite(
            beta in any::<f64>(), eta in any::<f64>(), t in any::<f64>(), more in any::<f64>(),
        ) {
            if let Ok(law) = Weibull::new(beta, eta) {
                for value in [
                    law.survival(t), law.failed(t), law.hazard(t), law.conditional(t, more), law.mean(),
                    law.deviation(), law.quantile(t),
                ] {
                    prop_assert!(value.is_none_or(f64::is_finite));
                }
            }
        }
    }
}
