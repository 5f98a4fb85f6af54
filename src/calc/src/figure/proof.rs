//! Topics. Vibration, balance and the run test.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
