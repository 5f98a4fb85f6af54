//! Service factor, frame, temperature rise and code letter.

use super::limits::class;
use super::{above_zero, pairs, phases, root};
use crate::plate::Plate;
use crate::shown::{Fill, figure, line};
use crate::tables::nec;
use crate::units::{Amps, Watts};
use crate::working::{Line, Verdict, Working};

/// Service factor from 1.0 to 1.4, and its amperes above the full-load amperes.
pub(super) fn service_factor(plate: &Plate, working: &mut Working) {
    working.lines.extend(
        plate
            .service_factor
            .value()
            .map(|factor| factor_line(*factor)),
    );
    let first = |list: Option<&Vec<Amps>>| above_zero(list?.first().map(|a| a.0));
    let most = first(plate.more.service_factor_amps.value());
    if let (Some(most), Some(full)) = (most, first(plate.amps.value())) {
        let base = line("service_factor_amps", "Service-factor amperes")
            .value(figure(most, 2), "A")
            .limit(format!("{} A", figure(full, 2)))
            .rule("not below the full-load amperes", "definition");
        working.lines.push(if most < full * 0.999 {
            let note = "Less than the full-load amperes: the two are swapped or misread.";
            base.judge(Verdict::Beyond, note)
        } else {
            base.judge(Verdict::Within, "Not below the full-load amperes.")
        });
    }
}

fn factor_line(factor: f64) -> Line {
    let base = line("service_factor", "Service factor")
        .value(figure(factor, 3), "")
        .limit("1 to 1.4")
        .rule("small open motors up to 1.4", "NEMA MG 1 12.51");
    match factor {
        f if (1.0..=1.4).contains(&f) => base.judge(Verdict::Within, "As the standard has them."),
        f if f > 1.4 && f <= 2.0 => base.judge(
            Verdict::WithinNote,
            "Above what the standard has; read it again.",
        ),
        _ => base.judge(
            Verdict::Beyond,
            "A service factor is 1.0 or more, and never above 2.",
        ),
    }
}

/// Frame, and the least and most horsepower or kilowatts found on it at any pole count.
const NEMA: &[(&str, f64, f64)] = &[
    ("42", 1.0 / 40.0, 0.5),
    ("48", 1.0 / 15.0, 1.0),
    ("56", 1.0 / 8.0, 3.0),
    ("66", 0.5, 5.0),
    ("14", 0.5, 3.0),
    ("18", 0.75, 7.5),
    ("21", 1.5, 15.0),
    ("25", 3.0, 30.0),
    ("28", 7.5, 40.0),
    ("32", 15.0, 60.0),
    ("36", 20.0, 100.0),
    ("40", 30.0, 150.0),
    ("44", 40.0, 300.0),
];
const IEC: &[(&str, f64, f64)] = &[
    ("56", 0.03, 0.18),
    ("63", 0.06, 0.37),
    ("71", 0.09, 0.75),
    ("80", 0.18, 1.5),
    ("90", 0.37, 3.0),
    ("100", 0.75, 4.0),
    ("112", 1.5, 5.5),
    ("132", 2.2, 11.0),
    ("160", 4.0, 22.0),
    ("180", 11.0, 30.0),
    ("200", 15.0, 45.0),
    ("225", 18.5, 55.0),
    ("250", 30.0, 75.0),
    ("280", 37.0, 132.0),
];

/// Least and most watts of the frame; a 56 may be of either system.
fn frame_range(frame: &str) -> Option<(f64, f64)> {
    let size: String = frame.chars().take_while(char::is_ascii_digit).collect();
    let letters = frame.get(size.len()..)?;
    let metric = size.len() <= 3
        && matches!(
            letters,
            "" | "S" | "M" | "L" | "LA" | "LB" | "MA" | "MB" | "SA" | "SB"
        );
    let find = |table: &[(&str, f64, f64)], name: &str, unit: f64| {
        let (_, low, high) = table.iter().find(|(size, ..)| *size == name)?;
        Some((low * unit, high * unit))
    };
    let kilowatts = metric.then(|| find(IEC, &size, 1000.0)).flatten();
    let name = if size.len() == 3 {
        size.get(..2)?
    } else {
        &size
    };
    let integral = size.len() == 3 && letters.starts_with(['T', 'U', 'J']);
    let hp = (size.len() == 2 || integral)
        .then(|| find(NEMA, name, Watts::from_hp(1.0).0))
        .flatten();
    match (kilowatts, hp) {
        (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
        (a, b) => a.or(b),
    }
}

pub(super) fn frame(plate: &Plate, working: &mut Working) {
    let power = above_zero(plate.power.value().map(|w| w.0));
    let (Some(frame), Some(power)) = (plate.frame.value(), power) else {
        return;
    };
    let Some((low, high)) = frame_range(&frame.to_uppercase()) else {
        return;
    };
    let base = line("frame", "Power on this frame")
        .value(Watts(power).hp_words(), "")
        .limit(format!(
            "{} to {}",
            Watts(low).hp_words(),
            Watts(high).hp_words()
        ))
        .rule(
            "powers found on the frame at any pole count",
            "NEMA MG 13 and EN 50347, from memory",
        );
    working
        .lines
        .push(if power > high * 3.0 || power < low / 5.0 {
            base.judge(
                Verdict::Beyond,
                "No motor of this power is built on this frame: power or frame is misread.",
            )
        } else if power > high * 1.05 || power < low * 0.95 {
            base.judge(
                Verdict::WithinNote,
                "Unusual power for this frame; read both again.",
            )
        } else {
            base.judge(Verdict::Within, "A usual power for this frame.")
        });
}

/// Rise against the class, less what the ambient is above 40 °C.
pub(super) fn rise(plate: &Plate, working: &mut Working) {
    let (Some(letter), Some(rise)) = (
        plate.insulation.value(),
        above_zero(plate.rise.value().map(|r| r.0)),
    ) else {
        return;
    };
    let Some(class) = class(&format!("{letter:?}")) else {
        return;
    };
    let ambient = plate.ambient.value().map(|t| t.0).filter(|t| t.is_finite());
    let hotter = (ambient.unwrap_or(40.0) - 40.0).max(0.0);
    let base = line("rise", "Temperature rise")
        .value(figure(rise, 1), "K")
        .limit(format!(
            "{} K, at most {} K",
            figure(class.rise - hotter, 1),
            figure(class.largest - hotter, 1)
        ))
        .rule(
            "rise of the class, less what the ambient is above 40 °C",
            "NEMA MG 1 12.42, 12.43; IEC 60034-1",
        );
    working.lines.push(if rise > class.largest - hotter {
        base.judge(
            Verdict::Beyond,
            format!("More than class {letter:?} may have in any enclosure."),
        )
    } else if rise > class.rise - hotter {
        base.judge(
            Verdict::WithinNote,
            "Only at service-factor load, not ventilated or on a small frame.",
        )
    } else {
        base.judge(Verdict::Within, "Within the class.")
    });
}

/// Code letter against the locked-rotor amperes, or what it says of them.
pub(super) fn code_letter(plate: &Plate, working: &mut Working) {
    let Some(letter) = plate.code_letter.value().copied() else {
        return;
    };
    let base =
        line("code_letter", "Code letter").rule("locked-rotor kVA per horsepower", "NEC 430.7(B)");
    let Some((low, high)) = nec::code_letter(letter) else {
        let base = base.value(letter.to_string(), "");
        working
            .lines
            .push(base.judge(Verdict::Beyond, "Not a code letter."));
        return;
    };
    let power = above_zero(plate.power.value().map(|w| w.0));
    let (Some(power), Some(phases), Some((volts, amps))) =
        (power, phases(plate), pairs(plate).first().copied())
    else {
        return;
    };
    let kva = |amps: f64| root(phases) * volts * amps / 1000.0 / Watts(power).hp();
    let limit = match high {
        Some(high) => format!("{low} to {high} kVA/hp"),
        None => format!("{low} kVA/hp and more"),
    };
    let base = base.limit(limit);
    let marked = plate.more.locked_rotor_amps.value();
    working.lines.push(
        match marked.and_then(|list| above_zero(list.first().map(|a| a.0))) {
            Some(locked) => locked_line(base, kva(locked), (low, high)),
            None => starting_line(base, kva(amps), (low, high)),
        },
    );
}

fn locked_line(base: Line, found: f64, (low, high): (f64, Option<f64>)) -> Line {
    let base = base.value(figure(found, 2), "kVA/hp");
    if found >= low * 0.97 && high.is_none_or(|high| found <= high * 1.03) {
        base.judge(
            Verdict::Within,
            "The locked-rotor amperes are those of the letter.",
        )
    } else {
        let note = "The marked locked-rotor amperes are not those of the letter.";
        base.judge(Verdict::Beyond, note)
    }
}

/// Motors draw 2.5 to 12 times their full-load current at standstill.
fn starting_line(base: Line, full: f64, (low, high): (f64, Option<f64>)) -> Line {
    let base = base
        .value(
            figure(low / full, 1),
            "times the full-load amperes at least",
        )
        .rule(
            "locked-rotor amperes are 2.5 to 12 times full load",
            "NEC 430.7(B); common practice",
        );
    if low / full > 12.0 || high.is_some_and(|high| high / full < 2.5) {
        let note = "The letter makes an unusual starting current for these amperes; it may be a code of the maker.";
        base.judge(Verdict::WithinNote, note)
    } else {
        base.judge(
            Verdict::Within,
            "The letter makes a usual starting current.",
        )
    }
}
