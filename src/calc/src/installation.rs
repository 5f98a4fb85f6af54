//! The machine a motor must serve: what drives what, what the site supplies and needs, and the
//! circuit that feeds it. Every field may be unknown; the judgements say which one they need.

use crate::plate::{Direction, Position};
use crate::units::{Amps, Celsius, Hertz, Metres, Millimetres, Rpm, Volts, Watts};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// How the motor drives the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Drive {
    /// The wheel sits on the motor shaft.
    Direct,
    /// A belt and two sheaves.
    Belt,
    /// A coupling joins two shafts.
    Coupled,
}

/// How the machine is switched or regulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Control {
    /// Nothing but the disconnect.
    None,
    /// A switch worked by hand.
    Switch,
    /// A thermostat in the motor's circuit.
    Thermostat,
    /// A contactor.
    Contactor,
    /// A solid-state speed controller that cuts the wave.
    SolidStateSpeedController,
    /// A controller that lowers the voltage, such as a transformer.
    VoltageController,
    /// A frequency drive.
    FrequencyDrive,
}

/// What the motor stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Surroundings {
    /// Clean and dry.
    CleanDry,
    /// Dusty.
    Dusty,
    /// Wet or washed down.
    Wet,
    /// Grease-laden air.
    GreaseLaden,
    /// Corrosive air.
    Corrosive,
}

/// What is driven: wheel, hub and drive.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Driven {
    /// How the motor drives the machine.
    pub drive: Option<Drive>,
    /// The motor drives a fan or blower; the server sets it from the machine's kind.
    pub air_mover: Option<bool>,
    /// Diameter of the wheel.
    pub wheel_diameter: Option<Millimetres>,
    /// Mass of the wheel, kg.
    pub wheel_mass_kg: Option<f64>,
    /// Highest speed the wheel may turn.
    pub wheel_limit: Option<Rpm>,
    /// Bore of the hub.
    pub hub_bore: Option<Millimetres>,
    /// Length of the hub's bore.
    pub hub_length: Option<Millimetres>,
    /// The hub has a keyway; without one it is held by set screws.
    pub hub_keyway: Option<bool>,
    /// Stud length the bracket, washer and nut take up.
    pub stud_needed: Option<Millimetres>,
    /// Right turning of the wheel, seen from the shaft end of the motor.
    pub rotation: Option<Direction>,
    /// Measured shaft power and the motor speed at which it was measured.
    pub shaft_power: Option<Watts>,
    /// Motor speed at which the shaft power was measured.
    pub shaft_power_at: Option<Rpm>,
    /// Measured flow, m³/s.
    pub flow_m3_s: Option<f64>,
    /// Measured fan or pump speed (belt drive: the driven shaft).
    pub driven_speed: Option<Rpm>,
    /// Pitch diameter of the motor's sheave.
    pub motor_sheave: Option<Millimetres>,
    /// Pitch diameter of the driven sheave.
    pub driven_sheave: Option<Millimetres>,
    /// Number of belts side by side.
    pub belts: Option<u8>,
    /// The belt by its name, which says section and length: A42, BX55, 3V500.
    pub belt: Option<String>,
    /// Length of the belt along the pitch line.
    pub belt_length: Option<Millimetres>,
    /// Distance of the two shafts.
    pub centres: Option<Millimetres>,
    /// The second shaft end drives something.
    pub second_shaft_used: Option<bool>,
    /// The wheel reverses in service.
    pub reverses: Option<bool>,
    /// The driven thing is a hermetic refrigerant motor-compressor, with what its plate says.
    /// Blank: nobody has said that it is one.
    pub compressor: Option<Compressor>,
}

/// Plate of a hermetic refrigerant motor-compressor and of the equipment it sits in; amperes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Compressor {
    /// Rated-load current of the compressor.
    pub rated_load: Option<Decimal>,
    /// Branch-circuit selection current; `None` with `selection_marked` false where there is none.
    pub selection: Option<Decimal>,
    /// Whether a branch-circuit selection current is marked at all.
    pub selection_marked: Option<bool>,
    /// Locked-rotor current.
    pub locked_rotor: Option<Decimal>,
    /// Minimum circuit ampacity marked on the equipment.
    pub min_circuit: Option<Decimal>,
    /// Maximum rating of the branch device marked on the equipment.
    pub max_device: Option<Decimal>,
}

/// What the site supplies and asks for.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Site {
    /// Nominal supply at the machine.
    pub nominal_volts: Option<Volts>,
    /// Measured supply; beats the nominal.
    pub measured_volts: Option<Volts>,
    /// Phases of the supply, 1 or 3.
    pub phases: Option<u8>,
    /// Frequency of the supply.
    pub frequency: Option<Hertz>,
    /// Hottest air around the motor.
    pub ambient: Option<Celsius>,
    /// Height over the sea.
    pub altitude: Option<Metres>,
    /// What the motor stands in.
    pub surroundings: Option<Surroundings>,
    /// The motor sits in the stream of its own fan.
    pub in_air_stream: Option<bool>,
    /// How the shaft lies.
    pub position: Option<Position>,
    /// Free length for the motor body, capacitor and connection box included.
    pub free_length: Option<Millimetres>,
    /// Free width for the motor body.
    pub free_diameter: Option<Millimetres>,
    /// Free length in front of the present shaft end.
    pub shaft_clearance: Option<Millimetres>,
    /// How the machine is switched or regulated.
    pub control: Option<Control>,
    /// Full-load and locked-rotor current the control contact may switch.
    pub control_amps: Option<Amps>,
    /// Locked-rotor current the control contact may switch.
    pub control_locked_rotor: Option<Amps>,
    /// Number of speed taps wired and used.
    pub taps_used: Option<u8>,
    /// An unexpected restart can hurt somebody (open belt, blades within reach).
    pub restart_can_hurt: Option<bool>,
    /// Classified area as documented, such as `Class I Div 1 Group D T3`; `none` where it was
    /// looked at and is not classified.
    pub hazardous: Option<String>,
    /// Duty the machine asks for is continuous.
    pub continuous: Option<bool>,
    /// Distance of the work place from an unprotected roof edge.
    pub roof_edge: Option<Metres>,
    /// The machine can start without anybody at it.
    pub starts_by_itself: Option<bool>,
    /// Wind or duct draught can turn the wheel.
    pub draught_turns_wheel: Option<bool>,
    /// Largest opening of the guard.
    pub guard_opening: Option<Millimetres>,
    /// Height of the lowest blade edge over the floor or working level.
    pub blade_height: Option<Metres>,
}

/// The machine as the calculations need it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Installation {
    /// What is driven.
    pub driven: Driven,
    /// What the site supplies and asks for.
    pub site: Site,
    /// Disconnecting means within sight of the machine.
    pub disconnect: Option<Disconnect>,
    /// Overload protection of the machine.
    pub overload: Option<Overload>,
}

/// Kinds of branch device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DeviceKind {
    /// Inverse-time circuit breaker.
    InverseTimeBreaker,
    /// Dual-element (time-delay) fuse.
    DualElementFuse,
    /// Fuse without time delay.
    NonTimeDelayFuse,
    /// Breaker that trips at once only, without a delay.
    InstantaneousTripBreaker,
    /// IEC 60898 circuit breaker, by its curve.
    MiniatureBreakerB,
    /// IEC 60898 circuit breaker, curve C.
    MiniatureBreakerC,
    /// IEC 60898 circuit breaker, curve D.
    MiniatureBreakerD,
    /// Fuse of class gG.
    GgFuse,
}

/// Metal of the conductors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Metal {
    /// Copper.
    Copper,
    /// Aluminium.
    Aluminium,
}

/// Kinds of disconnecting means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DisconnectKind {
    /// Horsepower-rated motor-circuit switch.
    MotorCircuitSwitch,
    /// General-use switch.
    GeneralUseSwitch,
    /// General-use snap switch for alternating current only.
    AcSnapSwitch,
    /// The breaker of the branch circuit.
    BranchBreaker,
    /// Attachment plug and receptacle.
    PlugAndSocket,
}

/// The disconnecting means of the machine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Disconnect {
    /// What it is.
    pub kind: DisconnectKind,
    /// Its rating, amperes.
    pub rating: Option<Decimal>,
    /// Rated horsepower at the circuit's voltage.
    pub horsepower: Option<Decimal>,
    /// In sight of the motor and within 15 m (50 ft).
    pub in_sight: Option<bool>,
}

/// How the machine is protected against overload.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OverloadKind {
    /// A separate device in the starter.
    Separate,
    /// The protector inside the motor.
    InMotor,
    /// Looked for and not there.
    NoDevice,
}

/// The overload protection of the machine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Overload {
    /// What it is.
    pub kind: OverloadKind,
    /// Present setting in amperes.
    pub setting: Option<Decimal>,
    /// Range of the device in amperes.
    pub range: Option<(Decimal, Decimal)>,
    /// Stays open after a trip until somebody resets it.
    pub manual_reset: Option<bool>,
}

/// The circuit that feeds the machine, from the panel to the disconnect.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Circuit {
    /// Nominal volts, between lines on three phases.
    pub volts: Option<Volts>,
    /// Phases, 1 or 3.
    pub phases: Option<u8>,
    /// Kind of the branch device.
    pub device: Option<DeviceKind>,
    /// Its rating, amperes.
    pub device_rating: Option<Decimal>,
    /// Its poles.
    pub poles: Option<u8>,
    /// Conductor size as text: AWG or kcmil (`14`, `1/0`, `250`), or mm² under the IEC rule set.
    pub size: Option<String>,
    /// Metal of the conductors.
    pub metal: Option<Metal>,
    /// Insulation temperature rating.
    pub insulation: Option<Celsius>,
    /// Lowest terminal temperature rating.
    pub terminals: Option<Celsius>,
    /// IEC installation method (`B1`, `B2`, `C`, `E`).
    pub method: Option<String>,
    /// Length of the run one way, panel to machine.
    pub one_way: Option<Metres>,
    /// Hottest air around the conductors.
    pub ambient: Option<Celsius>,
    /// Current-carrying conductors in the raceway.
    pub conductors_in_raceway: Option<u32>,
    /// Other loads on the same circuit; `Some(0)` is a looked-at zero.
    pub other_continuous: Option<Decimal>,
    /// Other loads that run for less than three hours, amperes.
    pub other_noncontinuous: Option<Decimal>,
    /// Full-load currents of other motors on the same circuit.
    pub other_motors: Option<Vec<Decimal>>,
    /// Lighting or cord-and-plug loads share the circuit.
    pub shares_outlets: Option<bool>,
}
