//! Estimates of what is lost between the meter and the shaft: motors at part load, drives, belts.
//! Generic figures for a first look; no verdict and no sum of money rests on them.

use crate::shown::{Fill, figure, line, positive};
use crate::tables::{number, rows};
use crate::units::Watts;
use crate::working::{Missing, Working};
use std::sync::LazyLock;

/// A table of shares by power and load: the powers head the rows, the loads the columns.
struct Grid {
    loads: Vec<f64>,
    rows: Vec<(f64, Vec<f64>)>,
}

fn grid(text: &str) -> Grid {
    let head = text.lines().next().unwrap_or_default();
    Grid {
        loads: head.split(',').skip(1).filter_map(number).collect(),
        rows: rows(text)
            .iter()
            .filter_map(|row| {
                let (power, shares) = row.split_first()?;
                Some((
                    number(power)?,
                    shares.iter().filter_map(|s| number(s)).collect(),
                ))
            })
            .collect(),
    }
}

/// Straight line between the points; `None` outside them.
fn between(at: &[f64], of: &[f64], x: f64) -> Option<f64> {
    at.windows(2)
        .zip(of.windows(2))
        .find(|(at, _)| (at[0]..=at[1]).contains(&x))
        .map(|(at, of)| of[0] + (of[1] - of[0]) * (x - at[0]) / (at[1] - at[0]))
}

/// Estimate of a motor's efficiency at part load as a share of its own full-load efficiency.
///
/// `load` is the share of the rated output, from 0.1 to 1; the rating reaches to 100 hp. The curves are
/// those of six size groups (to 1, 5, 10, 25, 60 and 100 hp) at loads of 0.1, 0.25, 0.5, 0.75 and 1, with
/// straight lines between. Generic: a real motor may lie several hundredths off.
/// Source: Washington State Energy Office, motor selection handbook (1993), graph, as the library fluids
/// fits it.
pub fn motor_share(rating: Watts, load: f64) -> Option<f64> {
    static CURVES: LazyLock<Grid> = LazyLock::new(|| grid(include_str!("tables/part_load.csv")));
    let hp = positive(rating.0)? / Watts::from_hp(1.0).0;
    // A hair of room: a rating read in watts stays in its own group.
    let (_, shares) = CURVES.rows.iter().find(|(to, _)| hp <= to * 1.001)?;
    between(&CURVES.loads, shares, load)
}

/// Estimate of the efficiency of a variable-frequency drive, percent.
///
/// `load` is the share of the drive's rated output, 0.016 to 1; 3 to 400 hp, straight lines between the
/// printed points. Generic for pulse-width drives; older ones are worse.
/// Source: US DOE motor tip sheet on drive efficiency, from memory; figures as in the library fluids.
pub fn drive_percent(rating: Watts, load: f64) -> Option<f64> {
    static TABLE: LazyLock<Grid> =
        LazyLock::new(|| grid(include_str!("tables/drive_efficiency.csv")));
    let hp = positive(rating.0)? / Watts::from_hp(1.0).0;
    let at_load: Option<Vec<f64>> = TABLE
        .rows
        .iter()
        .map(|(_, shares)| between(&TABLE.loads, shares, load))
        .collect();
    let powers: Vec<f64> = TABLE.rows.iter().map(|(power, _)| *power).collect();
    let (first, last) = powers.first().zip(powers.last())?;
    let near = |end: f64| (hp / end - 1.0).abs() < 1e-6;
    let hp = if near(*first) {
        *first
    } else if near(*last) {
        *last
    } else {
        hp
    };
    between(&powers, &at_load?, hp)
}

/// Kind of a belt, for its losses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Belt {
    /// Wrapped V-belt.
    V,
    /// Notched V-belt.
    Notched,
    /// Cogged V-belt.
    Cogged,
    /// Toothed belt.
    Synchronous,
}

/// Estimate of a belt drive's efficiency, percent, well tensioned and loaded.
/// Source: common practice; figures as in the library fluids.
pub fn belt_percent(belt: Belt) -> f64 {
    match belt {
        Belt::V => 95.0,
        Belt::Cogged => 96.5,
        Belt::Notched => 97.0,
        Belt::Synchronous => 98.0,
    }
}

/// The estimates, each `None` outside its table.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// The figures laid open.
    pub working: Working,
    /// Share of the motor's full-load efficiency.
    pub motor_share: Option<f64>,
    /// Efficiency of the motor, percent, from the full-load figure given.
    pub motor_percent: Option<f64>,
    /// Efficiency of a frequency drive of this rating, percent.
    pub drive_percent: Option<f64>,
    /// Efficiency of the belt, percent.
    pub belt_percent: Option<f64>,
}

/// All estimates for one drive train. Source: see [`motor_share`], [`drive_percent`], [`belt_percent`].
pub fn estimate(
    rating: Option<Watts>,
    load: Option<f64>,
    full_load_percent: Option<f64>,
    belt: Option<Belt>,
) -> Estimate {
    let at = rating.zip(load);
    let motor_share = at.and_then(|(rating, load)| motor_share(rating, load));
    let motor_percent = motor_share
        .zip(full_load_percent)
        .map(|(share, full)| share * full);
    let drive_percent = at.and_then(|(rating, load)| drive_percent(rating, load));
    let mut out = Estimate {
        working: Working::new("Losses at part load, estimated"),
        motor_share,
        motor_percent,
        drive_percent,
        belt_percent: belt.map(belt_percent),
    };
    lay_open(&mut out, at.is_some());
    if at.is_some() && out.motor_share.is_none() {
        ask_range(
            &mut out.working,
            "motor",
            "a motor to 100 hp at a load of 0.1 to 1",
        );
    }
    if at.is_some() && out.drive_percent.is_none() {
        ask_range(
            &mut out.working,
            "frequency drive",
            "a drive of 3 to 400 hp at a load of 0.016 to 1",
        );
    }
    out
}

/// An estimate outside its table is missing; the range is named.
fn ask_range(working: &mut Working, of: &str, range: &str) {
    working.missing.push(Missing {
        what: format!("an estimate of the {of} outside its table, which holds for {range}").into(),
        why: "outside the table nothing is guessed".into(),
        how: "take the maker's figures at this load".into(),
    });
}

fn lay_open(out: &mut Estimate, asked: bool) {
    let lines = &mut out.working.lines;
    let mut push = |key, label, value: Option<f64>, unit, source| {
        let shown = line(key, label).rule("generic estimate", source);
        match value {
            Some(value) => lines.push(shown.value(figure(value, 3), unit)),
            None if matches!(key, "share" | "drive") && asked => lines.push(
                shown
                    .value("no estimate", "")
                    .note("Outside the table's powers or loads."),
            ),
            None => {}
        }
    };
    let label = "Motor, share of its full-load efficiency";
    push("share", label, out.motor_share, "", "handbook curve, 1993");
    let source = "share x full-load efficiency";
    push("motor", "Motor efficiency", out.motor_percent, "%", source);
    let (label, source) = (
        "Frequency drive efficiency",
        "US DOE tip sheet, from memory",
    );
    push("drive", label, out.drive_percent, "%", source);
    push(
        "belt",
        "Belt efficiency",
        out.belt_percent,
        "%",
        "common practice",
    );
    out.working.cautions.push(
        "Estimates of unknown motors: for a decision use the maker's figures at the load.".into(),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn outside_the_tables_there_is_no_estimate() {
        let hp = Watts::from_hp;
        assert_eq!(motor_share(hp(5.0), 1.0), Some(1.0));
        assert_eq!(motor_share(hp(5.0), 0.05), None);
        assert_eq!(motor_share(hp(5.0), 1.2), None);
        assert_eq!(motor_share(hp(150.0), 0.5), None);
        assert_eq!(drive_percent(hp(3.0), 1.0), Some(94.0));
        assert_eq!(drive_percent(hp(1.0), 1.0), None);
        assert_eq!(drive_percent(hp(400.0), 1.0), Some(97.0));
    }

    proptest! {
        #[test]
        fn an_estimate_is_a_share(watts in any::<f64>(), load in any::<f64>(), hp in 0.1..120.0f64, x in 0.0..1.1f64) {
            for (rating, load) in [(Watts(watts), load), (Watts::from_hp(hp), x)] {
                if let Some(share) = motor_share(rating, load) {
                    prop_assert!(share > 0.0 && share <= 1.0);
                }
                if let Some(percent) = drive_percent(rating, load) {
                    prop_assert!(percent > 0.0 && percent < 100.0);
                }
            }
        }

        #[test]
        fn a_loaded_motor_is_the_better_one(hp in 0.1..100.0f64, a in 0.1..1.0f64, b in 0.1..1.0f64) {
            let at = |load| motor_share(Watts::from_hp(hp), load);
            prop_assert!(at(a.max(b)) >= at(a.min(b)));
        }
    }
}
