//! Pressure lost in screens, grills and guards, by each named correlation in its own range only.

use crate::shown::figure;
use crate::units::Millimetres;

/// A correlation of loss coefficient and open area. The coefficient always goes with the velocity of
/// approach, in the full face before the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Correlation {
    /// Woven round wire, from duct-fitting and hydraulic resistance handbooks:
    /// `K = 1.3 (1 - a) + (1/a - 1)^2`.
    HandbookWireMesh,
    /// Round wires or bars, by Reynolds number: `K = beta(Re) (1 - a^2)/a^2`.
    RoundEdgeScreen,
    /// Square wires or bars, perforated plate with sharp edges: tabulated.
    SquareEdgeScreen,
    /// Sharp-edged grill, no thicker than 50 gap widths: `K = (0.5 (1 - a) + (1 - a^2))/a^2`.
    SquareEdgeGrill,
    /// Grill with rounded edges, no thicker than 50 gap widths: a curve through five points.
    RoundEdgeGrill,
    /// Open mesh of round bars: `K = 0.95 (1 - a) + 0.2 (1 - a)^2`.
    RoundBarMesh,
    /// Open mesh of wire in diamonds: `K = 0.67 (1 - a) + 1.3 (1 - a)^2`.
    DiamondMesh,
}

/// Why a correlation gives no coefficient.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoLoss {
    /// The open area is outside what the correlation was made for.
    #[error("the open area {} is outside {} to {}, for which this correlation was made", figure(*.0, 4), figure(*.1, 4), figure(*.2, 4))]
    OpenArea(f64, f64, f64),
    /// The correlation goes by Reynolds number and none is known.
    #[error("this correlation needs the Reynolds number of the gap between the wires")]
    NoReynolds,
    /// The Reynolds number is outside.
    #[error("the Reynolds number {} is below {}, where this correlation begins", figure(*.0, 1), figure(*.1, 1))]
    Reynolds(f64, f64),
}

impl Correlation {
    /// All, the one that is taken where none is chosen first.
    pub const ALL: [Correlation; 7] = [
        Correlation::HandbookWireMesh,
        Correlation::RoundEdgeScreen,
        Correlation::SquareEdgeScreen,
        Correlation::SquareEdgeGrill,
        Correlation::RoundEdgeGrill,
        Correlation::RoundBarMesh,
        Correlation::DiamondMesh,
    ];

    /// Its name in fields.
    pub fn name(self) -> &'static str {
        match self {
            Correlation::HandbookWireMesh => "handbook_wire_mesh",
            Correlation::RoundEdgeScreen => "round_edge_screen",
            Correlation::SquareEdgeScreen => "square_edge_screen",
            Correlation::SquareEdgeGrill => "square_edge_grill",
            Correlation::RoundEdgeGrill => "round_edge_grill",
            Correlation::RoundBarMesh => "round_bar_mesh",
            Correlation::DiamondMesh => "diamond_wire_mesh",
        }
    }

    /// Its name for people.
    pub fn words(self) -> &'static str {
        match self {
            Correlation::HandbookWireMesh => "handbook wire mesh",
            Correlation::RoundEdgeScreen => "round-edge wire screen",
            Correlation::SquareEdgeScreen => "square-edge screen or perforated plate",
            Correlation::SquareEdgeGrill => "square-edge grill",
            Correlation::RoundEdgeGrill => "round-edge grill",
            Correlation::RoundBarMesh => "open mesh of round bars",
            Correlation::DiamondMesh => "open mesh of diamond wire",
        }
    }

    /// Where it comes from.
    pub fn source(self) -> &'static str {
        match self {
            Correlation::HandbookWireMesh => {
                "Handbook of Hydraulic Resistance, wire screen in a duct; from memory"
            }
            _ => "Applied Fluid Dynamics Handbook (1984)",
        }
    }

    /// Lowest and highest open area.
    pub fn range(self) -> (f64, f64) {
        match self {
            Correlation::HandbookWireMesh
            | Correlation::SquareEdgeScreen
            | Correlation::SquareEdgeGrill => (0.05, 1.0),
            Correlation::RoundEdgeScreen => (0.05, 0.8),
            Correlation::RoundEdgeGrill => (0.3, 0.7),
            Correlation::RoundBarMesh | Correlation::DiamondMesh => (0.85, 1.0),
        }
    }

    /// Loss coefficient K of `dp = K rho v^2/2`, `v` the velocity of approach.
    ///
    /// `a` open area as a fraction, inside [`Correlation::range`]; `re` Reynolds number of the gap
    /// between the wires: needed by the round-edge screen (20 and up, unchanged above 400); the open
    /// meshes want it above 500 where it is known. Source: [`Correlation::source`].
    /// # Errors
    /// [`NoLoss`]: open area or Reynolds number out of range, or not known.
    pub fn loss(self, a: f64, re: Option<f64>) -> Result<f64, NoLoss> {
        let (low, high) = self.range();
        if !(a >= low - 1e-12 && a <= high + 1e-12) {
            return Err(NoLoss::OpenArea(a, low, high));
        }
        let a = a.min(1.0);
        let shut = 1.0 - a;
        Ok(match self {
            Correlation::HandbookWireMesh => 1.3 * shut + (1.0 / a - 1.0).powi(2),
            Correlation::RoundEdgeScreen => round_wire_factor(re)? * (1.0 - a * a) / (a * a),
            Correlation::SquareEdgeScreen => between(SQUARE_EDGE, a),
            Correlation::SquareEdgeGrill => (0.5 * shut + (1.0 - a * a)) / (a * a),
            Correlation::RoundEdgeGrill => round_grill(a),
            Correlation::RoundBarMesh => open_mesh(shut, re, 0.95, 0.2)?,
            Correlation::DiamondMesh => open_mesh(shut, re, 0.67, 1.3)?,
        })
    }
}

/// Reynolds number of the gap and the factor of a round-edge wire screen.
const ROUND_WIRE: &[(f64, f64)] = &[
    (20.0, 1.3),
    (30.0, 1.1),
    (40.0, 0.95),
    (60.0, 0.83),
    (80.0, 0.75),
    (100.0, 0.7),
    (200.0, 0.6),
    (400.0, 0.52),
];

/// Open area and loss coefficient of a square-edge screen.
const SQUARE_EDGE: &[(f64, f64)] = &[
    (0.05, 1000.0),
    (0.1, 250.0),
    (0.15, 85.0),
    (0.2, 52.0),
    (0.25, 30.0),
    (0.3, 17.0),
    (0.35, 11.0),
    (0.4, 7.7),
    (0.45, 5.5),
    (0.5, 3.8),
    (0.55, 2.8),
    (0.6, 2.0),
    (0.65, 1.5),
    (0.7, 1.1),
    (0.75, 0.78),
    (0.8, 0.53),
    (0.85, 0.35),
    (0.9, 0.08),
    (1.0, 0.0),
];

fn round_wire_factor(re: Option<f64>) -> Result<f64, NoLoss> {
    let re = re.ok_or(NoLoss::NoReynolds)?;
    if re.is_nan() || re < 20.0 {
        return Err(NoLoss::Reynolds(re, 20.0));
    }
    Ok(between(ROUND_WIRE, re))
}

fn open_mesh(shut: f64, re: Option<f64>, first: f64, second: f64) -> Result<f64, NoLoss> {
    match re {
        Some(re) if re.is_nan() || re < 500.0 => Err(NoLoss::Reynolds(re, 500.0)),
        _ => Ok(first * shut + second * shut * shut),
    }
}

/// Straight lines between points; outside them the nearest point.
fn between(points: &[(f64, f64)], at: f64) -> f64 {
    let Some(&(mut x0, mut y0)) = points.first() else {
        return f64::NAN;
    };
    if at <= x0 {
        return y0;
    }
    for &(x, y) in points {
        if at <= x {
            return y0 + (y - y0) * (at - x0) / (x - x0).max(f64::MIN_POSITIVE);
        }
        (x0, y0) = (x, y);
    }
    y0
}

/// Quadratic spline through the handbook's points (0.3, 2), (0.4, 1), (0.5, 0.6), (0.6, 0.4) and
/// (0.7, 0.2), with joints at 0.45 and 0.55; each piece by its two ends and its middle control value.
fn round_grill(a: f64) -> f64 {
    let (from, to, ends) = if a <= 0.45 {
        (0.3, 0.45, [2.0, 7.01 / 7.0, 5.24 / 7.0])
    } else if a <= 0.55 {
        (0.45, 0.55, [5.24 / 7.0, 0.58, 3.44 / 7.0])
    } else {
        (0.55, 0.7, [3.44 / 7.0, 2.51 / 7.0, 0.2])
    };
    let [first, middle, last] = ends;
    let t = (a - from) / (to - from);
    first * (1.0 - t).powi(2) + 2.0 * middle * t * (1.0 - t) + last * t * t
}

/// Every correlation that holds at this open area and Reynolds number, with its coefficient.
///
/// They disagree by up to four times; no answer is given without the name of its correlation.
pub fn in_range(a: f64, re: Option<f64>) -> Vec<(Correlation, f64)> {
    Correlation::ALL
        .into_iter()
        .filter_map(|which| Some((which, which.loss(a, re).ok()?)))
        .collect()
}

/// Open area of a woven mesh: `(gap/pitch)` of one direction times that of the other, with
/// `gap = pitch - wire`; for a square mesh `(gap/pitch)^2`, never `gap/pitch`.
///
/// `None` where a wire is not thinner than its pitch. Source: geometry.
pub fn mesh_open_area(pitch: Millimetres, across: Millimetres, wire: Millimetres) -> Option<f64> {
    let share = |pitch: f64| {
        let open = (pitch - wire.0) / pitch;
        (pitch.is_finite() && wire.0 >= 0.0 && open > 0.0 && open <= 1.0).then_some(open)
    };
    Some(share(pitch.0)? * share(across.0)?)
}

/// Pressure lost: `dp = K pv`, `pv` the velocity pressure of the approach in any unit.
/// Source: definition of the loss coefficient.
pub fn pressure_loss(coefficient: f64, velocity_pressure: f64) -> Option<f64> {
    let loss = coefficient * velocity_pressure;
    (loss.is_finite() && loss >= 0.0).then_some(loss)
}

/// Open area left when a share of the holes is shut: `a (1 - b)`. `None` outside 0 to 1.
/// Source: geometry.
pub fn fouled_area(open: f64, blocked: f64) -> Option<f64> {
    ((0.0..=1.0).contains(&open) && (0.0..=1.0).contains(&blocked))
        .then_some(open * (1.0 - blocked))
}

/// Flow that is left when a loss is added to a system, if the fan's pressure stayed as it is:
/// `Q2/Q1 = sqrt(P/(P + dp))`, `P` and `dp` at the old flow in one unit.
///
/// A fan whose pressure rises as its flow falls loses less than this. Source: system curve, AMCA 201.
pub fn flow_left(system: f64, added: f64) -> Option<f64> {
    let ratio = (system / (system + added)).sqrt();
    (system > 0.0 && added >= 0.0 && ratio.is_finite()).then_some(ratio)
}

/// Kinematic viscosity of air in m²/s: Sutherland's law over the density.
///
/// `t` in °C, -100 to 300. Source: Sutherland's law for air, constants 1.458e-6 and 110.4 K of the
/// U.S. Standard Atmosphere 1976.
pub fn kinematic_viscosity(temperature: crate::units::Celsius, density_kg_m3: f64) -> Option<f64> {
    let kelvin = temperature.0 + 273.15;
    let known = (-100.0..=300.0).contains(&temperature.0) && density_kg_m3 > 0.0;
    known.then(|| 1.458e-6 * kelvin.powf(1.5) / (kelvin + 110.4) / density_kg_m3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_round_grill_goes_through_its_points() {
        for (a, k) in [(0.3, 2.0), (0.4, 1.0), (0.5, 0.6), (0.6, 0.4), (0.7, 0.2)] {
            let got = Correlation::RoundEdgeGrill.loss(a, None).expect("in range");
            assert!((got - k).abs() < 1e-12, "{a}: {got}");
        }
    }

    #[test]
    fn at_half_open_they_differ_many_times() {
        let all: Vec<f64> = in_range(0.5, Some(400.0)).iter().map(|(_, k)| *k).collect();
        let highest = all.iter().copied().fold(0.0, f64::max);
        let lowest = all.iter().copied().fold(f64::MAX, f64::min);
        assert_eq!((all.len(), highest), (5, 4.0));
        assert!((lowest - 0.6).abs() < 1e-12);
    }

    #[test]
    fn a_mesh_is_open_in_two_directions() {
        let mesh = |pitch: f64, wire| {
            mesh_open_area(Millimetres(pitch), Millimetres(pitch), Millimetres(wire))
        };
        assert_eq!(mesh(10.0, 5.0), Some(0.25));
        assert_eq!(mesh(10.0, 10.0), None);
        assert_eq!(mesh(f64::NAN, 1.0), None);
    }

    proptest! {
        #[test]
        fn a_closer_screen_never_loses_less(
            which in proptest::sample::select(&Correlation::ALL[..]),
            share in 0.0..0.999f64, re in 500.0..5000.0f64,
        ) {
            let (low, high) = which.range();
            let a = low + share * (high - low);
            let here = which.loss(a, Some(re)).expect("in range");
            let more = which.loss((a + 0.001).min(high), Some(re)).expect("in range");
            prop_assert!(more <= here + 1e-12 && here >= 0.0);
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            for (_, k) in in_range(a, Some(b)).into_iter().chain(in_range(b, None)) {
                prop_assert!(k.is_finite());
                let _ = pressure_loss(k, c);
            }
            let _ = mesh_open_area(Millimetres(a), Millimetres(b), Millimetres(c));
            let _ = (fouled_area(a, b), flow_left(b, c));
            let _ = kinematic_viscosity(crate::units::Celsius(a), b);
        }
    }
}
