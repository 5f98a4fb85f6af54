//! A motor's plate: every value with how it is known, and nothing assumed silently.

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

/// How the motor starts and runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MotorType {
    /// Shaded-pole.
    ShadedPole,
    /// Split-phase, with a start winding and switch.
    SplitPhase,
    /// Permanent split capacitor (PSC).
    PermanentSplitCapacitor,
    /// Capacitor-start.
    CapacitorStart,
    /// Capacitor-start, capacitor-run.
    CapacitorStartCapacitorRun,
    /// Three-phase induction.
    ThreePhaseInduction,
    /// Electronically commutated (EC, ECM).
    ElectronicallyCommutated,
    /// Direct current.
    DirectCurrent,
}

/// Direction of turning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// As the hands of a clock.
    Clockwise,
    /// Against the hands of a clock.
    CounterClockwise,
}

/// The end from which the plate's direction is seen. `NotStated` is a question, never a default.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SeenFrom {
    /// From the shaft end.
    ShaftEnd,
    /// From the end of the leads.
    LeadEnd,
    /// The plate does not say.
    NotStated,
}

/// Rotation as the plate marks it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rotation {
    /// Which way it turns.
    pub direction: Direction,
    /// The end it is seen from.
    pub seen_from: SeenFrom,
    /// Can be reversed by reconnection (plug, leads or, on three-phase, two lines).
    pub reversible: bool,
}

/// Form of the shaft end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShaftForm {
    /// Round.
    Round,
    /// With a flat.
    Flat,
    /// With a key.
    Keyed,
}

/// How the motor is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mount {
    /// Through-bolts or studs in its end.
    Studs,
    /// Feet on a base.
    Feet,
    /// NEMA C-face.
    CFace,
    /// A band around its body.
    BellyBand,
    /// A yoke or cradle.
    Yoke,
    /// Flange.
    Flange,
}

/// The end of the motor its mounting studs stand on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StudEnd {
    /// At the shaft end.
    ShaftEnd,
    /// At the lead end.
    LeadEnd,
    /// At both ends.
    Both,
}

/// How open the motor's body is.
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

/// What protects the motor from inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Protection {
    /// Nothing.
    NoProtector,
    /// A thermal protector that resets by itself.
    Automatic,
    /// A thermal protector that is reset by hand.
    Manual,
    /// Its own impedance: it stands stalled without burning out.
    Impedance,
    /// A pilot thermostat that only opens a control circuit.
    Thermostat,
}

/// Kind of bearings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bearing {
    /// Ball bearings.
    Ball,
    /// Sleeve bearings.
    Sleeve,
}

/// Shaft position a motor may run in, or that a machine asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Position {
    /// Any position.
    Any,
    /// Shaft level.
    Horizontal,
    /// Shaft end up.
    ShaftUp,
    /// Shaft end down.
    ShaftDown,
}

/// How long it may run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Duty {
    /// Without end.
    Continuous,
    /// For a time, then rest.
    Intermittent,
}

/// Thermal class of the insulation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InsulationClass {
    /// Class A, 105 °C.
    A,
    /// Class E, 120 °C.
    E,
    /// Class B, 130 °C.
    B,
    /// Class F, 155 °C.
    F,
    /// Class H, 180 °C.
    H,
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
}
