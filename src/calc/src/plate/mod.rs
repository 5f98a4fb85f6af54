//! A motor's plate: every value with how it is known, and nothing assumed silently.

mod ip;
mod kinds;
mod more;
mod plausible;
mod read;
mod write;

pub use ip::{IpMeaning, ip_meaning};
pub use kinds::*;
pub use more::More;
pub use plausible::plausible;
pub use read::{Doubt, NotUnderstood, Reading, Understood, read};
pub use write::write;

use crate::units::{Amps, Celsius, Hertz, Microfarads, Millimetres, Rpm, Volts, Watts};
use serde::{Deserialize, Serialize};

/// How a plate value is known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// Read on the plate.
    #[default]
    Read,
    /// Measured on the motor.
    Measured,
    /// Taken from an old record.
    OldRecord,
    /// Assumed by somebody, and marked so.
    Assumed,
}

impl How {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            How::Read => "read",
            How::Measured => "measured",
            How::OldRecord => "from old record",
            How::Assumed => "assumed",
        }
    }
}

/// One plate field. `Unknown` was never looked at; `Unreadable` was looked at and cannot be read.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Field<T> {
    /// Never looked at.
    #[default]
    Unknown,
    /// Looked at and not to be read.
    Unreadable,
    /// Known.
    Known {
        /// What it is.
        value: T,
        /// How it is known.
        how: How,
    },
}

impl<T> Field<T> {
    /// A value read on the plate.
    pub fn read(value: T) -> Self {
        Field::Known {
            value,
            how: How::Read,
        }
    }
    /// The value, where it is known.
    pub fn value(&self) -> Option<&T> {
        match self {
            Field::Known { value, .. } => Some(value),
            _ => None,
        }
    }
    /// The words for how it is known, `not known` and `unreadable` included.
    pub fn how_words(&self) -> &'static str {
        match self {
            Field::Unknown => "not known",
            Field::Unreadable => "unreadable",
            Field::Known { how, .. } => how.words(),
        }
    }
}

/// A motor's plate and the dimensions measured beside it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Plate {
    /// Output power.
    pub power: Field<Watts>,
    /// Voltages of the plate: `208-230` is two, `115/230` is two, with `amps` in the same order.
    pub volts: Field<Vec<Volts>>,
    /// Full-load current at each plate voltage, in the order of `volts`.
    pub amps: Field<Vec<Amps>>,
    /// Phases, 1 or 3.
    pub phases: Field<u8>,
    /// Frequencies of the plate.
    pub frequency: Field<Vec<Hertz>>,
    /// Full-load speed of each tap, highest first.
    pub speeds: Field<Vec<Rpm>>,
    /// How the motor starts and runs.
    pub motor_type: Field<MotorType>,
    /// Which way it turns.
    pub rotation: Field<Rotation>,
    /// Frame size as marked, such as `56` or `48Y`.
    pub frame: Field<String>,
    /// How it is held.
    pub mount: Field<Mount>,
    /// Stud or bolt circle diameter.
    pub bolt_circle: Field<Millimetres>,
    /// Length of the studs.
    pub stud_length: Field<Millimetres>,
    /// Number of studs.
    pub stud_count: Field<u8>,
    /// Thread of the studs as text, such as `8-32` or `M4`.
    pub stud_thread: Field<String>,
    /// The end the studs stand on.
    pub stud_end: Field<StudEnd>,
    /// Diameter of the shaft.
    pub shaft_diameter: Field<Millimetres>,
    /// Usable shaft length beyond the mounting shoulder.
    pub shaft_length: Field<Millimetres>,
    /// Form of the shaft end.
    pub shaft_form: Field<ShaftForm>,
    /// A second shaft end.
    pub double_shaft: Field<bool>,
    /// Diameter of the body.
    pub body_diameter: Field<Millimetres>,
    /// Length of the body.
    pub body_length: Field<Millimetres>,
    /// How open the body is.
    pub enclosure: Field<Enclosure>,
    /// Hottest air it is made for.
    pub ambient: Field<Celsius>,
    /// Thermal class of the insulation.
    pub insulation: Field<InsulationClass>,
    /// How long it may run.
    pub duty: Field<Duty>,
    /// Service factor.
    pub service_factor: Field<f64>,
    /// Marked temperature rise.
    pub rise: Field<Celsius>,
    /// What protects it from inside.
    pub protection: Field<Protection>,
    /// Kind of bearings.
    pub bearing: Field<Bearing>,
    /// Positions it may run in.
    pub position: Field<Position>,
    /// The plate or the maker allows speed control: by voltage on a single-phase motor, by a
    /// frequency drive on a three-phase one.
    pub speed_control: Field<bool>,
    /// Capacitance of its run or start capacitor.
    pub capacitor: Field<Microfarads>,
    /// Voltage marking of the capacitor.
    pub capacitor_volts: Field<Volts>,
    /// The capacitor comes with the motor.
    pub capacitor_included: Field<bool>,
    /// Code letter for locked-rotor kVA per horsepower, NEC 430.7(B).
    pub code_letter: Field<char>,
    /// Full-load efficiency, percent.
    pub efficiency: Field<f64>,
    /// Full-load power factor, above 0 up to 1.
    pub power_factor: Field<f64>,
    /// Listing for a hazardous location as marked, such as `Class I Div 1 Group D T3`.
    pub hazardous_listing: Field<String>,
    /// What else a plate may mark; left out of stored plates where nothing of it is known.
    #[serde(skip_serializing_if = "More::is_empty")]
    pub more: More,
}
