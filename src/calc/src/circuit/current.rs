//! Which current a motor counts with: the table by horsepower, or its plate.

pub use super::table::{
    NoRow, Supply, TableRow, hp_of_amps, locked_rotor_row, table_flc, table_row,
};
use crate::plate::{MotorType, Plate};
use crate::shown::{plausible, positive};
use crate::supply::plate_at;
use crate::tables::nec;
use crate::units::Volts;
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

pub(crate) fn as_f64(value: Decimal) -> Option<f64> {
    rust_decimal::prelude::ToPrimitive::to_f64(&value)
}

pub use crate::tables::nec::code_letter;

/// Where the counted current comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The table by horsepower.
    Table,
    /// The motor's plate.
    Nameplate,
}

/// The current a motor counts with on its circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// Full-load current, amperes.
    pub amps: Decimal,
    /// What the largest branch device is worked out from: below `amps` where it is not known
    /// whether table or plate counts.
    pub device_amps: Decimal,
    /// Whether table or plate gave it.
    pub basis: Basis,
    /// Why this one counts, in one sentence.
    pub why: &'static str,
    /// Section of the NEC, or `common practice`.
    pub section: &'static str,
}

/// What is missing before a current can be chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoCurrent {
    /// The motor type is not known.
    #[error("motor type")]
    MotorType,
    /// The plate speed is not known.
    #[error("plate speed")]
    Speed,
    /// The plate current is not known.
    #[error("plate current at the circuit's voltage")]
    PlateAmps,
    /// The plate power is not known.
    #[error("plate power")]
    Power,
    /// Nobody has said whether it drives a fan or blower.
    #[error("whether the motor drives a fan or blower")]
    AirMover,
    /// The tables list nothing for this motor.
    #[error("a table current: the tables list nothing for this power, phase and voltage")]
    NotInTable,
}

/// The current that counts for conductors, switches and the branch device.
///
/// Table by horsepower and voltage, except: shaded-pole and permanent-split-capacitor motors of fans
/// and blowers (`air_mover`), motors with several speeds, motors below 1000 rpm, and powers below
/// the tables, which count with their plate. Where nobody has said whether such a motor drives a fan,
/// and from 1000 to 1199 rpm, the larger of table and plate counts, and the smaller for the largest
/// device.
/// Source: NEC 430.6(A)(1) and its exceptions; below the tables, and the choice where it is open,
/// `common practice`.
/// # Errors
/// [`NoCurrent`] names what is missing.
pub fn counted(
    motor: &Plate,
    air_mover: Option<bool>,
    phases: u8,
    volts: Volts,
) -> Result<Counted, NoCurrent> {
    let kind = *motor.motor_type.value().ok_or(NoCurrent::MotorType)?;
    let fan_kind = matches!(
        kind,
        MotorType::ShadedPole | MotorType::PermanentSplitCapacitor
    );
    let plate = || plate_amps(motor, volts).ok_or(NoCurrent::PlateAmps);
    if fan_kind && air_mover == Some(true) {
        return Ok(by_plate(plate()?, FAN));
    }
    let speeds = motor.speeds.value().filter(|speeds| !speeds.is_empty());
    let speeds = speeds.ok_or(NoCurrent::Speed)?;
    let slowest = speeds.iter().map(|n| n.0).fold(f64::INFINITY, f64::min);
    if speeds.len() > 1 {
        return Ok(by_plate(plate()?, SEVERAL_SPEEDS));
    }
    if slowest < 1000.0 {
        return Ok(by_plate(plate()?, LOW_SPEED));
    }
    let hp = motor.power.value().and_then(|p| positive(p.hp()));
    let hp = hp.ok_or(NoCurrent::Power)?;
    let lowest = if phases == 3 { 0.5 } else { 1.0 / 6.0 };
    if hp < lowest * 0.989 {
        return Ok(by_plate(plate()?, BELOW_TABLE));
    }
    let open = fan_kind && air_mover.is_none();
    let row = Supply::of_phases(phases).and_then(|supply| table_row(supply, hp, volts).ok());
    match row {
        None if open => Err(NoCurrent::AirMover),
        None => Err(NoCurrent::NotInTable),
        Some(row) if open => Ok(larger(row, plate()?, OPEN_FAN)),
        // The code's bound is 1200 rpm. A six-pole motor has its field at just that and runs near
        // 1140: whether it was built for less is open to reading, so neither figure is passed over.
        Some(row) if slowest < 1200.0 => Ok(larger(row, plate()?, SIX_POLE)),
        Some(row) => Ok(by_table(row, phases)),
    }
}

/// Why a current counts, and the section that says so.
type Reason = (&'static str, &'static str);

const FAN: Reason = (
    "a shaded-pole or permanent-split-capacitor motor of a fan or blower counts with its plate; where \
     the equipment's own plate shows more, that figure counts, and it has not been read here",
    "430.6(A)(1) Ex. 2",
);
const SEVERAL_SPEEDS: Reason = (
    "a motor with several speeds counts with its plate",
    "430.6(A)(1) Ex. 1",
);
const LOW_SPEED: Reason = (
    "a motor built for low speed counts with its plate",
    "430.6(A)(1)",
);
const BELOW_TABLE: Reason = (
    "the tables begin above this power, so the plate counts",
    "common practice",
);
const OPEN_FAN: Reason = (
    "the plate counts for a fan or blower, else the table; nobody has said which this is, so the larger \
     counts, and the smaller for the largest device",
    "430.6(A)(1) Ex. 2; the larger: common practice",
);
const SIX_POLE: Reason = (
    "the plate counts for motors built for less than 1200 rpm, else the table; at this speed the larger \
     counts, and the smaller for the largest device",
    "430.6(A)(1); the larger: common practice",
);

fn by_plate(amps: Decimal, (why, section): Reason) -> Counted {
    Counted {
        amps,
        device_amps: amps,
        basis: Basis::Nameplate,
        why,
        section,
    }
}

/// Between two rows the larger counts for conductors, the smaller for the largest device.
fn by_table(row: TableRow, phases: u8) -> Counted {
    Counted {
        amps: row.amps,
        device_amps: row.below.unwrap_or(row.amps),
        basis: Basis::Table,
        why: if row.below.is_some() {
            "the table by horsepower and voltage counts, not the plate; this power is no row of it, so \
             the row above counts for conductors and switches, the row below for the largest device"
        } else {
            "the table by horsepower and voltage counts, not the plate"
        },
        section: if phases == 3 {
            "430.6(A)(1), 430.250"
        } else {
            "430.6(A)(1), 430.248"
        },
    }
}

fn larger(row: TableRow, plate: Decimal, (why, section): Reason) -> Counted {
    Counted {
        amps: row.amps.max(plate),
        device_amps: row.below.unwrap_or(row.amps).min(plate),
        basis: if row.amps >= plate {
            Basis::Table
        } else {
            Basis::Nameplate
        },
        why,
        section,
    }
}

/// The plate current in amperes at the circuit's voltage, as an exact figure. Source: the plate.
pub fn plate_amps(motor: &Plate, volts: Volts) -> Option<Decimal> {
    let amps = plate_at(motor, volts)?.amps?.0;
    plausible(Decimal::from_f64(positive(amps)?)?)
}

/// Locked-rotor current in amperes, the highest that the code letter allows.
///
/// `I = 1000 s P / (k U)`: `s` kVA per horsepower at the top of the letter's range, `P` horsepower,
/// `U` the rated voltage between lines, `k` the root of three on three phases and 1 on one phase.
/// `None` for an unknown letter and for `V`, which has no top. Source: NEC 430.7(B), Eq. 430.110(C)(1)a.
pub fn locked_rotor(letter: char, hp: f64, volts: Volts, phases: u8) -> Option<f64> {
    let (_, highest) = nec::code_letter(letter)?;
    let root = if phases == 3 { 3f64.sqrt() } else { 1.0 };
    let amps = 1000.0 * highest? * positive(hp)? / (root * positive(volts.0)?);
    positive(amps)
}
