//! Motor currents by horsepower and voltage: which row, which column, and what stands beside it.

use super::current::as_f64;
use crate::shown::positive;
use crate::tables::nec::{self, FlcRow};
use crate::units::Volts;
use rust_decimal::Decimal;

/// Kind of supply, which chooses the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Supply {
    /// One phase, 430.248.
    OnePhase,
    /// Three phases, 430.250.
    ThreePhase,
    /// Direct current, 430.247.
    Direct,
}

impl Supply {
    /// One or three phases.
    pub fn of_phases(phases: u8) -> Option<Supply> {
        match phases {
            1 => Some(Supply::OnePhase),
            3 => Some(Supply::ThreePhase),
            _ => None,
        }
    }

    /// Number of the NEC table.
    pub fn table(self) -> &'static str {
        match self {
            Supply::OnePhase => "430.248",
            Supply::ThreePhase => "430.250",
            Supply::Direct => "430.247",
        }
    }

    fn full_load(self) -> (&'static [FlcRow], &'static [u32]) {
        match self {
            Supply::OnePhase => (&nec::SINGLE_PHASE, &nec::SINGLE_PHASE_VOLTS),
            Supply::ThreePhase => (&nec::THREE_PHASE, &nec::THREE_PHASE_VOLTS),
            Supply::Direct => (&nec::DIRECT_CURRENT, &nec::DC_VOLTS),
        }
    }

    /// Voltage of the column that serves a system or plate voltage; 208 V is never read as 230 V.
    fn column(self, volts: Volts) -> Option<u32> {
        match self {
            Supply::Direct => direct_column(volts),
            _ => table_column(volts),
        }
    }
}

/// A current read from a table, with where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TableRow {
    /// Amperes of the row.
    pub amps: Decimal,
    /// Horsepower of the row.
    pub hp: Decimal,
    /// Voltage of the column.
    pub volts: u32,
    /// Where the motor stands between two rows: amperes of the row below.
    pub below: Option<Decimal>,
}

/// Why a table gives no current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoRow {
    /// No column serves this voltage.
    #[error("no column of the table serves this voltage")]
    Volts,
    /// The power is below the first row.
    #[error("the table begins above this power")]
    Below,
    /// The power is above the last row.
    #[error("the table ends below this power")]
    Above,
    /// The power is not a figure above zero.
    #[error("the power is not a figure above zero")]
    Power,
    /// The table has no figure in this cell.
    #[error("the table lists nothing for this power at this voltage")]
    Empty,
}

/// Full-load current by table, with its row and column.
///
/// Each column serves its band of volts (110 to 120, 208, 220 to 240, 440 to 480, 550 to 600). A
/// power between two rows takes the next larger row (`common practice`, the careful side for
/// conductors) and names the row below. 1.1 % of power counts as the row, which covers 746 W for a
/// horsepower. Source: NEC 430.6(A)(1), 430.247, 430.248, 430.250.
/// # Errors
/// [`NoRow`] says what the table lacks.
pub fn table_row(supply: Supply, hp: f64, volts: Volts) -> Result<TableRow, NoRow> {
    let (rows, columns) = supply.full_load();
    find_row(rows, columns, supply.column(volts), hp)
}

/// Locked-rotor current by table: one phase, or three phases of design B, C or D.
/// Source: NEC 430.251(A), (B).
/// # Errors
/// [`NoRow`] says what the table lacks; direct current has no such table.
pub fn locked_rotor_row(supply: Supply, hp: f64, volts: Volts) -> Result<TableRow, NoRow> {
    let (rows, columns): (&[FlcRow], &[u32]) = match supply {
        Supply::OnePhase => (&nec::LOCKED_SINGLE, &nec::LOCKED_SINGLE_VOLTS),
        Supply::ThreePhase => (&nec::LOCKED_THREE, &nec::LOCKED_THREE_VOLTS),
        Supply::Direct => return Err(NoRow::Empty),
    };
    find_row(rows, columns, supply.column(volts), hp)
}

fn find_row(
    rows: &[FlcRow],
    columns: &[u32],
    column: Option<u32>,
    hp: f64,
) -> Result<TableRow, NoRow> {
    let volts = column.ok_or(NoRow::Volts)?;
    let place = columns.iter().position(|v| *v == volts);
    let place = place.ok_or(NoRow::Volts)?;
    let hp = positive(hp).ok_or(NoRow::Power)?;
    let at = rows.iter().position(|row| hp <= row.power * 1.011);
    let at = at.ok_or(NoRow::Above)?;
    let row = rows.get(at).ok_or(NoRow::Above)?;
    let between = hp < row.power * 0.989;
    let cell = |row: &FlcRow| row.amps.get(place).copied().flatten();
    let below = at.checked_sub(1).and_then(|below| rows.get(below));
    if between && below.is_none() {
        return Err(NoRow::Below);
    }
    Ok(TableRow {
        amps: cell(row).ok_or(NoRow::Empty)?,
        hp: row.hp,
        volts,
        below: below.filter(|_| between).and_then(cell),
    })
}

/// Power in horsepower of a motor marked in amperes only: the table's rows for that current,
/// interpolated. `None` outside the table. Source: NEC 430.6(A)(1).
pub fn hp_of_amps(supply: Supply, amps: f64, volts: Volts) -> Option<f64> {
    let (rows, columns) = supply.full_load();
    let volts = supply.column(volts)?;
    let place = columns.iter().position(|v| *v == volts)?;
    let points: Vec<(f64, f64)> = rows
        .iter()
        .filter_map(|row| Some((as_f64((*row.amps.get(place)?)?)?, row.power)))
        .collect();
    let at = points.iter().position(|(row, _)| amps <= *row)?;
    let (high_amps, high_hp) = *points.get(at)?;
    if amps == high_amps {
        return Some(high_hp);
    }
    let (low_amps, low_hp) = *points.get(at.checked_sub(1)?)?;
    Some(low_hp + (high_hp - low_hp) * (amps - low_amps) / (high_amps - low_amps))
}

/// Full-load current of the tables 430.248 (one phase) and 430.250 (three phase), in amperes.
///
/// As [`table_row`], with `phases` 1 or 3; `None` below or above the table, or where it lists
/// nothing. Source: NEC 430.6(A)(1), 430.248, 430.250.
pub fn table_flc(phases: u8, hp: f64, volts: Volts) -> Option<Decimal> {
    let row = table_row(Supply::of_phases(phases)?, hp, volts).ok()?;
    Some(row.amps)
}

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

/// Armature voltage of the plate, within 5 %: each column is for its rated voltage.
fn direct_column(volts: Volts) -> Option<u32> {
    nec::DC_VOLTS
        .into_iter()
        .find(|column| (volts.0 / f64::from(*column) - 1.0).abs() <= 0.045)
}
