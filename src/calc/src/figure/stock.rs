//! Topics. Spares and reorder points.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
