//! What else a plate may mark, beside the values that every fit and circuit asks for.

use super::Field;
use crate::units::{Amps, Rpm, Watts};
use serde::{Deserialize, Serialize};

/// Marks of a plate that few plates carry. All of them default to `Unknown`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct More {
    /// Power taken from the supply at full load, where the plate marks it.
    pub input_power: Field<Watts>,
    /// Output power of each tap, highest first, on a plate that rates several.
    pub tap_powers: Field<Vec<Watts>>,
    /// Current of each tap, highest first.
    pub tap_amps: Field<Vec<Amps>>,
    /// Full-load speed at each frequency, in the order of `Plate::frequency`.
    pub speeds_by_frequency: Field<Vec<Rpm>>,
    /// Number of speeds, where the plate says it in words (`3 SPD`).
    pub speed_count: Field<u8>,
    /// Number of poles, where the plate marks it.
    pub poles: Field<u8>,
    /// Current at the service factor, in the order of `Plate::volts`.
    pub service_factor_amps: Field<Vec<Amps>>,
    /// Locked-rotor current, in the order of `Plate::volts`.
    pub locked_rotor_amps: Field<Vec<Amps>>,
    /// NEMA design letter (`DES B`), which is no code letter.
    pub design_letter: Field<char>,
    /// Connections in the order of `Plate::volts`, such as `Δ/Y`.
    pub connection: Field<String>,
    /// Can be reversed, on a plate that marks no direction.
    pub reversible: Field<bool>,
    /// Enclosure as marked, where `Plate::enclosure` has no word for it: `OPEN`, `TEBC`, `WPII`.
    pub enclosure_mark: Field<String>,
    /// IP code, such as `IP55` (IEC 60529).
    pub ip_code: Field<String>,
    /// Cooling code, such as `IC411` (IEC 60034-6).
    pub cooling_code: Field<String>,
    /// Mounting code, such as `B3` or `V1` (IEC 60034-7).
    pub mounting_code: Field<String>,
    /// Efficiency class, such as `IE2` (IEC 60034-30-1).
    pub efficiency_class: Field<String>,
    /// Duty type, such as `S1` or `S3 40 %` (IEC 60034-1).
    pub duty_code: Field<String>,
    /// How long it may run at a time, minutes.
    pub duty_minutes: Field<f64>,
}

impl More {
    /// Nothing of it is known.
    pub fn is_empty(&self) -> bool {
        *self == More::default()
    }
}
