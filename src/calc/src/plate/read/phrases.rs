//! The words and labels of plates, and what each of them means.

use super::fact::{Kind, Mark};
use super::labels::{LABELS, WORDS};
use super::lex::Piece;
use super::marks::{MARKS, TURNS};
use crate::plate::{How, SeenFrom};
use std::collections::HashMap;
use std::sync::LazyLock;

/// What a phrase is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Entry {
    Mark(Mark),
    /// Read so, though it could mean something else: why.
    Unsure(Mark, &'static str),
    /// A value follows.
    Label(Kind),
    /// The end from which a direction is seen, only behind a direction.
    EndCode(SeenFrom),
    /// Joins words and says nothing itself.
    Filler,
    /// Understood, and no value of the plate.
    NotUsed(&'static str),
    /// A number or name follows that is not used.
    Named(&'static str),
    /// Words follow that are not used.
    Names(&'static str),
    How(How),
    Unreadable,
    /// Hazardous location: the class follows.
    Hazard,
    /// Names of taps, before or behind their figures.
    Tap,
}

type Table = HashMap<&'static str, Vec<(Vec<&'static str>, Entry)>>;

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    let mut table = Table::new();
    for (phrases, entry) in LABELS.iter().chain(WORDS).chain(MARKS).chain(TURNS) {
        for phrase in phrases.split('|') {
            let words: Vec<&'static str> = phrase.split(' ').collect();
            if let Some((first, rest)) = words.split_first() {
                table
                    .entry(first)
                    .or_default()
                    .push((rest.to_vec(), *entry));
            }
        }
    }
    for list in table.values_mut() {
        list.sort_by_key(|(rest, _)| std::cmp::Reverse(rest.len()));
    }
    table
});

/// The longest phrase that begins at `i`, and the piece after it. Between its words may stand a
/// dash, a stroke or a dot.
pub(super) fn phrase(pieces: &[Piece], i: usize) -> Option<(Entry, usize)> {
    let first = pieces.get(i)?.word()?;
    for (rest, entry) in TABLE.get(first)? {
        let mut next = i + 1;
        let whole = rest.iter().all(|word| {
            let joined = pieces
                .get(next)
                .and_then(Piece::sign)
                .is_some_and(|sign| matches!(sign, '-' | '/' | '.' | '&' | '\''));
            let at = next + usize::from(joined);
            let same = pieces.get(at).is_some_and(|piece| match piece.word() {
                Some(text) => text == *word,
                None => piece
                    .number()
                    .is_some_and(|n| n.whole && word.parse() == Ok(n.value)),
            });
            next = at + 1;
            same
        });
        if whole {
            return Some((*entry, next));
        }
    }
    None
}
