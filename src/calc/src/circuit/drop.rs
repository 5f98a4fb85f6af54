//! Voltage lost in the conductors on the way to the motor.

use crate::installation::Metal;
use crate::shown::positive;
use crate::tables::nec;
pub use crate::tables::nec::{Conduit, Impedance, dc_resistance, impedance};
use crate::units::{Metres, Volts};

/// Metres in a thousand feet, exact.
pub const METRES_PER_KFT: f64 = 304.8;
/// Copper: ohm circular mil per foot at about 75 °C. Source: common practice.
pub const K_COPPER: f64 = 12.9;
/// The same for aluminium; `from memory`, the rounded figures of the trade.
pub const K_ALUMINIUM: f64 = 21.2;

/// Volts lost: `f I R L`, with `f` 2 on one phase and the root of three on three phases, `I` amperes,
/// `R` ohm per thousand feet (resistance or effective impedance), `L` the one-way length.
///
/// Valid for a load at the far end; with effective impedance at power factor 0.85.
/// `None` for anything that is not a positive figure. Source: NEC chapter 9 tables 8 and 9, notes.
pub fn drop_volts(phases: u8, amps: f64, ohm_per_kft: f64, one_way: Metres) -> Option<Volts> {
    let f = factor(phases)?;
    let ohms = positive(ohm_per_kft)? * positive(one_way.0)? / METRES_PER_KFT;
    Some(Volts(f * positive(amps)? * ohms))
}

/// Volts lost by the K method: `f K I L / A`, `L` in feet one way, `A` in circular mils.
/// Source: common practice.
pub fn drop_k(phases: u8, k: f64, amps: f64, one_way: Metres, cmil: f64) -> Option<Volts> {
    let feet = positive(one_way.0)? / METRES_PER_KFT * 1000.0;
    Some(Volts(
        factor(phases)? * positive(k)? * positive(amps)? * feet / positive(cmil)?,
    ))
}

/// Smallest area in circular mils that loses no more than `limit`, by the K method.
/// Source: common practice.
pub fn area_for_drop(phases: u8, k: f64, amps: f64, one_way: Metres, limit: Volts) -> Option<f64> {
    drop_k(phases, k, amps, one_way, 1.0).and_then(|v| Some(v.0 / positive(limit.0)?))
}

/// Longest one-way length that loses no more than `limit`.
/// Source: the formula of [`drop_volts`] turned round.
pub fn longest_run(phases: u8, amps: f64, ohm_per_kft: f64, limit: Volts) -> Option<Metres> {
    let per_metre = drop_volts(phases, amps, ohm_per_kft, Metres(1.0))?;
    Some(Metres(positive(limit.0)? / positive(per_metre.0)?))
}

fn factor(phases: u8) -> Option<f64> {
    match phases {
        1 => Some(2.0),
        3 => Some(3f64.sqrt()),
        _ => None,
    }
}

/// The two shown answers for one conductor: by resistance (table 8), by effective impedance (table 9).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drop {
    /// Volts lost by resistance alone.
    pub by_resistance: Volts,
    /// Table 9 does not list every size.
    pub by_impedance: Option<Volts>,
}

impl Drop {
    /// The larger of the two, which is the one that is judged.
    pub fn larger(self) -> Volts {
        Volts(
            self.by_impedance
                .map_or(self.by_resistance.0, |z| z.0.max(self.by_resistance.0)),
        )
    }
}

/// Both methods for a size of the tables, in volts; amperes and metres one way. `None` where table 8
/// lists nothing. A size that table 9 leaves out (700, 800, 900) takes the next smaller one listed.
/// Source: NEC chapter 9 tables 8 and 9, by the formula of [`drop_volts`].
pub fn drop_of(size: &str, metal: Metal, phases: u8, amps: f64, one_way: Metres) -> Option<Drop> {
    let r = nec::dc_resistance(size, metal, false)?;
    let at = nec::SIZES.iter().position(|other| other.name == size)?;
    let z = nec::SIZES
        .get(..=at)?
        .iter()
        .rev()
        .find_map(|size| nec::effective_z(&size.name, metal));
    Some(Drop {
        by_resistance: drop_volts(phases, amps, r, one_way)?,
        by_impedance: z.and_then(|z| drop_volts(phases, amps, z, one_way)),
    })
}
