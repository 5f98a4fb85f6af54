//! Topics: belts, bearings and fasteners.

mod bearing;
mod belt;
mod tightening;

use super::{Topic, sheet};

pub(super) static TOPICS: &[Topic] = &[
    belt::BELT,
    bearing::BEARING,
    bearing::REGREASE,
    tightening::TIGHTENING,
];
