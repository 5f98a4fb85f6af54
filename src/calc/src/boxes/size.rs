//! Boxes by trade size, and the room they give.

use crate::figure::fraction;
use crate::tables::equipment::{BOXES, BoxRow};
use rust_decimal::Decimal;

/// The room of a box before its contents.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoxRoom {
    /// Trade size and kind as printed.
    pub name: String,
    /// Cubic inches; of one gang where `by_gang`.
    pub volume: Decimal,
    /// The printed volume is that of one gang.
    pub by_gang: bool,
}

fn room(row: &BoxRow) -> BoxRoom {
    let faces = row.kind.starts_with("FS");
    BoxRoom {
        name: if faces {
            row.name.clone()
        } else {
            format!("{} {}", row.name, row.kind)
        },
        volume: row.volume,
        by_gang: row.kind.ends_with("/gang") || row.name.contains("multiple"),
    }
}

/// The text with its figures and words parted by blanks.
fn parted(text: &str) -> String {
    let lower = text.to_lowercase().replace('×', " x ");
    let mut spaced = String::new();
    let letters: Vec<char> = lower.chars().collect();
    for (at, c) in letters.iter().enumerate() {
        let digit = |at: Option<usize>| {
            at.and_then(|at| letters.get(at))
                .is_some_and(char::is_ascii_digit)
        };
        match c {
            'x' if digit(at.checked_sub(1)) && digit(Some(at + 1)) => spaced.push_str(" x "),
            '"' | '(' | ')' | ',' => spaced.push(' '),
            // A bar inside a fraction stays; one between words parts them.
            '/' | '-' if !digit(Some(at + 1)) => spaced.push(' '),
            c => spaced.push(*c),
        }
    }
    spaced
}

/// A size as figures and words: `4 x 1-1/2 square` is `[4, 1.5]` and `["square"]`.
fn read(text: &str) -> (Vec<f64>, Vec<String>) {
    let (mut figures, mut words): (Vec<f64>, Vec<String>) = (Vec::new(), Vec::new());
    let mut joined = false;
    for token in parted(text).split_whitespace() {
        match fraction(token) {
            // `4 11/16` is one figure in two pieces.
            Some(part) if joined && part < 1.0 && token.contains('/') => {
                if let Some(last) = figures.last_mut() {
                    *last += part;
                }
                joined = false;
            }
            Some(figure) => {
                figures.push(figure);
                joined = figure.fract() == 0.0;
            }
            None => {
                joined = false;
                if !matches!(
                    token,
                    "x" | "in" | "inch" | "inches" | "box" | "by" | "gang"
                ) {
                    words.push(token.to_owned());
                }
            }
        }
    }
    (figures, words)
}

fn row_matches(row: &BoxRow, figures: &[f64], words: &[String]) -> bool {
    let faces = row.kind.starts_with("FS");
    let text = if faces {
        row.name.clone()
    } else {
        format!("{} {}", row.name, row.kind)
    };
    let (own_figures, own_words) = read(&text);
    let same_size = own_figures.len() == figures.len()
        && own_figures
            .iter()
            .zip(figures)
            .all(|(own, asked)| (own - asked).abs() < 1e-3);
    // The depth of the FS and FD boxes is part of their name and need not be said.
    let sized = same_size || (faces && figures.is_empty());
    let said = |word: &String| {
        own_words
            .iter()
            .any(|own| own == word || own.strip_suffix("al") == Some(word))
    };
    sized && !(figures.is_empty() && words.is_empty()) && words.iter().all(said)
}

/// The boxes that a text such as `4 x 1-1/2 square` names: none, one, or several where it leaves
/// the kind open. Source: NEC 314.16(A).
pub fn find_box(text: &str) -> Vec<BoxRoom> {
    let (mut figures, mut words) = read(text);
    // `4 x 4 x 1-1/2` is the square box of 4 in.
    if figures.len() == 3 && figures[0] == figures[1] && words.is_empty() {
        figures.remove(0);
        words.push("square".into());
    }
    BOXES
        .iter()
        .filter(|row| row_matches(row, &figures, &words))
        .map(room)
        .collect()
}

/// The smallest box of a kind (`square`, `octagonal`, `device`) with at least this room, in cubic
/// inches. `None` where none of the table is large enough. Source: NEC 314.16(A).
pub fn smallest_box(kind: &str, fill: Decimal) -> Option<BoxRoom> {
    BOXES
        .iter()
        .filter(|row| row.kind.contains(kind) && row.volume >= fill)
        .min_by_key(|row| row.volume)
        .map(room)
}
