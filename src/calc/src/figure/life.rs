//! Topics. Life, reliability and availability.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
