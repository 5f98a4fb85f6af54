//! NEC tables: motor currents, ampacity, factors, device ratings, conductor properties.

use super::{decimal, number, rows};
use crate::installation::Metal;
use rust_decimal::Decimal;
use std::sync::LazyLock;

/// One horsepower row of a motor current table.
#[derive(Debug)]
pub struct FlcRow {
    pub hp: Decimal,
    /// The same for comparing with a plate's power.
    pub power: f64,
    /// Amperes, in the order of the table's voltages; `None` where the table lists nothing.
    pub amps: Vec<Option<Decimal>>,
}

fn flc(text: &str) -> Vec<FlcRow> {
    rows(text)
        .into_iter()
        .filter_map(|row| {
            Some(FlcRow {
                hp: decimal(row.get(1)?)?,
                power: number(row.get(1)?)?,
                amps: row.iter().skip(2).map(|cell| decimal(cell)).collect(),
            })
        })
        .collect()
}

pub const SINGLE_PHASE_VOLTS: [u32; 4] = [115, 200, 208, 230];
pub const THREE_PHASE_VOLTS: [u32; 7] = [115, 200, 208, 230, 460, 575, 2300];

/// NEC 430.248.
pub static SINGLE_PHASE: LazyLock<Vec<FlcRow>> =
    LazyLock::new(|| flc(include_str!("motor_flc_single_phase_430_248.csv")));
/// NEC 430.250.
pub static THREE_PHASE: LazyLock<Vec<FlcRow>> =
    LazyLock::new(|| flc(include_str!("motor_flc_three_phase_430_250.csv")));

/// Armature volts of the table of direct-current motors.
pub const DC_VOLTS: [u32; 6] = [90, 120, 180, 240, 500, 550];
/// NEC 430.247.
pub static DIRECT_CURRENT: LazyLock<Vec<FlcRow>> =
    LazyLock::new(|| flc(include_str!("motor_flc_dc_430_247.csv")));

pub const LOCKED_SINGLE_VOLTS: [u32; 3] = [115, 208, 230];
pub const LOCKED_THREE_VOLTS: [u32; 6] = [115, 200, 208, 230, 460, 575];
/// Locked-rotor amperes, NEC 430.251(A).
pub static LOCKED_SINGLE: LazyLock<Vec<FlcRow>> =
    LazyLock::new(|| flc(include_str!("locked_rotor_single_phase_430_251_a.csv")));
/// Locked-rotor amperes of designs B, C and D, NEC 430.251(B).
pub static LOCKED_THREE: LazyLock<Vec<FlcRow>> =
    LazyLock::new(|| flc(include_str!("locked_rotor_three_phase_430_251_b.csv")));

/// One size of conductor with its ampacities at 30 °C.
#[derive(Debug)]
pub struct Size {
    /// The size as printed in the table: AWG, or kcmil from 250 on.
    pub name: String,
    /// Area in circular mils.
    pub cmil: u32,
    copper: [Option<Decimal>; 3],
    aluminium: [Option<Decimal>; 3],
}

impl Size {
    /// Ampacity in amperes of the column (0: 60 °C, 1: 75 °C, 2: 90 °C). Source: NEC 310.16.
    pub fn ampacity(&self, metal: Metal, column: usize) -> Option<Decimal> {
        let cells = match metal {
            Metal::Copper => &self.copper,
            Metal::Aluminium => &self.aluminium,
        };
        cells.get(column).copied().flatten()
    }
}

/// NEC 310.16, smallest first.
pub static SIZES: LazyLock<Vec<Size>> = LazyLock::new(|| {
    let mut sizes: Vec<(u32, Size)> = rows(include_str!("ampacity_310_16.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |i: usize| row.get(i).and_then(|cell| decimal(cell));
            let size = Size {
                name: row.get(1)?.clone(),
                cmil: row.get(3)?.parse().ok()?,
                copper: [cell(4), cell(5), cell(6)],
                aluminium: [cell(7), cell(8), cell(9)],
            };
            Some((row.first()?.parse().ok()?, size))
        })
        .collect();
    sizes.sort_by_key(|(order, _)| *order);
    sizes.into_iter().map(|(_, size)| size).collect()
});

/// Highest temperature of the band and the factors of the 60, 75 and 90 °C columns.
pub static AMBIENT: LazyLock<Vec<(f64, [Option<Decimal>; 3])>> = LazyLock::new(|| {
    rows(include_str!("ambient_correction_310_15_b1.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |i: usize| row.get(i).and_then(|cell| decimal(cell));
            Some((number(row.get(1)?)?, [cell(4), cell(5), cell(6)]))
        })
        .collect()
});

/// Highest count of the band (`None`: no upper end) and the percentage.
pub static COUNT: LazyLock<Vec<(Option<u32>, Decimal)>> = LazyLock::new(|| {
    rows(include_str!("conductor_count_adjustment_310_15_c1.csv"))
        .into_iter()
        .filter_map(|row| Some((row.get(1)?.parse().ok(), decimal(row.get(2)?)?)))
        .collect()
});

/// A standard rating, and whether it is a fuse rating only.
#[derive(Debug)]
pub struct Rating {
    pub amps: Decimal,
    pub fuse_only: bool,
    /// 10 A: a fuse rating until 2020, a breaker rating from 2023.
    pub by_edition: bool,
}

/// NEC 240.6(A), smallest first.
pub static RATINGS: LazyLock<Vec<Rating>> = LazyLock::new(|| {
    rows(include_str!("ocpd_standard_ratings_240_6.csv"))
        .into_iter()
        .filter_map(|row| {
            Some(Rating {
                amps: decimal(row.first()?)?,
                fuse_only: row.get(1)? == "fuse_only",
                by_edition: row.get(1)? == "see_note",
            })
        })
        .collect()
});

/// Percentages of 430.52 by motor: non-time-delay fuse, dual-element fuse, instantaneous-trip
/// breaker, inverse-time breaker.
pub static DEVICE_PERCENT: LazyLock<Vec<(String, [Decimal; 4])>> = LazyLock::new(|| {
    rows(include_str!("motor_ocpd_percent_430_52.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |i: usize| row.get(i).and_then(|cell| decimal(cell));
            Some((
                row.first()?.clone(),
                [cell(1)?, cell(2)?, cell(3)?, cell(4)?],
            ))
        })
        .collect()
});

/// Ceilings of 430.52 in percent, as (device, condition, percent).
pub static DEVICE_CEILING: LazyLock<Vec<(String, String, Decimal)>> = LazyLock::new(|| {
    rows(include_str!("motor_ocpd_ceiling_430_52.csv"))
        .into_iter()
        .filter_map(|row| {
            Some((
                row.first()?.clone(),
                row.get(1)?.clone(),
                decimal(row.get(2)?)?,
            ))
        })
        .collect()
});

/// One row of chapter 9 table 8.
#[derive(Debug)]
struct Resistance {
    size: String,
    solid: bool,
    copper: f64,
    aluminium: f64,
}

/// Direct-current resistance at 75 °C, ohm per thousand feet, uncoated. Above 8 AWG the table lists
/// stranded conductors only. Source: NEC chapter 9 table 8.
pub fn dc_resistance(size: &str, metal: Metal, solid: bool) -> Option<f64> {
    static TABLE: LazyLock<Vec<Resistance>> = LazyLock::new(|| {
        rows(include_str!("conductor_dc_resistance_ch9_t8.csv"))
            .into_iter()
            .filter_map(|row| {
                Some(Resistance {
                    size: row.first()?.clone(),
                    solid: row.get(1)? == "solid",
                    copper: number(row.get(3)?)?,
                    aluminium: number(row.get(4)?)?,
                })
            })
            .collect()
    });
    let row = TABLE
        .iter()
        .find(|row| row.size == size && row.solid == solid)?;
    Some(match metal {
        Metal::Copper => row.copper,
        Metal::Aluminium => row.aluminium,
    })
}

/// What the conductors run in, for chapter 9 table 9.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Conduit {
    /// Plastic.
    Pvc,
    /// Aluminium.
    Aluminium,
    /// Steel.
    Steel,
}

/// Ohm per thousand feet to neutral, 75 °C, 60 Hz.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Impedance {
    /// Alternating-current resistance.
    pub resistance: f64,
    /// Reactance.
    pub reactance: f64,
    /// Effective impedance at power factor 0.85.
    pub effective: f64,
}

/// One size in one kind of conduit; `None` where the table lists nothing.
/// Source: NEC chapter 9 table 9.
pub fn impedance(size: &str, metal: Metal, conduit: Conduit) -> Option<Impedance> {
    static TABLE: LazyLock<Vec<(String, [Option<f64>; 14])>> = LazyLock::new(|| {
        rows(include_str!("conductor_ac_impedance_ch9_t9.csv"))
            .into_iter()
            .filter_map(|row| {
                let cells = std::array::from_fn(|i| row.get(i + 1).and_then(|cell| number(cell)));
                Some((row.first()?.clone(), cells))
            })
            .collect()
    });
    let (_, cells) = TABLE.iter().find(|(name, _)| name == size)?;
    let place = match conduit {
        Conduit::Pvc => 0,
        Conduit::Aluminium => 1,
        Conduit::Steel => 2,
    };
    let metal = match metal {
        Metal::Copper => 0,
        Metal::Aluminium => 3,
    };
    Some(Impedance {
        resistance: cells[2 + metal + place]?,
        reactance: cells[usize::from(conduit == Conduit::Steel)]?,
        effective: cells[8 + metal + place]?,
    })
}

/// Effective impedance at power factor 0.85, ohm per thousand feet, the largest of the three kinds
/// of conduit: the kind is not recorded, and the largest is the careful answer.
/// Source: NEC chapter 9 table 9.
pub fn effective_z(size: &str, metal: Metal) -> Option<f64> {
    [Conduit::Pvc, Conduit::Aluminium, Conduit::Steel]
        .into_iter()
        .filter_map(|conduit| Some(impedance(size, metal, conduit)?.effective))
        .reduce(f64::max)
}

/// Locked-rotor kVA per horsepower of a code letter: (lowest, highest); `V` has no highest.
/// Source: NEC 430.7(B).
pub fn code_letter(letter: char) -> Option<(f64, Option<f64>)> {
    static TABLE: LazyLock<Vec<(String, f64, Option<f64>)>> = LazyLock::new(|| {
        rows(include_str!("locked_rotor_code_letters_430_7_b.csv"))
            .into_iter()
            .filter_map(|row| {
                Some((
                    row.first()?.clone(),
                    number(row.get(1)?)?,
                    number(row.get(2)?),
                ))
            })
            .collect()
    });
    let letter = letter.to_ascii_uppercase();
    TABLE
        .iter()
        .find(|(name, ..)| name.chars().eq([letter]))
        .map(|(_, low, high)| (*low, *high))
}

/// Equipment grounding conductor of 250.122: (highest device rating, copper, aluminium).
pub static EGC: LazyLock<Vec<(Decimal, String, String)>> = LazyLock::new(|| {
    rows(include_str!("egc_250_122.csv"))
        .into_iter()
        .filter_map(|row| {
            Some((
                decimal(row.first()?)?,
                row.get(1)?.clone(),
                row.get(2)?.clone(),
            ))
        })
        .collect()
});

/// Percentages of the plate current by service, for motors rated 5 min, 15 min, 30 or 60 min and
/// continuous. Source: NEC 430.22(E), one transcription only.
pub static DUTY: LazyLock<Vec<(String, [Option<Decimal>; 4])>> = LazyLock::new(|| {
    rows(include_str!("duty_cycle_430_22_e.csv"))
        .into_iter()
        .filter_map(|row| {
            let cells = std::array::from_fn(|i| row.get(i + 1).and_then(|cell| decimal(cell)));
            Some((row.first()?.clone(), cells))
        })
        .collect()
});

/// A row of 240.4(D): largest ordinary device of a small conductor.
#[derive(Debug)]
pub struct SmallConductor {
    /// AWG.
    pub size: String,
    /// `cu`, `al_or_copper_clad_al` or `copper_clad_al`.
    pub material: String,
    /// Largest device, amperes.
    pub amps: Decimal,
    /// What else must hold; empty where nothing does.
    pub condition: String,
    /// Years of the editions that have it, parted by commas.
    pub editions: String,
}

/// NEC 240.4(D).
pub static SMALL: LazyLock<Vec<SmallConductor>> = LazyLock::new(|| {
    rows(include_str!("small_conductor_limit_240_4_d.csv"))
        .into_iter()
        .filter_map(|row| {
            Some(SmallConductor {
                size: row.first()?.clone(),
                material: row.get(1)?.clone(),
                amps: decimal(row.get(2)?)?,
                condition: row.get(3)?.clone(),
                editions: row.get(4)?.clone(),
            })
        })
        .collect()
});
