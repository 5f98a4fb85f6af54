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
    /// Vibration velocity, millimetres a second r.m.s.
    MillimetresPerSecond,
}

/// One mechanical horsepower in watts: 550 ft lbf/s, exact to seven figures (NIST SP 811).
pub const WATTS_PER_HP: f64 = 745.699_872;
/// Millimetres in an inch, exact.
pub const MM_PER_INCH: f64 = 25.4;

impl Watts {
    pub fn from_hp(hp: f64) -> Self {
        Watts(hp * WATTS_PER_HP)
    }
    pub fn hp(self) -> f64 {
        self.0 / WATTS_PER_HP
    }
}

impl Millimetres {
    pub fn from_inches(inches: f64) -> Self {
        Millimetres(inches * MM_PER_INCH)
    }
    pub fn inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }
}
