//! How much grease, and how often.

use crate::motor::{MotorError, positive};
use crate::shown::{Fill, figure, line};
use crate::units::{Celsius, Millimetres, MillimetresPerSecond, Rpm};
use crate::working::{Line, Verdict};

/// Grease for one filling in grams: `0.005 D B`.
///
/// `D` outside diameter and `B` width in mm; in ounces and inches `0.114 D B` (the 0.1 in print is
/// 12 % low). Source: bearing lubrication practice.
/// # Errors
/// [`MotorError::NotPositive`] for a size.
pub fn quantity(outside: Millimetres, width: Millimetres) -> Result<f64, MotorError> {
    Ok(0.005 * positive("outside diameter", outside.0)? * positive("width", width.0)?)
}

/// Grease in ounces by the inch form `0.114 D B`. Source: bearing lubrication practice.
/// # Errors
/// [`MotorError::NotPositive`] for a size.
pub fn quantity_oz(outside: Millimetres, width: Millimetres) -> Result<f64, MotorError> {
    let (d, b) = (outside.inches(), width.inches());
    Ok(0.114 * positive("outside diameter", d)? * positive("width", b)?)
}

/// Hours between greasings: `T = K (14 000 000/(n sqrt(d)) - 4 d)`.
///
/// `n` in rpm, `d` bore in mm, `K` product of the factors. For a large fast bearing the bracket falls
/// below zero: then the interval is zero, and the form says nothing. Source: from memory.
/// # Errors
/// [`MotorError::NotPositive`] for any input.
pub fn interval(bore: Millimetres, speed: Rpm, factor: f64) -> Result<f64, MotorError> {
    let d = positive("bore", bore.0)?;
    let n = positive("speed", speed.0)?;
    let hours = positive("factor K", factor)? * (14e6 / (n * d.sqrt()) - 4.0 * d);
    if hours.is_nan() || hours == f64::INFINITY {
        return Err(MotorError::NotPositive {
            what: "interval",
            value: hours,
        });
    }
    Ok(hours.max(0.0))
}

/// Dirt around the bearing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dirt {
    /// Light, not abrasive.
    Light,
    /// Severe, not abrasive.
    Severe,
    /// Light, abrasive.
    LightAbrasive,
    /// Severe, abrasive.
    SevereAbrasive,
}

/// Moisture around the bearing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Moisture {
    /// Below 80 % relative humidity.
    Below80,
    /// 80 to 90 %.
    From80To90,
    /// Condensation at times.
    Condensation,
    /// Water on the housing at times.
    Water,
}

/// How the shaft lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Lie {
    /// Level.
    Horizontal,
    /// At 45 degrees.
    Slanted,
    /// Upright.
    Vertical,
}

/// What rolls in it, as greasing sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Design {
    /// Ball.
    Ball,
    /// Cylindrical or needle roller.
    CylindricalOrNeedle,
    /// Taper or spherical roller.
    TaperOrSpherical,
}

/// What shortens the interval; `None` where nobody has said.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Conditions {
    /// Temperature of the housing.
    pub housing: Option<Celsius>,
    /// Dirt.
    pub dirt: Option<Dirt>,
    /// Moisture.
    pub moisture: Option<Moisture>,
    /// Vibration velocity, peak.
    pub vibration_peak: Option<MillimetresPerSecond>,
    /// Shaft.
    pub lie: Option<Lie>,
    /// Bearing.
    pub design: Option<Design>,
}

/// Factor of the housing's temperature: 1 below 65 °C, 0.5 to 80, 0.2 to 93, 0.1 above.
/// Source: from memory.
pub fn temperature_factor(housing: Celsius) -> Option<f64> {
    housing.0.is_finite().then_some(match housing.0 {
        t if t < 65.0 => 1.0,
        t if t < 80.0 => 0.5,
        t if t <= 93.0 => 0.2,
        _ => 0.1,
    })
}

/// Factor of the vibration, peak velocity: 1 below 0.2 in/s, 0.6 to 0.4 in/s, 0.3 above.
/// Source: from memory.
pub fn vibration_factor(peak: MillimetresPerSecond) -> Option<f64> {
    let inches = peak.0 / crate::units::MM_PER_INCH;
    (inches.is_finite() && inches >= 0.0).then_some(match inches {
        v if v < 0.2 - 1e-9 => 1.0,
        v if v <= 0.4 + 1e-9 => 0.6,
        _ => 0.3,
    })
}

impl Dirt {
    /// Its factor. Source: from memory.
    pub fn factor(self) -> f64 {
        match self {
            Dirt::Light => 1.0,
            Dirt::Severe => 0.7,
            Dirt::LightAbrasive => 0.4,
            Dirt::SevereAbrasive => 0.2,
        }
    }
}

impl Moisture {
    /// Its factor. Source: from memory.
    pub fn factor(self) -> f64 {
        match self {
            Moisture::Below80 => 1.0,
            Moisture::From80To90 => 0.7,
            Moisture::Condensation => 0.4,
            Moisture::Water => 0.1,
        }
    }
}

impl Lie {
    /// Its factor. Source: from memory.
    pub fn factor(self) -> f64 {
        match self {
            Lie::Horizontal => 1.0,
            Lie::Slanted => 0.5,
            Lie::Vertical => 0.3,
        }
    }
}

impl Design {
    /// Its factor. Source: from memory.
    pub fn factor(self) -> f64 {
        match self {
            Design::Ball => 10.0,
            Design::CylindricalOrNeedle => 5.0,
            Design::TaperOrSpherical => 1.0,
        }
    }
}

/// One of the six factors, with the condition it follows from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factor {
    /// Stable name.
    pub key: &'static str,
    /// What people read.
    pub label: &'static str,
    /// What it follows from.
    pub condition: &'static str,
    /// The factor; `None` where the condition is not known.
    pub value: Option<f64>,
}

impl Conditions {
    /// The six factors, known or not.
    pub fn factors(&self) -> [Factor; 6] {
        let factor = |key, label, condition, value| Factor {
            key,
            label,
            condition,
            value,
        };
        [
            factor(
                "temperature_factor",
                "Factor of the temperature",
                "temperature of the housing",
                self.housing.and_then(temperature_factor),
            ),
            factor(
                "dirt_factor",
                "Factor of the dirt",
                "dirt",
                self.dirt.map(Dirt::factor),
            ),
            factor(
                "moisture_factor",
                "Factor of the moisture",
                "moisture",
                self.moisture.map(Moisture::factor),
            ),
            factor(
                "vibration_factor",
                "Factor of the vibration",
                "vibration velocity, peak",
                self.vibration_peak.and_then(vibration_factor),
            ),
            factor(
                "position_factor",
                "Factor of the shaft position",
                "shaft position",
                self.lie.map(Lie::factor),
            ),
            factor(
                "design_factor",
                "Factor of the bearing's design",
                "design of the bearing",
                self.design.map(Design::factor),
            ),
        ]
    }

    /// `K`, the product of all six; `None` where one is not known. Source: from memory.
    pub fn product(&self) -> Option<f64> {
        self.factors().iter().map(|factor| factor.value).product()
    }
}

pub(crate) fn show_interval(hours: f64, clamped: bool) -> Line {
    let shown = line("interval_h", "Hours between greasings")
        .value(figure(hours, 1), "h")
        .rule("T = K (14 000 000/(n sqrt d) - 4 d)", "from memory");
    if clamped {
        shown.judge(
            Verdict::NotKnownYet,
            "The form falls below zero for this size and speed and is cut off there, so it says nothing: ask the bearing maker.",
        )
    } else {
        shown
            .note("Running hours. Grease with the same or a compatible grease, and open the drain.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(value: f64) -> Millimetres {
        Millimetres(value)
    }

    #[test]
    fn a_large_fast_bearing_is_clamped() {
        assert_eq!(interval(mm(150.0), Rpm(3600.0), 10.0), Ok(0.0));
        let small = interval(mm(25.0), Rpm(1750.0), 10.0).expect("hours");
        assert!((small - 15_000.0).abs() < 1e-6, "{small}");
    }

    #[test]
    fn one_unknown_condition_leaves_the_product_unknown() {
        let known = Conditions {
            housing: Some(Celsius(60.0)),
            dirt: Some(Dirt::Severe),
            moisture: Some(Moisture::Below80),
            vibration_peak: Some(MillimetresPerSecond(3.0)),
            lie: Some(Lie::Vertical),
            design: Some(Design::Ball),
        };
        let product = known.product().expect("all known");
        assert!((product - 2.1).abs() < 1e-12);
        let unknown = Conditions {
            dirt: None,
            ..known
        };
        assert_eq!(unknown.product(), None);
    }

    proptest! {
        #[test]
        fn hotter_faster_and_larger_never_waits_longer(
            t in 0.0..120.0f64, d in 5.0..150.0f64, n in 100.0..4000.0f64, more in 1.0..2.0f64,
            v in 0.0..20.0f64,
        ) {
            prop_assert!(temperature_factor(Celsius(t * more)) <= temperature_factor(Celsius(t)));
            let shaking = |v| vibration_factor(MillimetresPerSecond(v));
            prop_assert!(shaking(v * more) <= shaking(v));
            let here = interval(mm(d), Rpm(n), 1.0).expect("hours");
            prop_assert!(interval(mm(d * more), Rpm(n), 1.0).expect("hours") <= here);
            prop_assert!(interval(mm(d), Rpm(n * more), 1.0).expect("hours") <= here);
            prop_assert!(here >= 0.0);
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            let _ = (quantity(mm(a), mm(b)), quantity_oz(mm(a), mm(b)));
            let _ = interval(mm(a), Rpm(b), c);
            let _ = (temperature_factor(Celsius(a)), vibration_factor(MillimetresPerSecond(b)));
        }
    }
}
