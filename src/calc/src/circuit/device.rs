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
    /// The standard rating at or next below the ceiling; only where the motor will not start. `None`
    /// where the rating next above the percentage is already larger.
    pub ceiling: Option<Decimal>,
}

/// Motor rows of 430.52.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MotorRow {
    /// Single-phase motors.
    SinglePhase,
    /// Polyphase motors other than wound-rotor.
    Polyphase,
    /// Squirrel-cage motors other than design B energy-efficient ones.
    SquirrelCage,
    /// Design B energy-efficient (from 2023 also premium efficiency) motors.
    DesignBEfficient,
    /// Synchronous motors.
    Synchronous,
    /// Wound-rotor motors.
    WoundRotor,
    /// Direct-current motors at constant voltage.
    DirectCurrent,
}

impl MotorRow {
    /// All, in the order of the table.
    pub const ALL: [MotorRow; 7] = [
        MotorRow::SinglePhase,
        MotorRow::Polyphase,
        MotorRow::SquirrelCage,
        MotorRow::DesignBEfficient,
        MotorRow::Synchronous,
        MotorRow::WoundRotor,
        MotorRow::DirectCurrent,
    ];

    /// Its name in the compiled table.
    pub fn name(self) -> &'static str {
        match self {
            MotorRow::SinglePhase => "single_phase",
            MotorRow::Polyphase => "polyphase_other_than_wound_rotor",
            MotorRow::SquirrelCage => "squirrel_cage_other_than_design_b_energy_efficient",
            MotorRow::DesignBEfficient => "design_b_energy_efficient_or_premium",
            MotorRow::Synchronous => "synchronous",
            MotorRow::WoundRotor => "wound_rotor",
            MotorRow::DirectCurrent => "dc_constant_voltage",
        }
    }
}

/// The kinds of device that 430.52 lists, in its order.
pub const KINDS: [DeviceKind; 4] = [
    DeviceKind::NonTimeDelayFuse,
    DeviceKind::DualElementFuse,
    DeviceKind::InstantaneousTripBreaker,
    DeviceKind::InverseTimeBreaker,
];

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
/// motor will not start with that, rounded down.
/// Time-delay class CC fuses count as fuses without delay. Valid for the four kinds of NEC devices;
/// `None` for an IEC device or a current above the standard ratings.
/// Source: NEC 430.52 (2023: 430.52(C)(1)), 240.6(A).
pub fn device_limit(
    rule_set: RuleSet,
    row: MotorRow,
    kind: DeviceKind,
    flc: Decimal,
) -> Option<DeviceLimit> {
    let flc = crate::shown::plausible(flc)?;
    let column = KINDS.iter().position(|other| *other == kind)?;
    let (_, cells) = nec::DEVICE_PERCENT
        .iter()
        .find(|(name, _)| name == row.name())?;
    let percent = *cells.get(column)?;
    let calculated = percent_of(percent, flc);
    // An instantaneous-trip breaker is set, not chosen from the list: nothing is rounded.
    let adjustable = kind == DeviceKind::InstantaneousTripBreaker;
    let highest = if adjustable {
        calculated
    } else {
        next_rating(rule_set, kind, calculated)?
    };
    let ceiling_percent = ceiling_percent(row, kind, flc)?;
    let mut ceiling_calculated = percent_of(ceiling_percent, flc);
    if kind == DeviceKind::NonTimeDelayFuse && ceiling_percent == LARGE_FUSE {
        // Between the two rules for fuses the smaller class, 600 A, stays open.
        ceiling_calculated = ceiling_calculated.max(SMALL_FUSES);
    }
    let ceiling = if adjustable {
        Some(ceiling_calculated)
    } else {
        rating_below(rule_set, kind, ceiling_calculated)
    };
    Some(DeviceLimit {
        percent,
        calculated,
        highest,
        ceiling_percent,
        ceiling_calculated,
        ceiling: ceiling.filter(|ceiling| *ceiling >= highest),
    })
}

/// `p I / 100`, exact.
fn percent_of(percent: Decimal, amps: Decimal) -> Decimal {
    percent * amps * Decimal::new(1, 2)
}

/// Fuses to 600 A have the larger percentage, those of 601 to 6000 A the smaller.
const SMALL_FUSES: Decimal = Decimal::from_parts(600, 0, 0, false, 0);
const LARGE_FUSE: Decimal = Decimal::from_parts(300, 0, 0, false, 0);

/// The row of the ceilings, in percent of the current.
fn ceiling_percent(row: MotorRow, kind: DeviceKind, flc: Decimal) -> Option<Decimal> {
    let find = |device: &str, condition: &str| {
        nec::DEVICE_CEILING
            .iter()
            .find(|(name, when, _)| name == device && when.starts_with(condition))
            .map(|(.., percent)| *percent)
    };
    match kind {
        DeviceKind::NonTimeDelayFuse => find("nontime_delay_fuse", "rating not over 600 A")
            .filter(|percent| percent_of(*percent, flc) <= SMALL_FUSES)
            .or_else(|| find("fuse_601_to_6000_a", "")),
        DeviceKind::DualElementFuse => find("dual_element_time_delay_fuse", ""),
        DeviceKind::InstantaneousTripBreaker if row == MotorRow::DesignBEfficient => {
            find("instantaneous_trip_breaker", "Design B")
        }
        DeviceKind::InstantaneousTripBreaker => find("instantaneous_trip_breaker", "other"),
        DeviceKind::InverseTimeBreaker if flc > Decimal::ONE_HUNDRED => {
            find("inverse_time_breaker", "flc > 100")
        }
        DeviceKind::InverseTimeBreaker => find("inverse_time_breaker", "flc <= 100"),
        _ => None,
    }
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
/// The row whose rating is not exceeded. Never needs to be larger than the circuit conductors. The
/// aluminium sizes above 4000 A differ between readings of the editions; the larger ones are held.
/// Source: NEC 250.122(A).
pub fn grounding_conductor(device: Decimal) -> Option<(&'static str, &'static str)> {
    crate::shown::plausible(device)?;
    nec::EGC
        .iter()
        .find(|(top, ..)| device <= *top)
        .map(|(_, cu, al)| (cu.as_str(), al.as_str()))
}

/// The grounding conductor, or the circuit's own size where that is smaller: it never needs to be
/// larger. Source: NEC 250.122(A).
pub fn not_above(grounding: &'static str, circuit: Option<&'static Size>) -> &'static str {
    let area = super::wire::find_size(grounding).map(|size| size.cmil);
    match (area, circuit) {
        (Some(area), Some(circuit)) if circuit.cmil < area => circuit.name.as_str(),
        _ => grounding,
    }
}

/// Number of the table of branch devices in this edition.
pub(crate) fn table_name(rule_set: RuleSet) -> &'static str {
    if rule_set == RuleSet::Nec2023 {
        "430.52(C)(1)"
    } else {
        "430.52"
    }
}

/// The 2023 list of breakers begins at 10 A, and nobody has confirmed that 430.52 means it.
pub(crate) fn ten_ampere_note(
    rule_set: RuleSet,
    kind: DeviceKind,
    limit: &DeviceLimit,
) -> Option<&'static str> {
    let ten = rule_set == RuleSet::Nec2023
        && kind == DeviceKind::InverseTimeBreaker
        && limit.highest == Decimal::TEN;
    ten.then_some(TEN_AMPERES)
}

/// What is said of a 10 A breaker behind a small motor.
pub(crate) const TEN_AMPERES: &str = "The 2023 list of standard ratings begins at 10 A; whether \
    430.52(C)(1) then means 10 A for so small a motor is not confirmed. 2017 and 2020 give 15 A.";

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

#[cfg(test)]
mod tests {
    use super::*;

    fn breaker(set: RuleSet, flc: Decimal) -> DeviceLimit {
        let kind = DeviceKind::InverseTimeBreaker;
        device_limit(set, MotorRow::SinglePhase, kind, flc).expect("a limit")
    }

    /// 28 A x 250 % is exactly 70 A, which is a standard rating: nothing is rounded up.
    #[test]
    fn equality_at_the_limit_is_exact() {
        let limit = breaker(RuleSet::Nec2023, Decimal::from(28));
        assert_eq!((limit.calculated, limit.highest), (70.into(), 70.into()));
        assert_eq!(limit.ceiling, Some(110.into()), "112 A rounds down");
    }

    #[test]
    fn a_feeder_device_is_rounded_down_and_a_branch_device_up() {
        let kind = DeviceKind::NonTimeDelayFuse;
        let found = feeder_device(RuleSet::Nec2020, kind, 110.into(), &[40.into(), 40.into()]);
        assert_eq!(found, Some((190.into(), 175.into())));
        assert_eq!(
            next_rating(RuleSet::Nec2020, kind, 190.into()),
            Some(200.into())
        );
    }

    /// 400 % to 600 A, 300 % of the larger fuses, and 600 A itself between the two.
    #[test]
    fn large_fuses_have_their_own_ceiling() {
        let ceiling = |flc: u32| {
            let kind = DeviceKind::NonTimeDelayFuse;
            let limit = device_limit(RuleSet::Nec2023, MotorRow::Polyphase, kind, flc.into());
            limit.expect("a limit").ceiling_calculated
        };
        assert_eq!(ceiling(150), 600.into());
        assert_eq!(ceiling(180), 600.into());
        assert_eq!(ceiling(240), 720.into());
    }
}
