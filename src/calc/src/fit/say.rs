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

/// Inches as a rule marks them, such as `5/8` or `1 3/8`; decimals off the sixty-fourths.
pub(super) fn inch(value: f64) -> String {
    let inches = value / MM_PER_INCH;
    let parts = (inches * 64.0).round();
    if !(1.0..=1e6).contains(&parts) || (inches - parts / 64.0).abs() > 0.003 {
        return short(inches, 3);
    }
    let (mut over, mut under) = (parts as u64, 64);
    while over % 2 == 0 && under > 1 {
        (over, under) = (over / 2, under / 2);
    }
    match (over / under, over % under) {
        (whole, 0) => whole.to_string(),
        (0, part) => format!("{part}/{under}"),
        (whole, part) => format!("{whole} {part}/{under}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_are_said_as_a_rule_marks_them() {
        assert_eq!(inch(12.7), "1/2");
        assert_eq!(inch(34.925), "1 3/8");
        assert_eq!(inch(25.4), "1");
        assert_eq!(inch(24.0), "0.945");
        assert_eq!(inch(0.0), "0");
    }
}
