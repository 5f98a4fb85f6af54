//! Numbers with their units, and what a number without one may be.

use super::codes::winding;
use super::fact::{Kind, Mark, Said};
use super::lex::{Number, Piece};
use super::phrases::{Entry, phrase};
use super::scan::{Got, Taken, missed};
use super::units::{List, Unit, joined, list, one, unit};
use super::{capacitor, degrees, labelled, size};
use crate::plate::Mount;
use crate::units::WATTS_PER_HP;

/// Watts of a metric horsepower, 75 kgf m/s (NIST SP 811).
const METRIC_HP: f64 = 735.498_75;

/// A number at `i` with what follows it.
pub(super) fn measure(pieces: &[Piece], i: usize) -> Taken {
    if let Some(got) = spaced_thousands(pieces, i) {
        return Ok(got);
    }
    if let Some(taken) = size::measure(pieces, i) {
        return taken;
    }
    for fractions in [true, false] {
        let Some(list) = list(pieces, i, fractions) else {
            continue;
        };
        let Some((unit, next)) = unit(pieces, list.next) else {
            continue;
        };
        let by_parts = matches!(
            unit,
            Unit::Horsepower | Unit::MetricHorsepower | Unit::Kilowatt | Unit::Watt | Unit::Inch
        );
        if by_parts == fractions {
            // `60 RPM ?`: the unit is the name of what cannot be read, and the number stands alone.
            if unreadable(pieces, next)
                && let Some(got) = super::bare::alone(&list)
                && got.facts.iter().all(|(found, _)| *found != kind(unit))
            {
                return Ok(got);
            }
            return with_unit(pieces, list, unit, next);
        }
    }
    if let Some(got) = named_behind(pieces, i) {
        return Ok(got);
    }
    super::bare::bare(pieces, i)
}

fn unreadable(pieces: &[Piece], i: usize) -> bool {
    let query = pieces
        .get(i)
        .is_some_and(|piece| !piece.glued && piece.sign() == Some('?'));
    query || matches!(phrase(pieces, i), Some((Entry::Unreadable, _)))
}

/// `1 450 min-1`.
fn spaced_thousands(pieces: &[Piece], i: usize) -> Option<Got> {
    let (lead, rest) = (pieces.get(i)?.number()?, pieces.get(i + 1)?.number()?);
    let spaced = lead.whole && lead.digits == 1 && rest.whole && rest.digits == 3;
    let (Unit::Rpm, next) = unit(pieces, i + 2)? else {
        return None;
    };
    (spaced && lead.value > 0.0)
        .then(|| Got::figure(Kind::Speed, lead.value * 1000.0 + rest.value, next))
}

/// `1.15 SERVICE FACTOR` and the like, where the name is no unit: `72 % EFF`, `0.81 COS PHI`.
fn named_behind(pieces: &[Piece], i: usize) -> Option<Got> {
    let (number, next) = one(pieces, i, false)?;
    if let Some(got) = studs(pieces, i) {
        return Some(got);
    }
    let (Entry::Label(kind), after) = phrase(pieces, next)? else {
        return None;
    };
    let open = !labelled::has_value(pieces, after);
    match kind {
        Kind::Efficiency | Kind::PowerFactor if open => share(kind, number.value, false, after),
        Kind::LockedRotorAmps if open => Some(Got::figure(kind, number.value, after)),
        _ => None,
    }
}

/// `4 STUDS` and `8-32 STUDS`.
fn studs(pieces: &[Piece], i: usize) -> Option<Got> {
    let list = list(pieces, i, false)?;
    let (Entry::Mark(mark @ Mark::Mount(Mount::Studs)), next) = phrase(pieces, list.next)? else {
        return None;
    };
    let first = match list.numbers.as_slice() {
        [count] if count.whole && count.value <= 12.0 => {
            (Kind::StudCount, Said::Figures(vec![count.value], vec![0]))
        }
        [size, pitch] if size.whole && pitch.whole => (
            Kind::StudThread,
            Said::Text(format!("{}-{}", size.value, pitch.value)),
        ),
        _ => return None,
    };
    Some(Got {
        facts: vec![first, (Kind::Mount, Said::Mark(mark))],
        next,
        ..Got::default()
    })
}

/// Efficiency in percent, power factor as a share.
pub(super) fn share(kind: Kind, value: f64, percent: bool, next: usize) -> Option<Got> {
    let (value, fits) = match kind {
        Kind::Efficiency if !percent && value <= 1.0 => (value * 100.0, value > 0.0),
        Kind::Efficiency => (value, value > 0.0 && value < 1000.0),
        _ if percent || value > 10.0 => (value / 100.0, value > 0.0 && value < 1000.0),
        _ => (value, value > 0.0),
    };
    fits.then(|| Got::figure(kind, value, next))
}

fn with_unit(pieces: &[Piece], list: List, first: Unit, next: usize) -> Taken {
    match first {
        Unit::Percent => match phrase(pieces, next) {
            Some((Entry::Label(kind @ (Kind::Efficiency | Kind::PowerFactor)), after)) => {
                let value = list.numbers.first().map_or(0.0, |n| n.value);
                share(kind, value, true, after).map_or_else(|| missed("no percentage", after), Ok)
            }
            _ => missed("does not say what the percentage is of", next),
        },
        Unit::Celsius | Unit::Fahrenheit | Unit::Kelvin => {
            let value = list.numbers.first().map_or(0.0, |n| n.value);
            Ok(degrees::temperature(pieces, value, first, next))
        }
        Unit::Inch | Unit::Millimetre => missed("a length without what it measures", next),
        Unit::Hour => {
            let values: Vec<f64> = list.numbers.iter().map(|n| n.value * 60.0).collect();
            figures(
                Kind::Minutes,
                values,
                list.groups,
                duty_behind(pieces, next),
            )
        }
        _ => plain(pieces, list, first, next),
    }
}

fn plain(pieces: &[Piece], list: List, first: Unit, next: usize) -> Taken {
    let (list, next, connections) = more(pieces, list, first, next);
    let kind = kind(first);
    let (values, groups, doubt) = resolve(&list, first);
    let next = tail(pieces, kind, next);
    let (kind, next) = direction(pieces, kind, next);
    let mut got = figures(kind, values, groups, next)?;
    got.doubt = doubt;
    if !connections.is_empty() {
        let said = Said::Text(connections.join("/"));
        got.facts.push((Kind::Connection, said));
    }
    if kind == Kind::Capacitor {
        capacitor::volts(pieces, &mut got);
    }
    Ok(got)
}

/// `HP OUTPUT`, `V CAP`, `MIN DUTY`: a word behind the unit that says it closer.
fn tail(pieces: &[Piece], kind: Kind, next: usize) -> usize {
    match (kind, phrase(pieces, next)) {
        (Kind::Minutes, _) => duty_behind(pieces, next),
        (Kind::Capacitor, Some((Entry::Label(Kind::Capacitor), after)))
            if !labelled::has_value(pieces, after) =>
        {
            after
        }
        (Kind::Amps | Kind::Speed, Some((Entry::Label(label), after)))
            if label == kind && !labelled::has_value(pieces, after) =>
        {
            after
        }
        _ => next,
    }
}

fn duty_behind(pieces: &[Piece], next: usize) -> usize {
    match phrase(pieces, next) {
        Some((Entry::Label(Kind::Duty), after)) if !labelled::has_value(pieces, after) => after,
        _ => next,
    }
}

/// Input or output, and a capacitor's volts.
fn direction(pieces: &[Piece], kind: Kind, next: usize) -> (Kind, usize) {
    match (kind, input_or_output(pieces, next), phrase(pieces, next)) {
        (Kind::Power | Kind::Watts, Some((way, after)), _) if ends_here(pieces, after) => {
            (way, after)
        }
        (Kind::Volts, _, Some((Entry::Label(Kind::Capacitor), after)))
            if !labelled::has_number(pieces, after) =>
        {
            (Kind::CapacitorVolts, after)
        }
        _ => (kind, next),
    }
}

fn input_or_output(pieces: &[Piece], i: usize) -> Option<(Kind, usize)> {
    match pieces.get(i)?.word()? {
        "IN" => return Some((Kind::InputPower, i + 1)),
        "OUT" => return Some((Kind::Power, i + 1)),
        _ => {}
    }
    match phrase(pieces, i)? {
        (Entry::Label(way @ (Kind::Power | Kind::InputPower)), after) => Some((way, after)),
        _ => None,
    }
}

/// `75 W OUTPUT 130 W INPUT` names behind, `1/8 HP INPUT 180 W` before: the last figure tells.
fn ends_here(pieces: &[Piece], after: usize) -> bool {
    if !labelled::has_number(pieces, after) {
        return true;
    }
    let power = list(pieces, after, true).and_then(|list| unit(pieces, list.next));
    power.is_some_and(|(unit, next)| {
        !matches!(kind(unit), Kind::Power | Kind::Watts) || input_or_output(pieces, next).is_some()
    })
}

pub(super) fn kind(unit: Unit) -> Kind {
    match unit {
        Unit::Horsepower | Unit::MetricHorsepower | Unit::Kilowatt => Kind::Power,
        Unit::Watt => Kind::Watts,
        Unit::Volt => Kind::Volts,
        Unit::Amp | Unit::Milliamp => Kind::Amps,
        Unit::ServiceFactorAmp => Kind::ServiceFactorAmps,
        Unit::Hertz => Kind::Frequency,
        Unit::Rpm => Kind::Speed,
        Unit::Phase => Kind::Phases,
        Unit::Microfarad => Kind::Capacitor,
        Unit::Pole => Kind::Poles,
        Unit::Speed => Kind::SpeedCount,
        Unit::Minute | Unit::Hour => Kind::Minutes,
        Unit::ServiceFactor => Kind::ServiceFactor,
        Unit::PowerFactor => Kind::PowerFactor,
        Unit::Percent => Kind::Efficiency,
        Unit::Celsius | Unit::Fahrenheit => Kind::Ambient,
        Unit::Kelvin => Kind::Rise,
        Unit::Inch | Unit::Millimetre => Kind::ShaftDiameter,
    }
}

/// What one of the unit is in the plate's own.
pub(super) fn scale(unit: Unit) -> f64 {
    match unit {
        Unit::Horsepower => WATTS_PER_HP,
        Unit::MetricHorsepower => METRIC_HP,
        Unit::Kilowatt => 1000.0,
        Unit::Milliamp => 0.001,
        Unit::Hour => 60.0,
        _ => 1.0,
    }
}

/// `115V/230V`, `230VΔ/400VY`: the same unit again belongs to the same list.
fn more(
    pieces: &[Piece],
    mut list: List,
    first: Unit,
    next: usize,
) -> (List, usize, Vec<&'static str>) {
    let mut connections = Vec::new();
    let mut next = next;
    let connected = |at: usize| {
        let word = pieces.get(at).and_then(Piece::word)?;
        winding(word).filter(|_| first == Unit::Volt)
    };
    loop {
        let here = connected(next);
        let after = next + usize::from(here.is_some());
        let step = same_again(pieces, after, first);
        let Some((more, range, end)) = step else {
            // A winding behind the last of several volts.
            if let Some(here) = here.filter(|here| {
                let alone = *here == "Δ" && super::codes::connection(pieces, next).is_none();
                alone || !connections.is_empty()
            }) {
                connections.push(here);
                next = after;
            }
            return (list, next, connections);
        };
        connections.extend(here);
        let base = list
            .groups
            .last()
            .map_or(0, |last| last + usize::from(!range));
        list.groups
            .extend(more.groups.iter().map(|group| group + base));
        list.numbers.extend(more.numbers);
        next = end;
    }
}

/// More numbers with the same unit, whether they make one range with those before, and the end.
fn same_again(pieces: &[Piece], i: usize, first: Unit) -> Option<(List, bool, usize)> {
    let (at, range) = joined(pieces, i)?;
    let fractions = matches!(first, Unit::Horsepower | Unit::Kilowatt | Unit::Watt);
    let more = list(pieces, at, fractions)?;
    let (again, end) = unit(pieces, more.next)?;
    (again == first).then_some((more, range, end))
}

/// The figures of a list in the unit of the plate, with what a comma may mean.
pub(super) fn resolve(list: &List, unit: Unit) -> (Vec<f64>, Vec<usize>, Option<String>) {
    let (mut values, mut groups, mut doubt) = (Vec::new(), Vec::new(), None);
    let mut shift = 0;
    for (number, group) in list.numbers.iter().zip(&list.groups) {
        let Number { value, comma, .. } = *number;
        match (comma, unit) {
            (Some((left, right)), Unit::Volt) if left >= 100.0 && right >= 100.0 => {
                values.push(left);
                groups.push(group + shift);
                shift += 1;
                values.push(right);
            }
            (Some((left, right)), Unit::Rpm | Unit::Watt | Unit::Volt) => {
                values.push(left * 1000.0 + right);
                if unit != Unit::Rpm {
                    doubt = Some(format!(
                        "the comma is taken for thousands: {}",
                        left * 1000.0 + right
                    ));
                }
            }
            // `1.450 min-1`: no motor turns once and a half a minute.
            (None, Unit::Rpm) if value < 100.0 && !number.whole => {
                values.push((value * 1000.0).round());
                doubt = Some(format!(
                    "the point is taken for thousands: {}",
                    (value * 1000.0).round()
                ));
            }
            (Some(_), _) => {
                values.push(value * scale(unit));
                doubt = Some(format!("the comma is taken for decimals: {value}"));
            }
            (None, _) => values.push(value * scale(unit)),
        }
        groups.push(group + shift);
    }
    (values, groups, doubt)
}

/// Largest figure of a field that a plate can carry, in the unit of the plate.
fn largest(kind: Kind) -> f64 {
    match kind {
        Kind::Power | Kind::Watts | Kind::InputPower => 2.0e7,
        Kind::Volts => 20_000.0,
        Kind::Amps | Kind::ServiceFactorAmps | Kind::LockedRotorAmps => 20_000.0,
        Kind::Speed => 60_000.0,
        Kind::Frequency => 1000.0,
        Kind::Phases => 3.0,
        Kind::Poles => 48.0,
        Kind::SpeedCount => 8.0,
        Kind::ServiceFactor => 3.0,
        Kind::PowerFactor => 2.0,
        Kind::Capacitor | Kind::CapacitorVolts => 5000.0,
        Kind::Minutes => 10_000.0,
        _ => 1.0e6,
    }
}

/// Figures of a field, where a plate can carry them at all.
pub(super) fn figures(kind: Kind, values: Vec<f64>, groups: Vec<usize>, next: usize) -> Taken {
    let counted = matches!(kind, Kind::Phases | Kind::Poles | Kind::SpeedCount);
    let fits = |value: &f64| {
        value.is_finite()
            && *value > 0.0
            && *value <= largest(kind)
            && (!counted || value.fract() == 0.0)
    };
    let phases = kind != Kind::Phases || matches!(values.as_slice(), [value] if *value != 2.0);
    let poles = kind != Kind::Poles || values.iter().all(|value| value % 2.0 == 0.0);
    let single = !counted || values.len() == 1;
    if values.iter().all(fits) && phases && poles && single {
        Ok(Got::of(kind, Said::Figures(values, groups), next))
    } else {
        missed("not a figure that a plate carries there", next)
    }
}
