//! Tables of boxes, control contacts, service voltages and windings.

use super::{decimal, number, rows};
use rust_decimal::Decimal;
use std::sync::LazyLock;

/// NEC 314.16(B)(1): size and volume of one conductor in cubic inches, smallest first.
pub static CONDUCTOR_VOLUMES: LazyLock<Vec<(String, Decimal)>> = LazyLock::new(|| {
    rows(include_str!("box_conductor_volume_314_16_b.csv"))
        .into_iter()
        .filter_map(|row| Some((row.first()?.clone(), decimal(row.get(1)?)?)))
        .collect()
});

/// One box of NEC 314.16(A).
#[derive(Debug)]
pub struct BoxRow {
    /// Trade size as printed, such as `4 x 1-1/2`.
    pub name: String,
    /// Kind as printed, such as `square`.
    pub kind: String,
    /// Volume in cubic inches; of one gang for masonry boxes and multiple covers.
    pub volume: Decimal,
}

/// NEC 314.16(A).
pub static BOXES: LazyLock<Vec<BoxRow>> = LazyLock::new(|| {
    rows(include_str!("box_volumes_314_16_a.csv"))
        .into_iter()
        .filter_map(|row| {
            Some(BoxRow {
                name: row.first()?.clone(),
                kind: row.get(1)?.clone(),
                volume: decimal(row.get(2)?)?,
            })
        })
        .collect()
});

/// One contact code of NEMA ICS 5 for alternating current.
#[derive(Debug)]
pub struct ContactCode {
    /// The code, such as `B300`.
    pub name: String,
    /// Current it carries all day, amperes.
    pub thermal: Decimal,
    /// Highest voltage.
    pub volts: Decimal,
    /// Volt-amperes it makes.
    pub make: Decimal,
    /// Volt-amperes it breaks.
    pub breaks: Decimal,
}

/// NEMA ICS 5, alternating current.
pub static CONTACT_CODES: LazyLock<Vec<ContactCode>> = LazyLock::new(|| {
    rows(include_str!("contact_ratings_nema_ics5_ac.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |at: usize| row.get(at).and_then(|cell| decimal(cell));
            Some(ContactCode {
                name: row.first()?.clone(),
                thermal: cell(1)?,
                volts: cell(2)?,
                make: cell(3)?,
                breaks: cell(4)?,
            })
        })
        .collect()
});

/// ANSI C84.1, volts: nominal, then for range A and for range B the service minimum and maximum,
/// the utilization minimum with and without lighting, and the utilization maximum.
pub static SERVICE_VOLTAGES: LazyLock<Vec<[f64; 11]>> = LazyLock::new(|| {
    rows(include_str!("voltage_limits_c84_1.csv"))
        .into_iter()
        .filter_map(|row| {
            let cells: Vec<f64> = row.iter().map(|cell| number(cell)).collect::<Option<_>>()?;
            cells.try_into().ok()
        })
        .collect()
});

/// One thermal class of insulation.
#[derive(Debug)]
pub struct ClassRow {
    /// Letter of the class.
    pub letter: String,
    /// Temperature of the class, °C.
    pub temperature: f64,
    /// Highest rise by resistance, K: service factor 1.0, above 1.0, not ventilated, small frame.
    pub rises: [Option<f64>; 4],
}

/// NEMA MG 1 12.42 and 12.43, with the classes of IEC 60085.
pub static CLASSES: LazyLock<Vec<ClassRow>> = LazyLock::new(|| {
    rows(include_str!("insulation_classes.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |at: usize| row.get(at).and_then(|cell| number(cell));
            Some(ClassRow {
                letter: row.first()?.clone(),
                temperature: cell(1)?,
                rises: [cell(2), cell(3), cell(4), cell(5)],
            })
        })
        .collect()
});

/// One row of NEMA MG 1 12.51: power in horsepower and the service factor at 3600, 1800, 1200 and
/// 900 rpm; the last row serves that power and above.
pub static SERVICE_FACTORS: LazyLock<Vec<(f64, [Option<f64>; 4])>> = LazyLock::new(|| {
    rows(include_str!("service_factors_mg1_12_51.csv"))
        .into_iter()
        .filter_map(|row| {
            let cell = |at: usize| row.get(at).and_then(|cell| number(cell));
            Some((cell(0)?, [cell(1), cell(2), cell(3), cell(4)]))
        })
        .collect()
});

/// One kind of motor: how it starts and how its speed may be changed.
#[derive(Debug)]
pub struct KindRow {
    /// Word of the kind, such as `shaded_pole`.
    pub kind: String,
    /// Lowest and highest locked-rotor torque, percent of full load.
    pub torque: Option<(f64, f64)>,
    /// Current at start, in words.
    pub current: String,
    /// What it usually drives.
    pub load: String,
    /// `yes`, `no` or a condition: several taps, voltage control, series capacitor, frequency drive.
    pub control: [String; 4],
    /// Why, in words.
    pub reason: String,
}

/// Starting and speed control by kind of motor; common practice.
pub static KINDS: LazyLock<Vec<KindRow>> = LazyLock::new(|| {
    rows(include_str!("motor_kinds.csv"))
        .into_iter()
        .filter_map(|row| {
            let text = |at: usize| row.get(at).cloned();
            let cell = |at: usize| row.get(at).and_then(|cell| number(cell));
            Some(KindRow {
                kind: text(0)?,
                torque: cell(1).zip(cell(2)),
                current: text(3)?,
                load: text(4)?,
                control: [text(5)?, text(6)?, text(7)?, text(8)?],
                reason: text(9)?,
            })
        })
        .collect()
});
