//! Topics. Belts and bearings.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
