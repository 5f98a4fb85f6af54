//! What stands on plates and is not used: serial and catalogue numbers, dates, makers.

use super::labelled::{sign, word};
use super::lex::{Piece, parts};
use super::phrases::phrase;
use super::scan::{Got, Taken, chunk};

/// A number or name that is not used: one run of letters, figures, dashes and strokes.
pub(super) fn named(pieces: &[Piece], next: usize, words: &'static str) -> Taken {
    let mut at = next;
    while sign(pieces, at).is_some_and(|sign| parts(sign) || sign == '#' || sign == '-')
        || matches!(word(pieces, at), "NO" | "NR" | "NUMBER" | "CODE")
    {
        at += 1;
    }
    let end = chunk(pieces, at);
    let figures = pieces
        .iter()
        .take(end)
        .skip(at)
        .any(|piece| piece.number().is_some());
    let word = pieces.get(at).is_some_and(|piece| piece.word().is_some());
    let own_unit = pieces.get(at).is_some_and(|p| p.number().is_some())
        && words == "weight"
        && pieces
            .get(end)
            .is_some_and(|p| matches!(p.word(), Some("KG" | "LB" | "LBS")));
    if at < pieces.len() && (figures || word && phrase(pieces, at).is_none()) {
        return Ok(Got::not_used(words, end + usize::from(own_unit)));
    }
    Ok(Got::not_used(words, next))
}

/// Words that are not used, to the next parting sign or word of plates; at most four.
pub(super) fn names(pieces: &[Piece], next: usize, words: &'static str) -> Taken {
    let mut at = next;
    while matches!(sign(pieces, at), Some(':' | '=' | '.')) {
        at += 1;
    }
    let mut end = at;
    for _ in 0..4 {
        let word = pieces.get(end).is_some_and(|piece| piece.word().is_some());
        if !word || phrase(pieces, end).is_some() {
            break;
        }
        end = chunk(pieces, end);
    }
    Ok(Got::not_used(words, if end > at { end } else { next }))
}
