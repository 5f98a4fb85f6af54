//! The power law of several units by the whole likelihood, which counts the lengths of their watches too.

use super::{finite, sig};
use crate::shown::{Fill, line};
use crate::working::Working;

/// The law by the whole likelihood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FullFit {
    /// Shape.
    pub beta: f64,
    /// Scale a unit, `n / sum T^beta`; `None` where it is beyond the range of numbers.
    pub lambda: Option<f64>,
    /// Mean time between failures of one unit at the greatest end, `1 / (lambda beta T^(beta-1))`.
    pub mtbf: f64,
}

/// Solves `n/b + sum ln t = n sum(T^b ln T) / sum(T^b)`; events `t` and ends `T` above zero.
///
/// The left side less the right falls with `b`, so that halving finds the one root. With equal ends the
/// shape is `n / sum ln(T/t)`. `None` without events, with all events at the greatest end, or where
/// nothing comes out within the range of numbers.
/// Source: maximum likelihood of the power law for several units (MIL-HDBK-189, from memory).
pub fn full_fit(units: &[Vec<f64>], ends: &[f64]) -> Option<FullFit> {
    let most = ends.iter().copied().fold(0.0, f64::max);
    let n = units.iter().map(Vec::len).sum::<usize>() as f64;
    let logs: f64 = units.iter().flatten().map(|t| (t / most).ln()).sum();
    if n < 1.0 || !logs.is_finite() || logs >= 0.0 {
        return None;
    }
    let weight = |b: f64| {
        ends.iter()
            .map(|t| (b * (t / most).ln()).exp())
            .sum::<f64>()
    };
    let off = |b: f64| {
        let pull = |t: &f64| (b * (t / most).ln()).exp() * (t / most).ln();
        n / b + logs - n * ends.iter().map(pull).sum::<f64>() / weight(b)
    };
    let (mut low, mut high) = (1e-9_f64, 1e6_f64);
    if !(off(low) > 0.0 && off(high) < 0.0) {
        return None;
    }
    for _ in 0..200 {
        let middle = (low * high).sqrt();
        if off(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    let beta = (low * high).sqrt();
    Some(FullFit {
        beta,
        lambda: finite(n / (most.powf(beta) * weight(beta))).filter(|lambda| *lambda > 0.0),
        mtbf: finite(most * weight(beta) / (n * beta)).filter(|mtbf| *mtbf > 0.0)?,
    })
}

/// The lines of it, and the caution where the units were watched for different times.
pub(super) fn push(working: &mut Working, full: Option<FullFit>, equal: bool) {
    if equal {
        return;
    }
    if let Some(full) = full {
        working.lines.push(
            line("beta_full_ml", "Shape by the whole likelihood")
                .value(sig(full.beta), "")
                .rule(
                    "n/b + sum ln t = n sum(T^b ln T) / sum(T^b)",
                    "maximum likelihood; MIL-HDBK-189, from memory",
                ),
        );
        working.lines.push(
            line("mtbf_full_ml", "Mean time between failures now, by it")
                .value(sig(full.mtbf), "")
                .rule(
                    "1 / (lambda b T^(b-1)), lambda = n / sum T^b",
                    "maximum likelihood; MIL-HDBK-189, from memory",
                )
                .note("For one unit, at the greatest end."),
        );
    }
    working.cautions.push(
        "The units were watched for different times: events / sum ln(T/t) is the maximum likelihood \
         given each unit's count and leaves out what the lengths of the watches tell; the shape by the \
         whole likelihood does not. Where the two lie far apart, prefer the latter."
            .into(),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    #[test]
    fn units_watched_for_different_times() {
        let units = [
            vec![49.38, 76.19, 131.02, 221.31],
            vec![10.25, 108.95, 127.96, 133.96, 153.69, 187.95],
            vec![],
            vec![44.68, 264.69, 351.51, 527.22, 638.61, 798.44],
        ];
        let full = full_fit(&units, &[398.4, 236.4, 833.0, 840.3]).expect("a law");
        assert!((full.beta - 0.714).abs() < 5e-4, "{}", full.beta);
        assert!((full.mtbf - 219.5).abs() < 0.05, "{}", full.mtbf);
    }

    proptest! {
        #[test]
        fn equal_ends_give_the_plain_shape(events in vec(0.1f64..99.0, 1..20)) {
            let plain = events.len() as f64 / events.iter().map(|t| (100.0 / t).ln()).sum::<f64>();
            let full = full_fit(&[events], &[100.0]).expect("a law");
            prop_assert!((full.beta / plain - 1.0).abs() < 1e-9);
        }

        #[test]
        fn no_events_panic(events in vec(any::<f64>(), 0..6), a: f64, b: f64) {
            if let Some(full) = full_fit(&[events, vec![]], &[a, b]) {
                prop_assert!(full.beta.is_finite() && full.mtbf > 0.0);
            }
        }
    }
}
