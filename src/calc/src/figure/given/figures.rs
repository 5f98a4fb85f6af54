//! One figure as people write it: decimals, fractions, with or without the unit of its field.

use rust_decimal::Decimal;
use serde_json::Value;
use std::str::FromStr;

pub(super) fn number(value: &Value, unit: &str) -> Option<f64> {
    match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => fraction(without_unit(text, unit)),
        _ => None,
    }
    .filter(|value| value.is_finite() && value.abs() <= 1e15)
}

pub(super) fn decimal(value: &Value, unit: &str) -> Option<Decimal> {
    match value {
        Value::Number(number) => {
            let text = number.to_string();
            Decimal::from_str(&text)
                .or_else(|_| Decimal::from_scientific(&text))
                .ok()
        }
        Value::String(text) => {
            let text = without_unit(text, unit);
            Decimal::from_str(text).ok().or_else(|| {
                let value = fraction(text)?;
                Decimal::from_str(&format!("{value:.6}")).ok()
            })
        }
        _ => None,
    }
}

/// `230 V` without its `V`, where the field is in volts.
fn without_unit<'t>(text: &'t str, unit: &str) -> &'t str {
    let text = text.trim();
    let at = text.len().checked_sub(unit.len());
    match at.filter(|at| text.is_char_boundary(*at)) {
        Some(at) if text[at..].eq_ignore_ascii_case(unit) => text[..at].trim_end(),
        _ => text,
    }
}

const GLYPHS: [(char, &str); 6] = [
    ('½', " 1/2"),
    ('¼', " 1/4"),
    ('¾', " 3/4"),
    ('⅓', " 1/3"),
    ('⅙', " 1/6"),
    ('⅛', " 1/8"),
];

/// `12.5`, `1/2`, `7 1/2`, `7-1/2` or `7½`. A fraction is proper and in lowest terms, as a plate or
/// rule bears it: down to parts of 64, or one part of up to 100 as on small motors. `230/460`,
/// `12/24` and `208-230` are no number.
pub(crate) fn fraction(text: &str) -> Option<f64> {
    let mut text = text.trim().to_owned();
    if let Ok(value) = text.parse::<f64>() {
        return Some(value);
    }
    for (glyph, figures) in GLYPHS {
        text = text.replace(glyph, figures);
    }
    let (whole, part) = match text.trim().rsplit_once([' ', '-']) {
        Some((whole, part)) => (whole.trim().parse::<u32>().ok()?, part),
        None => (0, text.trim()),
    };
    let (over, under) = part.split_once('/')?;
    let over: u32 = over.trim().parse().ok()?;
    let under: u32 = under.trim().parse().ok()?;
    let lowest = (2..=over).all(|by| !(over.is_multiple_of(by) && under.is_multiple_of(by)));
    let stamped = under <= 64 || (over == 1 && under <= 100);
    let proper = 0 < over && over < under && stamped && lowest && whole <= 999;
    proper.then(|| f64::from(whole) + f64::from(over) / f64::from(under))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_read_as_the_trade_writes_them() {
        assert_eq!(fraction("7 1/2"), Some(7.5));
        assert_eq!(fraction("7-1/2"), Some(7.5));
        assert_eq!(fraction("1/6"), Some(1.0 / 6.0));
        assert_eq!(fraction("7½"), Some(7.5));
        assert_eq!(fraction("1/70"), Some(1.0 / 70.0));
        assert_eq!(fraction("⅓"), Some(1.0 / 3.0));
        assert_eq!(fraction("1 11/16"), Some(1.6875));
        for none in [
            "1/0",
            "230/460",
            "208-230",
            "208-230/460",
            "3/2",
            "0/4",
            "3/65",
        ] {
            assert_eq!(fraction(none), None, "{none}");
        }
        assert_eq!(fraction("fast"), None);
    }
}
