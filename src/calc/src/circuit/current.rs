//! Which current a motor counts with: the table by horsepower, or its plate.

use crate::plate::{MotorType, Plate};
use crate::shown::{plausible, positive};
use crate::supply::plate_at;
use crate::tables::nec::{self, FlcRow};
use crate::units::Volts;
use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

/// Full-load current of the tables 430.248 (one phase) and 430.250 (three phase), in amperes.
///
/// `volts` is the system's or the plate's voltage; each column serves its band (110 to 120, 208,
/// 220 to 240, 440 to 480, 550 to 600). A power between two rows takes the next larger row
/// (`common practice`, the careful side). `None` below or above the table, or where it lists nothing.
/// Source: NEC 430.6(A)(1), 430.248, 430.250.
pub fn table_flc(phases: u8, hp: f64, volts: Volts) -> Option<Decimal> {
    let (rows, columns): (&[FlcRow], &[u32]) = match phases {
        1 => (&nec::SINGLE_PHASE, &nec::SINGLE_PHASE_VOLTS),
        3 => (&nec::THREE_PHASE, &nec::THREE_PHASE_VOLTS),
        _ => return None,
    };
    let column = columns
        .iter()
        .position(|v| Some(*v) == table_column(volts))?;
    let first = rows.first()?;
    if !(hp.is_finite() && near_or_over(hp, first.hp)) {
        return None;
    }
    let row = rows.iter().find(|row| near_or_under(hp, row.hp))?;
    row.amps.get(column).copied().flatten()
}

/// The table voltage that serves a system voltage; 208 V is never read as 230 V.
fn table_column(volts: Volts) -> Option<u32> {
    match volts.0 {
        v if (104.0..=130.0).contains(&v) => Some(115),
        v if (196.0..204.0).contains(&v) => Some(200),
        v if (204.0..=216.0).contains(&v) => Some(208),
        v if v > 216.0 && v <= 254.0 => Some(230),
        v if (432.0..=508.0).contains(&v) => Some(460),
        v if (540.0..=635.0).contains(&v) => Some(575),
        v if (2200.0..=2500.0).contains(&v) => Some(2300),
        _ => None,
    }
}

/// 1 % covers 746 W for a horsepower and `0.33` for a third.
fn near_or_over(hp: f64, row: Decimal) -> bool {
    as_f64(row).is_some_and(|row| hp >= row * 0.989)
}

fn near_or_under(hp: f64, row: Decimal) -> bool {
    as_f64(row).is_some_and(|row| hp <= row * 1.011)
}

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
    let on_plate = || plate_amps(motor, volts).ok_or(NoCurrent::PlateAmps);
    let plate = |why, section| {
        let amps = on_plate()?;
        Ok(Counted {
            amps,
            device_amps: amps,
            basis: Basis::Nameplate,
            why,
            section,
        })
    };
    let fan_kind = matches!(
        kind,
        MotorType::ShadedPole | MotorType::PermanentSplitCapacitor
    );
    if fan_kind && air_mover == Some(true) {
        return plate(
            "a shaded-pole or permanent-split-capacitor motor of a fan or blower counts with its \
             plate; where the equipment's own plate shows more, that figure counts, and it has not \
             been read here",
            "430.6(A)(1) Ex. 2",
        );
    }
    let speeds = motor
        .speeds
        .value()
        .filter(|speeds| !speeds.is_empty())
        .ok_or(NoCurrent::Speed)?;
    if speeds.len() > 1 {
        return plate(
            "a motor with several speeds counts with its plate",
            "430.6(A)(1) Ex. 1",
        );
    }
    let slowest = speeds
        .iter()
        .map(|speed| speed.0)
        .fold(f64::INFINITY, f64::min);
    if slowest < 1000.0 {
        return plate(
            "a motor built for low speed counts with its plate",
            "430.6(A)(1)",
        );
    }
    let hp = motor
        .power
        .value()
        .and_then(|p| positive(p.hp()))
        .ok_or(NoCurrent::Power)?;
    let lowest = if phases == 3 { 0.5 } else { 1.0 / 6.0 };
    if hp < lowest * 0.989 {
        return plate(
            "the tables begin above this power, so the plate counts",
            "common practice",
        );
    }
    let open = fan_kind && air_mover.is_none();
    // The code's bound is 1200 rpm. A six-pole motor has its field at just that and runs near 1140:
    // whether it was built for less is open to reading, so neither figure is passed over.
    let six_pole = slowest < 1200.0;
    let Some(table) = table_flc(phases, hp, volts) else {
        return Err(if open {
            NoCurrent::AirMover
        } else {
            NoCurrent::NotInTable
        });
    };
    if open {
        let plate = on_plate()?;
        return Ok(Counted {
            device_amps: table.min(plate),
            ..larger(
                table,
                plate,
                "the plate counts for a fan or blower, else the table; nobody has said which this \
                 is, so the larger counts, and the smaller for the largest device",
                "430.6(A)(1) Ex. 2; the larger: common practice",
            )
        });
    }
    if six_pole {
        let plate = on_plate()?;
        return Ok(Counted {
            device_amps: table.min(plate),
            ..larger(
                table,
                plate,
                "the plate counts for motors built for less than 1200 rpm, else the table; at this \
                 speed the larger counts, and the smaller for the largest device",
                "430.6(A)(1); the larger: common practice",
            )
        });
    }
    Ok(Counted {
        amps: table,
        device_amps: table,
        basis: Basis::Table,
        why: "the table by horsepower and voltage counts, not the plate",
        section: if phases == 3 {
            "430.6(A)(1), 430.250"
        } else {
            "430.6(A)(1), 430.248"
        },
    })
}

fn larger(table: Decimal, plate: Decimal, why: &'static str, section: &'static str) -> Counted {
    let basis = if table >= plate {
        Basis::Table
    } else {
        Basis::Nameplate
    };
    let amps = table.max(plate);
    Counted {
        amps,
        device_amps: amps,
        basis,
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
