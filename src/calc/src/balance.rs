//! Balance of wheels and rotors: the unbalance a grade permits, and the force of a stuck or lost mass.

use crate::shown::{Fill, ask, figure, line};
use crate::tables::{number, rows};
use crate::units::{Kilograms, Millimetres, Rpm};
use crate::working::{Line, Verdict, Working};
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

/// The grade that counts of those that were told, each with who told it: the strictest. Where they
/// differ there is a line that says so; `None` where none was told. Source: common practice.
pub fn strictest(told: &[(&'static str, f64)]) -> Option<(f64, Option<Line>)> {
    let least = told.iter().map(|(_, grade)| *grade).reduce(f64::min)?;
    let alike = told.iter().all(|(_, grade)| (grade - least).abs() < 1e-9);
    let words: Vec<String> = told
        .iter()
        .map(|(who, grade)| format!("{who} G{}", figure(*grade, 2)))
        .collect();
    let said = line("grade_told", "Balance grades told")
        .value(words.join(", "), "")
        .limit(format!("G{} counts", figure(least, 2)))
        .rule("the stricter of two grades counts", "common practice")
        .judge(
            Verdict::WithinNote,
            "They contradict each other: find out which one the wheel was ordered to.",
        );
    Some((least, (!alike).then_some(said)))
}

/// What a grade permits one rotor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Permissible {
    /// The grade it was worked out for, mm/s.
    pub grade_mm_s: f64,
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
        grade_mm_s: g,
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

/// What is asked of the permissible unbalance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unbalance {
    /// Grade, mm/s.
    pub grade_mm_s: f64,
    /// Mass of the rotor.
    pub mass: Kilograms,
    /// Highest service speed.
    pub speed: Rpm,
    /// Radius at which masses are set or taken off.
    pub radius: Option<Millimetres>,
    /// Residual unbalance that was measured, g mm.
    pub residual_g_mm: Option<f64>,
}

/// The permissible unbalance with its working.
#[derive(Clone, Debug, PartialEq)]
pub struct Permitted {
    /// The calculation laid open.
    pub working: Working,
    /// Its figures.
    pub permitted: Permissible,
    /// Mass at the radius that makes the permissible unbalance, g.
    pub mass_g: Option<f64>,
}

/// The permissible unbalance laid open; a residual unbalance that was measured is judged.
/// Source: ISO 21940-11.
/// # Errors
/// As [`permissible`].
pub fn unbalance(asked: &Unbalance) -> Result<Permitted, BalanceError> {
    let found = permissible(asked.grade_mm_s, asked.mass, asked.speed)?;
    let mass_g = match asked.radius {
        Some(radius) => Some(found.u_per_g_mm / possible("radius", radius.0)?),
        None => None,
    };
    let mut working = Working::new("Permissible residual unbalance");
    working.lines = permissible_lines(&found, mass_g);
    if let Some(residual) = asked.residual_g_mm {
        let zero = residual == 0.0;
        let residual = if zero {
            0.0
        } else {
            possible("residual unbalance", residual)?
        };
        working
            .lines
            .push(judge_residual(residual, found.u_per_g_mm));
    }
    working.cautions.push(
        "The grade is no vibration limit: looseness, belts and the base add to what is measured."
            .into(),
    );
    Ok(Permitted {
        working,
        permitted: found,
        mass_g,
    })
}

fn permissible_lines(found: &Permissible, mass_g: Option<f64>) -> Vec<Line> {
    let one = |key, label, value: f64, unit, rule| {
        line(key, label)
            .value(figure(value, 3), unit)
            .rule(rule, "ISO 21940-11")
    };
    let (whole, plane) = (found.u_per_g_mm, found.each_plane_g_mm);
    let half = "half; planes alike about the centre of mass";
    let mut lines = vec![
        one(
            "e_per",
            "Permissible eccentricity",
            found.e_per_um,
            "µm",
            "1000 G / (2 pi n / 60)",
        ),
        one(
            "u_per",
            "Permissible residual unbalance",
            whole,
            "g mm",
            "eccentricity x mass",
        ),
        one("u_plane", "In each of two planes", plane, "g mm", half),
    ];
    if let Some(mass) = mass_g {
        let label = "Mass that makes it at the radius";
        lines.push(one("mass", label, mass, "g", "unbalance / radius"));
    }
    lines
}

fn judge_residual(residual: f64, permissible: f64) -> Line {
    let shown = line("residual", "Residual unbalance")
        .value(figure(residual, 3), "g mm")
        .limit(format!("{} g mm", figure(permissible, 3)))
        .margin(figure(permissible - residual, 3))
        .rule("at most the permissible one", "ISO 21940-11");
    if over(residual, permissible) {
        shown.judge(Verdict::Beyond, "Balance it again.")
    } else {
        shown.judge(Verdict::Within, "Inside the grade.")
    }
}

/// What is asked of a stuck mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Debris {
    /// Mass stuck or lost, g.
    pub mass_g: f64,
    /// Its distance from the axis.
    pub radius: Millimetres,
    /// Speed of the wheel.
    pub speed: Rpm,
    /// Mass of the wheel.
    pub wheel: Option<Kilograms>,
    /// Balance grade of the wheel, mm/s.
    pub grade_mm_s: Option<f64>,
}

/// A stuck mass with its working.
#[derive(Clone, Debug, PartialEq)]
pub struct Stuck {
    /// The calculation laid open.
    pub working: Working,
    /// Unbalance and force of the mass.
    pub force: Force,
    /// Residual unbalance the wheel may have, g mm.
    pub permissible_g_mm: Option<f64>,
    /// Unbalance of the mass over the permissible one.
    pub times: Option<f64>,
    /// The mass alone passes what the grade permits.
    pub cleaning_owed: Option<bool>,
}

/// A mass stuck to a wheel (or lost from it): its force, and whether cleaning (or balancing) is owed.
///
/// Owed when the unbalance of the mass alone is above the permissible residual unbalance of the
/// wheel; without the wheel's mass or grade that is not known. Source: mechanics; ISO 21940-11.
/// # Errors
/// As [`force`] and [`permissible`].
pub fn debris(asked: &Debris) -> Result<Stuck, BalanceError> {
    let found = force(asked.mass_g, asked.radius, asked.speed)?;
    let permissible_g_mm = match (asked.wheel, asked.grade_mm_s) {
        (Some(wheel), Some(grade)) => Some(permissible(grade, wheel, asked.speed)?.u_per_g_mm),
        _ => None,
    };
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
    match permissible_g_mm {
        Some(allowed) => working
            .lines
            .push(judge_debris(shown, found.unbalance_g_mm, allowed)),
        None => ask_wheel(&mut working, shown, asked.wheel.is_none()),
    }
    working.cautions.push(
        "Lock the fan out and block the wheel before a hand goes in; a wheel turns in a draught."
            .into(),
    );
    Ok(Stuck {
        working,
        force: found,
        permissible_g_mm,
        times: permissible_g_mm.map(|allowed| found.unbalance_g_mm / allowed),
        cleaning_owed: permissible_g_mm.map(|allowed| over(found.unbalance_g_mm, allowed)),
    })
}

fn over(unbalance: f64, allowed: f64) -> bool {
    unbalance > allowed * (1.0 + 1e-9)
}

fn judge_debris(shown: Line, unbalance: f64, allowed: f64) -> Line {
    let shown = shown
        .limit(format!("{} g mm", figure(allowed, 2)))
        .margin(format!("{} times", figure(unbalance / allowed, 2)));
    if over(unbalance, allowed) {
        shown.judge(
            Verdict::Beyond,
            "Clean the wheel; if the vibration stays, balance it.",
        )
    } else {
        shown.judge(Verdict::Within, "This mass alone stays inside the grade.")
    }
}

fn ask_wheel(working: &mut Working, shown: Line, mass: bool) {
    let (what, why, how) = if mass {
        (
            "mass of the wheel",
            "a heavy wheel carries more unbalance than a light one",
            "weigh it, or read it in the record",
        )
    } else {
        (
            "balance grade of the wheel",
            "the permissible unbalance follows from it",
            "G16 for BV-1 and BV-2 fans, G6.3 for BV-3, G2.5 for BV-4, G1 for BV-5 (ISO 14694)",
        )
    };
    ask(working, shown, what, why, how);
}

#[cfg(test)]
mod tests;
