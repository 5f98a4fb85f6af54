//! The supply at the motor: tolerance about the plate, combined with frequency, and unbalance.

mod judge;
pub mod nominal;

use crate::plate::Plate;
use crate::shown::positive;
use crate::tables::{number, rows};
use crate::units::{Amps, Hertz, Volts};
use std::sync::LazyLock;

pub use judge::{check, check_tolerance};
pub(crate) use judge::{judge_unbalance, judge_volts};

/// Share of the plate voltage that the supply may be off. Source: NEMA MG 1 12.44.
pub const VOLTAGE_TOLERANCE: f64 = 0.10;
/// The same in percent: 230 V and 10 % make 253 V without a rest in binary.
const TOLERANCE_PERCENT: f64 = 100.0 * VOLTAGE_TOLERANCE;
/// Share of the plate frequency that the supply may be off. Source: NEMA MG 1 12.44.
pub const FREQUENCY_TOLERANCE: f64 = 0.05;
/// What is said beside every judgement of measured volts.
pub const CAUTION: &str = "Volts are measured live: only a qualified person with meter, leads and \
    protection rated for the place. A check of figures, never a permission: the plate, the adopted local \
    code and a licensed electrician decide.";

/// Above this unbalance a motor is derated. Source: NEMA MG 1.
pub const UNBALANCE_FREE: f64 = 1.0;
/// Above this unbalance a motor is not run. Source: NEMA MG 1.
pub const UNBALANCE_LIMIT: f64 = 5.0;

/// The plate voltage that a supply uses, with the current of the plate at it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateAt {
    /// The plate voltage.
    pub volts: Volts,
    /// The plate current at it.
    pub amps: Option<Amps>,
}

/// Which of the plate's voltages stands nearest to the supply (by ratio), and its current.
///
/// Currents are in the order of the voltages; one current alone counts for all of them; any other
/// mismatch gives no current. `None` without a plate voltage. Source: common practice.
pub fn plate_at(motor: &Plate, supply: Volts) -> Option<PlateAt> {
    let supply = positive(supply.0)?;
    let volts = motor.volts.value()?;
    let (index, nearest) = volts
        .iter()
        .enumerate()
        .filter_map(|(i, v)| Some((i, positive(v.0)?)))
        .min_by(|a, b| {
            (a.1 / supply)
                .ln()
                .abs()
                .total_cmp(&(b.1 / supply).ln().abs())
        })?;
    let amps = motor.amps.value().and_then(|amps| {
        let chosen = if amps.len() == 1 {
            amps.first()
        } else if amps.len() == volts.len() {
            amps.get(index)
        } else {
            None
        };
        chosen.copied().filter(|amps| positive(amps.0).is_some())
    });
    Some(PlateAt {
        volts: Volts(nearest),
        amps,
    })
}

/// Lowest and highest voltage for a plate voltage: `0.9 U` and `1.1 U`. Source: NEMA MG 1 12.44.
pub fn limits(plate: Volts) -> Option<(Volts, Volts)> {
    let plate = positive(plate.0)?;
    Some((
        Volts(plate * (100.0 - TOLERANCE_PERCENT) / 100.0),
        Volts(plate * (100.0 + TOLERANCE_PERCENT) / 100.0),
    ))
}

/// The supply is inside the limits of the plate; the limits themselves belong to it.
/// Source: NEMA MG 1 12.44.
pub fn within(plate: Volts, supply: Volts) -> Option<bool> {
    let (low, high) = limits(plate)?;
    let supply = positive(supply.0)?;
    // 253 V on a 230 V plate is allowed; in binary 230 x 1.1 falls a hair beside it.
    Some(supply >= low.0 - 1e-6 && supply <= high.0 + 1e-6)
}

/// Percent by which a measured value is off the plate's: `100 (measured - plate) / plate`.
/// Source: NEMA MG 1 12.44.
pub fn deviation_percent(plate: f64, measured: f64) -> Option<f64> {
    let plate = positive(plate)?;
    let percent = 100.0 * (positive(measured)? - plate) / plate;
    percent.is_finite().then_some(percent)
}

/// Sum of the absolute deviations of voltage and frequency in percent, and whether it is allowed:
/// 10 % on voltage, 5 % on frequency, 10 % together. Source: NEMA MG 1 12.44.
pub fn combined(voltage_percent: f64, frequency_percent: f64) -> Option<(f64, bool)> {
    let sum = voltage_percent.abs() + frequency_percent.abs();
    let allowed = voltage_percent.abs() <= 10.0 + 1e-6
        && frequency_percent.abs() <= 5.0 + 1e-6
        && sum <= 10.0 + 1e-6;
    sum.is_finite().then_some((sum, allowed))
}

/// Mean and unbalance of three line voltages: `100 x largest distance from the mean / mean`.
/// Source: NEMA MG 1 (definition).
pub fn unbalance(volts: [Volts; 3]) -> Option<(Volts, f64)> {
    let mut sum = 0.0;
    for v in volts {
        sum += positive(v.0)?;
    }
    let mean = sum / 3.0;
    let largest = volts.iter().map(|v| (v.0 - mean).abs()).fold(0.0, f64::max);
    Some((Volts(mean), 100.0 * largest / mean))
}

/// Share of the rated output that may be used at an unbalance; `None` above 5 %.
///
/// 1 up to 1 %; above that a straight line between the printed points of the curve (half a percent
/// apart; public readings of the curve differ by 0.02). Valid for 0 to 5 %. Source: NEMA MG 1, curve.
pub fn derating(unbalance_percent: f64) -> Option<f64> {
    static POINTS: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| {
        rows(include_str!("tables/voltage_unbalance_derating_mg1.csv"))
            .into_iter()
            .filter_map(|row| Some((number(row.first()?)?, number(row.get(1)?)?)))
            .collect()
    });
    if !unbalance_percent.is_finite() || unbalance_percent < 0.0 {
        return None;
    }
    if unbalance_percent <= UNBALANCE_FREE {
        return Some(1.0);
    }
    let after = POINTS
        .iter()
        .position(|(at, _)| unbalance_percent <= *at + 1e-9)?;
    let ((low, upper), (high, lower)) = (*POINTS.get(after.checked_sub(1)?)?, *POINTS.get(after)?);
    let part = ((unbalance_percent - low) / (high - low)).min(1.0);
    Some(upper + (lower - upper) * part)
}

/// Plate voltage that belongs to a nominal system voltage, such as 230 V for 240 V.
/// Source: IEEE 141 table 3-7.
pub fn nameplate_for(phases: u8, nominal: Volts) -> Option<Volts> {
    static TABLE: LazyLock<Vec<(f64, f64, f64)>> = LazyLock::new(|| {
        rows(include_str!("tables/voltage_nominal_vs_nameplate.csv"))
            .into_iter()
            .filter_map(|row| {
                Some((
                    number(row.first()?)?,
                    number(row.get(1)?)?,
                    number(row.get(2)?)?,
                ))
            })
            .collect()
    });
    let found = TABLE
        .iter()
        .find(|(p, v, _)| *p == f64::from(phases) && *v == nominal.0);
    found.map(|(.., plate)| Volts(*plate))
}

/// What is known of the supply at the terminals.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(default)]
pub struct SupplyInput {
    /// Phases, 1 or 3.
    pub phases: Option<u8>,
    /// One voltage on single phase; the three line-to-line voltages on three phases.
    pub volts: Option<Vec<Volts>>,
    /// Frequency at the terminals.
    pub frequency: Option<Hertz>,
}
