//! Topics. Energy and money.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
