//! Numbers that nothing names: only what can hardly be anything else is read, with a doubt.

use super::fact::{Kind, Said};
use super::lex::Piece;
use super::measures::figures;
use super::scan::{Got, Taken, chunk, missed};
use super::units::{List, list};
use crate::units::WATTS_PER_HP;

/// A number that nothing names: only what can hardly be anything else is read, with a doubt.
pub(super) fn bare(pieces: &[Piece], i: usize) -> Taken {
    let end = chunk(pieces, i);
    let letters = pieces
        .get(i + 1..end)
        .unwrap_or_default()
        .iter()
        .any(|piece| piece.word().is_some());
    let Some(plain) = list(pieces, i, false).filter(|_| !letters) else {
        return missed("not a value of plates", end);
    };
    let parts = list(pieces, i, true).filter(|list| list.numbers.iter().all(|n| n.fraction));
    if let Some(got) = supply(&plain) {
        return Ok(got);
    }
    if let Some(parts) = parts {
        let values: Vec<f64> = parts
            .numbers
            .iter()
            .map(|n| n.value * WATTS_PER_HP)
            .collect();
        let got = figures(Kind::Power, values, parts.groups, parts.next)?;
        return Ok(got.doubt("a fraction alone is taken as horsepower"));
    }
    usual(&plain).map_or_else(
        || missed("a number without a unit or a name", plain.next),
        Ok,
    )
}

/// What the numbers are where nothing names them.
pub(super) fn alone(list: &List) -> Option<Got> {
    supply(list).or_else(|| usual(list))
}

/// `115/60/1`, `460/3/60`: volts, hertz and phases as supplies are written.
pub(super) fn supply(list: &List) -> Option<Got> {
    let values: Vec<f64> = list.numbers.iter().map(|n| n.value).collect();
    let [volts @ .., next, last] = values.as_slice() else {
        return None;
    };
    let hertz = |value: f64| value == 50.0 || value == 60.0;
    let phases = |value: f64| value == 1.0 || value == 3.0;
    let (hz, ph) = if hertz(*next) && phases(*last) {
        (*next, *last)
    } else if phases(*next) && hertz(*last) {
        (*last, *next)
    } else {
        return None;
    };
    if volts.is_empty() || !volts.iter().all(|v| (100.0..=15_000.0).contains(v)) {
        return None;
    }
    let groups = list.groups.get(..volts.len())?.to_vec();
    let one = |kind, value| (kind, Said::Figures(vec![value], vec![0]));
    Some(Got {
        facts: vec![
            (Kind::Volts, Said::Figures(volts.to_vec(), groups)),
            one(Kind::Frequency, hz),
            one(Kind::Phases, ph),
        ],
        next: list.next,
        ..Got::default()
    })
}

/// Voltages that are stamped on motors and are no usual speed, frame or frequency.
const VOLTS: &[f64] = &[
    100.0, 110.0, 115.0, 120.0, 127.0, 200.0, 208.0, 220.0, 230.0, 240.0, 277.0, 380.0, 400.0,
    415.0, 460.0, 480.0, 575.0,
];

/// Speeds that are stamped on induction motors.
const SPEEDS: &[f64] = &[
    825.0, 850.0, 1050.0, 1075.0, 1100.0, 1140.0, 1160.0, 1350.0, 1400.0, 1420.0, 1425.0, 1440.0,
    1450.0, 1500.0, 1550.0, 1625.0, 1650.0, 1725.0, 1740.0, 1750.0, 1760.0, 1765.0, 2800.0, 2850.0,
    2880.0, 3000.0, 3250.0, 3450.0, 3500.0,
];

fn usual(list: &List) -> Option<Got> {
    let values: Vec<f64> = list.numbers.iter().map(|n| n.value).collect();
    let all = |of: &[f64]| values.iter().all(|value| of.contains(value));
    let whole = list.numbers.iter().all(|n| n.whole);
    let got = |kind, words: &str| {
        let said = Said::Figures(values.clone(), list.groups.clone());
        Some(Got::of(kind, said, list.next).doubt(words))
    };
    match values.as_slice() {
        [farads, volts] if *farads <= 100.0 && [330.0, 370.0, 440.0].contains(volts) => {
            let mut got = Got::figure(Kind::Capacitor, *farads, list.next);
            got.facts
                .push((Kind::CapacitorVolts, Said::Figures(vec![*volts], vec![0])));
            Some(
                got.doubt(
                    "two figures of a capacitor's kind are taken as its microfarads and volts",
                ),
            )
        }
        [50.0, 60.0] | [60.0, 50.0] | [50.0] | [60.0] if whole => got(
            Kind::Frequency,
            "50 or 60 alone is taken as hertz; it may be degrees or minutes",
        ),
        _ if whole && all(VOLTS) => got(
            Kind::Volts,
            "a usual voltage without its unit is taken as volts",
        ),
        _ if whole && all(SPEEDS) => got(
            Kind::Speed,
            "a usual speed without its unit is taken as rpm",
        ),
        _ => None,
    }
}
