//! Topics. The circuit: conductors, devices, loads, drop.

mod drop;
mod group;
mod iec;
mod loads;
mod motor;
mod read;
mod several;
mod start;
mod whole;
mod wire;

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[
    motor::BRANCH,
    start::CURRENT,
    start::OVERLOAD,
    start::LOCKED_ROTOR,
    start::DUTY,
    several::SEVERAL,
    several::FEEDER,
    group::GROUP,
    wire::AMPACITY,
    wire::CONDUCTOR,
    drop::DROP,
    wire::EGC,
    loads::CONTINUOUS,
    loads::PERMISSIBLE,
    loads::RATING,
    loads::SWITCH,
    loads::DRIVE,
    iec::AMPACITY,
    iec::CIRCUIT,
    iec::DROP,
    whole::WHOLE,
];
