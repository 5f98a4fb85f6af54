//! Figures of taps by name: `HI/MED/LO 1.2/0.9/0.6 A`.

use super::fact::Kind;
use super::lex::{Number, Piece, parts};
use super::measures::{figures, kind, resolve};
use super::phrases::{Entry, phrase};
use super::scan::{Taken, missed};
use super::units::{List, Unit, joined, list, one, unit};

/// `HI/MED/LO 1.2/0.9/0.6 A` and `HI 1.2 MED 0.9 LO 0.6 A`; behind `AMPS:` the unit is known.
pub(super) fn taps(pieces: &[Piece], i: usize, known: Option<Unit>) -> Taken {
    let (numbers, next) = numbers(pieces, i);
    let found = unit(pieces, next).or(known.map(|unit| (unit, next)));
    let Some((unit @ (Unit::Amp | Unit::Rpm | Unit::Horsepower | Unit::Watt), end)) =
        found.filter(|_| !numbers.is_empty())
    else {
        return missed("names of taps without their figures", next);
    };
    let groups = (0..numbers.len()).collect();
    let (values, groups, _) = resolve(
        &List {
            numbers,
            groups,
            next,
        },
        unit,
    );
    let kind = if unit == Unit::Amp {
        Kind::TapAmps
    } else {
        kind(unit)
    };
    figures(kind, values, groups, end)
}

/// The figures between and behind the names, and the piece after them.
fn numbers(pieces: &[Piece], i: usize) -> (Vec<Number>, usize) {
    let (mut numbers, mut next) = (Vec::new(), i);
    while let Some((Entry::Tap, after)) = phrase(pieces, next) {
        next = past(pieces, after, ":/=-");
        if let Some((number, after)) = one(pieces, next, false) {
            numbers.push(number);
            next = past_unit(pieces, after);
        }
        // `HI, MED, LO` and `HI 1.2, MED 0.9`.
        let comma = past(pieces, next, ",/;");
        if matches!(phrase(pieces, comma), Some((Entry::Tap, _))) {
            next = comma;
        }
        if numbers.len() == 1
            && let Some((at, _)) = joined(pieces, next)
            && let Some(rest) = list(pieces, at, false)
        {
            numbers.extend(rest.numbers);
            next = rest.next;
        }
    }
    (numbers, next)
}

fn past(pieces: &[Piece], i: usize, signs: &str) -> usize {
    let sign = pieces.get(i).and_then(Piece::sign);
    i + usize::from(sign.is_some_and(|sign| signs.contains(sign)))
}

/// Behind a unit that stands with each figure, where another tap follows.
fn past_unit(pieces: &[Piece], i: usize) -> usize {
    let another = |at: &usize| {
        let parted = pieces.get(*at).and_then(Piece::sign).is_some_and(parts);
        matches!(
            phrase(pieces, at + usize::from(parted)),
            Some((Entry::Tap, _))
        )
    };
    unit(pieces, i)
        .map(|(_, next)| next)
        .filter(another)
        .unwrap_or(i)
}
