//! Windings: resistance at another temperature, rise by resistance, balance of the phases.

pub mod thermal;

use crate::installation::Metal;
use crate::shown::{Fill, ask, figure, line, positive};
use crate::units::{Celsius, Kelvins, Ohms};
use crate::working::{Line, Verdict, Working};

/// What holds beside every measurement of a winding.
pub const CAUTION: &str = "Isolate, lock and prove dead before measuring; discharge the capacitors. A \
    winding that has just run burns the hand.";

/// The standard whose constant is used for copper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standard {
    /// NEMA MG 1: 234.5 for copper.
    MgOne,
    /// IEC 60034-1: 235 for copper.
    Iec60034,
}

/// The constant `k` of a metal: the temperature below 0 °C at which its straight line reaches zero.
///
/// Copper 234.5 (NEMA MG 1) or 235 (IEC 60034-1); aluminium 225 in both. Some small motors are wound
/// with aluminium: the metal is asked for, never taken for copper.
pub fn constant(metal: Metal, standard: Standard) -> f64 {
    match (metal, standard) {
        (Metal::Aluminium, _) => 225.0,
        (Metal::Copper, Standard::MgOne) => 234.5,
        (Metal::Copper, Standard::Iec60034) => 235.0,
    }
}

/// A temperature a winding can have.
fn plausible(temperature: Celsius) -> Option<f64> {
    (-60.0..=400.0)
        .contains(&temperature.0)
        .then_some(temperature.0)
}

/// Resistance of the same winding at another temperature: `R2 = R1 (k + t2)/(k + t1)`.
///
/// Ohms and °C. Valid for copper and aluminium from -60 to 400 °C. A flat 0.393 % a kelvin is right
/// from a base of 20 °C only. `None` outside. Source: NEMA MG 1; IEC 60034-1.
pub fn resistance_at(reading: Ohms, at: Celsius, wanted: Celsius, k: f64) -> Option<Ohms> {
    let reading = positive(reading.0)?;
    let (from, to) = (k + plausible(at)?, k + plausible(wanted)?);
    Some(Ohms(reading * positive(to)? / positive(from)?))
}

/// Temperature of a winding by its resistance: `t2 = (R2/R1)(k + t1) - k`.
///
/// `R1` at `t1` cold, `R2` hot, ohms and °C. Valid where the cold winding had the temperature of the
/// air and the hot reading was taken at once. `None` for figures that are not above zero, or a result
/// outside -60 to 400 °C. Source: NEMA MG 1 12.43; IEC 60034-1 clause 8.6.
pub fn hot_temperature(cold: Ohms, at: Celsius, hot: Ohms, k: f64) -> Option<Celsius> {
    let ratio = positive(hot.0)? / positive(cold.0)?;
    let base = positive(k + plausible(at)?)?;
    let hot = Celsius(ratio * base - k);
    plausible(hot).map(Celsius)
}

/// Rise over the air: `t2 - ambient at the end` of the run, not at its beginning.
/// Source: NEMA MG 1 12.43; IEC 60034-1 clause 8.6.
pub fn rise(hot: Celsius, ambient_at_end: Celsius) -> Option<Kelvins> {
    Some(Kelvins(plausible(hot)? - plausible(ambient_at_end)?))
}

/// Balance of three phase resistances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Their mean.
    pub mean: Ohms,
    /// Largest distance from the mean, percent of it.
    pub deviation: f64,
    /// Largest less smallest, percent of the mean.
    pub spread: f64,
}

/// Balance of the three resistances between the leads, all at one temperature.
///
/// `deviation = 100 max|R - mean|/mean`, `spread = 100 (max - min)/mean`. `None` unless all are above
/// zero. Source: common practice.
pub fn balance(readings: [Ohms; 3]) -> Option<Balance> {
    let mut sum = 0.0;
    for reading in readings {
        sum += positive(reading.0)?;
    }
    let mean = sum / 3.0;
    let all = readings.iter().map(|reading| reading.0);
    let most = all.clone().fold(f64::NEG_INFINITY, f64::max);
    let least = all.fold(f64::INFINITY, f64::min);
    Some(Balance {
        mean: Ohms(mean),
        deviation: 100.0 * (most - mean).max(mean - least) / mean,
        spread: 100.0 * (most - least) / mean,
    })
}

/// The working of a resistance at another temperature.
pub fn check_resistance(reading: Ohms, at: Celsius, wanted: Celsius, k: f64) -> Option<Working> {
    let corrected = resistance_at(reading, at, wanted, k)?;
    let mut working = Working::new("Winding resistance at another temperature");
    working.cautions.push(CAUTION.into());
    working.lines.push(
        line("resistance", "Resistance")
            .value(figure(corrected.0, 6), "ohm")
            .rule("R2 = R1 (k + t2)/(k + t1)", "NEMA MG 1; IEC 60034-1")
            .note(format!(
                "{} ohm x ({k} + {})/({k} + {})",
                figure(reading.0, 6),
                figure(wanted.0, 2),
                figure(at.0, 2)
            )),
    );
    Some(working)
}

/// The working of a temperature and rise by resistance, against a limit where one is known.
pub fn check_rise(
    cold: Ohms,
    at: Celsius,
    hot: Ohms,
    k: f64,
    ambient_at_end: Option<Celsius>,
    limit: Option<Kelvins>,
) -> Option<Working> {
    let temperature = hot_temperature(cold, at, hot, k)?;
    let mut working = Working::new("Winding temperature by resistance");
    working.cautions.push(CAUTION.into());
    let source = "NEMA MG 1 12.43; IEC 60034-1 8.6";
    working.lines.push(
        line("temperature", "Winding temperature")
            .value(figure(temperature.0, 2), "°C")
            .rule("t2 = (R2/R1)(k + t1) - k", source)
            .note(format!(
                "{}/{} x ({k} + {}) - {k}; the mean of the winding, its hottest spot is hotter",
                figure(hot.0, 4),
                figure(cold.0, 4),
                figure(at.0, 2)
            )),
    );
    let shown = line("rise", "Temperature rise").rule("less the air at the end of the run", source);
    let Some(rise) = ambient_at_end.and_then(|ambient| rise(temperature, ambient)) else {
        ask(
            &mut working,
            shown,
            "air temperature at the end of the run",
            "the rise is counted from it, not from the air at the beginning",
            "measure the air that goes into the motor when the hot reading is taken",
        );
        return Some(working);
    };
    working.lines.push(judge_rise(shown, rise, limit));
    Some(working)
}

fn judge_rise(shown: Line, rise: Kelvins, limit: Option<Kelvins>) -> Line {
    let shown = shown.value(figure(rise.0, 2), "K");
    let Some(limit) = limit else { return shown };
    let shown = shown
        .limit(format!("{} K", figure(limit.0, 1)))
        .margin(format!("{} K", figure(limit.0 - rise.0, 2)));
    if rise.0 <= limit.0 + 1e-9 {
        shown.judge(Verdict::Within, "Inside the rise of its class.")
    } else {
        let note = "Too hot: look for overload, low volts, unbalance and blocked cooling.";
        shown.judge(Verdict::Beyond, note)
    }
}

/// The working of a phase balance; the limit is the shop's or the maker's, in percent of the mean.
pub fn check_balance(readings: [Ohms; 3], limit: Option<f64>) -> Option<Working> {
    let found = balance(readings)?;
    let mut working = Working::new("Balance of the phase resistances");
    working.cautions.push(CAUTION.into());
    let shown = line("deviation", "Largest distance from the mean")
        .value(figure(found.deviation, 3), "%")
        .rule(
            "100 x largest distance / mean, all at one temperature",
            "common practice",
        );
    match limit.and_then(positive) {
        Some(limit) => {
            let shown = shown
                .limit(format!("{} %", figure(limit, 2)))
                .margin(format!("{} %", figure(limit - found.deviation, 3)));
            working.lines.push(if found.deviation <= limit + 1e-9 {
                shown.judge(Verdict::Within, "The phases agree.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Measure again at the motor's own leads; a poor joint or shorted turns remain.",
                )
            });
        }
        None => ask(
            &mut working,
            shown,
            "allowed unbalance of the resistances",
            "no standard here gives one limit for every motor",
            "take the maker's, or the shop's own from good motors of the same make",
        ),
    }
    working.lines.push(
        line("spread", "Largest less smallest")
            .value(figure(found.spread, 3), "%")
            .rule("100 x (largest - smallest) / mean", "common practice")
            .note(format!("mean {} ohm", figure(found.mean.0, 6))),
    );
    Some(working)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_air_at_the_end_counts() {
        let k = constant(Metal::Copper, Standard::MgOne);
        let hot = hot_temperature(Ohms(10.0), Celsius(25.0), Ohms(13.0), k).expect("a figure");
        assert!((hot.0 - 102.85).abs() < 1e-9);
        assert!((rise(hot, Celsius(40.0)).expect("a rise").0 - 62.85).abs() < 1e-9);
        let of = |ambient, limit| {
            check_rise(Ohms(10.0), Celsius(25.0), Ohms(13.0), k, ambient, limit)
                .expect("a working")
                .verdict()
        };
        assert_eq!(of(None, Some(Kelvins(80.0))), Some(Verdict::NotKnownYet));
        assert_eq!(
            of(Some(Celsius(40.0)), Some(Kelvins(80.0))),
            Some(Verdict::Within)
        );
        assert_eq!(
            of(Some(Celsius(20.0)), Some(Kelvins(80.0))),
            Some(Verdict::Beyond)
        );
    }

    #[test]
    fn the_metal_changes_the_answer() {
        let of = |metal| {
            let k = constant(metal, Standard::MgOne);
            hot_temperature(Ohms(12.0), Celsius(20.0), Ohms(15.5), k)
                .expect("a figure")
                .0
        };
        assert!(of(Metal::Copper) - of(Metal::Aluminium) > 2.0);
    }

    proptest! {
        #[test]
        fn temperature_and_resistance_go_there_and_back(r in 0.01f64..100.0, t in -20.0f64..60.0,
            hot in 60.0f64..200.0, k in prop::sample::select(vec![225.0, 234.5, 235.0])) {
            let there = resistance_at(Ohms(r), Celsius(t), Celsius(hot), k).expect("a resistance");
            let back = hot_temperature(Ohms(r), Celsius(t), there, k).expect("a temperature");
            prop_assert!((back.0 - hot).abs() < 1e-6);
        }

        #[test]
        fn more_resistance_is_hotter_and_never_better(r in 1.0f64..50.0, ratio in 1.0f64..1.6, more in 1.0f64..1.1, limit in 20.0f64..125.0) {
            let of = |hot| check_rise(Ohms(r), Celsius(20.0), Ohms(hot), 234.5, Some(Celsius(25.0)), Some(Kelvins(limit)))
                .and_then(|working| working.verdict()).map(Verdict::severity);
            prop_assert!(of(r * ratio * more) >= of(r * ratio));
        }

        #[test]
        fn balance_does_not_mind_the_order(a in 0.1f64..50.0, b in 0.1f64..50.0, c in 0.1f64..50.0) {
            let one = balance([Ohms(a), Ohms(b), Ohms(c)]).expect("a balance");
            let other = balance([Ohms(c), Ohms(a), Ohms(b)]).expect("a balance");
            prop_assert!((one.deviation - other.deviation).abs() < 1e-9);
            prop_assert!(one.deviation <= one.spread + 1e-9 && one.spread <= 2.0 * one.deviation + 1e-9);
        }

        #[test]
        fn no_figure_panics(a: f64, b: f64, c: f64, k: f64, d: f64) {
            let _ = check_resistance(Ohms(a), Celsius(b), Celsius(c), k);
            let _ = check_rise(Ohms(a), Celsius(b), Ohms(c), k, Some(Celsius(d)), Some(Kelvins(a)));
            let _ = check_balance([Ohms(a), Ohms(b), Ohms(c)], Some(d));
        }
    }
}
