//! The air side: system curve, velocity pressure, air power and the efficiency of a fan.

use crate::shown::{Fill, figure, line};
use crate::units::{MetresPerSecond, Watts};
use crate::working::{Line, Verdict};

fn positive(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0).then_some(value)
}

fn not_negative(value: f64) -> Option<f64> {
    (value.is_finite() && value >= 0.0).then_some(value)
}

/// A system through one known point: `P = Pf + (P1 - Pf) (Q/Q1)^2`.
///
/// `Pf` is a pressure that stays whatever the flow: a static pressure held by dampers, a stack, a
/// liquid head; zero for a plain duct. Source: system curve, AMCA 201.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SystemCurve {
    flow: f64,
    moving: f64,
    fixed: f64,
}

impl SystemCurve {
    /// Through flow `Q1` and pressure `P1` in any two units, with the fixed part in that of `P1`.
    ///
    /// `None` where flow or pressure is not above zero, or the fixed part is below zero or above
    /// the pressure.
    pub fn through(flow: f64, pressure: f64, fixed: f64) -> Option<SystemCurve> {
        let (flow, pressure) = (positive(flow)?, positive(pressure)?);
        let fixed = not_negative(fixed).filter(|fixed| *fixed <= pressure)?;
        Some(SystemCurve {
            flow,
            moving: pressure - fixed,
            fixed,
        })
    }

    /// Pressure at another flow; `None` for a flow below zero.
    pub fn pressure(&self, flow: f64) -> Option<f64> {
        not_negative(flow).map(|flow| self.fixed + self.moving * (flow / self.flow).powi(2))
    }

    /// Flow at another pressure; `None` below the fixed part, or where nothing moves with the flow.
    pub fn flow(&self, pressure: f64) -> Option<f64> {
        let over = not_negative(pressure - self.fixed)?;
        let share = over / positive(self.moving)?;
        Some(self.flow * share.sqrt())
    }
}

/// Velocity pressure `pv = rho v^2/2`: Pa, from kg/m³ and m/s. Source: definition.
pub fn velocity_pressure(density_kg_m3: f64, velocity: MetresPerSecond) -> Option<f64> {
    Some(0.5 * positive(density_kg_m3)? * not_negative(velocity.0)?.powi(2))
}

/// The trade's form for standard air of 0.075 lb/ft³: `pv = (V/4005)^2`, inches of water from ft/min.
///
/// Source: common practice.
pub fn velocity_pressure_standard_inwg(velocity_fpm: f64) -> Option<f64> {
    not_negative(velocity_fpm).map(|fpm| (fpm / 4005.0).powi(2))
}

/// Power in the moved air, `W = Q P`: watts from m³/s and Pa.
///
/// In inches of water of 249.08891 Pa and ft³/min it is `hp = Q P/6343`; 6350 and 6356 are in print
/// too, from other waters, 0.2 % apart. Compression is left out: valid below about 3 kPa.
/// Source: definition, AMCA 201.
pub fn air_power(flow_m3_s: f64, pressure_pa: f64) -> Option<Watts> {
    let power = not_negative(flow_m3_s)? * not_negative(pressure_pa)?;
    power.is_finite().then_some(Watts(power))
}

/// Efficiency from 0 to 1: air power over shaft power.
///
/// Total efficiency where the pressure was total, static efficiency where it was static.
/// Source: definition, AMCA 201.
pub fn efficiency(air: Watts, shaft: Watts) -> Option<f64> {
    Some(not_negative(air.0)? / positive(shaft.0)?)
}

/// Shaft power for an air power and an efficiency above 0 and up to 1. Source: definition.
pub fn shaft_power(air: Watts, efficiency: f64) -> Option<Watts> {
    let share = positive(efficiency).filter(|share| *share <= 1.0)?;
    let power = not_negative(air.0)? / share;
    power.is_finite().then_some(Watts(power))
}

/// A measured efficiency is judged: no fan gives more than it takes, few give above 0.9.
pub(crate) fn judge_efficiency(share: f64) -> Line {
    let shown = line("fan_efficiency_percent", "Fan efficiency")
        .value(figure(100.0 * share, 1), "%")
        .limit("above 0, to about 90 %")
        .rule(
            "air power / shaft power",
            "definition; range from common practice",
        );
    if share > 1.0 {
        shown.judge(
            Verdict::Beyond,
            "More power in the air than on the shaft: one of the readings is wrong. Measure flow, pressure and amps again.",
        )
    } else if share > 0.9 {
        shown.judge(
            Verdict::WithinNote,
            "Higher than fans are built for: check the readings.",
        )
    } else {
        shown.judge(Verdict::Within, "A fan can have it.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_fixed_part_stays() {
        let curve = SystemCurve::through(2.0, 500.0, 100.0).expect("a curve");
        assert_eq!(curve.pressure(0.0), Some(100.0));
        assert_eq!(curve.pressure(1.0), Some(200.0));
        assert_eq!(curve.flow(99.0), None);
        assert_eq!(SystemCurve::through(2.0, 500.0, 501.0), None);
    }

    #[test]
    fn the_inch_pound_constant_is_6343() {
        use crate::units::{M3_S_PER_CFM, PA_PER_INWG};
        let one = air_power(M3_S_PER_CFM, PA_PER_INWG).expect("a power");
        assert!((1.0 / one.hp() - 6343.3).abs() < 0.1);
    }

    proptest! {
        #[test]
        fn flow_and_pressure_come_back(
            q1 in 0.01..50.0f64, p1 in 10.0..3000.0f64, part in 0.0..0.9f64, q in 0.01..50.0f64,
        ) {
            let curve = SystemCurve::through(q1, p1, part * p1).expect("a curve");
            let p = curve.pressure(q).expect("a pressure");
            let back = curve.flow(p).expect("a flow");
            // The square root of a small difference loses digits.
            prop_assert!((back - q).abs() <= 1e-5 * q1.max(q), "{back} {q}");
            prop_assert!(curve.pressure(q * 1.1) > Some(p));
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            if let Some(curve) = SystemCurve::through(a, b, c) {
                let _ = (curve.pressure(c), curve.flow(a));
            }
            let _ = velocity_pressure(a, MetresPerSecond(b));
            let _ = velocity_pressure_standard_inwg(a);
            let power = air_power(a, b).unwrap_or(Watts(c));
            let _ = (shaft_power(power, a), shaft_power(power, c));
            if let Some(share) = efficiency(power, Watts(b)) {
                let _ = judge_efficiency(share);
            }
        }
    }
}
