//! Topics. The circuit: conductors, devices, loads, drop.

mod motor;
mod read;

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[motor::BRANCH];
