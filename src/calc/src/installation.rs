//! The machine a motor must serve: what drives what, what the site supplies and needs, and the
//! circuit that feeds it. Every field may be unknown; the judgements say which one they need.

use crate::plate::{Direction, Position};
use crate::units::{Amps, Celsius, Hertz, Metres, Millimetres, Rpm, Volts, Watts};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Drive {
    /// The wheel sits on the motor shaft.
    Direct,
    Belt,
    /// A coupling joins two shafts.
    Coupled,
}

/// How the machine is switched or regulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Control {
    None,
    Switch,
    Thermostat,
    Contactor,
    SolidStateSpeedController,
    VoltageController,
    FrequencyDrive,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Surroundings {
    CleanDry,
    Dusty,
    Wet,
    GreaseLaden,
    Corrosive,
}

/// What is driven: wheel, hub and drive.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Driven {
    pub drive: Option<Drive>,
    /// The motor drives a fan or blower; the server sets it from the machine's kind.
    pub air_mover: Option<bool>,
    pub wheel_diameter: Option<Millimetres>,
    pub wheel_mass_kg: Option<f64>,
    /// Highest speed the wheel may turn.
    pub wheel_limit: Option<Rpm>,
    pub hub_bore: Option<Millimetres>,
    pub hub_length: Option<Millimetres>,
    /// The hub has a keyway; without one it is held by set screws.
    pub hub_keyway: Option<bool>,
    /// Stud length the bracket, washer and nut take up.
    pub stud_needed: Option<Millimetres>,
    /// Right turning of the wheel, seen from the shaft end of the motor.
    pub rotation: Option<Direction>,
    /// Measured shaft power and the motor speed at which it was measured.
    pub shaft_power: Option<Watts>,
    pub shaft_power_at: Option<Rpm>,
    pub flow_m3_s: Option<f64>,
    /// Measured fan or pump speed (belt drive: the driven shaft).
    pub driven_speed: Option<Rpm>,
    pub motor_sheave: Option<Millimetres>,
    pub driven_sheave: Option<Millimetres>,
    /// The second shaft end drives something.
    pub second_shaft_used: Option<bool>,
    /// The wheel reverses in service.
    pub reverses: Option<bool>,
}

/// What the site supplies and asks for.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Site {
    /// Nominal supply at the machine.
    pub nominal_volts: Option<Volts>,
    /// Measured supply; beats the nominal.
    pub measured_volts: Option<Volts>,
    pub phases: Option<u8>,
    pub frequency: Option<Hertz>,
    pub ambient: Option<Celsius>,
    pub altitude: Option<Metres>,
    pub surroundings: Option<Surroundings>,
    /// The motor sits in the stream of its own fan.
    pub in_air_stream: Option<bool>,
    pub position: Option<Position>,
    /// Free length for the motor body, capacitor and connection box included.
    pub free_length: Option<Millimetres>,
    pub free_diameter: Option<Millimetres>,
    /// Free length in front of the present shaft end.
    pub shaft_clearance: Option<Millimetres>,
    pub control: Option<Control>,
    /// Full-load and locked-rotor current the control contact may switch.
    pub control_amps: Option<Amps>,
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
    pub driven: Driven,
    pub site: Site,
    /// Disconnecting means within sight of the machine.
    pub disconnect: Option<Disconnect>,
    pub overload: Option<Overload>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DeviceKind {
    InverseTimeBreaker,
    DualElementFuse,
    NonTimeDelayFuse,
    InstantaneousTripBreaker,
    /// IEC 60898 circuit breaker, by its curve.
    MiniatureBreakerB,
    MiniatureBreakerC,
    MiniatureBreakerD,
    GgFuse,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Metal {
    Copper,
    Aluminium,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DisconnectKind {
    /// Horsepower-rated motor-circuit switch.
    MotorCircuitSwitch,
    GeneralUseSwitch,
    AcSnapSwitch,
    BranchBreaker,
    PlugAndSocket,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Disconnect {
    pub kind: DisconnectKind,
    pub rating: Option<Decimal>,
    /// Rated horsepower at the circuit's voltage.
    pub horsepower: Option<Decimal>,
    /// In sight of the motor and within 15 m (50 ft).
    pub in_sight: Option<bool>,
}

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

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Overload {
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
    pub volts: Option<Volts>,
    pub phases: Option<u8>,
    pub device: Option<DeviceKind>,
    pub device_rating: Option<Decimal>,
    pub poles: Option<u8>,
    /// Conductor size as text: AWG or kcmil (`14`, `1/0`, `250`), or mm² under the IEC rule set.
    pub size: Option<String>,
    pub metal: Option<Metal>,
    /// Insulation temperature rating.
    pub insulation: Option<Celsius>,
    /// Lowest terminal temperature rating.
    pub terminals: Option<Celsius>,
    /// IEC installation method (`B1`, `B2`, `C`, `E`).
    pub method: Option<String>,
    pub one_way: Option<Metres>,
    pub ambient: Option<Celsius>,
    /// Current-carrying conductors in the raceway.
    pub conductors_in_raceway: Option<u32>,
    /// Other loads on the same circuit; `Some(0)` is a looked-at zero.
    pub other_continuous: Option<Decimal>,
    pub other_noncontinuous: Option<Decimal>,
    /// Full-load currents of other motors on the same circuit.
    pub other_motors: Option<Vec<Decimal>>,
    /// Lighting or cord-and-plug loads share the circuit.
    pub shares_outlets: Option<bool>,
}
