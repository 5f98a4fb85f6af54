//! Power, volts, amperes and input watts against each other.

use super::limits::{any, typical};
use super::{above_zero, kind_words, pairs, phases, root};
use crate::plate::{MotorType, Plate};
use crate::shown::{Fill, ask, figure, line};
use crate::units::Watts;
use crate::working::{Line, Verdict, Working};

const TYPICAL: &str =
    "efficiency and power factor by type, efficiency confirmed, power factor mostly from memory";
/// Plate current may be off by a tenth (NEMA MG 1 12.47).
const TENTH: f64 = 1.1;
/// Half as much again as any motor of the type has: common practice.
const HALF_AGAIN: f64 = 1.5;
/// Printed volts, amperes and watts are rounded; together they are rarely off by more.
const ROUNDING: f64 = 1.03;

/// Phases against the type.
fn phases_line(plate: &Plate) -> Option<Line> {
    let marked = *plate.phases.value()?;
    let kind = *plate.motor_type.value()?;
    let base = line("phases", "Phases and type")
        .value(marked.to_string(), "")
        .limit(kind_words(kind))
        .rule("single-phase types run on one phase", "common practice");
    let fits = match kind {
        MotorType::ThreePhaseInduction => marked == 3,
        MotorType::ElectronicallyCommutated => matches!(marked, 1 | 3),
        _ => marked == 1,
    };
    Some(if fits {
        base.judge(Verdict::Within, "The phases are those of the type.")
    } else {
        base.judge(
            Verdict::Beyond,
            format!(
                "A {} motor does not run on {marked} phases.",
                kind_words(kind)
            ),
        )
    })
}

pub(super) fn phases_and_type(plate: &Plate, working: &mut Working) {
    working.lines.extend(phases_line(plate));
}

/// How a figure stands to the range of its type.
fn judge(value: f64, (low, high): (f64, f64), most: f64) -> Verdict {
    if value > most || value > high * HALF_AGAIN || value < low / HALF_AGAIN {
        Verdict::Beyond
    } else if value > high * TENTH || value < low / TENTH {
        Verdict::WithinNote
    } else {
        Verdict::Within
    }
}

fn percent(range: (f64, f64)) -> String {
    format!(
        "{} to {} %",
        figure(range.0 * 100.0, 1),
        figure(range.1 * 100.0, 1)
    )
}

/// Power given out over volt-amperes taken: efficiency times power factor.
pub(super) fn power(plate: &Plate, working: &mut Working) {
    let base = line("power", "Efficiency times power factor").rule("P / (k V A)", TYPICAL);
    let power = above_zero(plate.power.value().map(|w| w.0));
    let pairs = pairs(plate);
    let lacks = match (power, pairs.is_empty()) {
        (None, true) => return,
        (None, _) => Some("Output power"),
        (_, true) => Some("Volts and full-load amperes"),
        _ => None,
    };
    if let Some(lacks) = lacks {
        let why = "Power, volts and amperes check each other.";
        ask(
            working,
            base,
            lacks,
            why,
            "Read the plate, or measure under load.",
        );
        return;
    }
    let kind = plate.motor_type.value().copied();
    let power = power.unwrap_or(0.0);
    let lowest = |root: f64| {
        pairs
            .iter()
            .map(|(v, a)| power / (root * v * a))
            .fold(f64::INFINITY, f64::min)
    };
    let Some(phases) = phases(plate) else {
        if lowest(root(3)) > ROUNDING {
            working.lines.push(impossible(base, lowest(root(3))));
            return;
        }
        let why = "Three phases carry 1.73 times the power of one at the same volts and amperes.";
        ask(
            working,
            base,
            "Phases",
            why,
            "Read PH on the plate, or count the supply leads.",
        );
        return;
    };
    let ranges = kind
        .and_then(|kind| typical(kind, Watts(power)))
        .or_else(any);
    let Some(range) = ranges.map(|range| range.product()) else {
        return;
    };
    // With one current for several voltages the best fit counts.
    let one_current = plate.amps.value().is_some_and(|amps| amps.len() == 1);
    let shares = pairs
        .iter()
        .map(|(v, a)| (*v, *a, power / (root(phases) * v * a)));
    let mut lines: Vec<Line> = shares
        .map(|(v, a, share)| share_line(base.clone(), kind, range, (v, a), share))
        .collect();
    if one_current {
        lines.sort_by_key(|line| line.verdict.map_or(0, Verdict::severity));
        lines.truncate(1);
    }
    working.lines.extend(lines);
}

fn impossible(base: Line, share: f64) -> Line {
    let share = figure(share * 100.0, 1);
    base.value(share.clone(), "%")
        .limit("100 %")
        .judge(Verdict::Beyond, format!("It would give out {share} % of the volt-amperes it takes: impossible. Power, volts, amperes or phases are misread."))
}

fn share_line(
    base: Line,
    kind: Option<MotorType>,
    range: (f64, f64),
    at: (f64, f64),
    share: f64,
) -> Line {
    if share > ROUNDING {
        return impossible(base, share);
    }
    let verdict = judge(share, range, ROUNDING);
    let of = kind.map_or("any type", kind_words);
    let said = figure(share * 100.0, 1);
    let (volts, amps) = (figure(at.0, 1), figure(at.1, 3));
    let note = match verdict {
        Verdict::Within => format!("At {volts} V and {amps} A as a motor of {of} has it."),
        _ if share > range.1 => format!(
            "At {volts} V and {amps} A it would give out {said} % of its volt-amperes; {} is what {of} has: the amperes are too few or the power too large.",
            percent(range)
        ),
        _ => format!(
            "At {volts} V and {amps} A it gives out only {said} % of its volt-amperes; {} is what {of} has: the amperes are too many or the power too small.",
            percent(range)
        ),
    };
    base.value(said, "%")
        .limit(percent(range))
        .judge(verdict, note)
}

/// Input watts: power factor and efficiency.
pub(super) fn input(plate: &Plate, working: &mut Working) {
    let Some(input) = above_zero(plate.more.input_power.value().map(|w| w.0)) else {
        return;
    };
    let base = line("input_power_factor", "Power factor from the input watts")
        .rule("W / (k V A)", "definition");
    let alternating = plate.motor_type.value() != Some(&MotorType::DirectCurrent);
    if let (Some(phases), true) = (phases(plate), alternating) {
        let factors = pairs(plate)
            .into_iter()
            .map(|(v, a)| input / (root(phases) * v * a));
        if let Some(factor) = factors.reduce(f64::min) {
            working.lines.push(factor_line(base, factor));
        }
    }
    let Some(output) = above_zero(plate.power.value().map(|w| w.0)) else {
        return;
    };
    let efficiency = output / input;
    let base = line("efficiency", "Efficiency from the input watts")
        .value(figure(efficiency * 100.0, 1), "%")
        .rule("output over input", TYPICAL);
    if efficiency >= 1.0 {
        working.lines.push(base.limit("100 %").judge(
            Verdict::Beyond,
            "It would give out more than it takes: impossible.",
        ));
        return;
    }
    let kind = plate.motor_type.value().copied();
    let Some(range) = kind
        .and_then(|kind| typical(kind, Watts(output)))
        .map(|range| range.efficiency)
    else {
        working
            .lines
            .push(base.judge(Verdict::Within, "Less comes out than goes in."));
        return;
    };
    let verdict = judge(efficiency, range, 1.0);
    let note = if verdict == Verdict::Within {
        "As usual for the type."
    } else {
        "Not as usual for the type and size."
    };
    working
        .lines
        .push(base.limit(percent(range)).judge(verdict, note));
}

fn factor_line(base: Line, factor: f64) -> Line {
    let base = base.value(figure(factor, 3), "").limit("1");
    if factor > ROUNDING {
        let note = format!(
            "A power factor of {} is impossible: watts, volts, amperes or phases are misread or misprinted.",
            figure(factor, 2)
        );
        base.judge(Verdict::Beyond, note)
    } else if factor > 1.0 {
        base.judge(
            Verdict::WithinNote,
            "Above 1 only by what rounding of the printed figures can make.",
        )
    } else {
        base.judge(
            Verdict::Within,
            "The watts are no more than the volt-amperes.",
        )
    }
}

/// Marked efficiency and power factor, by themselves and against the amperes.
pub(super) fn marked(plate: &Plate, working: &mut Working) {
    let factor = plate.power_factor.value().copied();
    let efficiency = plate.efficiency.value().copied();
    let over = |value: f64, most: f64| !value.is_finite() || value <= 0.0 || value > most;
    if let Some(factor) = factor.filter(|factor| over(*factor, 1.0)) {
        let base = line("marked_power_factor", "Marked power factor")
            .value(figure(factor, 3), "")
            .limit("1");
        working.lines.push(
            base.rule("watts over volt-amperes", "definition")
                .judge(Verdict::Beyond, "A power factor is above 0 and at most 1."),
        );
    }
    if let Some(efficiency) = efficiency.filter(|share| over(*share, 99.9)) {
        let base = line("marked_efficiency", "Marked efficiency")
            .value(figure(efficiency, 2), "%")
            .limit("100 %");
        working.lines.push(
            base.rule("output over input", "definition")
                .judge(Verdict::Beyond, "An efficiency is above 0 and below 100 %."),
        );
    }
    let (Some(power), Some(factor), Some(share), Some(phases)) = (
        above_zero(plate.power.value().map(|w| w.0)),
        factor,
        efficiency,
        phases(plate),
    ) else {
        return;
    };
    if over(factor, 1.0) || over(share, 99.9) {
        return;
    }
    for (volts, amps) in pairs(plate) {
        let due = power / (root(phases) * volts * factor * share / 100.0);
        let ratio = amps / due;
        let off = ratio.max(1.0 / ratio);
        let base = line(
            "marked_current",
            "Amperes from power, efficiency and power factor",
        )
        .value(figure(due, 3), "A")
        .limit(format!("{} A marked", figure(amps, 3)))
        .rule(
            "P / (k V eff pf), within 10 %",
            "NEMA MG 1 12.47 (cited), definition",
        );
        working.lines.push(match off {
            _ if off <= TENTH => base.judge(Verdict::Within, "The marked values agree."),
            _ if off <= HALF_AGAIN => base.judge(
                Verdict::WithinNote,
                "The marked amperes are off by more than a tenth.",
            ),
            _ => base.judge(
                Verdict::Beyond,
                "Power, efficiency, power factor, volts and amperes cannot all be true.",
            ),
        });
    }
}

/// Two ratings of one motor take the same volt-amperes: half the amperes at twice the volts.
pub(super) fn dual(plate: &Plate, working: &mut Working) {
    if plate.amps.value().is_none_or(|amps| amps.len() < 2) {
        return;
    }
    let pairs = pairs(plate);
    let Some((first, rest)) = pairs.split_first() else {
        return;
    };
    for other in rest {
        let ratio = (first.0 * first.1) / (other.0 * other.1);
        let off = ratio.max(1.0 / ratio);
        let due = first.0 * first.1 / other.0;
        let base = line("dual_rating", "Amperes of the other voltage")
            .value(figure(other.1, 3), "A")
            .limit(format!("{} A at {} V", figure(due, 3), figure(other.0, 1)))
            .rule(
                "volts times amperes are alike at both ratings",
                "common practice; NEMA MG 1 12.47 for the tenth",
            );
        working.lines.push(match off {
            _ if off <= TENTH + 0.02 => base.judge(Verdict::Within, "The ratings agree."),
            _ if off <= 1.3 => base.judge(Verdict::WithinNote, "The ratings differ by more than rounding and tolerance; usual only within a range such as 208 to 230 V."),
            _ => base.judge(Verdict::Beyond, "The ratings of one motor cannot differ so: amperes or volts are swapped or misread."),
        });
    }
}
