//! How many spares to keep for failures that come by chance.

use crate::life::{Refused, dist, refuse, sig};
use crate::shown::{Fill, figure, line};
use crate::working::Working;

/// Spares for failures that come by chance while an order is on its way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spares {
    /// Failures expected during the lead time, `m = units x rate x lead time`.
    pub mean_demand: f64,
    /// Fewest spares that reach the target.
    pub stock: u64,
    /// Chance that they are enough.
    pub achieved: f64,
    /// Chance that one less would be; 0 where that is less than none.
    pub one_less: f64,
    /// The chance wanted.
    pub target: f64,
}

/// Smallest `k` with `P(Poisson(m) <= k) >= target`.
///
/// `m` is units x failures a unit and year x lead time in years, 0 to 1 000 000; the target above 0
/// and below 1. Holds for a constant rate and failures that do not bring each other on. Zero demand
/// gives zero by arithmetic; a spare against a rare breakdown is decided on what waiting costs.
/// # Errors
/// An input out of range. Source: textbook, Poisson spares.
pub fn spares(
    units: f64,
    failures_per_unit_year: f64,
    lead_time_years: f64,
    target: f64,
) -> Result<Spares, Refused> {
    for (field, value) in [
        ("units", units),
        ("failures_per_unit_year", failures_per_unit_year),
        ("lead_time_years", lead_time_years),
    ] {
        if !(value >= 0.0 && value.is_finite()) {
            return refuse(field, "Give zero or a number above it");
        }
    }
    if !(target > 0.0 && target < 1.0) {
        return refuse(
            "target",
            "Give a share between 0 and 1, such as 0.95; nothing reaches 1",
        );
    }
    let mean = units * failures_per_unit_year * lead_time_years;
    if mean.is_nan() || mean > 1e6 {
        return refuse(
            "units",
            "More than a million failures in the lead time: look at the units again",
        );
    }
    let stock = smallest(mean, target);
    Ok(Spares {
        mean_demand: mean,
        stock,
        achieved: dist::poisson_cdf(stock, mean),
        one_less: stock
            .checked_sub(1)
            .map_or(0.0, |k| dist::poisson_cdf(k, mean)),
        target,
    })
}

fn smallest(mean: f64, target: f64) -> u64 {
    let enough = |k: u64| dist::poisson_cdf(k, mean) >= target;
    if enough(0) {
        return 0;
    }
    let (mut low, mut high) = (0, 1);
    while !enough(high) && high < 1 << 24 {
        low = high;
        high *= 2;
    }
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    high
}

/// The spares as lines.
pub fn spares_working(found: &Spares) -> Working {
    let mut working = Working::new("Spares to keep");
    let demand = line(
        "mean_demand",
        "Failures expected while an order is on its way",
    )
    .value(sig(found.mean_demand), "")
    .rule("units x failures a unit and year x lead time", "textbook");
    working.lines.push(if found.mean_demand == 0.0 {
        demand.note("No demand was given: none is needed by this arithmetic. Unknown demand is not zero demand.")
    } else {
        demand
    });
    working.lines.push(
        line("stock", "Spares")
            .value(found.stock.to_string(), "")
            .limit(format!("{} % wanted", figure(100.0 * found.target, 4)))
            .margin(format!("{} % reached", figure(100.0 * found.achieved, 2)))
            .rule(
                "fewest that are enough with the chance wanted, Poisson",
                "textbook",
            )
            .note(match found.stock {
                0 => "None kept: a failure then waits out the whole lead time.".to_owned(),
                _ => format!("One less reaches {} %.", figure(100.0 * found.one_less, 2)),
            }),
    );
    working.cautions.push(
        "A unit whose stop can hurt or flood deserves its spare whatever the arithmetic says."
            .into(),
    );
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn without_demand_no_spare_is_needed_by_arithmetic() {
        let found = spares(10.0, 0.0, 0.5, 0.95).expect("in range");
        assert_eq!((found.stock, found.achieved), (0, 1.0));
        let said = spares_working(&found);
        assert!(
            said.lines
                .iter()
                .any(|line| line.note.contains("not zero demand"))
        );
        assert!(spares(10.0, 1.0, 0.5, 1.0).is_err());
    }

    proptest! {
        #[test]
        fn the_stock_is_the_fewest_that_is_enough(mean in 0.0f64..5000.0, target in 0.01f64..0.9999) {
            let found = spares(1.0, mean, 1.0, target).expect("in range");
            prop_assert!(found.achieved >= target);
            prop_assert!(found.stock == 0 || found.one_less < target);
        }

        #[test]
        fn more_spares_never_lower_service(mean in 0.0f64..500.0, k in 0u64..600) {
            prop_assert!(dist::poisson_cdf(k + 1, mean) >= dist::poisson_cdf(k, mean) - 1e-13);
        }

        #[test]
        fn no_input_panics(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            if let Ok(found) = spares(a, b, c, d) {
                prop_assert!(found.mean_demand.is_finite() && (0.0..=1.0).contains(&found.achieved));
                spares_working(&found);
            }
        }
    }
}
