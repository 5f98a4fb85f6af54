//! A motor's plate: every value with how it is known, and nothing assumed silently.

use crate::units::{Amps, Celsius, Hertz, Microfarads, Millimetres, Rpm, Volts, Watts};
use serde::{Deserialize, Serialize};

/// How a plate value is known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    #[default]
    Read,
    Measured,
    OldRecord,
    Assumed,
}

impl How {
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
    #[default]
    Unknown,
    Unreadable,
    Known {
        value: T,
        how: How,
    },
}

impl<T> Field<T> {
    pub fn read(value: T) -> Self {
        Field::Known {
            value,
            how: How::Read,
        }
    }
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

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MotorType {
    ShadedPole,
    SplitPhase,
    PermanentSplitCapacitor,
    CapacitorStart,
    CapacitorStartCapacitorRun,
    ThreePhaseInduction,
    ElectronicallyCommutated,
    DirectCurrent,
}

/// Direction of turning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    Clockwise,
    CounterClockwise,
}

/// The end from which the plate's direction is seen. `NotStated` is a question, never a default.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SeenFrom {
    ShaftEnd,
    LeadEnd,
    NotStated,
}

/// Rotation as the plate marks it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rotation {
    pub direction: Direction,
    pub seen_from: SeenFrom,
    /// Can be reversed by reconnection (plug, leads or, on three-phase, two lines).
    pub reversible: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShaftForm {
    Round,
    Flat,
    Keyed,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mount {
    Studs,
    Feet,
    CFace,
    BellyBand,
    Yoke,
    Flange,
}

/// The end of the motor its mounting studs stand on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StudEnd {
    ShaftEnd,
    LeadEnd,
    Both,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Enclosure {
    /// Open, drip-proof.
    OpenDripProof,
    /// Open, cooled by the stream of the fan it drives.
    OpenAirOver,
    /// Totally enclosed, own cooling fan.
    TotallyEnclosedFanCooled,
    /// Totally enclosed, no fan.
    TotallyEnclosedNonVentilated,
    /// Totally enclosed, cooled by the stream of the fan it drives.
    TotallyEnclosedAirOver,
    /// Listed for a hazardous location; see `hazardous_listing`.
    ExplosionProof,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Protection {
    NoProtector,
    Automatic,
    Manual,
    Impedance,
    /// A pilot thermostat that only opens a control circuit.
    Thermostat,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bearing {
    Ball,
    Sleeve,
}

/// Shaft position a motor may run in, or that a machine asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Position {
    Any,
    Horizontal,
    ShaftUp,
    ShaftDown,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Duty {
    Continuous,
    Intermittent,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InsulationClass {
    A,
    E,
    B,
    F,
    H,
}

/// A motor's plate and the dimensions measured beside it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Plate {
    pub power: Field<Watts>,
    /// Voltages of the plate: `208-230` is two, `115/230` is two, with `amps` in the same order.
    pub volts: Field<Vec<Volts>>,
    pub amps: Field<Vec<Amps>>,
    pub phases: Field<u8>,
    pub frequency: Field<Vec<Hertz>>,
    /// Full-load speed of each tap, highest first.
    pub speeds: Field<Vec<Rpm>>,
    pub motor_type: Field<MotorType>,
    pub rotation: Field<Rotation>,
    pub frame: Field<String>,
    pub mount: Field<Mount>,
    /// Stud or bolt circle diameter.
    pub bolt_circle: Field<Millimetres>,
    pub stud_length: Field<Millimetres>,
    pub stud_count: Field<u8>,
    /// Thread of the studs as text, such as `8-32` or `M4`.
    pub stud_thread: Field<String>,
    pub stud_end: Field<StudEnd>,
    pub shaft_diameter: Field<Millimetres>,
    /// Usable shaft length beyond the mounting shoulder.
    pub shaft_length: Field<Millimetres>,
    pub shaft_form: Field<ShaftForm>,
    pub double_shaft: Field<bool>,
    pub body_diameter: Field<Millimetres>,
    pub body_length: Field<Millimetres>,
    pub enclosure: Field<Enclosure>,
    pub ambient: Field<Celsius>,
    pub insulation: Field<InsulationClass>,
    pub duty: Field<Duty>,
    pub service_factor: Field<f64>,
    /// Marked temperature rise.
    pub rise: Field<Celsius>,
    pub protection: Field<Protection>,
    pub bearing: Field<Bearing>,
    pub position: Field<Position>,
    /// The plate or the maker allows speed control: by voltage on a single-phase motor, by a
    /// frequency drive on a three-phase one.
    pub speed_control: Field<bool>,
    pub capacitor: Field<Microfarads>,
    pub capacitor_volts: Field<Volts>,
    pub capacitor_included: Field<bool>,
    pub code_letter: Field<char>,
    pub efficiency: Field<f64>,
    pub power_factor: Field<f64>,
    /// Listing for a hazardous location as marked, such as `Class I Div 1 Group D T3`.
    pub hazardous_listing: Field<String>,
}
