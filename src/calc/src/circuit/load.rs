//! One motor, several motors and other loads on one set of conductors.

use crate::shown::plausible_load;
use rust_decimal::Decimal;

pub(crate) const FIVE_QUARTERS: Decimal = Decimal::from_parts(125, 0, 0, false, 2);

/// Smallest conductor ampacity for one continuous-duty motor: `1.25 flc`, exact.
/// Source: NEC 430.22.
pub fn branch_conductor_min(flc: Decimal) -> Decimal {
    flc.checked_mul(FIVE_QUARTERS).unwrap_or(Decimal::MAX)
}

/// Smallest conductor ampacity for several motors and other loads.
///
/// `1.25 largest + all other motors + noncontinuous + 1.25 continuous`; of equal motors only one
/// takes the 1.25. `None` for a negative or impossible current. Source: NEC 430.24.
pub fn several_motors_min(
    flc: &[Decimal],
    noncontinuous: Decimal,
    continuous: Decimal,
) -> Option<Decimal> {
    let mut sum = plausible_load(noncontinuous)?;
    sum = sum.checked_add(plausible_load(continuous)? * FIVE_QUARTERS)?;
    let mut largest = Decimal::ZERO;
    for amps in flc {
        let amps = plausible_load(*amps)?;
        largest = largest.max(amps);
        sum = sum.checked_add(amps)?;
    }
    sum.checked_add(largest * (FIVE_QUARTERS - Decimal::ONE))
}

/// Smallest device for loads without motors: noncontinuous plus 1.25 of the continuous.
/// Source: NEC 210.20(A).
pub fn continuous_device_min(noncontinuous: Decimal, continuous: Decimal) -> Option<Decimal> {
    let sum = plausible_load(continuous)? * FIVE_QUARTERS;
    sum.checked_add(plausible_load(noncontinuous)?)
}

/// Small motors may share a circuit: each of 1 hp and 6 A at most, with its own overload protection,
/// behind 20 A at most on 120 V or 15 A otherwise. Source: NEC 430.53(A).
pub fn small_motor_group(flc: &[Decimal], hp: Option<f64>, device: Decimal, volts: f64) -> bool {
    let most = if volts <= 130.0 { 20 } else { 15 };
    flc.iter().all(|amps| *amps <= Decimal::from(6))
        && hp.is_none_or(|hp| hp <= 1.01)
        && device <= Decimal::from(most)
}

/// Equipment fastened in place may take half the rating of a 15 or 20 A circuit that also feeds
/// lighting or cord-and-plug loads; `None` where the rule does not reach. Returns the limit in amperes.
/// Source: NEC 210.23(B)(2), before 2023 210.23(A)(2).
pub fn fixed_equipment_limit(circuit: Decimal) -> Option<Decimal> {
    (circuit == Decimal::from(15) || circuit == Decimal::from(20)).then(|| circuit / Decimal::TWO)
}
