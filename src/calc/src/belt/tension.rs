//! Tension by the force test: pressed by 1/64 of the span, the belt must take a force of the table.

use super::section::Section;
use crate::shown::{Fill, figure, line};
use crate::tables::{number, rows};
use crate::units::{Millimetres, N_PER_LBF, Rpm};
use crate::working::{Verdict, Working};
use std::sync::LazyLock;

/// Forces of one belt at the test deflection, N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forces {
    /// Lowest force: a belt that has run in.
    pub used_n: f64,
    /// Highest force: a new belt.
    pub new_n: f64,
}

struct Band {
    section: String,
    sheave_in: (f64, f64),
    rpm: (f64, f64),
    plain: Option<Forces>,
    cogged: Option<Forces>,
}

static BANDS: LazyLock<Vec<Band>> = LazyLock::new(|| {
    rows(include_str!("../tables/vbelt_deflection_force.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |at: usize| row.get(at).and_then(|cell| number(cell));
            let forces = |new: usize| {
                Some(Forces {
                    used_n: cell(new + 1)? * N_PER_LBF,
                    new_n: cell(new)? * N_PER_LBF,
                })
            };
            Some(Band {
                section: row.first()?.clone(),
                sheave_in: (cell(1)?, cell(2)?),
                rpm: (cell(3)?, cell(4)?),
                plain: forces(5),
                cogged: forces(7),
            })
        })
        .collect()
});

/// Force range of a belt by section, smallest sheave of the drive and the speed of that sheave.
///
/// `None` for a section without a table, for a sheave or speed between or outside its bands (the
/// table is not stretched), and where it has no figure. Source: belt tension table, common practice;
/// the belt maker's own table goes first.
pub fn forces(
    section: &Section,
    cogged: bool,
    smallest_sheave: Millimetres,
    speed: Rpm,
) -> Option<Forces> {
    // Sheaves are listed to a tenth of an inch.
    let inches = (smallest_sheave.inches() * 10.0).round() / 10.0;
    let rpm = speed.0.round();
    let band = BANDS.iter().find(|band| {
        band.section == section.name
            && (band.sheave_in.0..=band.sheave_in.1).contains(&inches)
            && (band.rpm.0..=band.rpm.1).contains(&rpm)
    })?;
    if cogged { band.cogged } else { band.plain }
}

/// Holds a measured force against the range, or says how to measure it.
pub(crate) fn judge(working: &mut Working, forces: Forces, measured_n: Option<f64>) {
    let shown = line("tension", "Force at the test deflection")
        .limit(format!(
            "{} N used to {} N new",
            figure(forces.used_n, 1),
            figure(forces.new_n, 1)
        ))
        .rule(
            "pressed by 1/64 of the span, the force lies between used and new",
            "belt tension table, common practice",
        );
    let Some(force) = measured_n.filter(|force| force.is_finite() && *force >= 0.0) else {
        let shown = shown.value("not measured", "").note(
            "Lock out, press at the middle of the span with a spring scale to the test deflection, and read the force.",
        );
        return working.lines.push(shown);
    };
    let shown = shown.value(figure(force, 1), "N");
    working.lines.push(if force < forces.used_n * (1.0 - 1e-9) {
        shown.judge(
            Verdict::Beyond,
            "Too slack: move the motor out until the force is in the range.",
        )
    } else if force > forces.new_n * (1.0 + 1e-9) {
        shown.judge(
            Verdict::Beyond,
            "Too tight: slacken it, or the bearings and shaft are overloaded.",
        )
    } else {
        shown.judge(
            Verdict::Within,
            "In the range; check again after a day of running.",
        )
    });
}

#[cfg(test)]
mod tests {
    use super::super::section::{SECTIONS, find};
    use super::*;
    use proptest::prelude::*;

    fn pounds(name: &str, sheave: f64, speed: f64) -> Option<(f64, f64)> {
        let (section, cogged) = find(name)?;
        let got = forces(
            section,
            cogged,
            Millimetres::from_inches(sheave),
            Rpm(speed),
        )?;
        Some((got.used_n / N_PER_LBF, got.new_n / N_PER_LBF))
    }

    #[test]
    fn the_table_is_not_stretched() {
        assert_eq!(pounds("B", 3.4, 1750.0), None);
        assert!(pounds("BX", 3.4, 1750.0).is_some());
        assert_eq!(pounds("A", 3.7, 1750.0), None);
        assert_eq!(pounds("4L", 3.4, 1750.0), None);
        assert_eq!(pounds("A", 3.4, 700.0), None);
    }

    proptest! {
        #[test]
        fn used_is_below_new(sheave in 2.0..20.0f64, speed in 100.0..5000.0f64) {
            for section in SECTIONS {
                for cogged in [false, true] {
                    let sheave = Millimetres::from_inches(sheave);
                    if let Some(got) = forces(section, cogged, sheave, Rpm(speed)) {
                        prop_assert!(0.0 < got.used_n && got.used_n < got.new_n);
                    }
                }
            }
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>()) {
            for section in SECTIONS {
                let _ = forces(section, true, Millimetres(a), Rpm(b));
            }
            let range = Forces { used_n: 16.0, new_n: 24.0 };
            let mut working = Working::default();
            judge(&mut working, range, Some(a));
            prop_assert_eq!(working.verdict().is_some(), a.is_finite() && a >= 0.0);
        }
    }
}
