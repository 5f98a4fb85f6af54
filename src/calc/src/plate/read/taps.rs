//! Figures of taps by name: `HI/MED/LO 1.2/0.9/0.6 A`.

use super::fact::Kind;
use super::lex::Piece;
use super::measures::{figures, kind, resolve};
use super::phrases::{Entry, phrase};
use super::scan::{Taken, missed};
use super::units::{List, Unit, joined, list, one, unit};

/// `HI/MED/LO 1.2/0.9/0.6 A` and `HI 1.2 MED 0.9 LO 0.6 A`.
pub(super) fn taps(pieces: &[Piece], i: usize) -> Taken {
    let (mut numbers, mut next) = (Vec::new(), i);
    while let Some((Entry::Tap, after)) = phrase(pieces, next) {
        next = after;
        next += usize::from(matches!(
            pieces.get(next).and_then(Piece::sign),
            Some(':' | '/' | '=' | '-')
        ));
        if let Some((number, after)) = one(pieces, next, false) {
            numbers.push(number);
            next = after;
            // The unit may stand behind each.
            let again = unit(pieces, next).filter(|(_, at)| {
                let comma = usize::from(
                    pieces
                        .get(*at)
                        .and_then(Piece::sign)
                        .is_some_and(super::lex::parts),
                );
                matches!(phrase(pieces, at + comma), Some((Entry::Tap, _)))
            });
            next = again.map_or(next, |(_, at)| at);
        }
        let comma = pieces
            .get(next)
            .and_then(Piece::sign)
            .is_some_and(|s| ",/;".contains(s));
        if comma && matches!(phrase(pieces, next + 1), Some((Entry::Tap, _))) {
            next += 1;
        }
        if numbers.len() == 1
            && let Some((at, _)) = joined(pieces, next)
            && let Some(rest) = list(pieces, at, false)
        {
            numbers.extend(rest.numbers);
            next = rest.next;
        }
    }
    let found = unit(pieces, next).filter(|_| !numbers.is_empty());
    let Some((unit @ (Unit::Amp | Unit::Rpm | Unit::Horsepower | Unit::Watt), end)) = found else {
        return missed("names of taps without their figures", next);
    };
    let groups = (0..numbers.len()).collect();
    let list = List {
        numbers,
        groups,
        next,
    };
    let (values, groups, _) = resolve(&list, unit);
    let kind = if unit == Unit::Amp {
        Kind::TapAmps
    } else {
        kind(unit)
    };
    figures(kind, values, groups, end)
}
