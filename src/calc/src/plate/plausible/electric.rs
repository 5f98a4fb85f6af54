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
    let pairs = pairs(plate);
    let power = match (
        above_zero(plate.power.value().map(|w| w.0)),
        pairs.is_empty(),
    ) {
        (None, true) => return,
        (Some(power), false) => power,
        (None, false) => return lacks(working, base, "Output power"),
        (Some(_), true) => return lacks(working, base, "Volts and full-load amperes"),
    };
    let Some(phases) = phases(plate) else {
        return without_phases(working, base, power, &pairs);
    };
    let kind = plate.motor_type.value().copied();
    let ranges = kind
        .and_then(|kind| typical(kind, Watts(power)))
        .or_else(any);
    let Some(range) = ranges.map(|range| range.product()) else {
        return;
    };
    let share = |(v, a): &(f64, f64)| {
        let share = power / (root(phases) * v * a);
        share_line(base.clone(), kind, range, (*v, *a), share)
    };
    let mut lines: Vec<Line> = pairs.iter().map(share).collect();
    // With one current for several voltages the best fit counts.
    if plate.amps.value().is_some_and(|amps| amps.len() == 1) {
        lines.sort_by_key(|line| line.verdict.map_or(0, Verdict::severity));
        lines.truncate(1);
    }
    working.lines.extend(lines);
}

/// What is impossible on three phases is impossible on one as well.
fn without_phases(working: &mut Working, base: Line, power: f64, pairs: &[(f64, f64)]) {
    let shares = pairs.iter().map(|(v, a)| power / (root(3) * v * a));
    let least = shares.fold(f64::INFINITY, f64::min);
    if least > ROUNDING {
        working.lines.push(impossible(base, least));
        return;
    }
    let why = "Three phases carry 1.73 times the power of one at the same volts and amperes.";
    let how = "Read PH on the plate, or count the supply leads.";
    ask(working, base, "Phases", why, how);
}

fn lacks(working: &mut Working, base: Line, what: &'static str) {
    let why = "Power, volts and amperes check each other.";
    ask(
        working,
        base,
        what,
        why,
        "Read the plate, or measure under load.",
    );
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
    let alternating = plate.motor_type.value() != Some(&MotorType::DirectCurrent);
    if let (Some(phases), true) = (phases(plate), alternating) {
        let factors = pairs(plate)
            .into_iter()
            .map(|(v, a)| input / (root(phases) * v * a));
        working
            .lines
            .extend(factors.reduce(f64::min).map(factor_line));
    }
    if let Some(output) = above_zero(plate.power.value().map(|w| w.0)) {
        let kind = plate.motor_type.value().copied();
        let range = kind.and_then(|kind| typical(kind, Watts(output)));
        working.lines.push(efficiency_line(
            output / input,
            range.map(|range| range.efficiency),
        ));
    }
}

fn efficiency_line(efficiency: f64, range: Option<(f64, f64)>) -> Line {
    let base = line("efficiency", "Efficiency from the input watts")
        .value(figure(efficiency * 100.0, 1), "%")
        .rule("output over input", TYPICAL);
    if efficiency >= 1.0 {
        let note = "It would give out more than it takes: impossible.";
        return base.limit("100 %").judge(Verdict::Beyond, note);
    }
    let Some(range) = range else {
        return base.judge(Verdict::Within, "Less comes out than goes in.");
    };
    let verdict = judge(efficiency, range, 1.0);
    let note = match verdict {
        Verdict::Within => "As usual for the type.",
        _ => "Not as usual for the type and size.",
    };
    base.limit(percent(range)).judge(verdict, note)
}

fn factor_line(factor: f64) -> Line {
    let base = line("input_power_factor", "Power factor from the input watts")
        .value(figure(factor, 3), "")
        .limit("1")
        .rule("W / (k V A)", "definition");
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
    let over = |value: &f64, most: f64| !value.is_finite() || *value <= 0.0 || *value > most;
    if let Some(factor) = factor.filter(|factor| over(factor, 1.0)) {
        let base = line("marked_power_factor", "Marked power factor")
            .value(figure(factor, 3), "")
            .limit("1")
            .rule("watts over volt-amperes", "definition");
        let note = "A power factor is above 0 and at most 1.";
        working.lines.push(base.judge(Verdict::Beyond, note));
        return;
    }
    if let Some(efficiency) = efficiency.filter(|share| over(share, 99.9)) {
        let base = line("marked_efficiency", "Marked efficiency")
            .value(figure(efficiency, 2), "%")
            .limit("100 %")
            .rule("output over input", "definition");
        let note = "An efficiency is above 0 and below 100 %.";
        working.lines.push(base.judge(Verdict::Beyond, note));
        return;
    }
    let power = above_zero(plate.power.value().map(|w| w.0));
    if let (Some(power), Some(factor), Some(share), Some(phases)) =
        (power, factor, efficiency, phases(plate))
    {
        let due = |volts: f64| power / (root(phases) * volts * factor * share / 100.0);
        let lines = pairs(plate)
            .into_iter()
            .map(|(v, a)| current_line(due(v), a));
        working.lines.extend(lines);
    }
}

fn current_line(due: f64, amps: f64) -> Line {
    let off = (amps / due).max(due / amps);
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
    match off {
        _ if off <= TENTH => base.judge(Verdict::Within, "The marked values agree."),
        _ if off <= HALF_AGAIN => base.judge(
            Verdict::WithinNote,
            "The marked amperes are off by more than a tenth.",
        ),
        _ => {
            let note = "Power, efficiency, power factor, volts and amperes cannot all be true.";
            base.judge(Verdict::Beyond, note)
        }
    }
}

/// Two ratings of one motor take the same volt-amperes: half the amperes at twice the volts. Between
/// a voltage and one of a range (`115/208-230`) they may differ by as much as the range is wide.
pub(super) fn dual(plate: &Plate, working: &mut Working) {
    if plate.amps.value().is_none_or(|amps| amps.len() < 2) {
        return;
    }
    let pairs = pairs(plate);
    if let Some((first, rest)) = pairs.split_first() {
        working
            .lines
            .extend(rest.iter().map(|other| dual_line(*first, *other)));
    }
}

fn dual_line(first: (f64, f64), other: (f64, f64)) -> Line {
    let taken = |(volts, amps): (f64, f64)| volts * amps;
    let ratio = taken(first) / taken(other);
    let off = ratio.max(1.0 / ratio);
    let volts = (first.0 / other.0).max(other.0 / first.0);
    let reconnected = [2.0, 3f64.sqrt()]
        .iter()
        .any(|step| (volts / step - 1.0).abs() < 0.03);
    let room = if reconnected { TENTH + 0.02 } else { 1.2 };
    let base = line("dual_rating", "Amperes of the other voltage")
        .value(figure(other.1, 3), "A")
        .limit(format!(
            "{} A at {} V",
            figure(taken(first) / other.0, 3),
            figure(other.0, 1)
        ))
        .rule(
            "volts times amperes are alike at both ratings",
            "common practice; NEMA MG 1 12.47 for the tenth",
        );
    match off {
        _ if off <= room => base.judge(Verdict::Within, "The ratings agree."),
        _ if off <= 1.3 => {
            let note = "The ratings differ by more than rounding and tolerance: read them again.";
            base.judge(Verdict::WithinNote, note)
        }
        _ => {
            let note = "The ratings of one motor cannot differ so: amperes or volts are swapped or misread.";
            base.judge(Verdict::Beyond, note)
        }
    }
}
