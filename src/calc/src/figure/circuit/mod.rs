//! Topics. The circuit: conductors, devices, loads, drop.

mod group;
mod motor;
mod read;
mod several;
mod start;

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
];
