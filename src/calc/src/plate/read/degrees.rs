//! Temperatures: of the air around the motor, and the rise of its winding.

use super::fact::Kind;
use super::labelled;
use super::lex::Piece;
use super::phrases::{Entry, phrase};
use super::scan::Got;
use super::units::{Unit, one, unit};

/// Degrees with the word before or behind that says of what.
pub(super) fn temperature(pieces: &[Piece], value: f64, unit: Unit, next: usize) -> Got {
    match phrase(pieces, next) {
        Some((Entry::Label(kind @ (Kind::Ambient | Kind::Rise)), after))
            if !labelled::has_value(pieces, after) =>
        {
            Got::figure(kind, degrees(kind, value, unit), after)
        }
        _ if unit == Unit::Kelvin => Got::figure(Kind::Rise, value, next),
        _ => Got::figure(Kind::Ambient, degrees(Kind::Ambient, value, unit), next)
            .doubt("degrees alone are taken as the ambient; they may be the rise"),
    }
}

/// Degrees Celsius, or kelvins of a rise.
pub(super) fn degrees(kind: Kind, value: f64, unit: Unit) -> f64 {
    match (kind, unit) {
        (Kind::Ambient, Unit::Fahrenheit) => (value - 32.0) * 5.0 / 9.0,
        (_, Unit::Fahrenheit) => value * 5.0 / 9.0,
        _ => value,
    }
}

/// `-20 C`: only air can be below zero.
pub(super) fn below_zero(pieces: &[Piece], i: usize) -> Option<Got> {
    if pieces.get(i)?.sign() != Some('-') || !pieces.get(i + 1)?.glued {
        return None;
    }
    let (number, next) = one(pieces, i + 1, false)?;
    let (unit, next) = unit(pieces, next)?;
    let cold = matches!(unit, Unit::Celsius | Unit::Fahrenheit) && number.value < 100.0;
    cold.then(|| temperature(pieces, -number.value, unit, next))
}
