//! Topics. Boxes, switches, contacts and compressors on the circuit.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
