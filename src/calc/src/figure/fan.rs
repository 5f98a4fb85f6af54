//! Topics. Fans, air and screens.

use super::Topic;

pub(super) static TOPICS: &[Topic] = &[];
