//! Topics. Plates as people type them.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
