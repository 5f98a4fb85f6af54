//! Walks over the pieces of a text and takes one value after the other.

use super::fact::{Fact, Kind, Mark, Said};
use super::lex::{self, Piece, parts};
use super::phrases::{Entry, phrase};
use super::{
    Doubt, NotUnderstood, Understood, codes, degrees, hazard, labelled, measures, not_used, spoken,
    taps, turning, wording,
};
use crate::plate::How;
use std::ops::Range;

/// Longest text that is read, in bytes.
const LONGEST: usize = 20_000;

/// What was taken at one place.
#[derive(Debug, Default)]
pub(super) struct Got {
    pub facts: Vec<(Kind, Said)>,
    pub doubt: Option<String>,
    /// What it is where it is no value of the plate.
    pub not_used: Option<&'static str>,
    pub how: Option<How>,
    pub next: usize,
}

impl Got {
    pub fn of(kind: Kind, said: Said, next: usize) -> Got {
        Got {
            facts: vec![(kind, said)],
            next,
            ..Got::default()
        }
    }
    pub fn mark(mark: Mark, next: usize) -> Got {
        Got::of(mark.kind(), Said::Mark(mark), next)
    }
    pub fn figure(kind: Kind, value: f64, next: usize) -> Got {
        Got::of(kind, Said::Figures(vec![value], vec![0]), next)
    }
    pub fn not_used(words: &'static str, next: usize) -> Got {
        Got {
            not_used: Some(words),
            next,
            ..Got::default()
        }
    }
    /// What it means, in words.
    fn words(&self) -> String {
        match (self.how, self.not_used) {
            (Some(how), _) => format!("how a value is known: {}", how.words()),
            (None, Some(words)) => format!("{words}, not used"),
            (None, None) => wording::facts(&self.facts),
        }
    }
    pub fn doubt(mut self, doubt: impl Into<String>) -> Got {
        self.doubt = Some(doubt.into());
        self
    }
}

/// Why nothing was taken, and where to go on.
#[derive(Debug)]
pub(super) struct Missed {
    pub why: &'static str,
    pub next: usize,
}

pub(super) type Taken = Result<Got, Missed>;

pub(super) fn missed(why: &'static str, next: usize) -> Taken {
    Err(Missed { why, next })
}

/// All that the text says.
#[derive(Debug, Default)]
pub(super) struct Scanned {
    pub facts: Vec<Fact>,
    pub understood: Vec<Understood>,
    pub not_understood: Vec<NotUnderstood>,
    pub doubts: Vec<Doubt>,
}

struct Scanner<'a> {
    text: &'a str,
    pieces: Vec<Piece>,
    out: Scanned,
    /// Facts of the last value, for `measured` behind it.
    last: Range<usize>,
    /// `measured` said before its value.
    coming: Option<How>,
}

/// Takes the text apart.
pub(super) fn scan(text: &str) -> Scanned {
    // A long text is cut at a blank, so that no value is cut in two.
    let whole = |at: &usize| {
        text.get(..*at)
            .is_some_and(|read| read.ends_with(lex::blank))
    };
    let most = LONGEST.min(text.len());
    let end = match most == text.len() {
        true => most,
        false => (0..=most)
            .rev()
            .find(whole)
            .or_else(|| (0..=most).rev().find(|at| text.is_char_boundary(*at)))
            .unwrap_or(0),
    };
    let (read, rest) = text.split_at(end);
    let mut scanner = Scanner {
        text,
        pieces: spoken::gather(lex::cut(read)),
        out: Scanned::default(),
        last: 0..0,
        coming: None,
    };
    scanner.walk();
    if !rest.trim().is_empty() {
        scanner.not_understood(end..text.len(), "the text is too long to be a plate");
    }
    scanner.out
}

impl Scanner<'_> {
    fn walk(&mut self) {
        let mut i = 0;
        while let Some(piece) = self.pieces.get(i) {
            let leads = matches!(piece.sign(), Some('.' | '-'));
            if piece.sign().is_some_and(parts) && !(leads && item_at_sign(&self.pieces, i)) {
                i += 1;
                continue;
            }
            let next = match item(&self.pieces, i) {
                Ok(got) => {
                    let next = past_query(&self.pieces, got.next.max(i + 1));
                    self.take(got, i, next);
                    next
                }
                Err(miss) => {
                    let next = miss.next.max(i + 1);
                    self.not_understood(self.span(i, next), miss.why);
                    self.last = 0..0;
                    next
                }
            };
            i = next;
        }
    }

    fn span(&self, i: usize, next: usize) -> Range<usize> {
        let start = self.pieces.get(i).map_or(0, |piece| piece.at.start);
        let end = self.pieces.get(next - 1).map_or(start, |p| p.at.end);
        start..end
    }

    fn not_understood(&mut self, at: Range<usize>, why: &str) {
        self.out.not_understood.push(NotUnderstood {
            text: self.text.get(at.clone()).unwrap_or("").to_owned(),
            at,
            why: why.to_owned(),
        });
    }

    fn take(&mut self, got: Got, i: usize, next: usize) {
        let at = self.span(i, next);
        let text = self.text.get(at.clone()).unwrap_or("").to_owned();
        let how = match got.how {
            Some(how) => {
                self.tell_how(how, i, next);
                How::Read
            }
            None if got.facts.is_empty() => How::Read,
            None => self.coming.take().unwrap_or_default(),
        };
        let mut fields: Vec<&'static str> = got.facts.iter().map(|(kind, _)| kind.name()).collect();
        fields.dedup();
        let queried = (i..next).any(|at| self.pieces.get(at).and_then(Piece::sign) == Some('?'));
        let unreadable = got.facts.iter().any(|(_, said)| *said == Said::Unreadable);
        let query = (queried && !unreadable && !got.facts.is_empty())
            .then(|| format!("{text} stands with a question mark: look again"));
        let field = fields.first().copied().unwrap_or("");
        let doubts = got.doubt.iter().cloned().chain(query);
        self.out
            .doubts
            .extend(doubts.map(|words| Doubt { field, words }));
        let words = got.words();
        self.out.understood.push(Understood {
            text,
            at: at.clone(),
            fields,
            words,
        });
        if !got.facts.is_empty() {
            let from = self.out.facts.len();
            let fact = |(kind, said)| Fact { kind, said, how };
            self.out.facts.extend(got.facts.into_iter().map(fact));
            self.last = from..self.out.facts.len();
        }
    }

    /// `1.3 A measured` speaks of what stands before it; `, measured 1.3 A` of what follows.
    fn tell_how(&mut self, how: How, i: usize, next: usize) {
        let parted = |at: Option<&Piece>| {
            at.and_then(Piece::sign)
                .is_some_and(|sign| ",;()".contains(sign))
        };
        let before = i.checked_sub(1).and_then(|i| self.pieces.get(i));
        let line = before.is_some_and(|piece| {
            let gap = piece.at.end..self.span(i, next).start;
            self.text.get(gap).is_some_and(|gap| gap.contains('\n'))
        });
        let bracket = before.and_then(Piece::sign) == Some('(');
        let own = !bracket && (line || parted(before)) && !parted(self.pieces.get(next));
        if self.last.is_empty() || own && self.pieces.get(next).is_some() {
            self.coming = Some(how);
            return;
        }
        for fact in self
            .out
            .facts
            .get_mut(self.last.clone())
            .unwrap_or_default()
        {
            fact.how = how;
        }
    }
}

/// Behind the question marks that stand on a value.
fn past_query(pieces: &[Piece], i: usize) -> usize {
    let query = |piece: &&Piece| piece.glued && piece.sign() == Some('?');
    i + pieces.iter().skip(i).take_while(query).count()
}

/// A dash that belongs to a number (`-20 C`) or a point before one.
fn item_at_sign(pieces: &[Piece], i: usize) -> bool {
    pieces.get(i).and_then(Piece::sign) == Some('-') && degrees::below_zero(pieces, i).is_some()
}

/// What stands at `i`.
pub(super) fn item(pieces: &[Piece], i: usize) -> Taken {
    let Some(piece) = pieces.get(i) else {
        return missed("nothing is left", i);
    };
    if let Some(got) = codes::code(pieces, i) {
        return Ok(got);
    }
    if piece.number().is_some() {
        return measures::measure(pieces, i);
    }
    if let Some(got) = degrees::below_zero(pieces, i) {
        return Ok(got);
    }
    if piece.sign() == Some('?') {
        return queried(pieces, i);
    }
    match phrase(pieces, i) {
        Some((entry, next)) => entered(pieces, i, entry, next),
        None if piece.sign() == Some('~') => Ok(Got::not_used("alternating current", i + 1)),
        None => missed("not a word of plates", chunk(pieces, i)),
    }
}

/// `? RPM` and `unreadable RPM`.
fn queried(pieces: &[Piece], i: usize) -> Taken {
    let mut next = i;
    while pieces.get(next).and_then(Piece::sign) == Some('?') {
        next += 1;
    }
    match phrase(pieces, next) {
        Some((Entry::Label(kind), next)) if !labelled::has_value(pieces, next) => {
            Ok(labelled::unreadable(kind, next))
        }
        _ => missed("a question mark by itself", next),
    }
}

fn entered(pieces: &[Piece], i: usize, entry: Entry, next: usize) -> Taken {
    match entry {
        Entry::Mark(Mark::Turns(direction)) => {
            let (seen, next) = turning::seen_from(pieces, next);
            Ok(match seen {
                Some(seen) => Got::mark(Mark::TurnsSeen(direction, seen), next),
                None => Got::mark(Mark::Turns(direction), next),
            })
        }
        // `CW/CCW SE`: both ways are both ways from either end.
        Entry::Mark(mark @ Mark::Reversible(_)) => {
            Ok(Got::mark(mark, turning::seen_from(pieces, next).1))
        }
        Entry::Mark(mark) => Ok(Got::mark(mark, next)),
        Entry::Unsure(mark, why) => Ok(Got::mark(mark, next).doubt(why)),
        Entry::Label(kind) => labelled::labelled(pieces, i, kind, next),
        // `BRG DE 6205 ODE 6203`.
        Entry::EndCode(_)
            if pieces
                .get(next)
                .and_then(Piece::number)
                .is_some_and(|n| n.digits >= 3) =>
        {
            Ok(Got::not_used("bearing number", chunk(pieces, next)))
        }
        Entry::EndCode(_) => missed("an end without a direction of turning", next),
        Entry::Filler => Ok(Got::not_used("a joining word", next)),
        Entry::NotUsed(words) => Ok(Got::not_used(words, next)),
        Entry::Named(words) => not_used::named(pieces, next, words),
        Entry::Names(words) => not_used::names(pieces, next, words),
        Entry::How(how) => Ok(Got {
            how: Some(how),
            next,
            ..Got::default()
        }),
        Entry::Unreadable => unreadable(pieces, next),
        Entry::Hazard => Ok(hazard::hazard(pieces, i, next)),
        Entry::Tap => taps::taps(pieces, i, None),
    }
}

/// `unreadable RPM`.
fn unreadable(pieces: &[Piece], next: usize) -> Taken {
    match phrase(pieces, next) {
        Some((Entry::Label(kind), after)) if !labelled::has_value(pieces, after) => {
            Ok(labelled::unreadable(kind, after))
        }
        _ => missed("does not say which value cannot be read", next),
    }
}

/// The end of the run of letters and figures that begins at `i`, so that an unknown number is not
/// taken apart for values.
pub(super) fn chunk(pieces: &[Piece], i: usize) -> usize {
    let mut next = i + 1;
    while let Some(piece) = pieces.get(next).filter(|piece| piece.glued) {
        match piece.sign() {
            None => next += 1,
            Some('-' | '.' | '_' | '#' | '/')
                if pieces
                    .get(next + 1)
                    .is_some_and(|p| p.glued && p.sign().is_none()) =>
            {
                next += 2;
            }
            _ => break,
        }
    }
    next
}
