//! Units as types, so that a length is never handed over as a speed. Bare numbers appear only where
//! a form is parsed or a page printed.

use serde::{Deserialize, Serialize};

macro_rules! unit {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);
    )+};
}

unit! {
    /// Power in watts.
    Watts,
    /// Potential difference in volts.
    Volts,
    /// Current in amperes.
    Amps,
    /// Frequency in hertz.
    Hertz,
    /// Speed in turns a minute.
    Rpm,
    /// Length in millimetres.
    Millimetres,
    /// Length in metres.
    Metres,
    /// Temperature in degrees Celsius.
    Celsius,
    /// Capacitance in microfarads.
    Microfarads,
    /// Torque in newton metres.
    NewtonMetres,
    /// Speed along a line in metres a second.
    MetresPerSecond,
    /// Vibration velocity, millimetres a second r.m.s.
    MillimetresPerSecond,
    /// Resistance in ohms.
    Ohms,
    /// Insulation resistance in megohms.
    Megohms,
    /// Temperature difference in kelvins.
    Kelvins,
    /// Mass in kilograms.
    Kilograms,
}

/// One mechanical horsepower in watts: 550 ft lbf/s, exact to seven figures (NIST SP 811).
pub const WATTS_PER_HP: f64 = 745.699_872;
/// Millimetres in an inch, exact.
pub const MM_PER_INCH: f64 = 25.4;
/// Cubic metres a second in a cubic foot a minute, exact.
pub const M3_S_PER_CFM: f64 = 0.028_316_846_592 / 60.0;
/// Pascals in a conventional inch of water, 4 °C (NIST SP 811).
pub const PA_PER_INWG: f64 = 249.088_91;
/// Metres a second in a foot a minute, exact.
pub const M_S_PER_FPM: f64 = 0.3048 / 60.0;
/// Metres in a foot, exact.
pub const M_PER_FOOT: f64 = 0.3048;
/// Newtons in a pound-force (NIST SP 811, exact).
pub const N_PER_LBF: f64 = 4.448_221_615_260_5;
/// Newton metres in an inch-pound: 0.0254 m times the pound-force.
pub const NM_PER_IN_LB: f64 = 0.025_4 * N_PER_LBF;
/// Grams in an avoirdupois ounce, exact.
pub const G_PER_OUNCE: f64 = 28.349_523_125;
/// Kilograms a cubic metre in a pound a cubic foot (NIST SP 811).
pub const KG_M3_PER_LB_FT3: f64 = 0.453_592_37 / 0.028_316_846_592;

impl Watts {
    /// From horsepower of 745.699872 W (NIST SP 811).
    pub fn from_hp(hp: f64) -> Self {
        Watts(hp * WATTS_PER_HP)
    }
    /// In horsepower of 745.699872 W (NIST SP 811).
    pub fn hp(self) -> f64 {
        self.0 / WATTS_PER_HP
    }
    /// The trade's figure, such as `1/4 hp`: the nearest stamped rating within 0.6 %, else decimals.
    ///
    /// 0.6 % covers plates that round (50 W is stamped 1/15 hp), and is far below the step between
    /// two ratings. Ratings: NEMA MG 1 10.32, with the steps stamped on small fan motors.
    pub fn hp_words(self) -> String {
        let hp = self.hp();
        let near = |&&(rating, _): &&(f64, &str)| (hp - rating).abs() <= 0.006 * rating;
        match HP_WORDS.iter().find(near) {
            Some((_, words)) => format!("{words} hp"),
            None if !hp.is_finite() => "no figure".to_owned(),
            None if hp < 0.1 => format!("{hp:.4} hp"),
            None if hp < 10.0 => format!("{hp:.3} hp"),
            None => format!("{hp:.1} hp"),
        }
    }
}

impl Millimetres {
    /// From inches of 25.4 mm, exact.
    pub fn from_inches(inches: f64) -> Self {
        Millimetres(inches * MM_PER_INCH)
    }
    /// In inches of 25.4 mm, exact.
    pub fn inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }
}

/// Ratings as stamped, smallest first.
const HP_WORDS: &[(f64, &str)] = &[
    (0.01, "1/100"),
    (1.0 / 70.0, "1/70"),
    (1.0 / 60.0, "1/60"),
    (0.02, "1/50"),
    (0.025, "1/40"),
    (1.0 / 30.0, "1/30"),
    (0.04, "1/25"),
    (0.05, "1/20"),
    (1.0 / 15.0, "1/15"),
    (1.0 / 12.0, "1/12"),
    (0.1, "1/10"),
    (0.125, "1/8"),
    (1.0 / 7.0, "1/7"),
    (1.0 / 6.0, "1/6"),
    (0.2, "1/5"),
    (0.25, "1/4"),
    (1.0 / 3.0, "1/3"),
    (0.5, "1/2"),
    (0.75, "3/4"),
    (1.0, "1"),
    (1.5, "1 1/2"),
    (2.0, "2"),
    (3.0, "3"),
    (5.0, "5"),
    (7.5, "7 1/2"),
    (10.0, "10"),
    (15.0, "15"),
    (20.0, "20"),
    (25.0, "25"),
    (30.0, "30"),
    (40.0, "40"),
    (50.0, "50"),
    (60.0, "60"),
    (75.0, "75"),
    (100.0, "100"),
    (125.0, "125"),
    (150.0, "150"),
    (200.0, "200"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn power_is_said_as_the_trade_stamps_it() {
        let said = |watts: f64| Watts(watts).hp_words();
        assert_eq!(said(186.0), "1/4 hp");
        assert_eq!(said(124.3), "1/6 hp");
        assert_eq!(said(50.0), "1/15 hp");
        assert_eq!(said(1119.0), "1 1/2 hp");
        assert_eq!(said(1100.0), "1.475 hp");
        assert_eq!(said(f64::NAN), "no figure");
    }
}
