//! Hermetic refrigerant motor-compressors: a branch circuit by their marked currents (NEC 440).
//!
//! All percentages are from memory: no table here confirms them, and every verdict says so.

mod circuit;

use super::RuleSet;
use super::device::rating_below;
use super::load::{branch_conductor_min, several_motors_min};
use super::overload::overload_max;
use super::switches::disconnect_min;
use crate::installation::{Compressor, DeviceKind};
use crate::shown::{plausible, plausible_load};
use rust_decimal::Decimal;

pub(super) use circuit::judge;
pub use circuit::{Fitted, check};

/// What holds beside every compressor circuit.
pub const CAUTION: &str = "The rules for compressors stand here from memory: have a licensed \
    electrician confirm them in the adopted code. The circuit data marked on the equipment comes \
    first. Refrigerant work is for licensed people.";

/// What keeps the current of a compressor from being known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoCurrent {
    /// The rated-load current is not known.
    #[error("rated-load current of the compressor")]
    RatedLoad,
    /// Nobody has said whether a selection current is marked.
    #[error("branch-circuit selection current, or that none is marked")]
    Selection,
}

/// The current that conductors, device and disconnect are sized by, amperes: the rated-load current
/// or the branch-circuit selection current, whichever is greater.
///
/// Source: NEC 440.4(C), 440.12(A), 440.22(A), 440.32; from memory.
/// # Errors
/// [`NoCurrent`] names what is missing.
pub fn design_current(compressor: &Compressor) -> Result<Decimal, NoCurrent> {
    let rated = compressor.rated_load.and_then(plausible);
    let rated = rated.ok_or(NoCurrent::RatedLoad)?;
    match compressor.selection.and_then(plausible) {
        Some(selection) => Ok(rated.max(selection)),
        None if compressor.selection_marked == Some(false) => Ok(rated),
        None => Err(NoCurrent::Selection),
    }
}

/// Smallest conductor ampacity for one compressor, amperes: `1.25 I`. Source: NEC 440.32, from memory.
pub fn conductor_min(design: Decimal) -> Decimal {
    branch_conductor_min(design)
}

/// Smallest conductor ampacity with other motors and loads on the same conductors, amperes:
/// `1.25 largest + others`. `None` for an impossible current. Source: NEC 440.33, from memory.
pub fn conductor_min_of_several(design: Decimal, others: &[Decimal]) -> Option<Decimal> {
    let mut all = others.to_vec();
    all.push(design);
    several_motors_min(&all, Decimal::ZERO, Decimal::ZERO)
}

/// Largest branch device, amperes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DeviceMax {
    /// `1.75 I`, and the others on the circuit.
    pub first: Decimal,
    /// `2.25 I`, and the others, only where the compressor will not start on the first.
    pub ceiling: Decimal,
}

/// Largest branch device: 175 % of the design current, up to 225 % where it will not start; with
/// others on the circuit, the largest motor's share and the sum of the others. It need not be
/// below 15 A.
///
/// Amperes; `others` are full-load currents. `None` for an impossible current.
/// Source: NEC 440.22(A) and (B), from memory.
pub fn device_max(design: Decimal, others: &[Decimal]) -> Option<DeviceMax> {
    let mut rest = Decimal::ZERO;
    for amps in others {
        rest = rest.checked_add(plausible_load(*amps)?)?;
    }
    let least = Decimal::from(15);
    let of = |percent| overload_max(plausible(design)?, percent).checked_add(rest);
    Some(DeviceMax {
        first: of(175)?.max(least),
        ceiling: of(225)?.max(least),
    })
}

/// The standard rating at or below a largest device, amperes, and never below 15 A; there is no
/// leave for the next one up. Source: NEC 440.22(A), from memory; 240.6(A).
pub fn standard_device(rule_set: RuleSet, kind: DeviceKind, most: Decimal) -> Option<Decimal> {
    rating_below(rule_set, kind, most)
}

/// Kinds of overload protection of a compressor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CompressorOverload {
    /// A separate overload relay.
    Relay,
    /// A fuse or breaker that also is the branch device.
    Device,
}

/// Highest current at which the overload protection may act, amperes: 140 % of the rated-load
/// current for a relay, 125 % for a fuse or breaker. The selection current does not count here.
/// Source: NEC 440.52(A), from memory.
pub fn overload_trip_max(rated_load: Decimal, kind: CompressorOverload) -> Decimal {
    let percent = match kind {
        CompressorOverload::Relay => 140,
        CompressorOverload::Device => 125,
    };
    overload_max(rated_load, percent)
}

/// Smallest rating of the disconnect, amperes: `1.15 I`. It must open the locked-rotor current too.
/// Source: NEC 440.12(A), from memory.
pub fn disconnect_least(design: Decimal) -> Decimal {
    disconnect_min(design)
}

#[cfg(test)]
mod tests;
