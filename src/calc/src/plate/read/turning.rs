//! The end from which a direction is seen.

use super::fact::{Kind, Mark};
use super::labelled::{has_number, sign, word};
use super::lex::Piece;
use super::phrases::{Entry, phrase};
use crate::plate::SeenFrom;

/// `CW FACING SHAFT END`: the end behind a direction, and the piece behind it.
pub(super) fn seen_from(pieces: &[Piece], next: usize) -> (Option<SeenFrom>, usize) {
    let mut at = next;
    let mut facing = false;
    while joins(pieces, at) {
        facing |= matches!(word(pieces, at), "FACING" | "LOOKING" | "VIEWING");
        at += 1;
    }
    match phrase(pieces, at) {
        Some((Entry::EndCode(seen) | Entry::Mark(Mark::Seen(seen)), end)) => (Some(seen), end),
        // `facing the shaft` looks at the shaft end.
        Some((Entry::Label(Kind::Shaft), end)) if facing && !has_number(pieces, end) => {
            (Some(SeenFrom::ShaftEnd), end)
        }
        _ => {
            let rotation = matches!(word(pieces, next), "ROTATION" | "ROT");
            (None, next + usize::from(rotation))
        }
    }
}

/// Signs and words between a direction and its end.
fn joins(pieces: &[Piece], at: usize) -> bool {
    const WORDS: &[&str] = &[
        "FACING", "SEEN", "VIEWED", "VIEWING", "FROM", "AT", "THE", "LOOKING", "ON", "ROTATION",
        "ROT", "WHEN", "VIEW", "OF", "INTO", "TO",
    ];
    let signs = matches!(
        sign(pieces, at),
        Some('/' | '-' | '(' | '@' | ',' | '.' | ':')
    );
    signs || WORDS.contains(&word(pieces, at))
}
