//! The few distributions that the figures need, on top of the `statrs` crate.
//!
//! Quantiles of `statrs` were held against scipy's to 1e-10 of their size, and its distributions
//! turn them round to 1e-9 for 1 to 10 000 failures, so that nothing needs refining. (Its normal
//! distribution itself is good to about 1e-9.) Nothing here returns infinity or NaN.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal};
use statrs::function::gamma;

/// `x` with `P(chi-squared of df <= x) = p`; `None` unless `0 < p < 1` and `0 < df <= 2e6`.
pub fn chi2_quantile(p: f64, df: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0 && df > 0.0 && df <= 2e6) {
        return None;
    }
    // Two degrees of freedom have a closed form, which keeps the small tail exact.
    let x = if df == 2.0 {
        -2.0 * (-p).ln_1p()
    } else {
        ChiSquared::new(df).ok()?.inverse_cdf(p)
    };
    (x.is_finite() && x > 0.0).then_some(x)
}

/// `P(chi-squared of df <= x)`, 0 to 1; 0 for `x <= 0` or a `df` out of range.
pub fn chi2_cdf(x: f64, df: f64) -> f64 {
    gamma_below(df / 2.0, x / 2.0)
}

/// `P(chi-squared of df > x)`, 0 to 1.
pub fn chi2_above(x: f64, df: f64) -> f64 {
    gamma_above(df / 2.0, x / 2.0)
}

/// Regularised lower incomplete gamma function `P(a, x)`, for `0 < a <= 1e7`.
pub fn gamma_below(a: f64, x: f64) -> f64 {
    if !in_range(a, x) {
        return if x > 0.0 { 1.0 } else { 0.0 };
    }
    gamma::gamma_lr(a, x).clamp(0.0, 1.0)
}

/// Regularised upper incomplete gamma function `Q(a, x) = 1 - P(a, x)`, for `0 < a <= 1e7`.
pub fn gamma_above(a: f64, x: f64) -> f64 {
    if !in_range(a, x) {
        return if x > 0.0 { 0.0 } else { 1.0 };
    }
    gamma::gamma_ur(a, x).clamp(0.0, 1.0)
}

fn in_range(a: f64, x: f64) -> bool {
    a > 0.0 && a <= 1e7 && x > 0.0 && x.is_finite()
}

/// Gamma function for `x > 0`; `None` where it overflows (above about 171).
pub fn gamma_of(x: f64) -> Option<f64> {
    (x > 0.0 && x < 171.0)
        .then(|| gamma::gamma(x))
        .filter(|value| value.is_finite())
}

/// Natural logarithm of the gamma function for `0 < x`.
pub fn ln_gamma(x: f64) -> f64 {
    gamma::ln_gamma(x)
}

/// `z` with `P(normal <= z) = p`; `None` unless `0 < p < 1`.
pub fn normal_quantile(p: f64) -> Option<f64> {
    (p > 0.0 && p < 1.0)
        .then(|| Normal::standard().inverse_cdf(p))
        .filter(|z| z.is_finite())
}

/// `P(normal > z)`.
pub fn normal_above(z: f64) -> f64 {
    Normal::standard().sf(z)
}

/// `P(Poisson of mean <= k)`; 1 for a mean of zero.
pub fn poisson_cdf(k: u64, mean: f64) -> f64 {
    if mean <= 0.0 {
        1.0
    } else {
        gamma_above(k as f64 + 1.0, mean)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn near(want: f64, got: Option<f64>) {
        let got = got.expect("a figure");
        assert!((got / want - 1.0).abs() < 1e-10, "want {want}, got {got}");
    }

    /// Printed quantiles, from `scipy.stats` 1.17.
    #[test]
    fn quantiles_are_exact_enough() {
        near(12.591587243743977, chi2_quantile(0.95, 6.0));
        near(1.6448536269514722, normal_quantile(0.95));
        near(1.9599639845400545, normal_quantile(0.975));
        near(-3.090232306167813, normal_quantile(0.001));
        near(4.605170185988092, chi2_quantile(0.9, 2.0));
    }

    proptest! {
        #[test]
        fn quantiles_turn_the_distribution_round(p in 0.0005f64..0.9995, half in 1u32..10_000) {
            let df = f64::from(half) * 2.0;
            let x = chi2_quantile(p, df).expect("a quantile");
            prop_assert!((chi2_cdf(x, df) - p).abs() < 1e-9);
            let z = normal_quantile(p).expect("a quantile");
            prop_assert!((1.0 - normal_above(z) - p).abs() < 1e-9);
        }

        #[test]
        fn nothing_is_ever_not_a_number(p in any::<f64>(), df in any::<f64>(), x in any::<f64>()) {
            prop_assert!(chi2_quantile(p, df).is_none_or(f64::is_finite));
            prop_assert!(normal_quantile(p).is_none_or(f64::is_finite));
            prop_assert!((0.0..=1.0).contains(&chi2_cdf(x, df)));
            prop_assert!((0.0..=1.0).contains(&chi2_above(x, df)));
        }
    }
}
