//! Efficiency floors of 10 CFR 431.25 and 431.446, as far as the compiled tables reach.

use super::known::{Facts, get, list};
use crate::motor::poles_from_plate_speed;
use crate::plate::{Enclosure, MotorType};
use crate::units::{Hertz, Rpm, WATTS_PER_HP};
use std::sync::LazyLock;

struct Floor {
    /// `polyphase`, `capacitor-start …`, or the enclosure in the integral table.
    kind: &'static str,
    hp: f64,
    poles: u32,
    percent: f64,
}

fn rows(table: &'static str, [kind, hp, poles, percent]: [usize; 4]) -> Vec<Floor> {
    let row = |line: &'static str| {
        let cells: Vec<&str> = line.split(',').collect();
        Some(Floor {
            kind: cells.get(kind)?,
            hp: cells.get(hp)?.parse().ok()?,
            poles: cells.get(poles)?.parse().ok()?,
            percent: cells.get(percent)?.parse().ok()?,
        })
    };
    table.lines().skip(1).filter_map(row).collect()
}

static SMALL: LazyLock<Vec<Floor>> = LazyLock::new(|| {
    rows(
        include_str!("tables/efficiency_10cfr431_446.csv"),
        [0, 1, 3, 4],
    )
});
static INTEGRAL: LazyLock<Vec<Floor>> = LazyLock::new(|| {
    rows(
        include_str!("tables/efficiency_10cfr431_25.csv"),
        [3, 0, 2, 4],
    )
});

/// The floor in percent for the candidate, or `None` where no rule in the tables covers it.
///
/// 60 Hz motors only. Between two ratings the upper row holds from the midpoint on (431.446(b)).
pub(super) fn floor(f: &Facts) -> Option<f64> {
    let sixty = list(&f.new.frequency)?
        .iter()
        .any(|hz| (hz.0 - 60.0).abs() < 1.0);
    if !sixty || f.hertz.is_some_and(|hz| (hz - 60.0).abs() > 1.0) {
        return None;
    }
    let kind = f.new_type?;
    let open = matches!(get(&f.new.enclosure)?, Enclosure::OpenDripProof);
    let hp = f.new_power? / WATTS_PER_HP;
    let (table, word) = match kind {
        MotorType::ThreePhaseInduction if hp >= 0.995 => {
            (&*INTEGRAL, if open { "open" } else { "enclosed" })
        }
        MotorType::ThreePhaseInduction if open => (&*SMALL, "polyphase"),
        MotorType::CapacitorStart | MotorType::CapacitorStartCapacitorRun if open => {
            (&*SMALL, "capacitor-start (CSIR and CSCR)")
        }
        _ => return None,
    };
    let poles = poles_from_plate_speed(kind, Rpm(f.new_speed?), Hertz(60.0)).ok()?;
    let fits = |row: &&Floor| row.poles == poles && row.kind == word;
    let (mut below, mut above): (Option<&Floor>, Option<&Floor>) = (None, None);
    for row in table.iter().filter(fits) {
        if row.hp <= hp * 1.005 && below.is_none_or(|b| row.hp > b.hp) {
            below = Some(row);
        }
        if row.hp >= hp * 0.995 && above.is_none_or(|a| row.hp < a.hp) {
            above = Some(row);
        }
    }
    let (below, above) = below.zip(above)?;
    Some(if hp >= (below.hp + above.hp) / 2.0 {
        above.percent
    } else {
        below.percent
    })
}
