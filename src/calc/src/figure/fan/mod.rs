//! Topics: fans, air, systems, screens and guards.

mod air;
mod laws;
mod screen;
mod system;

use super::{Topic, sheet};

pub(super) static TOPICS: &[Topic] = &[
    laws::FAN_SPEED,
    laws::FAN_LAW,
    air::AIR_DENSITY,
    system::SYSTEM_CURVE,
    system::AIR_POWER,
    screen::SCREEN,
    screen::GUARD,
];
