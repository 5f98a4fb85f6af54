//! Vibration zones of machines in general.

use super::fan::Support;
use crate::shown::positive;
use crate::tables::{number, rows};
use crate::units::{MillimetresPerSecond, Watts};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// What a velocity is judged as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum JudgedAs {
    /// A fan, ISO 14694.
    #[default]
    Fan,
    /// A machine by its class, ISO 10816-1.
    Machine,
    /// An industrial machine above 15 kW by its group, ISO 10816-3.
    IndustrialMachine,
    /// A motor by itself, not coupled, on the test stand.
    BareMotor,
}

/// Why no class of the standard covers a machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Outside {
    /// 15 kW and less.
    #[error("outside the scope of ISO 10816-3, which begins above 15 kW")]
    TooSmall,
    /// More than 50 MW.
    #[error("outside the scope of ISO 10816-3, which ends at 50 MW")]
    TooLarge,
    /// The power is no figure above zero.
    #[error("the power must be a number above zero")]
    Power,
    /// The class depends on the support.
    #[error("the class depends on a rigid or flexible support")]
    Support,
}

/// A zone of ISO 10816.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Zone {
    /// Newly commissioned machines.
    A,
    /// Fit for long running.
    B,
    /// Not for long: repair at the next occasion.
    C,
    /// Enough to do damage.
    D,
}

impl Zone {
    /// Its letter.
    pub fn words(self) -> &'static str {
        match self {
            Zone::A => "A",
            Zone::B => "B",
            Zone::C => "C",
            Zone::D => "D",
        }
    }
}

/// The boundaries of one class or group.
#[derive(Clone, Debug, PartialEq)]
pub struct Zones {
    /// Key of the row, such as `class_1`.
    pub key: String,
    /// Name of the class.
    pub name: String,
    /// Boundaries A to B, B to C and C to D, mm/s r.m.s.
    pub bounds: [MillimetresPerSecond; 3],
    /// How well the figures are known.
    pub confidence: String,
}

impl Zones {
    /// The zone of an r.m.s. velocity; a boundary belongs to the better zone. `None` for no figure.
    pub fn zone(&self, rms: MillimetresPerSecond) -> Option<Zone> {
        if !rms.0.is_finite() || rms.0 < 0.0 {
            return None;
        }
        let [ab, bc, cd] = self.bounds.map(|bound| bound.0 + 1e-9);
        Some(match rms.0 {
            v if v <= ab => Zone::A,
            v if v <= bc => Zone::B,
            v if v <= cd => Zone::C,
            _ => Zone::D,
        })
    }
}

/// The row of this key: `class_1` to `class_4`, `group_1_rigid`, `group_2_flexible` and so on.
/// Source: ISO 10816-1 (confirmed), ISO 10816-3:2009 (from memory; public copies disagree).
pub fn zones(key: &str) -> Option<&'static Zones> {
    static TABLE: LazyLock<Vec<Zones>> = LazyLock::new(|| {
        rows(include_str!("../tables/machine_vibration_zones.csv"))
            .into_iter()
            .filter_map(|row| {
                let bound = |at: usize| Some(MillimetresPerSecond(number(row.get(at)?)?));
                Some(Zones {
                    key: row.first()?.clone(),
                    name: row.get(1)?.clone(),
                    bounds: [bound(2)?, bound(3)?, bound(4)?],
                    confidence: row.get(5)?.clone(),
                })
            })
            .collect()
    });
    TABLE.iter().find(|row| row.key == key)
}

/// Class of a machine by its power: I to 15 kW, II to 75 kW, above that III on a stiff and IV on a
/// soft base. Source: ISO 10816-1, annex B.
///
/// A machine of 75 to 300 kW on a foundation made for it counts as class II too (from memory), which is
/// stricter than III: where the foundation is known, take [`zones`] by its key.
/// # Errors
/// [`Outside::Power`] for no figure, [`Outside::Support`] where the support decides and is not known.
pub fn class_by_power(power: Watts, support: Option<Support>) -> Result<&'static Zones, Outside> {
    let power = positive(power.0).ok_or(Outside::Power)?;
    let key = if power <= 15_000.0 {
        "class_1"
    } else if power <= 75_000.0 {
        "class_2"
    } else {
        match support.ok_or(Outside::Support)? {
            Support::Rigid => "class_3",
            Support::Flexible => "class_4",
        }
    };
    zones(key).ok_or(Outside::Power)
}

/// Group of an industrial machine: 2 above 15 kW to 300 kW, 1 above that, each rigid or flexible.
/// Source: ISO 10816-3:2009, from memory.
/// # Errors
/// [`Outside::TooSmall`] at 15 kW and below, [`Outside::TooLarge`] above 50 MW, [`Outside::Power`] for
/// no figure, [`Outside::Support`] where the support is not known.
pub fn group_by_power(power: Watts, support: Option<Support>) -> Result<&'static Zones, Outside> {
    let power = positive(power.0).ok_or(Outside::Power)?;
    if power <= 15_000.0 {
        return Err(Outside::TooSmall);
    }
    if power > 50e6 {
        return Err(Outside::TooLarge);
    }
    let key = match (power <= 300_000.0, support.ok_or(Outside::Support)?) {
        (true, Support::Rigid) => "group_2_rigid",
        (true, Support::Flexible) => "group_2_flexible",
        (false, Support::Rigid) => "group_1_rigid",
        (false, Support::Flexible) => "group_1_flexible",
    };
    zones(key).ok_or(Outside::Power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scope_of_part_3_begins_above_15_kw() {
        let group = |watts| group_by_power(Watts(watts), Some(Support::Rigid)).map(|z| &*z.key);
        assert_eq!(group(15_000.0), Err(Outside::TooSmall));
        assert_eq!(group(15_001.0), Ok("group_2_rigid"));
        assert_eq!(group(300_001.0), Ok("group_1_rigid"));
        assert_eq!(group(6e7), Err(Outside::TooLarge));
        assert_eq!(group(f64::NAN), Err(Outside::Power));
    }

    #[test]
    fn a_boundary_belongs_to_the_better_zone() {
        let small = class_by_power(Watts(5000.0), None).expect("class I");
        let zone = |v| small.zone(MillimetresPerSecond(v));
        assert_eq!(zone(0.71), Some(Zone::A));
        assert_eq!(zone(1.8), Some(Zone::B));
        assert_eq!(zone(4.5), Some(Zone::C));
        assert_eq!(zone(4.6), Some(Zone::D));
        assert_eq!(zone(f64::NAN), None);
    }
}
