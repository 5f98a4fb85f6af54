//! Numbers as people say them: "ten seventy-five", "one sixth", "two oh eight".

use super::lex::{Lex, Number, Piece, said};

/// Puts spoken numbers together, each as one piece over all of its words.
pub(super) fn gather(pieces: Vec<Piece>) -> Vec<Piece> {
    let mut out = Vec::with_capacity(pieces.len());
    let mut i = 0;
    while let Some(piece) = pieces.get(i) {
        match spoken(&pieces, i) {
            Some((number, next)) if next > i => {
                let end = pieces.get(next - 1).map_or(piece.at.end, |p| p.at.end);
                out.push(Piece {
                    lex: Lex::Number(number),
                    at: piece.at.start..end,
                    glued: piece.glued,
                });
                i = next;
            }
            _ => {
                out.push(piece.clone());
                i += 1;
            }
        }
    }
    out
}

fn word(pieces: &[Piece], i: usize) -> &str {
    pieces.get(i).and_then(Piece::word).unwrap_or("")
}

/// The value and the piece after it.
fn spoken(pieces: &[Piece], i: usize) -> Option<(Number, usize)> {
    if let Some(part) = named_part(word(pieces, i)) {
        return Some((said(part, true), i + 1));
    }
    if word(pieces, i) == "A" {
        let part = named_part(word(pieces, i + 1))?;
        return Some((said(part, true), i + 2));
    }
    if word(pieces, i) == "POINT" {
        let (text, next) = decimals(pieces, i + 1)?;
        return Some((said(format!("0.{text}").parse().ok()?, false), next));
    }
    let (value, next) = cardinal(pieces, i)?;
    if let Some((over, end)) = fraction(pieces, value, i, next) {
        return Some((said(over, true), end));
    }
    if word(pieces, next) == "POINT"
        && let Some((text, next)) = decimals(pieces, next + 1)
    {
        let mut number = said(format!("{value}.{text}").parse().ok()?, false);
        number.whole = false;
        return Some((number, next));
    }
    if word(pieces, next) == "AND" {
        let at = next + 1 + usize::from(word(pieces, next + 1) == "A");
        if let Some(part) = named_part(word(pieces, at)) {
            return Some((said(value + part, true), at + 1));
        }
        if let Some((over, at2)) = cardinal(pieces, next + 1)
            && let Some((part, end)) = fraction(pieces, over, next + 1, at2)
        {
            return Some((said(value + part, true), end));
        }
    }
    Some((said(value, false), next))
}

/// `one` before `sixth`, `three` before `quarters`, `one over six`, `one twenty-fifth`.
fn fraction(pieces: &[Piece], over: f64, from: usize, next: usize) -> Option<(f64, usize)> {
    if let Some(part) = tens_part(pieces, from) {
        return Some(part);
    }
    let dash = usize::from(pieces.get(next).and_then(Piece::sign) == Some('-'));
    if let Some(under) = ordinal(word(pieces, next + dash)) {
        return Some((over / under, next + dash + 1));
    }
    if word(pieces, next) == "OVER" {
        let (under, end) = cardinal(pieces, next + 1)?;
        return (under > 0.0).then_some((over / under, end));
    }
    None
}

/// "one twenty-fifth": the ten belongs to the ordinal, not to the number before it.
fn tens_part(pieces: &[Piece], from: usize) -> Option<(f64, usize)> {
    let first = small(word(pieces, from))?;
    let tens = tens(word(pieces, from + 1))?;
    let dash = usize::from(pieces.get(from + 2).and_then(Piece::sign) == Some('-'));
    let unit = ordinal(word(pieces, from + 2 + dash)).filter(|unit| *unit < 10.0)?;
    Some((first / (tens + unit), from + 3 + dash))
}

/// Digits behind the point, each said by itself or as one number: `one five`, `fifteen`, `oh`.
fn decimals(pieces: &[Piece], from: usize) -> Option<(String, usize)> {
    let mut text = String::new();
    let mut i = from;
    while text.len() < 4 {
        let word = word(pieces, i);
        let Some(value) = small(word).or_else(|| teen(word)).or_else(|| tens(word)) else {
            break;
        };
        text += &value.to_string();
        i += 1;
    }
    (i > from).then_some((text, i))
}

/// A whole number: `fifteen hundred`, `one thousand seventy five`, `ten seventy-five`, `two oh eight`.
fn cardinal(pieces: &[Piece], from: usize) -> Option<(f64, usize)> {
    let first = word(pieces, from);
    if first == "OH" || first == "O" || first == "NOUGHT" {
        return None;
    }
    let (mut value, mut i) = group(pieces, from)?;
    let mut figures = value.to_string().len();
    let mut scaled = 0.0;
    loop {
        match word(pieces, i) {
            "HUNDRED" if value < 100.0 => {
                scaled = value * 100.0;
                (value, i, figures) = (0.0, i + 1, 0);
            }
            "THOUSAND" if scaled + value < 100.0 => {
                scaled = (scaled + value) * 1000.0;
                (value, i, figures) = (0.0, i + 1, 0);
            }
            "AND" if scaled > 0.0 && value == 0.0 && group(pieces, i + 1).is_some() => i += 1,
            _ => {
                let Some((more, next)) = group(pieces, i) else {
                    break;
                };
                let width = more.to_string().len();
                if figures + width > 4 || (scaled > 0.0 && value > 0.0 && figures + width > 3) {
                    break;
                }
                value = value * 10f64.powi(width as i32) + more;
                figures += width;
                i = next;
            }
        }
    }
    Some((scaled + value, i))
}

/// One group of figures below a hundred.
fn group(pieces: &[Piece], i: usize) -> Option<(f64, usize)> {
    let first = word(pieces, i);
    if let Some(ten) = tens(first) {
        let dash = usize::from(pieces.get(i + 1).and_then(Piece::sign) == Some('-'));
        return match small(word(pieces, i + 1 + dash)).filter(|unit| *unit > 0.0) {
            Some(unit) => Some((ten + unit, i + 2 + dash)),
            None => Some((ten, i + 1)),
        };
    }
    small(first).or_else(|| teen(first)).map(|v| (v, i + 1))
}

fn small(word: &str) -> Option<f64> {
    let at = [
        "ZERO", "ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT", "NINE",
    ]
    .iter()
    .position(|name| *name == word)
    .or(matches!(word, "OH" | "O" | "NOUGHT").then_some(0))?;
    Some(at as f64)
}

fn teen(word: &str) -> Option<f64> {
    let at = [
        "TEN",
        "ELEVEN",
        "TWELVE",
        "THIRTEEN",
        "FOURTEEN",
        "FIFTEEN",
        "SIXTEEN",
        "SEVENTEEN",
        "EIGHTEEN",
        "NINETEEN",
    ]
    .iter()
    .position(|name| *name == word)?;
    Some(10.0 + at as f64)
}

fn tens(word: &str) -> Option<f64> {
    let at = [
        "TWENTY", "THIRTY", "FORTY", "FIFTY", "SIXTY", "SEVENTY", "EIGHTY", "NINETY",
    ]
    .iter()
    .position(|name| *name == word)?;
    Some(20.0 + 10.0 * at as f64)
}

/// Parts that are said without a number before them.
fn named_part(word: &str) -> Option<f64> {
    match word {
        "HALF" => Some(0.5),
        "QUARTER" => Some(0.25),
        "THIRD" | "FIFTH" | "SIXTH" | "SEVENTH" | "EIGHTH" | "TENTH" | "TWELFTH" => {
            ordinal(word).map(|under| 1.0 / under)
        }
        _ => None,
    }
}

/// What stands under the stroke of `one sixth`.
fn ordinal(word: &str) -> Option<f64> {
    let word = word.strip_suffix('S').unwrap_or(word);
    Some(match word {
        "HALF" | "HALVE" => 2.0,
        "THIRD" => 3.0,
        "QUARTER" | "FOURTH" => 4.0,
        "FIFTH" => 5.0,
        "SIXTH" => 6.0,
        "SEVENTH" => 7.0,
        "EIGHTH" => 8.0,
        "NINTH" => 9.0,
        "TENTH" => 10.0,
        "TWELFTH" => 12.0,
        "FIFTEENTH" => 15.0,
        "SIXTEENTH" => 16.0,
        "TWENTIETH" => 20.0,
        "THIRTIETH" => 30.0,
        "FORTIETH" => 40.0,
        "FIFTIETH" => 50.0,
        "SIXTIETH" => 60.0,
        "SEVENTIETH" => 70.0,
        "HUNDREDTH" => 100.0,
        _ => return None,
    })
}
