//! A working in the units of a shop that thinks in inches, feet and horsepower.
//!
//! Calculations are made and written in SI. For such a shop every figure that stands before an SI
//! unit is converted where it is read, in values, limits, margins, notes and named work alike; a
//! trade figure that followed in brackets goes, for it would say the same twice. Degrees Celsius
//! stay, as plates and code tables have them; so do volts, amperes, hertz and rpm.

use crate::units::{MM_PER_INCH, Watts};
use crate::working::{Line, Missing, Text, Working};

/// One unit and what replaces it.
struct Unit {
    si: &'static str,
    us: &'static str,
    /// US units in one SI unit.
    ratio: f64,
}

const fn unit(si: &'static str, us: &'static str, ratio: f64) -> Unit {
    Unit { si, us, ratio }
}

/// Longer names first, so that `mm/s` is not read as `mm`. Conversions: NIST SP 811.
const UNITS: &[Unit] = &[
    unit("kg/m³", "lb/ft³", 1.0 / 16.018_463_37),
    unit("g mm", "oz in", 1.0 / 720.077_8),
    unit("mm/s", "in/s", 1.0 / MM_PER_INCH),
    unit("m³/s", "cfm", 1.0 / 0.000_471_947_443_2),
    unit("N m", "lb-ft", 1.0 / 1.355_817_948),
    unit("m/s", "ft/min", 1.0 / 0.005_08),
    unit("mm", "in", 1.0 / MM_PER_INCH),
    unit("Pa", "inwg", 1.0 / 249.088_91),
    unit("kg", "lb", 1.0 / 0.453_592_37),
    unit("kW", "hp", 1.0 / 0.745_699_872),
    unit("m", "ft", 1.0 / 0.3048),
    unit("N", "lbf", 1.0 / 4.448_221_615),
    unit("W", "hp", 1.0 / 745.699_872),
];

/// Lines whose watts are electrical, which no shop says in horsepower.
const ELECTRICAL: [&str; 6] = ["input", "electrical", "loss", "kWh", "V·A", "energy"];

impl Working {
    /// The same working with its figures in inches, feet, pounds and horsepower.
    pub fn in_us_units(&self) -> Working {
        let text = |text: &Text| -> Text { converted(text, true).into() };
        Working {
            title: text(&self.title),
            lines: self.lines.iter().map(line).collect(),
            missing: self
                .missing
                .iter()
                .map(|missing| Missing {
                    what: text(&missing.what),
                    why: text(&missing.why),
                    how: text(&missing.how),
                })
                .collect(),
            cautions: self.cautions.iter().map(text).collect(),
        }
    }
}

fn line(line: &Line) -> Line {
    let said = format!("{} {} {}", line.key, line.label, line.rule).to_lowercase();
    let shaft = !ELECTRICAL.iter().any(|word| said.contains(word));
    let text = |text: &Text| -> Text { converted(text, shaft).into() };
    let mut out = Line {
        label: text(&line.label),
        limit: text(&line.limit),
        margin: text(&line.margin),
        note: text(&line.note),
        rule: text(&line.rule),
        work: line.work.iter().map(text).collect(),
        ..line.clone()
    };
    let whole = converted(&format!("{} {}", line.value, line.unit), shaft);
    match UNITS.iter().find(|unit| unit.si == line.unit) {
        Some(unit) if whole.ends_with(unit.us) => {
            out.value = whole.trim_end_matches(unit.us).trim_end().to_owned().into();
            out.unit = unit.us.into();
            if says_again(&out.note, unit.us) {
                out.note = "".into();
            }
        }
        _ => out.value = text(&line.value),
    }
    out
}

/// A note that is only the value in US units, as SI readers want it.
fn says_again(note: &str, us: &str) -> bool {
    note.strip_suffix(us)
        .is_some_and(|figure| figure.trim().parse::<f64>().is_ok())
}

/// One sentence of a working, such as a piece of named work, as [`Working::in_us_units`] says it.
pub fn in_us_units(text: &str) -> String {
    converted(text, true)
}

/// The text with every figure before an SI unit converted.
fn converted(text: &str, watts: bool) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((at, unit)) = next_unit(rest, watts) {
        let (before, after) = (&rest[..at], &rest[at + unit.si.len()..]);
        let figures = figures_at_end(before);
        if figures.is_empty() {
            out.push_str(&rest[..at + unit.si.len()]);
            rest = after;
            continue;
        }
        let start = figures[0].0;
        out.push_str(&before[..start]);
        let mut from = start;
        for &(begin, end) in &figures {
            out.push_str(&before[from..begin]);
            out.push_str(&figure(&before[begin..end], unit));
            from = end;
        }
        out.push_str(&before[from..]);
        out.push_str(unit.us);
        rest = without_repeat(after, unit.us);
    }
    out.push_str(rest);
    out
}

/// The first place where an SI unit stands as a word of its own after a figure.
fn next_unit(text: &str, watts: bool) -> Option<(usize, &'static Unit)> {
    text.char_indices().find_map(|(at, _)| {
        let before = text[..at].chars().next_back()?;
        if !(before == ' ' || before == '\u{a0}' || before.is_ascii_digit()) {
            return None;
        }
        let unit = UNITS.iter().find(|unit| {
            text[at..].starts_with(unit.si)
                && !text[at + unit.si.len()..]
                    .chars()
                    .next()
                    .is_some_and(|c| c.is_alphanumeric() || "/²³·%".contains(c))
                && (watts || !matches!(unit.si, "W" | "kW"))
        })?;
        (!figures_at_end(&text[..at]).is_empty()).then_some((at, unit))
    })
}

/// The figures right before a unit, first to last: `12.7`, or the two of `12.7 to 15.9`.
fn figures_at_end(text: &str) -> Vec<(usize, usize)> {
    const BETWEEN: [&str; 8] = [" to ", " and ", " or ", " x ", " × ", "/", "–", "-"];
    let mut found = Vec::new();
    let mut end = text.trim_end_matches([' ', '\u{a0}']).len();
    loop {
        let begin = text[..end]
            .rfind(|c: char| !(c.is_ascii_digit() || c == '.'))
            .map_or(0, |at| {
                at + text[at..].chars().next().map_or(1, char::len_utf8)
            });
        if begin == end || text[begin..end].parse::<f64>().is_err() {
            break;
        }
        // A letter or a fraction stroke right before makes it a name, such as `M8`.
        if text[..begin].ends_with(|c: char| c.is_alphabetic()) {
            break;
        }
        found.push((begin, end));
        match BETWEEN.iter().find(|word| text[..begin].ends_with(**word)) {
            Some(word) => end = begin - word.len(),
            None => break,
        }
    }
    found.reverse();
    found
}

/// A figure in the US unit, to as many figures as it had and at least three.
fn figure(text: &str, unit: &Unit) -> String {
    let value: f64 = text.parse().unwrap_or(0.0);
    let to = value * unit.ratio;
    if unit.us == "hp" {
        let words = Watts::from_hp(to).hp_words();
        return words.trim_end_matches(" hp").to_owned();
    }
    if unit.us == "in"
        && let Some(words) = sixteenths(to)
    {
        return words;
    }
    if to == 0.0 || !to.is_finite() {
        return "0".to_owned();
    }
    let digits = text.chars().filter(char::is_ascii_digit).count();
    let figures = digits.clamp(3, 6) as i32;
    let places = (figures - 1 - to.abs().log10().floor() as i32).max(0);
    crate::shown::figure(to, places as usize)
}

/// A length that a rule shows: whole sixteenths of an inch, within 0.05 mm.
fn sixteenths(inches: f64) -> Option<String> {
    let count = (inches * 16.0).round();
    if (inches - count / 16.0).abs() > 0.002 || !(1.0..=1600.0).contains(&count) {
        return None;
    }
    let (whole, mut over, mut under) = (count as u32 / 16, count as u32 % 16, 16);
    while over > 0 && over % 2 == 0 {
        (over, under) = (over / 2, under / 2);
    }
    Some(match (whole, over) {
        (whole, 0) => whole.to_string(),
        (0, over) => format!("{over}/{under}"),
        (whole, over) => format!("{whole} {over}/{under}"),
    })
}

/// What follows a converted figure, without the same said again in brackets.
fn without_repeat<'a>(after: &'a str, us: &str) -> &'a str {
    let Some(inner) = after.strip_prefix(" (") else {
        return after;
    };
    match inner.find(')') {
        Some(end) if inner[..end].ends_with(us) => &inner[end + 1..],
        _ => after,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn us(text: &str) -> String {
        converted(text, true)
    }

    #[test]
    fn figures_before_units_are_converted_wherever_they_stand() {
        assert_eq!(us("cut the shaft by 6.35 mm"), "cut the shaft by 1/4 in");
        assert_eq!(us("12.7 to 15.875 mm"), "1/2 to 5/8 in");
        assert_eq!(us("at most 33.02 m/s."), "at most 6500 ft/min.");
        assert_eq!(us("12.7 mm (1/2 in), keyed"), "1/2 in, keyed");
        assert_eq!(us("124.3 W (1/6 hp)"), "1/6 hp");
        assert_eq!(us("1.2041 kg/m³"), "0.07517 lb/ft³");
        assert_eq!(us("7.1 mm/s r.m.s."), "0.28 in/s r.m.s.");
        assert_eq!(us("30 m one way"), "98.4 ft one way");
        assert_eq!(us("13 x 40 mm"), "0.512 x 1.57 in");
    }

    #[test]
    fn what_is_no_length_stays() {
        assert_eq!(us("4 mm² copper"), "4 mm² copper");
        assert_eq!(us("3 months"), "3 months");
        assert_eq!(us("thread M8, 2 m/s²"), "thread M8, 2 m/s²");
        assert_eq!(us("60 mW and 115 V"), "60 mW and 115 V");
        assert_eq!(us("at 40 °C, 1075 rpm"), "at 40 °C, 1075 rpm");
        assert_eq!(converted("input 800 W", false), "input 800 W");
    }

    #[test]
    fn the_value_changes_with_its_unit() {
        let line = line(&Line {
            key: "shaft".into(),
            value: "12.7".into(),
            unit: "mm".into(),
            limit: "at least 25.4 mm".into(),
            ..Line::default()
        });
        assert_eq!((&*line.value, &*line.unit), ("1/2", "in"));
        assert_eq!(line.limit, "at least 1 in");
    }

    #[test]
    fn a_note_that_only_said_it_in_us_units_goes() {
        let line = line(&Line {
            value: "0.55".into(),
            unit: "m³/s".into(),
            note: "1165.4 cfm".into(),
            ..Line::default()
        });
        assert_eq!((&*line.value, &*line.unit), ("1165", "cfm"));
        assert_eq!(line.note, "");
    }

    proptest! {
        #[test]
        fn any_text_is_survived(text in "(\\PC|[0-9./ mNsWkgPa³²-]){0,60}") {
            converted(&text, true);
        }
    }
}
