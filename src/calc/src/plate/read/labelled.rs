//! Labels and the values behind them: `HP: 1/6`, `INS CL F`, `SER NO 123`.

use super::degrees::degrees;
use super::fact::{Kind, Mark, Said};
use super::lex::Piece;
use super::measures::{figures, kind, resolve, share};
use super::phrases::{Entry, phrase};
use super::scan::{Got, Taken, item, missed};
use super::units::{List, Unit, list, one, unit};
use super::{bare, capacitor, lettered, not_used, size, taps};
use crate::plate::Protection;

pub(super) fn word(pieces: &[Piece], i: usize) -> &str {
    pieces.get(i).and_then(Piece::word).unwrap_or("")
}

pub(super) fn sign(pieces: &[Piece], i: usize) -> Option<char> {
    pieces.get(i).and_then(Piece::sign)
}

/// Behind the colon, dot or dash between a label and its value.
pub(super) fn behind(pieces: &[Piece], mut i: usize) -> usize {
    while matches!(
        sign(pieces, i),
        Some(':' | '=' | '.' | '#' | '(' | '-' | '_')
    ) || matches!(word(pieces, i), "IS" | "NO" | "NR" | "OF")
    {
        let below_zero = sign(pieces, i) == Some('-')
            && pieces
                .get(i + 1)
                .is_some_and(|piece| piece.glued && piece.number().is_some())
            && !pieces.get(i).is_some_and(|piece| piece.glued);
        if below_zero {
            break;
        }
        i += 1;
    }
    i
}

/// Whether any number stands behind the label.
pub(super) fn has_number(pieces: &[Piece], i: usize) -> bool {
    one(pieces, behind(pieces, i), true).is_some()
}

/// Whether a number stands behind the label, so that the label is not the end of what came before.
pub(super) fn has_value(pieces: &[Piece], i: usize) -> bool {
    let i = behind(pieces, i);
    let Some((_, next)) = one(pieces, i, true) else {
        return false;
    };
    // `V 5 MFD`: a number with a unit of its own belongs to that unit.
    list(pieces, i, true).is_none_or(|list| unit(pieces, list.next.max(next)).is_none())
}

/// The value behind a label that ends at `next`.
pub(super) fn labelled(pieces: &[Piece], i: usize, label: Kind, next: usize) -> Taken {
    let at = behind(pieces, next);
    let mut query = at;
    while sign(pieces, query) == Some('?') {
        query += 1;
    }
    if query > at {
        return Ok(unreadable(label, query));
    }
    if let Some((Entry::Unreadable, next)) = phrase(pieces, at) {
        return Ok(unreadable(label, next));
    }
    if let Some(got) = headed(pieces, i) {
        return Ok(got);
    }
    if size::of_lengths(label) || label == Kind::BodyDiameter {
        return match size::labelled(pieces, at, label) {
            Some(got) => Ok(got),
            None if matches!(label, Kind::Shaft | Kind::Body) => beside(pieces, label, at, next),
            None => missed("a name without its value", next),
        };
    }
    if lettered::of_letters(label) {
        return lettered::lettered(pieces, label, at, next);
    }
    match label {
        Kind::Duty
        | Kind::MotorType
        | Kind::Enclosure
        | Kind::Bearing
        | Kind::Rotation
        | Kind::Protection
        | Kind::Mount
        | Kind::Position => beside(pieces, label, at, next),
        Kind::Amps | Kind::Speed if matches!(phrase(pieces, at), Some((Entry::Tap, _))) => {
            taps::taps(pieces, at, own_unit(pieces, i, next, label))
        }
        _ => figured(pieces, i, label, at, next),
    }
}

/// Looked at and not to be read.
pub(super) fn unreadable(label: Kind, next: usize) -> Got {
    let kind = match label {
        Kind::Shaft => Kind::ShaftDiameter,
        Kind::Body => Kind::BodyDiameter,
        Kind::Watts => Kind::Power,
        label => label,
    };
    Got::of(kind, Said::Unreadable, next)
}

/// The unit a label itself names.
fn own_unit(pieces: &[Piece], i: usize, next: usize, label: Kind) -> Option<Unit> {
    let said = |word_: &str| (i..next).any(|at| word(pieces, at) == word_);
    match label {
        Kind::Power if said("HP") || said("HORSEPOWER") || said("HORSE") => Some(Unit::Horsepower),
        Kind::Power if word(pieces, i).starts_with('K') => Some(Unit::Kilowatt),
        Kind::Power | Kind::InputPower if said("WATTS") => Some(Unit::Watt),
        Kind::Power | Kind::InputPower => None,
        Kind::Watts => Some(Unit::Watt),
        Kind::Volts | Kind::CapacitorVolts => Some(Unit::Volt),
        Kind::Amps | Kind::ServiceFactorAmps | Kind::LockedRotorAmps => Some(Unit::Amp),
        Kind::Speed => Some(Unit::Rpm),
        Kind::Frequency => Some(Unit::Hertz),
        Kind::Phases => Some(Unit::Phase),
        Kind::Poles => Some(Unit::Pole),
        Kind::SpeedCount => Some(Unit::Speed),
        Kind::Capacitor => Some(Unit::Microfarad),
        Kind::ServiceFactor => Some(Unit::ServiceFactor),
        Kind::PowerFactor | Kind::Efficiency => Some(Unit::Percent),
        _ => Some(Unit::Celsius),
    }
}

/// A unit behind a labelled number, where it is one of the label's own kind.
fn same_family(label: Kind, unit: Unit) -> bool {
    match label {
        Kind::Power | Kind::InputPower | Kind::Watts => {
            matches!(kind(unit), Kind::Power | Kind::Watts)
        }
        Kind::CapacitorVolts => unit == Unit::Volt,
        Kind::ServiceFactorAmps | Kind::LockedRotorAmps => kind(unit) == Kind::Amps,
        Kind::Ambient | Kind::Rise => {
            matches!(unit, Unit::Celsius | Unit::Fahrenheit | Unit::Kelvin)
        }
        Kind::PowerFactor | Kind::Efficiency => unit == Unit::Percent,
        label => kind(unit) == label,
    }
}

fn figured(pieces: &[Piece], i: usize, label: Kind, at: usize, next: usize) -> Taken {
    let by_parts = matches!(label, Kind::Power | Kind::Watts | Kind::InputPower);
    let minus = label == Kind::Ambient && sign(pieces, at) == Some('-');
    let at = at + usize::from(minus);
    let list = if single(label) {
        one(pieces, at, false).map(List::one)
    } else {
        list(pieces, at, by_parts)
    };
    let Some(mut list) = list else {
        return missed("a name without its value", next);
    };
    list.numbers
        .iter_mut()
        .filter(|_| minus)
        .for_each(|number| number.value = -number.value);
    more_speeds(pieces, word(pieces, i), &mut list);
    if label == Kind::Volts
        && let Some(got) = bare::supply(&list)
    {
        return Ok(got);
    }
    let behind_it = unit_behind(pieces, list.next);
    let found = behind_it.filter(|(unit, _)| same_family(label, *unit));
    if label == Kind::Capacitor {
        match capacitor::rated(pieces, &list) {
            Some(got) => return Ok(got),
            None if behind_it.is_some() && found.is_none() => return item(pieces, at),
            None => {}
        }
    }
    let end = found.map_or(list.next, |(_, end)| end);
    let named = found.map(|(unit, _)| unit);
    let Some(unit) = named.or(own_unit(pieces, i, next, label)) else {
        return missed("power without its unit", end);
    };
    let mut got = worth(label, &list, unit, found.is_some(), end)?;
    if label == Kind::Capacitor {
        capacitor::volts(pieces, &mut got);
    }
    Ok(got)
}

/// The unit behind a labelled number, unless it is the name of the next value: in
/// `VOLTS 115 VOLTS 230` the second name belongs to the second figure.
fn unit_behind(pieces: &[Piece], next: usize) -> Option<(Unit, usize)> {
    unit(pieces, next).filter(|(unit, end)| {
        let name = matches!(word(pieces, next), "FLA" | "SFA");
        degrees_or_percent(*unit) || !name && !has_value(pieces, *end)
    })
}

/// Labels that one number follows, so that `PH 1 1/2 HP` is two values.
fn single(label: Kind) -> bool {
    matches!(
        label,
        Kind::Phases
            | Kind::ServiceFactor
            | Kind::PowerFactor
            | Kind::Efficiency
            | Kind::Poles
            | Kind::SpeedCount
            | Kind::Ambient
            | Kind::Rise
            | Kind::StudCount
    )
}

/// `SPEEDS: 1075, 950, 800`: the name in the plural takes all that follow.
fn more_speeds(pieces: &[Piece], name: &str, list: &mut List) {
    while name == "SPEEDS"
        && sign(pieces, list.next) == Some(',')
        && let Some((number, next)) = one(pieces, list.next + 1, false)
        && number.whole
        && (100.0..10_000.0).contains(&number.value)
        && unit(pieces, next).is_none_or(|(unit, _)| unit == Unit::Rpm)
    {
        list.groups
            .push(list.groups.last().map_or(0, |last| last + 1));
        list.numbers.push(number);
        list.next = next;
    }
}

/// The figures of a label in the unit of the plate.
fn worth(label: Kind, list: &List, unit: Unit, with_unit: bool, end: usize) -> Taken {
    let first = list.numbers.first().map_or(0.0, |n| n.value);
    match label {
        Kind::Ambient | Kind::Rise => {
            return Ok(Got::figure(label, degrees(label, first, unit), end));
        }
        Kind::Speed if list.numbers.len() == 1 && first <= 8.0 => {
            return figures(Kind::SpeedCount, vec![first], vec![0], end);
        }
        Kind::Efficiency | Kind::PowerFactor => {
            let why = "not a figure that a plate carries there";
            return share(label, first, with_unit, end).map_or_else(|| missed(why, end), Ok);
        }
        Kind::ServiceFactor if (100.0..=200.0).contains(&first) => {
            let factor = first / 100.0;
            let doubt = format!("service factor {first} is taken as {factor}");
            return Ok(Got::figure(label, factor, end).doubt(doubt));
        }
        _ => {}
    }
    let (values, groups, doubt) = resolve(list, unit);
    let mut got = figures(label, values, groups, end)?;
    got.doubt = doubt;
    Ok(got)
}

fn degrees_or_percent(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Celsius | Unit::Fahrenheit | Unit::Kelvin | Unit::Percent
    )
}

/// `V/PH/HZ 115/1/60`: as many labels as figures, in the same order.
fn headed(pieces: &[Piece], i: usize) -> Option<Got> {
    let mut labels = Vec::new();
    let mut next = i;
    while let Some((Entry::Label(label), after)) = phrase(pieces, next) {
        labels.push(label);
        next = after;
        if sign(pieces, next) != Some('/') {
            break;
        }
        next += 1;
    }
    if labels.len() < 2 {
        return None;
    }
    let list = list(pieces, behind(pieces, next), false)?;
    let known = |label: &Kind| {
        matches!(
            label,
            Kind::Volts | Kind::Phases | Kind::Frequency | Kind::Amps | Kind::Speed
        )
    };
    let parts = list.groups.last().map_or(0, |last| last + 1);
    (parts == labels.len() && labels.iter().all(known)).then_some(())?;
    let facts = labels.iter().enumerate().map(|(at, label)| {
        let of = list
            .numbers
            .iter()
            .zip(&list.groups)
            .filter(|(_, group)| **group == at);
        let values: Vec<f64> = of.map(|(number, _)| number.value).collect();
        let groups = vec![0; values.len()];
        (*label, Said::Figures(values, groups))
    });
    Some(Got {
        facts: facts.collect(),
        next: list.next,
        ..Got::default()
    })
}

/// A label whose value is a word: the next item is that word, and the label belongs to it.
fn beside(pieces: &[Piece], label: Kind, at: usize, next: usize) -> Taken {
    let found = item(pieces, at).ok().filter(|got| {
        let kinds = || got.facts.iter().map(|(kind, _)| *kind);
        match label {
            Kind::MotorType => {
                kinds().any(|k| matches!(k, Kind::MotorType | Kind::Phases | Kind::Enclosure))
            }
            Kind::Duty => kinds().any(|k| matches!(k, Kind::Duty | Kind::Minutes | Kind::DutyCode)),
            Kind::Rotation => kinds().any(|k| matches!(k, Kind::Rotation | Kind::Reversible)),
            Kind::Enclosure => {
                kinds().any(|k| matches!(k, Kind::Enclosure | Kind::EnclosureMark | Kind::IpCode))
            }
            Kind::Mount => kinds().any(|k| {
                matches!(
                    k,
                    Kind::Mount | Kind::MountingCode | Kind::Position | Kind::StudEnd
                )
            }),
            Kind::Shaft => kinds().any(|k| matches!(k, Kind::ShaftForm | Kind::DoubleShaft)),
            Kind::Body => false,
            label => kinds().any(|k| k == label),
        }
    });
    if let Some(got) = found {
        return Ok(got);
    }
    if label == Kind::Protection {
        let none = matches!(word(pieces, at), "NONE" | "NIL");
        if none || at > next && word(pieces, at - 1) == "NO" {
            let mark = Mark::Protection(Protection::NoProtector);
            return Ok(Got::mark(mark, at + usize::from(none)));
        }
    }
    match label {
        Kind::MotorType => not_used::named(pieces, next, "maker's type"),
        Kind::Bearing => not_used::named(pieces, next, "bearing number"),
        Kind::Rotation => missed("does not say which way it turns", next),
        _ => missed("a name without its value", next),
    }
}
