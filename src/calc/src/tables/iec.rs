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

/// A curve of IEC 60898, in multiples of the rated current.
#[derive(Debug)]
pub struct Curve {
    /// B, C or D.
    pub letter: String,
    /// The magnetic release does not act up to this.
    pub holds: Decimal,
    /// The magnetic release has acted at this.
    pub acts: Decimal,
    /// The thermal release does not act within the conventional time.
    pub no_trip: Decimal,
    /// The thermal release has acted within the conventional time.
    pub trip: Decimal,
}

/// The curve of this letter. Source: IEC 60898-1.
pub fn curve(letter: &str) -> Option<&'static Curve> {
    static TABLE: LazyLock<Vec<Curve>> = LazyLock::new(|| {
        rows(include_str!("iec_mcb_types_60898.csv"))
            .into_iter()
            .filter_map(|row| {
                Some(Curve {
                    letter: row.first()?.clone(),
                    holds: decimal(row.get(1)?)?,
                    acts: decimal(row.get(2)?)?,
                    no_trip: decimal(row.get(3)?)?,
                    trip: decimal(row.get(4)?)?,
                })
            })
            .collect()
    });
    TABLE.iter().find(|curve| curve.letter == letter)
}

/// Usual ratings of miniature breakers, amperes, smallest first; `from memory`.
pub static RATINGS: LazyLock<Vec<Decimal>> = LazyLock::new(|| {
    rows(include_str!("iec_mcb_ratings.csv"))
        .into_iter()
        .filter_map(|row| decimal(row.first()?))
        .collect()
});
