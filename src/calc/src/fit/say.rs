//! Small words for figures: SI first, the trade's figure beside it.

use crate::units::{MM_PER_INCH, Watts};

/// A number with at most `digits` decimals and no trailing zeros.
pub(super) fn short(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// Millimetres with inches beside them.
pub(super) fn mm(value: f64) -> String {
    format!(
        "{} mm ({} in)",
        short(value, 1),
        short(value / MM_PER_INCH, 3)
    )
}

pub(super) fn amps(value: f64) -> String {
    short(value, 2)
}

pub(super) fn hp(watts: f64) -> String {
    Watts(watts).hp_words()
}

pub(super) fn joined(values: impl Iterator<Item = f64>) -> String {
    values.map(|v| short(v, 0)).collect::<Vec<_>>().join("/")
}

/// A signed change in percent.
pub(super) fn change(ratio: f64) -> String {
    format!("{:+.1} %", 100.0 * (ratio - 1.0))
}
