//! Topics: fans, air, systems, screens and guards.

mod air;
mod guard;
mod laws;
mod screen;
mod screen_fields;
mod system;

use super::{Answer, Topic, sheet};

pub(super) static TOPICS: &[Topic] = &[
    laws::FAN_SPEED,
    laws::FAN_LAW,
    air::AIR_DENSITY,
    system::SYSTEM_CURVE,
    system::AIR_POWER,
    screen::SCREEN,
    guard::GUARD,
];

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}
