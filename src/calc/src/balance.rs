//! Balance of wheels and rotors: the unbalance a grade permits, and the force of a stuck or lost mass.

use crate::shown::{Fill, ask, figure, line};
use crate::tables::{number, rows};
use crate::units::{Kilograms, Millimetres, Rpm};
use crate::working::{Verdict, Working};
use std::f64::consts::TAU;
use std::sync::LazyLock;

/// Gram millimetres in an ounce inch: 28.349523125 g times 25.4 mm, exact.
pub const G_MM_PER_OZ_IN: f64 = 28.349_523_125 * 25.4;
/// Newtons in a pound-force (NIST SP 811).
pub const N_PER_LBF: f64 = 4.448_221_615_260_5;
/// Newtons in a kilogram-force, exact.
pub const N_PER_KGF: f64 = 9.806_65;

/// Why there is no figure.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BalanceError {
    /// An input that is not above zero or not possible.
    #[error("{what} must be a number above zero and possible, not {value}")]
    NotPositive {
        /// Name of the input.
        what: &'static str,
        /// The figure given.
        value: f64,
    },
}

fn possible(what: &'static str, value: f64) -> Result<f64, BalanceError> {
    if value.is_finite() && (1e-9..=1e9).contains(&value) {
        Ok(value)
    } else {
        Err(BalanceError::NotPositive { what, value })
    }
}

/// A balance grade: the product of eccentricity and angular speed, in mm/s.
#[derive(Clone, Debug, PartialEq)]
pub struct Grade {
    /// Name, such as `G6.3`.
    pub name: String,
    /// `e_per x omega`, mm/s.
    pub mm_s: f64,
    /// What it is usual for.
    pub rotors: String,
}

/// The grades, finest first. Source: ISO 21940-11 (formerly ISO 1940-1), confirmed on a secondary page.
pub fn grades() -> &'static [Grade] {
    static TABLE: LazyLock<Vec<Grade>> = LazyLock::new(|| {
        rows(include_str!("tables/balance_grades.csv"))
            .into_iter()
            .filter_map(|row| {
                Some(Grade {
                    name: row.first()?.clone(),
                    mm_s: number(row.get(1)?)?,
                    rotors: row.get(2)?.clone(),
                })
            })
            .collect()
    });
    &TABLE
}

/// The grade of this name: `G6.3`, `g 6.3`, `6.3` or `G1.0`. Source: ISO 21940-11.
pub fn grade(name: &str) -> Option<&'static Grade> {
    let text = name.trim().trim_start_matches(['G', 'g']).trim();
    let mm_s: f64 = text.parse().ok()?;
    grades()
        .iter()
        .find(|grade| (grade.mm_s - mm_s).abs() < 1e-9)
}

/// What a grade permits one rotor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Permissible {
    /// Distance of the centre of mass from the axis, micrometres.
    pub e_per_um: f64,
    /// Residual unbalance of the whole rotor, g mm.
    pub u_per_g_mm: f64,
    /// The same by the rounded `9549 G m / n`, g mm.
    pub u_per_9549_g_mm: f64,
    /// Share of each of two planes that stand alike about the centre of mass, g mm.
    pub each_plane_g_mm: f64,
}

impl Permissible {
    /// The whole in ounce inches.
    pub fn oz_in(&self) -> f64 {
        oz_in(self.u_per_g_mm)
    }
}

/// Ounce inches from gram millimetres: divide by 720.078. Source: exact inch and ounce.
pub fn oz_in(g_mm: f64) -> f64 {
    g_mm / G_MM_PER_OZ_IN
}

/// Gram millimetres from ounce inches: times 720.078. Source: exact inch and ounce.
pub fn g_mm(oz_in: f64) -> f64 {
    oz_in * G_MM_PER_OZ_IN
}

/// Permissible residual unbalance: `U_per = 1000 G m / omega`, `omega = 2 pi n / 60`.
///
/// `U_per` in g mm, `G` the grade in mm/s, `m` the rotor's mass in kg, `n` the highest service speed in
/// rpm; `e_per = U_per / m` in micrometres. The printed form `9549 G m / n` is 0.003 % low. Half goes to
/// each plane where the planes stand alike about the centre of mass; a wheel on the end of its shaft
/// is split otherwise. Valid for rigid rotors. `G` is not the vibration that will be measured.
/// Source: ISO 21940-11.
/// # Errors
/// [`BalanceError::NotPositive`] for any input.
pub fn permissible(
    grade_mm_s: f64,
    mass: Kilograms,
    speed: Rpm,
) -> Result<Permissible, BalanceError> {
    let g = possible("grade", grade_mm_s)?;
    let m = possible("mass of the rotor", mass.0)?;
    let n = possible("speed", speed.0)?;
    let e_per_um = 1000.0 * g / (TAU * n / 60.0);
    let u_per_g_mm = e_per_um * m;
    Ok(Permissible {
        e_per_um,
        u_per_g_mm,
        u_per_9549_g_mm: 9549.0 * g * m / n,
        each_plane_g_mm: u_per_g_mm / 2.0,
    })
}

/// A turning unbalance and its force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Force {
    /// Unbalance, g mm.
    pub unbalance_g_mm: f64,
    /// Force in newtons; it turns with the rotor.
    pub newtons: f64,
}

impl Force {
    /// In pounds-force.
    pub fn lbf(&self) -> f64 {
        self.newtons / N_PER_LBF
    }
    /// In kilograms-force.
    pub fn kgf(&self) -> f64 {
        self.newtons / N_PER_KGF
    }
}

/// Force of a mass that turns off the axis: `F = m r omega^2`, `omega = 2 pi n / 60`.
///
/// `F` in newtons, `m` in kg, `r` in metres, `n` in rpm. Valid for one mass at one radius (dirt on a
/// blade, a lost weight). Source: mechanics.
/// # Errors
/// [`BalanceError::NotPositive`] for any input.
pub fn force(mass_g: f64, radius: Millimetres, speed: Rpm) -> Result<Force, BalanceError> {
    let m = possible("mass", mass_g)?;
    let r = possible("radius", radius.0)?;
    let omega = TAU * possible("speed", speed.0)? / 60.0;
    Ok(Force {
        unbalance_g_mm: m * r,
        newtons: m * r * 1e-6 * omega * omega,
    })
}

/// The permissible unbalance laid open; with a residual unbalance measured, g mm, its judgement.
/// Source: ISO 21940-11.
/// # Errors
/// As [`permissible`].
pub fn unbalance_working(
    grade_mm_s: f64,
    mass: Kilograms,
    speed: Rpm,
    residual_g_mm: Option<f64>,
) -> Result<Working, BalanceError> {
    let found = permissible(grade_mm_s, mass, speed)?;
    let mut working = Working::new("Permissible residual unbalance");
    let lines = [
        (
            "e_per",
            "Permissible eccentricity",
            figure(found.e_per_um, 3),
            "µm",
            "1000 G / (2 pi n / 60)",
        ),
        (
            "u_per",
            "Permissible residual unbalance",
            figure(found.u_per_g_mm, 3),
            "g mm",
            "e_per x mass",
        ),
        (
            "u_plane",
            "In each of two planes",
            figure(found.each_plane_g_mm, 3),
            "g mm",
            "half, planes alike about the centre of mass",
        ),
    ];
    for (key, label, value, unit, rule) in lines {
        working.lines.push(
            line(key, label)
                .value(value, unit)
                .rule(rule, "ISO 21940-11"),
        );
    }
    if let Some(residual) = residual_g_mm {
        let residual = match residual {
            0.0 => 0.0,
            other => possible("residual unbalance", other)?,
        };
        let shown = line("residual", "Residual unbalance")
            .value(figure(residual, 3), "g mm")
            .limit(format!("{} g mm", figure(found.u_per_g_mm, 3)))
            .margin(figure(found.u_per_g_mm - residual, 3))
            .rule("at most the permissible one", "ISO 21940-11");
        working
            .lines
            .push(if residual > found.u_per_g_mm * (1.0 + 1e-9) {
                shown.judge(Verdict::Beyond, "Balance it again.")
            } else {
                shown.judge(Verdict::Within, "Inside the grade.")
            });
    }
    working.cautions.push(
        "The grade is no vibration limit: looseness, belts and the base add to what is measured."
            .into(),
    );
    Ok(working)
}

/// A mass stuck to a wheel (or lost from it): its force, and whether cleaning (or balancing) is owed.
///
/// Owed when the unbalance of the mass alone is above the permissible residual unbalance of the
/// wheel; without the wheel's mass or grade that is not known. Source: mechanics; ISO 21940-11.
/// # Errors
/// As [`force`] and [`permissible`].
pub fn debris_working(
    mass_g: f64,
    radius: Millimetres,
    speed: Rpm,
    wheel: Option<Kilograms>,
    grade_mm_s: Option<f64>,
) -> Result<Working, BalanceError> {
    let found = force(mass_g, radius, speed)?;
    let mut working = Working::new("Force of a stuck mass");
    working.lines.push(
        line("unbalance", "Unbalance of the mass")
            .value(figure(found.unbalance_g_mm, 2), "g mm")
            .rule("mass x radius", "definition"),
    );
    working.lines.push(
        line("force", "Force that turns with the wheel")
            .value(figure(found.newtons, 2), "N")
            .rule("m r (2 pi n / 60)^2", "mechanics")
            .note("Twice the speed makes four times the force."),
    );
    let shown = line("debris", "Against the permissible unbalance")
        .value(figure(found.unbalance_g_mm, 2), "g mm")
        .rule("at most 1000 G m / omega", "ISO 21940-11");
    match (wheel, grade_mm_s) {
        (Some(wheel), Some(grade)) => {
            let allowed = permissible(grade, wheel, speed)?.u_per_g_mm;
            let shown = shown
                .limit(format!("{} g mm", figure(allowed, 2)))
                .margin(format!(
                    "{} times",
                    figure(found.unbalance_g_mm / allowed, 2)
                ));
            working
                .lines
                .push(if found.unbalance_g_mm > allowed * (1.0 + 1e-9) {
                    shown.judge(
                        Verdict::Beyond,
                        "Clean the wheel; if the vibration stays, balance it.",
                    )
                } else {
                    shown.judge(Verdict::Within, "This mass alone stays inside the grade.")
                });
        }
        (None, _) => ask(
            &mut working,
            shown,
            "mass of the wheel",
            "a heavy wheel carries more unbalance than a light one",
            "weigh it, or read it in the record",
        ),
        (_, None) => ask(
            &mut working,
            shown,
            "balance grade of the wheel",
            "the permissible unbalance follows from it",
            "G16 for BV-1 and BV-2 fans, G6.3 for BV-3, G2.5 for BV-4, G1 for BV-5 (ISO 14694)",
        ),
    }
    working.cautions.push(
        "Lock the fan out and block the wheel before a hand goes in; a wheel turns in a draught."
            .into(),
    );
    Ok(working)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn grades_are_read_as_people_write_them() {
        for name in ["G6.3", "g 6.3", "6.3"] {
            assert_eq!(grade(name).map(|grade| grade.mm_s), Some(6.3), "{name}");
        }
        assert_eq!(grade("G1.0").map(|grade| &*grade.name), Some("G1"));
        assert_eq!(grade("G7"), None);
        for category in crate::vibration::Category::ALL {
            assert!(grade(category.balance_grade()).is_some());
        }
    }

    #[test]
    fn a_flake_of_dirt_is_judged_by_the_wheel_it_sits_on() {
        let owed = |wheel, grade| {
            let (radius, speed) = (Millimetres(250.0), Rpm(1725.0));
            debris_working(5.0, radius, speed, wheel, grade).map(|working| working.verdict())
        };
        // U_per of 8 kg at G6.3 and 1725 rpm is 279 g mm; the flake has 1250.
        assert_eq!(
            owed(Some(Kilograms(8.0)), Some(6.3)),
            Ok(Some(Verdict::Beyond))
        );
        assert_eq!(
            owed(Some(Kilograms(40.0)), Some(6.3)),
            Ok(Some(Verdict::Within))
        );
        assert_eq!(owed(None, Some(6.3)), Ok(Some(Verdict::NotKnownYet)));
        assert_eq!(
            owed(Some(Kilograms(8.0)), None),
            Ok(Some(Verdict::NotKnownYet))
        );
    }

    proptest! {
        #[test]
        fn units_come_back(u in 1e-6..1e6f64) {
            prop_assert!((g_mm(oz_in(u)) - u).abs() <= u * 1e-12);
        }

        #[test]
        fn more_mass_is_never_better(
            mass in 0.1..500.0f64, more in 0.0..500.0f64, wheel in 0.5..100.0f64, speed in 100.0..4000.0f64,
        ) {
            let judged = |mass| {
                debris_working(mass, Millimetres(200.0), Rpm(speed), Some(Kilograms(wheel)), Some(16.0))
                    .ok()
                    .and_then(|working| working.verdict())
                    .map(Verdict::severity)
            };
            prop_assert!(judged(mass + more) >= judged(mass));
        }

        #[test]
        fn nothing_panics(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            let _ = debris_working(a, Millimetres(b), Rpm(c), Some(Kilograms(d)), Some(a));
            let _ = unbalance_working(a, Kilograms(b), Rpm(c), Some(d));
            if let Ok(found) = permissible(a, Kilograms(b), Rpm(c)) {
                prop_assert!(found.u_per_g_mm.is_finite() && found.u_per_g_mm > 0.0);
            }
        }
    }
}
