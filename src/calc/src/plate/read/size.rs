//! Lengths: shaft, body, bolt circle.

use super::fact::{Kind, Mark, Said};
use super::lex::Piece;
use super::phrases::{Entry, phrase};
use super::scan::{Got, Taken, missed};
use super::units::{Unit, one, unit};
use crate::units::MM_PER_INCH;

/// One length as written.
#[derive(Clone, Copy, Debug)]
struct Length {
    value: f64,
    fraction: bool,
    unit: Option<Unit>,
}

impl Length {
    fn mm(self, other: Option<Unit>) -> (f64, bool) {
        match self.unit.or(other) {
            Some(Unit::Millimetre) => (self.value, true),
            Some(_) => (self.value * MM_PER_INCH, true),
            // A fraction is inches; a bare number above 12 cannot be the inches of a small motor.
            None if self.fraction => (self.value * MM_PER_INCH, true),
            None if self.value > 12.0 => (self.value, false),
            None => (self.value * MM_PER_INCH, false),
        }
    }
}

fn length(pieces: &[Piece], i: usize) -> Option<(Length, usize)> {
    let (number, mut next) = one(pieces, i, true)?;
    let mut measured = None;
    if let Some((found @ (Unit::Inch | Unit::Millimetre), after)) = unit(pieces, next) {
        measured = Some(found);
        next = after;
        // `IN.` and the second of two single quotes.
        let dot = pieces
            .get(next)
            .filter(|p| p.glued && p.sign() == Some('.'));
        next += usize::from(dot.is_some());
    }
    let fraction = number.fraction;
    let value = number.value;
    let length = Length {
        value,
        fraction,
        unit: measured,
    };
    (value > 0.0 && value < 5000.0).then_some((length, next))
}

fn by(pieces: &[Piece], i: usize) -> bool {
    matches!(pieces.get(i).and_then(Piece::word), Some("X" | "BY"))
}

/// The dimensions at `i`, such as `1/2 x 5`, with what stands behind them.
struct Size {
    first: Length,
    second: Option<Length>,
    next: usize,
}

fn size(pieces: &[Piece], i: usize) -> Option<Size> {
    let (first, mut next) = length(pieces, i)?;
    if let Some((Entry::Label(Kind::BodyDiameter), after)) = phrase(pieces, next)
        && by(pieces, after)
    {
        next = after;
    }
    let (mut second, mut end) = (None, next);
    if by(pieces, next)
        && let Some((length, after)) = length(pieces, next + 1)
    {
        (second, end) = (Some(length), after);
    }
    Some(Size {
        first,
        second,
        next: end,
    })
}

/// A length where the unit, an `x` or the words behind say that it is one.
pub(super) fn measure(pieces: &[Piece], i: usize) -> Option<Taken> {
    let size = size(pieces, i)?;
    if let Some(named) = named(pieces, size.next) {
        let mut got = got(named.kind, &size, named.next);
        let form = named.form.map(|mark| (Kind::ShaftForm, Said::Mark(mark)));
        got.facts.extend(form);
        return Some(Ok(got));
    }
    if size.second.is_some() {
        let got = got(Kind::Shaft, &size, size.next);
        let doubt = "two lengths without a name are taken as the shaft's diameter and length";
        return Some(Ok(got.doubt(doubt)));
    }
    size.first.unit?;
    Some(missed("a length without what it measures", size.next))
}

/// What the words behind a length say that it is.
struct Named {
    kind: Kind,
    form: Option<Mark>,
    next: usize,
}

fn named(pieces: &[Piece], i: usize) -> Option<Named> {
    let plain = |kind, next| {
        Some(Named {
            kind,
            form: None,
            next,
        })
    };
    let open = |next: usize| !super::labelled::has_value(pieces, next);
    match phrase(pieces, i)? {
        (Entry::Label(Kind::BodyDiameter), next) => match phrase(pieces, next) {
            Some((Entry::Label(kind @ (Kind::Shaft | Kind::Body)), after)) if open(after) => {
                plain(kind, after)
            }
            Some((Entry::Mark(mark @ Mark::ShaftForm(_)), next)) => Some(Named {
                kind: Kind::Shaft,
                form: Some(mark),
                next,
            }),
            _ if open(next) => plain(Kind::BodyDiameter, next),
            _ => None,
        },
        (Entry::Label(kind), next) if of_lengths(kind) && open(next) => plain(kind, next),
        (Entry::Mark(mark @ Mark::ShaftForm(_)), next) => Some(Named {
            kind: Kind::Shaft,
            form: Some(mark),
            next,
        }),
        _ => None,
    }
}

pub(super) fn of_lengths(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Shaft
            | Kind::ShaftDiameter
            | Kind::ShaftLength
            | Kind::Body
            | Kind::BodyLength
            | Kind::BoltCircle
            | Kind::StudLength
    )
}

/// The length behind a label.
pub(super) fn labelled(pieces: &[Piece], i: usize, kind: Kind) -> Option<Got> {
    let size = size(pieces, i)?;
    let mut next = size.next;
    // `BODY 5.6 DIA`: the label already said which.
    if matches!(
        kind,
        Kind::Body | Kind::Shaft | Kind::ShaftDiameter | Kind::BodyDiameter
    ) && let Some((Entry::Label(Kind::BodyDiameter), after)) = phrase(pieces, next)
        && !super::labelled::has_value(pieces, after)
    {
        next = after;
    }
    Some(got(kind, &size, next))
}

fn got(kind: Kind, size: &Size, next: usize) -> Got {
    let other = size.second.and_then(|second| second.unit);
    let (first, sure) = size.first.mm(other);
    // A diameter of up to 1 1/4 in is a shaft's, not a body's.
    let small = kind == Kind::BodyDiameter && first < 32.0;
    let kind = match kind {
        Kind::BodyDiameter if small => Kind::ShaftDiameter,
        Kind::Shaft => Kind::ShaftDiameter,
        Kind::Body => Kind::BodyDiameter,
        kind => kind,
    };
    let figure = |value: f64| Said::Figures(vec![value], vec![0]);
    let mut got = Got::of(kind, figure(first), next);
    let mut certain = sure;
    if let Some(second) = size.second {
        // `1/2 x 5`: the fraction says inches for both.
        let inches = size.first.fraction.then_some(Unit::Inch);
        let (length, known) = second.mm(size.first.unit.or(inches));
        certain &= known;
        let along = match kind {
            Kind::BodyDiameter => Kind::BodyLength,
            _ => Kind::ShaftLength,
        };
        got.facts.push((along, figure(length)));
    }
    if small {
        return got.doubt("a diameter this small is taken as the shaft's");
    }
    if certain {
        return got;
    }
    let value = size.first.value;
    let unit = if value > 12.0 {
        "millimetres"
    } else {
        "inches"
    };
    got.doubt(format!("{value} without a unit is taken as {unit}"))
}
