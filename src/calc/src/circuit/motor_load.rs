//! The current a motor counts with, from the few figures somebody has: table, plate and exceptions.

use super::current::{Basis, NoRow, Supply, TableRow, as_f64, hp_of_amps, table_row};
use super::device::MotorRow;
use crate::shown::{Fill, exact, figure, line, plausible};
use crate::units::{Celsius, Volts};
use crate::working::Line;
use rust_decimal::Decimal;

/// Motors that do not count with the table's current. Source: NEC 430.6(A)(1), 430.6(B), 430.6(C).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exception {
    /// Shaded-pole or permanent-split-capacitor motor of a fan or blower marked with its type: the
    /// current on the equipment's plate.
    AirMover,
    /// More than one speed.
    SeveralSpeeds,
    /// Built for less than 1200 rpm or for high torque.
    LowSpeed,
    /// Listed appliance marked with horsepower and full-load current.
    Appliance,
    /// Torque motor: the locked-rotor current on its plate.
    Torque,
    /// Adjustable-voltage drive: the largest current on the plate, else 150 % of the table.
    AdjustableVoltage,
}

/// What is known of one motor.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MotorLoad {
    /// Phases, or direct current.
    pub supply: Option<Supply>,
    /// Direct current was taken because only its table lists the voltage.
    pub direct_by_volts: bool,
    /// Power in horsepower.
    pub hp: Option<f64>,
    /// System or plate voltage.
    pub volts: Option<Volts>,
    /// Current on the plate, amperes.
    pub plate_amps: Option<Decimal>,
    /// Why the table does not count; `None`: it does.
    pub exception: Option<Exception>,
    /// Row of 430.52; `None`: by the phases.
    pub row: Option<MotorRow>,
    /// Marked service factor.
    pub service_factor: Option<f64>,
    /// Marked temperature rise.
    pub rise: Option<Celsius>,
}

/// Volts that only the table of direct current lists. Source: NEC 430.247, 430.248, 430.250.
const DIRECT_ONLY: [f64; 3] = [90.0, 180.0, 500.0];

impl MotorLoad {
    /// Where neither phases nor kind were given, direct current at the volts that only its table lists.
    #[must_use]
    pub fn direct_where_only(mut self) -> MotorLoad {
        let listed = self.volts.is_some_and(|v| DIRECT_ONLY.contains(&v.0));
        if self.supply.is_none() && self.row.is_none() && listed {
            self.supply = Some(Supply::Direct);
            self.direct_by_volts = true;
        }
        self
    }

    /// Row of 430.52: the one named, else single-phase or polyphase by the supply.
    pub fn motor_row(&self) -> Option<MotorRow> {
        let by_supply = self.supply.map(|supply| match supply {
            Supply::OnePhase => MotorRow::SinglePhase,
            Supply::ThreePhase => MotorRow::Polyphase,
            Supply::Direct => MotorRow::DirectCurrent,
        });
        self.row.or(by_supply)
    }
}

/// The current that counts, with where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct FullLoad {
    /// For conductors and switches, amperes.
    pub amps: Decimal,
    /// For the largest branch device: the row below where the power stands between two rows.
    pub device_amps: Decimal,
    /// Table or plate.
    pub basis: Basis,
    /// Row and column, where the table was read.
    pub row: Option<TableRow>,
    /// Power in horsepower; of a motor marked in amperes only, the power that the table gives.
    pub hp: Option<f64>,
    /// Why this one counts.
    pub why: String,
    /// Section of the NEC, or `common practice`.
    pub source: String,
}

/// What is missing before a current can be stated.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoFullLoad {
    /// Neither phases nor direct current.
    #[error("Not given: phases (1 or 3), or type dc")]
    Phases,
    /// No voltage.
    #[error("Not given: volts")]
    Volts,
    /// Neither power nor plate current.
    #[error("Not given: horsepower, or the current on the plate")]
    Power,
    /// This motor counts with its plate.
    #[error("Not given: the current on the plate, which counts for this motor")]
    PlateAmps,
    /// The table lacks it, and no plate current was given in its place.
    #[error("NEC {}: {}; give the current on the plate", .0.table(), .1)]
    Table(Supply, NoRow),
}

/// The current that counts for conductors, switches and the branch device.
///
/// The table by horsepower, phases and voltage; the plate for the exceptions, for powers the table
/// does not reach (`common practice`; above the table from 2023 by 430.6(A)(1)) and for a motor marked
/// in amperes only. Adjustable voltage without a marked current: 150 % of the table.
/// Source: NEC 430.6.
/// # Errors
/// [`NoFullLoad`] names what is missing.
pub fn full_load(motor: &MotorLoad) -> Result<FullLoad, NoFullLoad> {
    let plate_amps = motor.plate_amps.and_then(plausible);
    let plate = |why: &str, source: &str| {
        let amps = plate_amps.ok_or(NoFullLoad::PlateAmps)?;
        Ok(from_plate(motor, amps, why, source))
    };
    match motor.exception {
        None => by_table(motor, plate_amps),
        Some(Exception::AdjustableVoltage) if plate_amps.is_none() => {
            let table = by_table(motor, None)?;
            let amps = table.amps * Decimal::new(15, 1);
            Ok(FullLoad {
                amps,
                device_amps: table.device_amps * Decimal::new(15, 1),
                why: "150 % of the table, where the plate of an adjustable-voltage drive names no \
                      largest current"
                    .into(),
                source: "NEC 430.6(C)".into(),
                ..table
            })
        }
        Some(exception) => plate(exception.why(), exception.section()),
    }
}

impl Exception {
    fn why(self) -> &'static str {
        match self {
            Exception::AirMover => {
                "the current on the equipment's plate counts for a shaded-pole or \
                 permanent-split-capacitor motor of a fan or blower; it must not be below the motor's own"
            }
            Exception::SeveralSpeeds => "the plate counts for a motor with several speeds",
            Exception::LowSpeed => {
                "the plate counts for a motor built for less than 1200 rpm or for high torque"
            }
            Exception::Appliance => {
                "the current marked beside the horsepower counts for a listed appliance"
            }
            Exception::Torque => "the locked-rotor current on the plate counts for a torque motor",
            Exception::AdjustableVoltage => {
                "the largest current on the plate counts for an adjustable-voltage drive"
            }
        }
    }

    fn section(self) -> &'static str {
        match self {
            Exception::AirMover => "NEC 430.6(A)(1) Ex. 2",
            Exception::SeveralSpeeds => "NEC 430.6(A)(1) Ex. 1, 430.22(B), 430.52",
            Exception::LowSpeed => "NEC 430.6(A)(1)",
            Exception::Appliance => "NEC 430.6(A)(1) Ex. 3",
            Exception::Torque => "NEC 430.6(B)",
            Exception::AdjustableVoltage => "NEC 430.6(C)",
        }
    }
}

fn from_plate(motor: &MotorLoad, amps: Decimal, why: &str, source: &str) -> FullLoad {
    let hp = motor
        .hp
        .or_else(|| hp_of_amps(motor.supply?, as_f64(amps)?, motor.volts?));
    FullLoad {
        amps,
        device_amps: amps,
        basis: Basis::Nameplate,
        row: None,
        hp,
        why: why.into(),
        source: source.into(),
    }
}

fn by_table(motor: &MotorLoad, plate_amps: Option<Decimal>) -> Result<FullLoad, NoFullLoad> {
    let Some(hp) = motor.hp else {
        let amps = plate_amps.ok_or(NoFullLoad::Power)?;
        let why = "marked in amperes only, it counts as the power that the table gives for this \
                   current";
        return Ok(from_plate(motor, amps, why, "NEC 430.6(A)(1)"));
    };
    let supply = motor.supply.ok_or(NoFullLoad::Phases)?;
    let volts = motor.volts.ok_or(NoFullLoad::Volts)?;
    match (table_row(supply, hp, volts), plate_amps) {
        (Ok(row), _) => {
            let mut found = from_row(supply, hp, row);
            if motor.direct_by_volts {
                found.why = format!(
                    "phases not given; only the table of direct current lists {} V, so it was taken; {}",
                    figure(volts.0, 0),
                    found.why
                );
            }
            Ok(found)
        }
        (Err(lacks), Some(amps)) if lacks != NoRow::Power => {
            let why = format!("NEC {}: {lacks}, so the plate counts", supply.table());
            let source = if lacks == NoRow::Above {
                "common practice; from 2023 NEC 430.6(A)(1)"
            } else {
                "common practice"
            };
            Ok(from_plate(motor, amps, &why, source))
        }
        (Err(lacks), _) => Err(NoFullLoad::Table(supply, lacks)),
    }
}

fn from_row(supply: Supply, hp: f64, row: TableRow) -> FullLoad {
    let why = match row.below {
        Some(below) => format!(
            "{} hp is no row of the table: the row of {} hp counts for conductors and switches, the \
             row below, {} A, for the largest device (common practice)",
            figure(hp, 3),
            exact(row.hp),
            exact(below)
        ),
        None => "the table by horsepower and voltage counts, not the plate".into(),
    };
    FullLoad {
        amps: row.amps,
        device_amps: row.below.unwrap_or(row.amps),
        basis: Basis::Table,
        row: Some(row),
        hp: Some(hp),
        why,
        source: format!("NEC 430.6(A)(1), {}", supply.table()),
    }
}

impl FullLoad {
    /// The line of the working.
    pub(crate) fn line(&self) -> Line {
        let shown = line("current", "Full-load current that counts")
            .value(exact(self.amps), "A")
            .rule(
                "table current by horsepower; plate current for the exceptions",
                self.source.clone(),
            );
        let shown = match self.row {
            Some(row) => shown.limit(format!("column {} V, row {} hp", row.volts, exact(row.hp))),
            None => shown,
        };
        shown.note(sentence(&self.why))
    }
}

/// A clause as a sentence.
fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        format!("{}{}.", first.to_uppercase(), chars.as_str())
    })
}
