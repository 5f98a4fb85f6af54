//! Topics. The circuit: conductors, devices, loads, drop.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
