//! What a plate's words can mean: types, enclosures, ends, duties and the rest, one name each.

use serde::{Deserialize, Serialize};

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
