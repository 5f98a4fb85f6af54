//! Topics. Due dates and meters.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
