//! A motor's capacitor: what it measures in the circuit, against its label.

use crate::shown::{Fill, ask, figure, line, positive};
use crate::units::{Amps, Hertz, Microfarads, Volts};
use crate::working::{Line, Verdict, Working};

/// What holds beside every capacitor.
pub const CAUTION: &str = "A capacitor holds its charge after the supply is off: discharge it through \
    a resistor and prove it discharged before touching it. Measuring under voltage is work for \
    qualified people.";

/// Capacitance in the running circuit: `C = 10^6 I / (2 pi f V)`, microfarads.
///
/// `I` amperes in the capacitor's own lead, `V` volts across the capacitor (not the supply), `f`
/// hertz. Valid for sinusoidal supply; not behind a drive. `None` for figures not above zero.
/// Source: reactance of a capacitor (2652.58 I/V at 60 Hz, 3183.10 I/V at 50 Hz).
pub fn capacitance(current: Amps, across: Volts, frequency: Hertz) -> Option<Microfarads> {
    let (i, v) = (positive(current.0)?, positive(across.0)?);
    let micro = 1e6 * i / (std::f64::consts::TAU * positive(frequency.0)? * v);
    micro.is_finite().then_some(Microfarads(micro))
}

/// Tolerance of the label, percent below and above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Percent below the rating, from 0 to below 100.
    pub below: f64,
    /// Percent above the rating.
    pub above: f64,
}

/// Lowest and highest capacitance: `C (1 - below/100)` and `C (1 + above/100)`, microfarads.
/// The tolerance is that of the label: 6 % is common, 5 and 10 occur. Source: the label.
pub fn limits(rated: Microfarads, tolerance: Tolerance) -> Option<(Microfarads, Microfarads)> {
    let rated = positive(rated.0)?;
    let Tolerance { below, above } = tolerance;
    let usable = (0.0..100.0).contains(&below) && (0.0..=1000.0).contains(&above);
    usable.then(|| {
        (
            Microfarads(rated * (1.0 - below / 100.0)),
            Microfarads(rated * (1.0 + above / 100.0)),
        )
    })
}

/// How a capacitor stands to its label.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// Below its lowest value: replace it.
    Low,
    /// Inside; the limits belong to it.
    Pass,
    /// Above its highest value: measure again, and replace it.
    High,
}

impl Stands {
    /// The word for it.
    pub fn words(self) -> &'static str {
        match self {
            Stands::Low => "low",
            Stands::Pass => "pass",
            Stands::High => "high",
        }
    }
}

/// How a measured capacitance stands to rating and tolerance. Source: the label.
pub fn stands(rated: Microfarads, tolerance: Tolerance, measured: Microfarads) -> Option<Stands> {
    let (low, high) = limits(rated, tolerance)?;
    let measured = positive(measured.0)?;
    // 7.05 uF on 7.5 uF - 6 % is inside; in binary the limit falls a hair beside it.
    let hair = 1e-9 * rated.0;
    Some(if measured < low.0 - hair {
        Stands::Low
    } else if measured > high.0 + hair {
        Stands::High
    } else {
        Stands::Pass
    })
}

/// What is known of a capacitor. Blank is not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Capacitor {
    /// Capacitance measured, or worked out of current and voltage.
    pub measured: Option<Microfarads>,
    /// Rating of the label.
    pub rated: Option<Microfarads>,
    /// Tolerance of the label.
    pub tolerance: Option<Tolerance>,
    /// Voltage measured across it while the motor runs.
    pub across: Option<Volts>,
    /// Voltage of the label.
    pub rated_volts: Option<Volts>,
}

/// A capacitor against its label.
///
/// Source: the label; voltage below the marked one, common practice.
pub fn check(capacitor: &Capacitor) -> Working {
    let mut working = Working::new("Capacitor");
    working.cautions.push(CAUTION.into());
    value(&mut working, capacitor);
    volts(&mut working, capacitor);
    working
}

fn value(working: &mut Working, capacitor: &Capacitor) {
    let shown = line("capacitance", "Capacitance").rule(
        "inside the tolerance of the label; C = 10^6 I / (2 pi f V)",
        "the label",
    );
    let (Some(measured), Some(rated), Some(tolerance)) =
        (capacitor.measured, capacitor.rated, capacitor.tolerance)
    else {
        return ask_value(working, shown, capacitor);
    };
    let (Some((low, high)), Some(stands)) =
        (limits(rated, tolerance), stands(rated, tolerance, measured))
    else {
        return ask(
            working,
            shown,
            "rating, tolerance and reading as possible figures",
            "the limits are worked out of them",
            "read the label again",
        );
    };
    let shown = shown
        .value(figure(measured.0, 3), "uF")
        .limit(format!("{} to {} uF", figure(low.0, 3), figure(high.0, 3)))
        .margin(format!(
            "{} %",
            figure(100.0 * (measured.0 / rated.0 - 1.0), 2)
        ));
    working.lines.push(match stands {
        Stands::Pass => shown.judge(Verdict::Within, "The capacitor is inside its tolerance."),
        Stands::Low => shown.judge(
            Verdict::Beyond,
            "Low: replace it by one of the same capacitance and at least the same voltage.",
        ),
        Stands::High => shown.judge(
            Verdict::Beyond,
            "High: check meter and leads, measure again, and replace it if it stays high.",
        ),
    });
}

fn ask_value(working: &mut Working, shown: Line, capacitor: &Capacitor) {
    let (what, how) = if capacitor.measured.is_none() {
        (
            "measured capacitance, or the current in its lead with the volts across it",
            "measure it discharged and parted, or clamp its own lead while the motor runs",
        )
    } else if capacitor.rated.is_none() {
        ("rated capacitance", "read the label in uF")
    } else {
        ("tolerance of the label", "read it: 5, 6 and 10 % all occur")
    };
    let why = "a reading is good or bad only against rating and tolerance";
    ask(working, shown, what, why, how);
}

fn volts(working: &mut Working, capacitor: &Capacitor) {
    let shown = line("volts", "Volts across the capacitor").rule(
        "not above the voltage of the label; a replacement has at least the same",
        "common practice",
    );
    let usable = |volts: Option<Volts>| volts.and_then(|v| positive(v.0));
    match (usable(capacitor.across), usable(capacitor.rated_volts)) {
        (Some(across), Some(rated)) => {
            let shown = shown
                .value(figure(across, 1), "V")
                .limit(format!("{} V", figure(rated, 0)))
                .margin(format!("{} V", figure(rated - across, 1)));
            working.lines.push(if across <= rated * (1.0 + 1e-9) {
                shown.judge(Verdict::Within, "The label covers the voltage across it.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Fit one of the same capacitance and a higher marked voltage.",
                )
            });
        }
        // Measured out of circuit there is no voltage to judge.
        (None, _) => {}
        (Some(_), None) => ask(
            working,
            shown,
            "voltage of the label",
            "more than the marked voltage breaks it down",
            "read the label",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SIX: Tolerance = Tolerance {
        below: 6.0,
        above: 6.0,
    };

    #[test]
    fn the_limits_belong_to_the_good_ones() {
        let of = |measured| stands(Microfarads(7.5), SIX, Microfarads(measured));
        assert_eq!(of(7.05), Some(Stands::Pass));
        assert_eq!(of(7.04), Some(Stands::Low));
        assert_eq!(of(7.96), Some(Stands::High));
    }

    #[test]
    fn a_tolerance_that_was_not_read_is_asked_for() {
        let mut capacitor = Capacitor {
            measured: Some(Microfarads(7.4)),
            rated: Some(Microfarads(7.5)),
            tolerance: Some(SIX),
            ..Capacitor::default()
        };
        assert_eq!(check(&capacitor).verdict(), Some(Verdict::Within));
        capacitor.across = Some(Volts(371.0));
        capacitor.rated_volts = Some(Volts(370.0));
        assert_eq!(check(&capacitor).verdict(), Some(Verdict::Beyond));
        capacitor.across = None;
        capacitor.tolerance = None;
        assert_eq!(check(&capacitor).verdict(), Some(Verdict::NotKnownYet));
    }

    proptest! {
        #[test]
        fn current_and_capacitance_go_there_and_back(c in 0.5f64..200.0, v in 10.0f64..500.0, f in 40.0f64..70.0) {
            let amps = std::f64::consts::TAU * f * c * 1e-6 * v;
            let back = capacitance(Amps(amps), Volts(v), Hertz(f)).expect("a figure");
            prop_assert!((back.0 - c).abs() < 1e-9 * c);
        }

        #[test]
        fn farther_off_the_rating_is_never_better(rated in 1.0f64..100.0, off in 0.0f64..0.4, more in 0.0f64..0.4, low: bool, p in 0.0f64..20.0) {
            let good = |share: f64| {
                let measured = rated * if low { 1.0 - share } else { 1.0 + share };
                stands(Microfarads(rated), Tolerance { below: p, above: p }, Microfarads(measured)) == Some(Stands::Pass)
            };
            prop_assert!(good(off) || !good(off + more));
        }

        #[test]
        fn no_figure_panics(a: f64, b: f64, c: f64, d: f64) {
            let _ = capacitance(Amps(a), Volts(b), Hertz(c));
            let _ = check(&Capacitor {
                measured: Some(Microfarads(a)), rated: Some(Microfarads(b)),
                tolerance: Some(Tolerance { below: c, above: d }),
                across: Some(Volts(c)), rated_volts: Some(Volts(d)),
            });
        }
    }
}
