//! Topics: belts, bearings and fasteners.

mod bearing;
mod belt;
mod belt_figures;
mod regrease;
mod tightening;

use super::{Answer, Topic, sheet};

pub(super) static TOPICS: &[Topic] = &[
    belt::BELT,
    bearing::BEARING,
    regrease::REGREASE,
    tightening::TIGHTENING,
];

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}
