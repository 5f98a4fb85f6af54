//! What motors of each type have: efficiency, power factor and slip, from the tables compiled in.

use crate::plate::MotorType;
use crate::tables::equipment::CLASSES;
use crate::tables::rows;
use crate::units::Watts;
use std::sync::LazyLock;

/// Efficiency and power factor of one type and size range, as shares.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    from_hp: f64,
    to_hp: f64,
    pub efficiency: (f64, f64),
    pub power_factor: (f64, f64),
}

impl Range {
    /// Efficiency times power factor.
    pub fn product(&self) -> (f64, f64) {
        (
            self.efficiency.0 * self.power_factor.0,
            self.efficiency.1 * self.power_factor.1,
        )
    }

    fn join(self, other: Range) -> Range {
        let wider = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
        Range {
            from_hp: self.from_hp.min(other.from_hp),
            to_hp: self.to_hp.max(other.to_hp),
            efficiency: wider(self.efficiency, other.efficiency),
            power_factor: wider(self.power_factor, other.power_factor),
        }
    }
}

fn motor_type(words: &str) -> Option<MotorType> {
    let starts = |start: &str| words.starts_with(start);
    Some(match words {
        _ if starts("shaded pole") => MotorType::ShadedPole,
        _ if starts("PSC") => MotorType::PermanentSplitCapacitor,
        _ if starts("split phase") => MotorType::SplitPhase,
        _ if starts("capacitor start capacitor run") => MotorType::CapacitorStartCapacitorRun,
        _ if starts("capacitor start") => MotorType::CapacitorStart,
        _ if starts("three-phase") => MotorType::ThreePhaseInduction,
        _ if starts("ECM") => MotorType::ElectronicallyCommutated,
        _ => return None,
    })
}

static RANGES: LazyLock<Vec<(MotorType, Range)>> = LazyLock::new(|| {
    let table = include_str!("../../tables/efficiency_power_factor_typical.csv");
    rows(table).iter().filter_map(|row| range(row)).collect()
});

fn range(row: &[String]) -> Option<(MotorType, Range)> {
    let cell = |at: usize| row.get(at)?.parse::<f64>().ok();
    let size = row.get(1)?.strip_suffix(" hp")?;
    let (from, to) = size.split_once('-')?;
    let hp = |text: &str| match text.split_once('/') {
        Some((over, under)) => Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?),
        None => text.parse().ok(),
    };
    let range = Range {
        from_hp: hp(from)?,
        to_hp: hp(to)?,
        efficiency: (cell(2)? / 100.0, cell(3)? / 100.0),
        power_factor: (cell(4)?, cell(5)?),
    };
    Some((motor_type(row.first()?)?, range))
}

/// What a motor of this type and power has; between two sizes of the table what either has, beyond
/// its ends what the nearest has. `None` for a type that the table does not hold.
pub(super) fn typical(kind: MotorType, power: Watts) -> Option<Range> {
    let hp = power.hp();
    let mine = || {
        RANGES
            .iter()
            .filter(|(of, _)| *of == kind)
            .map(|(_, range)| *range)
    };
    let inside = mine().filter(|r| (r.from_hp * 0.99..=r.to_hp * 1.01).contains(&hp));
    if let Some(range) = inside.reduce(Range::join) {
        return Some(range);
    }
    let below = mine()
        .filter(|r| r.to_hp < hp)
        .max_by(|a, b| a.to_hp.total_cmp(&b.to_hp));
    let above = mine()
        .filter(|r| r.from_hp > hp)
        .min_by(|a, b| a.from_hp.total_cmp(&b.from_hp));
    below.into_iter().chain(above).reduce(Range::join)
}

/// What any motor of the table has.
pub(super) fn any() -> Option<Range> {
    RANGES.iter().map(|(_, range)| *range).reduce(Range::join)
}

static SLIPS: LazyLock<Vec<(MotorType, f64)>> = LazyLock::new(|| {
    rows(include_str!("../../tables/usual_full_load_speeds.csv"))
        .iter()
        .flat_map(|row| slips(row).unwrap_or_default())
        .collect()
});

/// The slips at both ends of a row's usual range.
fn slips(row: &[String]) -> Option<Vec<(MotorType, f64)>> {
    let words = row.first()?;
    let synchronous: f64 = row.get(3)?.parse().ok()?;
    let (low, high) = row.get(6)?.split_once('-')?;
    let slip = |text: &str| {
        text.parse::<f64>()
            .ok()
            .map(|n| (synchronous - n) / synchronous)
    };
    let both = [slip(low)?, slip(high)?];
    // One row stands for both kinds of capacitor start.
    let kinds = if words.starts_with("capacitor start") {
        vec![
            MotorType::CapacitorStart,
            MotorType::CapacitorStartCapacitorRun,
        ]
    } else {
        vec![motor_type(words)?]
    };
    let all = kinds
        .iter()
        .flat_map(|kind| both.iter().map(|slip| (*kind, *slip)));
    Some(all.collect())
}

/// Smallest and largest usual slip of the type at full load, as shares.
pub(super) fn usual_slip(kind: Option<MotorType>) -> Option<(f64, f64)> {
    let mine = || {
        SLIPS
            .iter()
            .filter(move |(of, _)| kind.is_none_or(|kind| kind == *of))
            .map(|(_, slip)| *slip)
    };
    Some((mine().reduce(f64::min)?, mine().reduce(f64::max)?))
}

/// Class temperature, and the largest rise of any column and of service factor 1.0.
#[derive(Clone, Copy, Debug)]
pub(super) struct Class {
    pub rise: f64,
    pub largest: f64,
}

/// Rises of the insulation classes. Source: NEMA MG 1 12.42 and 12.43, IEC 60034-1 for class E.
///
/// For class H not ventilated 130 to 135 K are in print (from memory): the upper one is allowed here.
pub(super) fn class(letter: &str) -> Option<Class> {
    let row = CLASSES.iter().find(|row| row.letter == letter)?;
    let rises = row.rises.iter().flatten().copied();
    let largest = rises.reduce(f64::max)?;
    Some(Class {
        rise: row.rises[0]?,
        largest: if letter == "H" { 135.0 } else { largest },
    })
}
