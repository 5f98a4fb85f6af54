//! Branch and feeder short-circuit devices: percentage, next standard rating, ceiling.

use super::RuleSet;
use crate::installation::DeviceKind;
use crate::tables::nec::{self, Size};
use rust_decimal::Decimal;

/// What 430.52 allows for one motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DeviceLimit {
    /// Percentage of the current by kind of motor and device.
    pub percent: Decimal,
    /// Percentage of the current, before a standard rating is taken.
    pub calculated: Decimal,
    /// The standard rating at or next above it.
    pub highest: Decimal,
    /// Largest percentage, where the motor will not start on less.
    pub ceiling_percent: Decimal,
    /// That percentage of the current, amperes.
    pub ceiling_calculated: Decimal,
    /// The standard rating at or next below the ceiling; only where the motor will not start.
    pub ceiling: Option<Decimal>,
}

/// Motor rows of 430.52 that the plate can name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MotorRow {
    /// Single-phase motors.
    SinglePhase,
    /// Polyphase motors other than wound-rotor.
    Polyphase,
    /// Wound-rotor motors.
    WoundRotor,
    /// Direct-current motors at constant voltage.
    DirectCurrent,
}

impl MotorRow {
    fn name(self) -> &'static str {
        match self {
            MotorRow::SinglePhase => "single_phase",
            MotorRow::Polyphase => "polyphase_other_than_wound_rotor",
            MotorRow::WoundRotor => "wound_rotor",
            MotorRow::DirectCurrent => "dc_constant_voltage",
        }
    }
}

fn is_fuse(kind: DeviceKind) -> bool {
    matches!(
        kind,
        DeviceKind::DualElementFuse | DeviceKind::NonTimeDelayFuse
    )
}

/// Standard ratings for this kind of device in this edition, smallest first.
fn ratings(rule_set: RuleSet, kind: DeviceKind) -> impl DoubleEndedIterator<Item = Decimal> {
    nec::RATINGS.iter().filter_map(move |rating| {
        let listed = is_fuse(kind)
            || !(rating.fuse_only || (rating.by_edition && rule_set != RuleSet::Nec2023));
        listed.then_some(rating.amps)
    })
}

/// The standard rating at or next above `amps`. Source: NEC 240.6(A).
pub fn next_rating(rule_set: RuleSet, kind: DeviceKind, amps: Decimal) -> Option<Decimal> {
    ratings(rule_set, kind).find(|rating| *rating >= amps)
}

/// The standard rating at or next below `amps`. Source: NEC 240.6(A).
pub fn rating_below(rule_set: RuleSet, kind: DeviceKind, amps: Decimal) -> Option<Decimal> {
    ratings(rule_set, kind).rev().find(|rating| *rating <= amps)
}

/// Largest branch device for one motor.
///
/// `calculated = p flc / 100`; not a standard rating: the next higher one. `ceiling`: only where the
/// motor will not start with that, never rounded up. Valid for the four kinds of NEC devices; `None`
/// for an IEC device or a current above the standard ratings.
/// Source: NEC 430.52 (2023: 430.52(C)(1)), 240.6(A).
pub fn device_limit(
    rule_set: RuleSet,
    row: MotorRow,
    kind: DeviceKind,
    flc: Decimal,
) -> Option<DeviceLimit> {
    let flc = crate::shown::plausible(flc)?;
    let column = match kind {
        DeviceKind::NonTimeDelayFuse => 0,
        DeviceKind::DualElementFuse => 1,
        DeviceKind::InstantaneousTripBreaker => 2,
        DeviceKind::InverseTimeBreaker => 3,
        _ => return None,
    };
    let (_, cells) = nec::DEVICE_PERCENT
        .iter()
        .find(|(name, _)| name == row.name())?;
    let percent = cells[column];
    let calculated = flc * percent / Decimal::ONE_HUNDRED;
    let (device, condition) = match kind {
        DeviceKind::NonTimeDelayFuse => ("nontime_delay_fuse", ""),
        DeviceKind::DualElementFuse => ("dual_element_time_delay_fuse", ""),
        DeviceKind::InstantaneousTripBreaker => ("instantaneous_trip_breaker", "other"),
        _ if flc > Decimal::ONE_HUNDRED => ("inverse_time_breaker", "flc > 100"),
        _ => ("inverse_time_breaker", "flc <= 100"),
    };
    let (.., ceiling_percent) = nec::DEVICE_CEILING
        .iter()
        .find(|(name, when, _)| name == device && when.starts_with(condition))?;
    let ceiling_calculated = flc * *ceiling_percent / Decimal::ONE_HUNDRED;
    let adjustable = kind == DeviceKind::InstantaneousTripBreaker;
    Some(DeviceLimit {
        percent,
        calculated,
        // An instantaneous-trip breaker is set, not chosen from the list: nothing is rounded up.
        highest: if adjustable {
            calculated
        } else {
            next_rating(rule_set, kind, calculated)?
        },
        ceiling_percent: *ceiling_percent,
        ceiling_calculated,
        ceiling: if adjustable {
            Some(ceiling_calculated)
        } else {
            rating_below(rule_set, kind, ceiling_calculated)
        },
    })
}

/// Feeder device: the largest branch device plus the currents of all other motors, rounded down.
///
/// Source: NEC 430.62(A); there is no leave for the next rating up. Returns (calculated, standard).
pub fn feeder_device(
    rule_set: RuleSet,
    kind: DeviceKind,
    largest_branch_device: Decimal,
    other_flc: &[Decimal],
) -> Option<(Decimal, Decimal)> {
    let mut sum = crate::shown::plausible(largest_branch_device)?;
    for flc in other_flc {
        sum = sum.checked_add(crate::shown::plausible_load(*flc)?)?;
    }
    Some((sum, rating_below(rule_set, kind, sum)?))
}

/// Equipment grounding conductor for a device rating: (copper, aluminium) sizes.
///
/// The row whose rating is not exceeded. Never needs to be larger than the circuit conductors.
/// Source: NEC 250.122(A).
pub fn grounding_conductor(device: Decimal) -> Option<(&'static str, &'static str)> {
    nec::EGC
        .iter()
        .find(|(top, ..)| device <= *top)
        .map(|(_, cu, al)| (cu.as_str(), al.as_str()))
}

/// Grounding conductor enlarged with the circuit conductors: (circular mils, smallest size).
///
/// `A = base increased / original`, in circular mils; rounded to whole circular mils; for conductors enlarged
/// against voltage drop. Source: NEC 250.122(B).
pub fn enlarged_grounding(
    base: &Size,
    original: &Size,
    increased: &Size,
) -> Option<(u64, &'static Size)> {
    let area = u64::from(base.cmil) * u64::from(increased.cmil);
    let area = (area + u64::from(original.cmil) / 2).checked_div(u64::from(original.cmil))?;
    let size = nec::SIZES
        .iter()
        .find(|size| u64::from(size.cmil) >= area)?;
    Some((area, size))
}
