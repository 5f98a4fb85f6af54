//! IEC tables: current-carrying capacity of copper, factors for ambient and grouping, breaker bands.

use super::{decimal, number, rows};
use rust_decimal::Decimal;
use std::sync::LazyLock;

/// One cell of the capacity tables B.52.2 to B.52.5 and B.52.10.
#[derive(Debug)]
pub struct Capacity {
    pub insulation: String,
    pub loaded: u8,
    pub method: String,
    pub area_mm2: Decimal,
    pub amps: Decimal,
    pub table: String,
    pub confidence: String,
}

pub static CAPACITY: LazyLock<Vec<Capacity>> = LazyLock::new(|| {
    rows(include_str!("iec_ampacity_b52_cu_30c.csv"))
        .into_iter()
        .filter_map(|row| {
            Some(Capacity {
                insulation: row.first()?.clone(),
                loaded: row.get(1)?.parse().ok()?,
                method: row.get(2)?.clone(),
                area_mm2: decimal(row.get(3)?)?,
                amps: decimal(row.get(4)?)?,
                table: row.get(5)?.clone(),
                confidence: row.get(6)?.clone(),
            })
        })
        .collect()
});

/// Air temperature with the factors for PVC 70 °C and XLPE 90 °C, B.52.14.
pub static AMBIENT: LazyLock<Vec<(f64, Decimal, Decimal)>> = LazyLock::new(|| {
    rows(include_str!("iec_ambient_b52_14.csv"))
        .into_iter()
        .filter_map(|row| {
            Some((
                number(row.first()?)?,
                decimal(row.get(1)?)?,
                decimal(row.get(2)?)?,
            ))
        })
        .collect()
});

/// Bunched circuits and the factor, B.52.17.
pub static GROUPING: LazyLock<Vec<(u32, Decimal)>> = LazyLock::new(|| {
    rows(include_str!("iec_grouping_b52_17_bunched.csv"))
        .into_iter()
        .filter_map(|row| Some((row.first()?.parse().ok()?, decimal(row.get(1)?)?)))
        .collect()
});

/// Highest multiple of the rating at which the magnetic release does not yet act, by curve letter.
/// Source: IEC 60898-1.
pub fn no_trip_multiple(curve: &str) -> Option<Decimal> {
    static TABLE: LazyLock<Vec<(String, Decimal)>> = LazyLock::new(|| {
        rows(include_str!("iec_mcb_types_60898.csv"))
            .into_iter()
            .filter_map(|row| Some((row.first()?.clone(), decimal(row.get(1)?)?)))
            .collect()
    });
    TABLE
        .iter()
        .find(|(name, _)| name == curve)
        .map(|(_, multiple)| *multiple)
}
