//! Units behind numbers, and lists of numbers in front of them.

use super::lex::{Number, Piece};

/// A unit as plates write it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    Horsepower,
    MetricHorsepower,
    Kilowatt,
    Watt,
    Volt,
    Amp,
    Milliamp,
    ServiceFactorAmp,
    Hertz,
    Rpm,
    Phase,
    Microfarad,
    Pole,
    Speed,
    Celsius,
    Fahrenheit,
    Kelvin,
    Minute,
    Hour,
    Percent,
    Inch,
    Millimetre,
    ServiceFactor,
    PowerFactor,
}

fn word(pieces: &[Piece], i: usize) -> &str {
    pieces.get(i).and_then(Piece::word).unwrap_or("")
}

fn sign(pieces: &[Piece], i: usize) -> Option<char> {
    pieces.get(i).and_then(Piece::sign)
}

fn whole(pieces: &[Piece], i: usize) -> Option<f64> {
    let number = pieces.get(i).and_then(Piece::number)?;
    number.whole.then_some(number.value)
}

/// The unit at `i` and the piece behind it.
pub(super) fn unit(pieces: &[Piece], i: usize) -> Option<(Unit, usize)> {
    let i = i + usize::from(sign(pieces, i) == Some('?'));
    let dash = sign(pieces, i) == Some('-') && pieces.get(i).is_some_and(|piece| piece.glued);
    let i = i + usize::from(dash && pieces.get(i + 1).is_some_and(|piece| piece.glued));
    if let Some(found) = turns_a_minute(pieces, i) {
        return Some((Unit::Rpm, found));
    }
    let next = word(pieces, i + 1);
    if sign(pieces, i) == Some('°')
        || word(pieces, i) == "DEG"
        || word(pieces, i).starts_with("DEGREE")
    {
        let dot = usize::from(sign(pieces, i + 1) == Some('.'));
        return match word(pieces, i + 1 + dot) {
            "C" | "CELSIUS" | "CENTIGRADE" => Some((Unit::Celsius, i + 2 + dot)),
            "F" | "FAHRENHEIT" => Some((Unit::Fahrenheit, i + 2 + dot)),
            "K" => Some((Unit::Kelvin, i + 2 + dot)),
            _ => Some((Unit::Celsius, i + 1)),
        };
    }
    match sign(pieces, i) {
        Some('%') => return Some((Unit::Percent, i + 1)),
        Some('"') => return Some((Unit::Inch, i + 1)),
        _ => {}
    }
    let pair = match (word(pieces, i), next) {
        ("HORSE", "POWER") => Some(Unit::Horsepower),
        ("V", "AC" | "DC") | ("VOLT" | "VOLTS", "AC" | "DC") => Some(Unit::Volt),
        ("SF", "AMPS" | "A") => Some(Unit::ServiceFactorAmp),
        ("SERVICE", "FACTOR") => Some(Unit::ServiceFactor),
        ("POWER", "FACTOR") => Some(Unit::PowerFactor),
        ("PER", "CENT") => Some(Unit::Percent),
        _ => None,
    };
    match pair {
        Some(pair) => Some((pair, i + 2)),
        None => Some((named(word(pieces, i))?, i + 1)),
    }
}

fn named(word: &str) -> Option<Unit> {
    Some(match word {
        "HP" | "HORSE" | "HORSEPOWER" => Unit::Horsepower,
        "PS" | "CV" => Unit::MetricHorsepower,
        "KW" | "KILOWATT" | "KILOWATTS" => Unit::Kilowatt,
        "W" | "WATT" | "WATTS" => Unit::Watt,
        "V" | "VOLT" | "VOLTS" | "VAC" | "VDC" => Unit::Volt,
        "A" | "AMP" | "AMPS" | "AMPERE" | "AMPERES" | "FLA" => Unit::Amp,
        "MA" | "MILLIAMPS" => Unit::Milliamp,
        "SFA" => Unit::ServiceFactorAmp,
        "HZ" | "HERTZ" | "CYC" | "CYCLE" | "CYCLES" | "CY" | "CPS" => Unit::Hertz,
        "PH" | "PHASE" | "PHASES" | "PHS" | "Ø" | "Φ" => Unit::Phase,
        "UF" | "MFD" | "MF" | "MICROFARAD" | "MICROFARADS" | "MIKE" | "UFD" => Unit::Microfarad,
        "POLE" | "POLES" => Unit::Pole,
        "SPD" | "SPDS" | "SPEED" | "SPEEDS" => Unit::Speed,
        "C" | "°C" | "CELSIUS" => Unit::Celsius,
        "F" | "°F" | "FAHRENHEIT" => Unit::Fahrenheit,
        "K" | "KELVIN" => Unit::Kelvin,
        "MIN" | "MINS" | "MINUTE" | "MINUTES" => Unit::Minute,
        "HR" | "HRS" | "HOUR" | "HOURS" => Unit::Hour,
        "PERCENT" => Unit::Percent,
        "IN" | "INCH" | "INCHES" => Unit::Inch,
        "MM" | "MILLIMETRES" | "MILLIMETERS" | "MILLIMETER" | "MILLIMETRE" => Unit::Millimetre,
        "SF" => Unit::ServiceFactor,
        "PF" => Unit::PowerFactor,
        _ => return None,
    })
}

/// `RPM`, `r/min`, `1/min`, `/min`, `min-1`, `min⁻¹`.
fn turns_a_minute(pieces: &[Piece], i: usize) -> Option<usize> {
    if matches!(word(pieces, i), "RPM" | "RPMS" | "REVS") {
        return Some(i + 1);
    }
    let minute = |at: usize| word(pieces, at) == "MIN";
    let turn = matches!(word(pieces, i), "R" | "REV" | "U" | "TR" | "T" | "OMW");
    if (turn || whole(pieces, i) == Some(1.0)) && sign(pieces, i + 1) == Some('/') && minute(i + 2)
    {
        return Some(i + 3);
    }
    if sign(pieces, i) == Some('/') && minute(i + 1) {
        return Some(i + 2);
    }
    let power = minute(i) && sign(pieces, i + 1) == Some('-') && whole(pieces, i + 2) == Some(1.0);
    let glued =
        pieces.get(i + 1).is_some_and(|p| p.glued) && pieces.get(i + 2).is_some_and(|p| p.glued);
    (power && glued).then_some(i + 3)
}

/// Numbers joined by strokes, dashes or `to`; those of one range share a group.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct List {
    pub numbers: Vec<Number>,
    pub groups: Vec<usize>,
    pub next: usize,
}

impl List {
    /// A list of one number with the piece behind it.
    pub fn one((number, next): (Number, usize)) -> List {
        List {
            numbers: vec![number],
            groups: vec![0],
            next,
        }
    }
}

/// How two numbers are joined at `i`: the piece behind, and whether they make one range.
pub(super) fn joined(pieces: &[Piece], i: usize) -> Option<(usize, bool)> {
    match (sign(pieces, i), word(pieces, i)) {
        (Some('/' | '&'), _) | (_, "OR" | "SLASH") => Some((i + 1, false)),
        (Some('-'), _) | (_, "TO" | "DASH" | "THROUGH") => Some((i + 1, true)),
        _ => None,
    }
}

/// The list that begins at `i`. With `fractions`, `1/6` and `7-1/2` are one number each.
pub(super) fn list(pieces: &[Piece], i: usize, fractions: bool) -> Option<List> {
    let mut out = List::one(one(pieces, i, fractions)?);
    let mut next = out.next;
    let mut group = 0;
    while let Some((at, range)) = joined(pieces, next) {
        // `1420 /min` and `1425 1/min` end at the stroke of their unit.
        if turns_a_minute(pieces, next).is_some() || out.numbers.len() >= 8 {
            break;
        }
        let Some((number, after)) = one(pieces, at, fractions) else {
            break;
        };
        group += usize::from(!range);
        out.numbers.push(number);
        out.groups.push(group);
        next = after;
    }
    out.next = next;
    Some(out)
}

/// One number at `i`: with `fractions` also `1/6`, `1 1/2`, `7-1/2`, `1 ½`.
pub(super) fn one(pieces: &[Piece], i: usize, fractions: bool) -> Option<(Number, usize)> {
    let first = pieces.get(i)?.number()?;
    if !first.whole && !first.fraction || first.comma.is_some() {
        return Some((first, i + 1));
    }
    if !fractions || first.fraction {
        // `1½` without a blank is one number whatever follows.
        return Some(glued_half(pieces, i, first));
    }
    if let Some((part, next)) = proper(pieces, i) {
        return Some((part, next));
    }
    let dash = usize::from(sign(pieces, i + 1) == Some('-'));
    if first.value < 100.0
        && let Some((part, next)) = proper(pieces, i + 1 + dash)
    {
        let value = first.value + part.value;
        return Some((Number { value, ..part }, next));
    }
    Some((first, i + 1))
}

fn glued_half(pieces: &[Piece], i: usize, first: Number) -> (Number, usize) {
    let half = pieces.get(i + 1).filter(|piece| piece.glued);
    match half.and_then(Piece::number) {
        Some(part) if part.fraction && !first.fraction => {
            let value = first.value + part.value;
            (Number { value, ..part }, i + 2)
        }
        _ => (first, i + 1),
    }
}

/// A fraction below one: `1/6`, `½`, `one sixth`.
fn proper(pieces: &[Piece], i: usize) -> Option<(Number, usize)> {
    let over = pieces.get(i)?.number()?;
    if over.fraction {
        return (over.value < 1.0).then_some((over, i + 1));
    }
    if sign(pieces, i + 1) != Some('/') {
        return None;
    }
    let (over, under) = (whole(pieces, i)?, whole(pieces, i + 2)?);
    let fits = over > 0.0 && over < under && under <= 100.0;
    fits.then(|| (super::lex::said(over / under, true), i + 3))
}
