//! What a conductor carries: table, ambient, number in the raceway, terminals.

use super::RuleSet;
use crate::installation::Metal;
use crate::tables::nec;
pub use crate::tables::nec::{Size, SmallConductor};
use crate::units::Celsius;
use rust_decimal::Decimal;

/// Why no ampacity can be stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WireError {
    /// The size is not in the table.
    #[error("this conductor size is not in the table")]
    Size,
    /// The table has no figure for this size, metal and insulation.
    #[error("the table lists no ampacity for this size, metal and insulation")]
    NotListed,
    /// The insulation rating is below 60 °C.
    #[error("the insulation rating is below 60 °C")]
    Insulation,
    /// The ambient temperature is no temperature.
    #[error("the ambient temperature is not a temperature")]
    Ambient,
    /// The ambient is too hot for the insulation.
    #[error("the insulation may not be used at this ambient temperature")]
    TooHot,
    /// The number of conductors is zero.
    #[error("the number of conductors is zero")]
    Count,
}

/// A size written as people write it: `14`, `#14`, `14 AWG`, `1/0`, `250 kcmil`.
pub fn find_size(text: &str) -> Option<&'static Size> {
    let text = text.to_ascii_lowercase();
    let mut name = text.trim().trim_start_matches('#').trim();
    for end in ["awg", "kcmil", "mcm"] {
        name = name.trim_end_matches(end).trim();
    }
    nec::SIZES.iter().find(|size| size.name == name)
}

/// An ampacity with its steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ampacity {
    /// Table value of the insulation's column at 30 °C.
    pub table: Decimal,
    /// Factor for the ambient temperature.
    pub ambient: Decimal,
    /// Percentage for the number of current-carrying conductors.
    pub percent: Decimal,
    /// After both, in amperes.
    pub corrected: Decimal,
}

/// Column of the insulation or terminal temperature: 0 for 60 °C, 1 for 75 °C, 2 for 90 °C.
fn column(celsius: Celsius) -> Option<usize> {
    match celsius.0 {
        c if !c.is_finite() || c < 60.0 => None,
        c if c < 75.0 => Some(0),
        c if c < 90.0 => Some(1),
        _ => Some(2),
    }
}

/// Ampacity after ambient and number of conductors, before the terminals' limit.
///
/// `I = I30 f n / 100`: `I30` from the column of the insulation, `f` by band of ambient temperature
/// (a temperature between two bands takes the hotter one), `n` by number of conductors.
/// Source: NEC 310.16, 310.15(B)(1), 310.15(C)(1); 2017: 310.15(B)(16), (B)(2)(a), (B)(3)(a).
/// # Errors
/// [`WireError`] where the tables list nothing.
pub fn ampacity(
    size: &Size,
    metal: Metal,
    insulation: Celsius,
    ambient: Celsius,
    conductors: u32,
) -> Result<Ampacity, WireError> {
    let column = column(insulation).ok_or(WireError::Insulation)?;
    let table = size.ampacity(metal, column).ok_or(WireError::NotListed)?;
    if !ambient.0.is_finite() {
        return Err(WireError::Ambient);
    }
    let (_, factors) = nec::AMBIENT
        .iter()
        .find(|(top, _)| ambient.0 <= *top + 1e-9)
        .ok_or(WireError::TooHot)?;
    let factor = factors
        .get(column)
        .copied()
        .flatten()
        .ok_or(WireError::TooHot)?;
    if conductors == 0 {
        return Err(WireError::Count);
    }
    let (_, percent) = nec::COUNT
        .iter()
        .find(|(top, _)| top.is_none_or(|top| conductors <= top))
        .ok_or(WireError::Count)?;
    let corrected = table * factor * *percent / Decimal::ONE_HUNDRED;
    Ok(Ampacity {
        table,
        ambient: factor,
        percent: *percent,
        corrected,
    })
}

/// The most that the terminals allow: the ampacity of the size in the terminals' column.
///
/// Without a marked rating 60 °C up to 100 A and 75 °C above; never more than 75 °C is taken.
/// Source: NEC 110.14(C)(1).
pub fn terminal_cap(
    size: &Size,
    metal: Metal,
    terminals: Option<Celsius>,
    circuit_amps: Decimal,
) -> Option<(Decimal, u8)> {
    let unmarked = usize::from(circuit_amps > Decimal::ONE_HUNDRED);
    let column = terminals
        .and_then(column)
        .map_or(unmarked, |column| column.min(1));
    Some((
        size.ampacity(metal, column)?,
        if column == 0 { 60 } else { 75 },
    ))
}

/// Smallest size whose table ampacity in the terminals' column is not below `amps`.
///
/// `terminals` 60 °C or 75 °C and up; ambient 30 °C, up to three conductors. Not smaller than 14 AWG.
/// Source: NEC 310.16, 110.14(C), 430.22(G).
pub fn smallest_size(
    metal: Metal,
    terminals: Celsius,
    amps: Decimal,
) -> Option<(&'static Size, Decimal)> {
    let column = column(terminals)?;
    nec::SIZES.iter().find_map(|size| {
        let ampacity = size.ampacity(metal, column)?;
        (ampacity >= amps).then_some((size, ampacity))
    })
}

/// Smallest size that carries `amps` under the given conditions, terminals included;
/// amperes and degrees Celsius. Source: the tables of [`ampacity`] and [`terminal_cap`].
pub fn smallest_under(
    metal: Metal,
    insulation: Celsius,
    ambient: Celsius,
    conductors: u32,
    terminals: Option<Celsius>,
    circuit_amps: Decimal,
    amps: Decimal,
) -> Option<&'static Size> {
    nec::SIZES.iter().find(|size| {
        let carried = ampacity(size, metal, insulation, ambient, conductors).ok();
        let cap = terminal_cap(size, metal, terminals, circuit_amps);
        matches!((carried, cap), (Some(a), Some((cap, _))) if a.corrected.min(cap) >= amps)
    })
}

/// Highest ordinary device for a small conductor, amperes; `None` above 10 AWG. It does not limit a
/// motor circuit (NEC 240.4(G)). Source: NEC 240.4(D).
pub fn small_conductor_device(size: &Size, metal: Metal) -> Option<Decimal> {
    let material = match metal {
        Metal::Copper => "cu",
        Metal::Aluminium => "al_or_copper_clad_al",
    };
    let row = small_conductor(&size.name, material)?;
    Some(row.amps)
}

/// The row of 240.4(D) for a size and material (`cu`, `al_or_copper_clad_al`, `copper_clad_al`), with
/// what else must hold and the editions that have it. Source: NEC 240.4(D).
pub fn small_conductor(size: &str, material: &str) -> Option<&'static SmallConductor> {
    nec::SMALL
        .iter()
        .find(|row| row.size == size && row.material == material)
}

pub(super) fn sections(rule_set: RuleSet) -> &'static str {
    if rule_set == RuleSet::Nec2017 {
        "NEC 310.15(B)(16), (B)(2)(a), (B)(3)(a), 110.14(C)"
    } else {
        "NEC 310.16, 310.15(B)(1), 310.15(C)(1), 110.14(C)"
    }
}
