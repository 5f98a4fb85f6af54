//! Hazardous locations: class, division, groups and temperature code as one text.

use super::codes::{glued, sign, whole, word};
use super::fact::{Kind, Said};
use super::lex::Piece;
use super::phrases::{Entry, phrase};
use super::scan::Got;

/// `CLASS I DIV 1 GROUP D T3`: the listing as one text.
pub(super) fn hazard(pieces: &[Piece], i: usize, next: usize) -> Got {
    let last = next - 1;
    let at = (i..=last).find_map(|at| roman(pieces, at)).unwrap_or("I");
    let mut said = format!("Class {at}");
    // The class may have been taken together with DIV or GROUP: those are read again.
    let mut i = if matches!(word(pieces, last), "DIV" | "GROUP") {
        last
    } else {
        next
    };
    loop {
        let skip = usize::from(matches!(sign(pieces, i), Some(',' | '.' | '/')));
        let Some((part, next)) = part(pieces, i + skip) else {
            break;
        };
        said += &part;
        i = next;
    }
    // A motor may be listed for several classes.
    let comma = usize::from(matches!(sign(pieces, i), Some(',' | ';' | '/' | '&')));
    if let Some((Entry::Hazard, after)) = phrase(pieces, i + comma) {
        let more = hazard(pieces, i + comma, after);
        if let Some((_, Said::Text(text))) = more.facts.first() {
            said += &format!(", {text}");
            i = more.next;
        }
    }
    Got::of(Kind::HazardousListing, Said::Text(said), i)
}

/// `DIV 1`, `GROUP C, D` or `T3A`, and the piece behind it.
fn part(pieces: &[Piece], at: usize) -> Option<(String, usize)> {
    match word(pieces, at) {
        "DIV" | "DIVISION" => {
            let first = roman(pieces, at + 1)? == "I";
            Some((format!(" Div {}", if first { 1 } else { 2 }), at + 2))
        }
        "GROUP" | "GROUPS" | "GR" | "GRP" | "GP" => {
            let (letters, after) = groups(pieces, at + 1);
            (!letters.is_empty()).then(|| (format!(" Group {letters}"), after))
        }
        "T" => {
            let (code, _) = whole(pieces, at + 1).filter(|(code, _)| (1..=6).contains(code))?;
            let letter = word(pieces, at + 2);
            let tail = glued(pieces, at + 2) && matches!(letter, "A" | "B" | "C" | "D");
            let letter = if tail { letter } else { "" };
            Some((format!(" T{code}{letter}"), at + 2 + usize::from(tail)))
        }
        _ => None,
    }
}

fn roman(pieces: &[Piece], i: usize) -> Option<&'static str> {
    match (word(pieces, i), whole(pieces, i).map(|(figure, _)| figure)) {
        ("I", _) | (_, Some(1)) => Some("I"),
        ("II", _) | (_, Some(2)) => Some("II"),
        ("III", _) | (_, Some(3)) => Some("III"),
        _ => None,
    }
}

fn groups(pieces: &[Piece], i: usize) -> (String, usize) {
    let mut letters: Vec<&str> = Vec::new();
    let mut next = i;
    loop {
        let skip =
            usize::from(!letters.is_empty() && matches!(sign(pieces, next), Some(',' | '/' | '&')));
        let letter = word(pieces, next + skip);
        if !matches!(letter, "A" | "B" | "C" | "D" | "E" | "F" | "G") {
            break;
        }
        // `GROUP C, D FLANGE` and `GROUP C, A 5.0` go on with another value.
        let longer = phrase(pieces, next + skip).is_some_and(|(_, end)| end > next + skip + 1);
        if longer || whole(pieces, next + skip + 1).is_some() {
            break;
        }
        letters.push(letter);
        next += skip + 1;
    }
    (letters.join("/"), next)
}
