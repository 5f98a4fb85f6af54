//! Topics. Motor and fit: one candidate against one machine.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
