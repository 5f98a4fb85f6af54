//! Locked-rotor current: from the code letter, and from the table by horsepower.

use super::current::{self, Supply, code_letter};
use crate::shown::{Fill, exact, figure, line, positive};
use crate::units::Volts;
use crate::working::{Missing, Working};
use rust_decimal::Decimal;

/// Watts that a horsepower is taken for in the code's formula. Source: NEC 430.7(B), Eq. 430.110(C)(1)a.
pub const KW_PER_HP: f64 = 0.746;

/// Which figure of a letter's range is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// The top, as the code's equation has it.
    Max,
    /// The middle.
    Mid,
    /// The bottom.
    Min,
}

/// What is known of the motor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LockedAsk {
    /// Power in horsepower.
    pub hp: f64,
    /// Rated voltage, between lines.
    pub volts: Volts,
    /// 1 or 3.
    pub phases: u8,
    /// Code letter.
    pub letter: Option<char>,
    /// Figure of the range.
    pub using: Use,
}

/// Currents of a code letter, in amperes; the top is open for `V`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByLetter {
    /// kVA per horsepower: bottom, and top where there is one.
    pub range: (f64, Option<f64>),
    /// Current at the bottom.
    pub min: f64,
    /// Current in the middle.
    pub mid: Option<f64>,
    /// Current at the top.
    pub max: Option<f64>,
    /// kVA of the figure asked for.
    pub kva: Option<f64>,
    /// Current of the figure asked for.
    pub amps: Option<f64>,
}

/// Locked-rotor currents.
#[derive(Clone, Debug, PartialEq)]
pub struct Locked {
    /// From the code letter.
    pub by_letter: Option<ByLetter>,
    /// From the table: designs B, C, D and single phase.
    pub by_table: Option<Decimal>,
}

/// The letter is none of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoLocked {
    /// I, O and Q do not exist.
    #[error("there is no such code letter; they run from A to V without I, O and Q")]
    Letter,
    /// Power, voltage or phases are no possible figures.
    #[error("power and voltage above zero and 1 or 3 phases are needed")]
    Figures,
}

/// Locked-rotor current by letter, `1000 s P / (k U)`, and by table.
///
/// `s` kVA per horsepower, `P` horsepower, `U` rated volts between lines, `k` root of three on three
/// phases, 1 on one. The code uses the top of the letter's range.
/// Source: NEC 430.7(B), 430.110(C)(1), 430.251.
/// # Errors
/// [`NoLocked`] for a letter or figure that cannot be.
pub fn locked(ask: &LockedAsk) -> Result<(Locked, Working), NoLocked> {
    let supply = Supply::of_phases(ask.phases).ok_or(NoLocked::Figures)?;
    let hp = positive(ask.hp).ok_or(NoLocked::Figures)?;
    let root = if ask.phases == 3 { 3f64.sqrt() } else { 1.0 };
    let volts = positive(ask.volts.0).ok_or(NoLocked::Figures)?;
    let amps = |kva_per_hp: f64| 1000.0 * kva_per_hp * hp / (root * volts);
    let by_letter = match ask.letter {
        None => None,
        Some(letter) => {
            let range = code_letter(letter).ok_or(NoLocked::Letter)?;
            let mid = range.1.map(|top| f64::midpoint(range.0, top));
            let chosen = match ask.using {
                Use::Max => range.1,
                Use::Mid => mid,
                Use::Min => Some(range.0),
            };
            Some(ByLetter {
                range,
                min: amps(range.0),
                mid: mid.map(amps),
                max: range.1.map(amps),
                kva: chosen.map(|kva| kva * hp),
                amps: chosen.map(amps),
            })
        }
    };
    let row = current::locked_rotor_row(supply, hp, ask.volts).ok();
    let locked = Locked {
        by_letter,
        by_table: row.map(|row| row.amps),
    };
    let working = working(ask, &locked);
    Ok((locked, working))
}

fn working(ask: &LockedAsk, locked: &Locked) -> Working {
    let mut working = Working::new("Locked-rotor current");
    match locked.by_letter {
        Some(letter) => letter_lines(&mut working, ask, &letter),
        None => working.missing.push(Missing {
            what: "code letter".into(),
            why: "it gives the current of this very motor; the table is for designs B, C and D"
                .into(),
            how: "read `code` on the plate".into(),
        }),
    }
    let shown = line("table", "Locked-rotor current by table").rule(
        "by horsepower and volts; single phase six times full load; not for design A",
        "NEC 430.251(A), (B)",
    );
    working.lines.push(match locked.by_table {
        Some(amps) => shown.value(exact(amps), "A"),
        None => shown.note("The table lists nothing for this power, phase and voltage."),
    });
    working
}

fn letter_lines(working: &mut Working, ask: &LockedAsk, letter: &ByLetter) {
    let (low, high) = letter.range;
    let root = if ask.phases == 3 { "1.732 x " } else { "" };
    let top = high.map_or("no upper end".into(), |high| figure(high, 2));
    working.lines.push(
        line("letter", "Code letter")
            .value(format!("{} to {top}", figure(low, 2)), "kVA/hp")
            .rule("range of the letter", "NEC 430.7(B)"),
    );
    let shown = line("locked_rotor", "Locked-rotor current");
    let formula = "1000 x kVA/hp x hp / volts, on three phases / 1.732";
    match (letter.amps, letter.kva) {
        (Some(amps), Some(kva)) => working.lines.push(
            shown
                .value(figure(amps, 1), "A")
                .limit(format!(
                    "{} kVA x 1000 / ({root}{} V)",
                    figure(kva, 2),
                    figure(ask.volts.0, 1)
                ))
                .rule(formula, "NEC 430.7(B), Eq. 430.110(C)(1)a")
                .note(match ask.using {
                    Use::Max => "Top of the range, as the code's equation has it.",
                    Use::Mid => "Middle of the range; the code's equation uses the top.",
                    Use::Min => "Bottom of the range; the code's equation uses the top.",
                }),
        ),
        _ => crate::shown::ask(
            working,
            shown.rule(formula, "NEC 430.7(B)"),
            "locked-rotor current of this motor",
            "this letter has no upper end, so no largest current follows from it",
            "read the locked-rotor current on the plate or ask the maker",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(letter: char, phases: u8) -> Result<Locked, NoLocked> {
        let ask = LockedAsk {
            hp: 10.0,
            volts: Volts(460.0),
            phases,
            letter: Some(letter),
            using: Use::Max,
        };
        locked(&ask).map(|(locked, _)| locked)
    }

    #[test]
    fn the_last_letter_has_no_top() {
        let last = of('V', 3).unwrap().by_letter.unwrap();
        assert!(last.max.is_none() && last.amps.is_none() && last.min > 0.0);
        for none in ['I', 'O', 'Q', '1'] {
            assert_eq!(of(none, 3), Err(NoLocked::Letter));
        }
    }

    #[test]
    fn one_phase_has_no_root() {
        let amps = |phases| of('G', phases).unwrap().by_letter.unwrap().max.unwrap();
        assert!((amps(1) / amps(3) - 3f64.sqrt()).abs() < 1e-12);
    }
}
