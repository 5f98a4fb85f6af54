//! Locked-rotor current: from the code letter, and from the table by horsepower.

use super::current::{self, Supply, code_letter};
use crate::shown::{Fill, exact, figure, line, plausible, positive};
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
    pub hp: Option<f64>,
    /// Rated voltage, between lines.
    pub volts: Option<Volts>,
    /// One phase, three phases or direct current.
    pub supply: Option<Supply>,
    /// Code letter.
    pub letter: Option<char>,
    /// Figure of the range.
    pub using: Use,
    /// Full-load current on the plate, for motors that the tables leave out.
    pub plate_amps: Option<Decimal>,
}

/// What a code letter gives; `V` has no upper end, `A` no lower one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ByLetter {
    /// kVA per horsepower: bottom (0 for `A`), and top where there is one.
    pub range: (f64, Option<f64>),
    /// kVA at the bottom and at the top, where the power is known.
    pub kva_range: (Option<f64>, Option<f64>),
    /// Current at the bottom.
    pub min: Option<f64>,
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
    /// Six times the full-load current, where table 430.251 does not list the motor.
    pub six_times: Option<Decimal>,
}

/// The letter is none of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoLocked {
    /// I, O and Q do not exist.
    #[error("there is no such code letter; they run from A to V without I, O and Q")]
    Letter,
    /// Power or voltage are no possible figures.
    #[error("power and voltage above zero are needed")]
    Figures,
}

/// Locked-rotor current by letter, `1000 s P / (k U)`, by table, and where the table lists nothing six
/// times the full-load current.
///
/// `s` kVA per horsepower, `P` horsepower, `U` rated volts between lines, `k` root of three on three
/// phases, 1 on one. The code uses the top of the letter's range. What lacks an input is left out:
/// the letter alone gives its range, with the power its kVA.
/// Source: NEC 430.7(B), 430.110(C)(1) and (3), 430.251.
/// # Errors
/// [`NoLocked`] for a letter or figure that cannot be.
pub fn locked(ask: &LockedAsk) -> Result<(Locked, Working), NoLocked> {
    let above_zero = |value: Option<f64>| match value {
        None => Ok(None),
        Some(value) => positive(value).map(Some).ok_or(NoLocked::Figures),
    };
    let hp = above_zero(ask.hp)?;
    let volts = above_zero(ask.volts.map(|v| v.0))?;
    let by_letter = match ask.letter {
        None => None,
        Some(letter) => Some(by_letter(ask, letter, hp, volts)?),
    };
    let whole = ask.supply.zip(hp).zip(volts.map(Volts));
    let by_table = whole.and_then(|((supply, hp), volts)| {
        let row = current::locked_rotor_row(supply, hp, volts).ok()?;
        Some(row.amps)
    });
    let of_table = whole.and_then(|((supply, hp), volts)| {
        let row = current::table_row(supply, hp, volts).ok()?;
        Some(row.amps)
    });
    let full = of_table.or(ask.plate_amps.and_then(plausible));
    let locked = Locked {
        by_letter,
        by_table,
        six_times: full
            .filter(|_| by_table.is_none())
            .map(|amps| amps * Decimal::from(6)),
    };
    let working = working(ask, &locked, full);
    Ok((locked, working))
}

fn by_letter(
    ask: &LockedAsk,
    letter: char,
    hp: Option<f64>,
    volts: Option<f64>,
) -> Result<ByLetter, NoLocked> {
    let range = code_letter(letter).ok_or(NoLocked::Letter)?;
    let bottom = Some(range.0).filter(|low| *low > 0.0);
    let mid = bottom
        .zip(range.1)
        .map(|(low, top)| f64::midpoint(low, top));
    let chosen = match ask.using {
        Use::Max => range.1,
        Use::Mid => mid,
        Use::Min => bottom,
    };
    let root = match ask.supply {
        Some(Supply::OnePhase) => Some(1.0),
        Some(Supply::ThreePhase) => Some(3f64.sqrt()),
        _ => None,
    };
    let kva = |per_hp: Option<f64>| per_hp.zip(hp).map(|(kva, hp)| kva * hp);
    let amps = |per_hp: Option<f64>| {
        let (kva, root, volts) = (kva(per_hp)?, root?, volts?);
        Some(1000.0 * kva / (root * volts))
    };
    Ok(ByLetter {
        range,
        kva_range: (kva(bottom), kva(range.1)),
        min: amps(bottom),
        mid: amps(mid),
        max: amps(range.1),
        kva: kva(chosen),
        amps: amps(chosen),
    })
}

fn working(ask: &LockedAsk, locked: &Locked, full: Option<Decimal>) -> Working {
    let mut working = Working::new("Locked-rotor current");
    working.cautions.push(super::CAUTION.into());
    match locked.by_letter {
        Some(letter) => letter_lines(&mut working, ask, &letter),
        None => working.missing.push(Missing {
            what: "code letter".into(),
            why: "it gives the current of this very motor; the table is for designs B, C and D"
                .into(),
            how: "read `code` on the plate".into(),
        }),
    }
    if ask.hp.is_none() || ask.volts.is_none() || ask.supply.is_none() {
        working.missing.push(Missing {
            what: "power, voltage and phases".into(),
            why: "the current in amperes follows from all three".into(),
            how: "read the plate".into(),
        });
        return working;
    }
    table_line(&mut working, ask, locked, full);
    working
}

fn table_line(working: &mut Working, ask: &LockedAsk, locked: &Locked, full: Option<Decimal>) {
    let shown = line("table", "Locked-rotor current by table").rule(
        "by horsepower and volts; single phase six times full load; not for design A",
        "NEC 430.251(A), (B)",
    );
    working.lines.push(match locked.by_table {
        Some(amps) => shown.value(exact(amps), "A").note(disputed(ask)),
        None => shown.note("The table lists nothing for this power, phase and voltage."),
    });
    let six = line("six_times", "Six times the full-load current").rule(
        "where table 430.251 does not list the motor",
        "NEC 430.110(C)(3)",
    );
    match (locked.by_table, locked.six_times, full) {
        (Some(_), ..) => {}
        (None, Some(amps), Some(full)) => working.lines.push(
            six.value(exact(amps), "A")
                .limit(format!("6 x {} A", exact(full))),
        ),
        _ => crate::shown::ask(
            working,
            six,
            "full-load current on the plate",
            "neither table lists this motor; six times its full-load current counts",
            "read the plate at this voltage",
        ),
    }
}

/// The one cell on which printed copies disagree.
fn disputed(ask: &LockedAsk) -> &'static str {
    let cell = ask.supply == Some(Supply::OnePhase)
        && ask.hp.is_some_and(|hp| (9.89..=10.11).contains(&hp))
        && ask.volts.is_some_and(|v| v.0 < 130.0);
    if cell {
        "Copies of the code disagree on this cell: 600 A, six times 100 A, is used here; one copy has \
         1000 A. Check the printed edition."
    } else {
        ""
    }
}

fn letter_lines(working: &mut Working, ask: &LockedAsk, letter: &ByLetter) {
    let (low, high) = letter.range;
    let bottom = if low > 0.0 {
        figure(low, 2)
    } else {
        "no lower end".into()
    };
    let top = high.map_or("no upper end".into(), |high| figure(high, 2));
    working.lines.push(
        line("letter", "Code letter")
            .value(format!("{bottom} to {top}"), "kVA/hp")
            .rule("range of the letter", "NEC 430.7(B)"),
    );
    let shown = line("locked_rotor", "Locked-rotor current");
    let formula = "1000 x kVA/hp x hp / volts, on three phases / 1.732";
    let open = match ask.using {
        Use::Max => high.is_none(),
        Use::Mid => high.is_none() || low <= 0.0,
        Use::Min => low <= 0.0,
    };
    if let (Some(amps), Some(kva), Some(volts)) = (letter.amps, letter.kva, ask.volts) {
        let three = ask.supply == Some(Supply::ThreePhase);
        let root = if three { "1.732 x " } else { "" };
        working.lines.push(
            shown
                .value(figure(amps, 1), "A")
                .limit(format!(
                    "{} kVA x 1000 / ({root}{} V)",
                    figure(kva, 2),
                    figure(volts.0, 1)
                ))
                .rule(formula, "NEC 430.7(B), Eq. 430.110(C)(1)a")
                .note(match ask.using {
                    Use::Max => "Top of the range, as the code's equation has it.",
                    Use::Mid => "Middle of the range; the code's equation uses the top.",
                    Use::Min => "Bottom of the range; the code's equation uses the top.",
                }),
        );
    } else if open {
        crate::shown::ask(
            working,
            shown.rule(formula, "NEC 430.7(B)"),
            "locked-rotor current of this motor",
            "the range of this letter has no end on that side, so no current follows from it",
            "read the locked-rotor current on the plate or ask the maker",
        );
    } else if let (Some(low), Some(high)) = letter.kva_range {
        working.lines.push(
            line("kva", "Locked-rotor kVA")
                .value(format!("{} to {}", figure(low, 2), figure(high, 2)), "kVA")
                .rule("range of the letter times horsepower", "NEC 430.7(B)"),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(letter: char, phases: u8) -> Result<Locked, NoLocked> {
        let ask = LockedAsk {
            hp: Some(10.0),
            volts: Some(Volts(460.0)),
            supply: Supply::of_phases(phases),
            letter: Some(letter),
            using: Use::Max,
            plate_amps: None,
        };
        locked(&ask).map(|(locked, _)| locked)
    }

    #[test]
    fn the_last_letter_has_no_top() {
        let last = of('V', 3).unwrap().by_letter.unwrap();
        assert!(last.max.is_none() && last.amps.is_none() && last.min > Some(0.0));
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
