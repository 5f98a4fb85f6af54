//! Topics. Volts, insulation and windings.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
