//! Overload protection: how high a separate device or the motor's own protector may act.

use crate::units::Celsius;
use crate::working::Missing;
use rust_decimal::Decimal;

/// Percentages of the plate current for a separate overload device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OverloadPercent {
    /// Highest setting, percent of the plate current.
    pub highest: u32,
    /// Only where the first figure will not start or carry the load.
    pub stepped_up: u32,
}

/// 125 % (140 %) with a marked service factor of 1.15 or more or a marked rise of 40 °C or less,
/// 115 % (130 %) for all other motors. Of the plate current; a maximum, never rounded up.
/// Source: NEC 430.32(A)(1), 430.32(C).
pub fn overload_percent(service_factor: Option<f64>, rise: Option<Celsius>) -> OverloadPercent {
    let strong = service_factor.is_some_and(|sf| sf.is_finite() && sf >= 1.15 - 1e-9)
        || rise.is_some_and(|rise| rise.0 > 0.0 && rise.0 <= 40.0);
    if strong {
        OverloadPercent {
            highest: 125,
            stepped_up: 140,
        }
    } else {
        OverloadPercent {
            highest: 115,
            stepped_up: 130,
        }
    }
}

/// Highest setting in amperes: `percent plate / 100`. Source: NEC 430.32(A)(1), 430.32(C).
pub fn overload_max(plate_amps: Decimal, percent: u32) -> Decimal {
    plate_amps
        .checked_mul(Decimal::from(percent))
        .unwrap_or(Decimal::MAX)
        / Decimal::ONE_HUNDRED
}

/// Percentage of the table current at which a protector inside a motor over 1 hp must have acted.
///
/// 170 % to 9 A, 156 % to 20 A, 140 % above. Source: NEC 430.32(A)(2).
pub fn protector_percent(table_flc: Decimal) -> u32 {
    if table_flc <= Decimal::from(9) {
        170
    } else if table_flc <= Decimal::from(20) {
        156
    } else {
        140
    }
}

/// Highest current at which a protector inside a motor over 1 hp may finally act, in amperes.
///
/// By [`protector_percent`]. Source: NEC 430.32(A)(2).
pub fn protector_max(table_flc: Decimal) -> Decimal {
    overload_max(table_flc, protector_percent(table_flc))
}

/// Asks for the two markings that allow the higher percentage.
pub(crate) fn missing_marks() -> Missing {
    Missing {
        what: "marked service factor and marked temperature rise".into(),
        why: "with service factor 1.15 or a rise of 40 °C the overload device may be set to 125 %"
            .into(),
        how: "read the plate; `not marked` is an answer too".into(),
    }
}
