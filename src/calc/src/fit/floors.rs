//! Efficiency floors of 10 CFR 431.25 and 431.446 for a candidate, as far as the compiled tables reach.

use super::known::{Facts, get, list};
use crate::efficiency::{self, Marked, Part};
use crate::motor::poles_from_plate_speed;
use crate::plate::{Enclosure, MotorType};
use crate::units::{Hertz, Rpm, WATTS_PER_HP, Watts};
use rust_decimal::prelude::ToPrimitive;

/// The floor in percent for the candidate, or `None` where no rule in the tables covers it.
///
/// 60 Hz motors only. Between two ratings the upper row holds from the midpoint on (431.446(b)).
pub(super) fn floor(f: &Facts) -> Option<f64> {
    let sixty = list(&f.new.frequency)?
        .iter()
        .any(|hz| (hz.0 - 60.0).abs() < 1.0);
    if !sixty || f.hertz.is_some_and(|hz| (hz - 60.0).abs() > 1.0) {
        return None;
    }
    let kind = f.new_type?;
    let open = matches!(get(&f.new.enclosure)?, Enclosure::OpenDripProof);
    let power = Watts(f.new_power?);
    let part = match kind {
        MotorType::ThreePhaseInduction if power.0 >= 0.995 * WATTS_PER_HP => Part::Integral,
        MotorType::ThreePhaseInduction if open => Part::SmallPolyphase,
        MotorType::CapacitorStart | MotorType::CapacitorStartCapacitorRun if open => {
            Part::SmallCapacitorStart
        }
        _ => return None,
    };
    let poles = poles_from_plate_speed(kind, Rpm(f.new_speed?), Hertz(60.0)).ok()?;
    let found = efficiency::floor(part, Marked::of(power)?, poles, open)?;
    found.percent.to_f64()
}
