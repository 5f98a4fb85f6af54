//! Topics. Motors on their own: speed, torque, capacitor, ratings.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
