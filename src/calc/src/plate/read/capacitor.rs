//! The microfarads and volts of a capacitor, in the ways in which they stand together.

use super::fact::{Kind, Said};
use super::labelled::has_number;
use super::lex::{Number, Piece};
use super::phrases::{Entry, phrase};
use super::scan::Got;
use super::units::{List, Unit, list, unit};

/// `MFD 5/370`, where the second figure is the volts; `MFD 0319` and `MFD 12/05` are dates.
pub(super) fn rated(pieces: &[Piece], list: &List) -> Option<Got> {
    let dated = |n: &Number| n.whole && n.digits == 4 && (n.value < 1000.0 || n.value > 1900.0);
    match list.numbers.as_slice() {
        [one] if dated(one) => Some(Got::not_used("date", list.next)),
        [first, second] if second.value < 100.0 && first.whole && second.whole => {
            Some(Got::not_used("date", list.next))
        }
        [first, second] if (100.0..=1000.0).contains(&second.value) => {
            let next = unit(pieces, list.next)
                .filter(|(unit, _)| *unit == Unit::Volt)
                .map_or(list.next, |(_, next)| next);
            let mut got = Got::figure(Kind::Capacitor, first.value, next);
            let volts = Said::Figures(vec![second.value], vec![0]);
            got.facts.push((Kind::CapacitorVolts, volts));
            Some(got)
        }
        _ => None,
    }
}

/// `/370V`, `@ 370 VAC` behind the microfarads; by a blank only what is a capacitor's voltage.
pub(super) fn volts(pieces: &[Piece], got: &mut Got) {
    let from = tolerance(pieces, got.next);
    let sign = pieces.get(from).and_then(Piece::sign);
    let word = pieces.get(from).and_then(Piece::word);
    let tied = matches!(sign, Some('/' | '@' | '-')) || word == Some("AT");
    let at = from + usize::from(tied || sign == Some(','));
    let Some(list) = list(pieces, at, false) else {
        return;
    };
    let value = list.numbers.iter().map(|n| n.value).fold(0.0, f64::max);
    let behind = unit(pieces, list.next);
    let volts = behind.filter(|(unit, _)| *unit == Unit::Volt);
    // Without its unit only what is no motor's voltage; with it what capacitors are marked for.
    let usual = match volts {
        Some(_) => [250.0, 330.0, 350.0, 370.0, 440.0, 450.0].contains(&value),
        None => [330.0, 370.0].contains(&value),
    };
    let another = behind.is_some() && volts.is_none();
    if another || !(100.0..=1000.0).contains(&value) || !(tied || usual) {
        return;
    }
    let said = Said::Figures(vec![value], vec![0]);
    got.facts.push((Kind::CapacitorVolts, said));
    let next = volts.map_or(list.next, |(_, next)| next);
    got.next = match phrase(pieces, next) {
        Some((Entry::Label(Kind::Capacitor), after)) if !has_number(pieces, after) => after,
        _ => next,
    };
}

/// Behind `±5 %`, which says nothing of the rating.
fn tolerance(pieces: &[Piece], i: usize) -> usize {
    let percent = |at: usize| match unit(pieces, at) {
        Some((Unit::Percent, next)) => Some(next),
        _ => None,
    };
    let found = (pieces.get(i).and_then(Piece::sign) == Some('±')).then(|| percent(i + 2));
    found.flatten().unwrap_or(i)
}
