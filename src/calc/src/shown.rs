//! Small builders for the lines of a `Working`, so that every subject writes them alike.

use crate::working::{Line, Missing, Text, Verdict, Working};
use rust_decimal::Decimal;

pub(crate) fn line(key: &'static str, label: &'static str) -> Line {
    Line {
        key: key.into(),
        label: label.into(),
        ..Line::default()
    }
}

/// Chained setters; a line reads in the order in which it is printed.
pub(crate) trait Fill: Sized {
    fn value(self, value: impl Into<Text>, unit: &'static str) -> Self;
    fn limit(self, limit: impl Into<Text>) -> Self;
    fn margin(self, margin: impl Into<Text>) -> Self;
    fn rule(self, rule: &'static str, source: impl Into<Text>) -> Self;
    fn judge(self, verdict: Verdict, note: impl Into<Text>) -> Self;
    fn note(self, note: impl Into<Text>) -> Self;
}

impl Fill for Line {
    fn value(mut self, value: impl Into<Text>, unit: &'static str) -> Self {
        self.value = value.into();
        self.unit = unit.into();
        self
    }
    fn limit(mut self, limit: impl Into<Text>) -> Self {
        self.limit = limit.into();
        self
    }
    fn margin(mut self, margin: impl Into<Text>) -> Self {
        self.margin = margin.into();
        self
    }
    fn rule(mut self, rule: &'static str, source: impl Into<Text>) -> Self {
        self.rule = rule.into();
        self.source = source.into();
        self
    }
    fn judge(mut self, verdict: Verdict, note: impl Into<Text>) -> Self {
        self.verdict = Some(verdict);
        self.note = note.into();
        self
    }
    fn note(mut self, note: impl Into<Text>) -> Self {
        self.note = note.into();
        self
    }
}

/// Something nobody has given yet, with the line that waits for it.
pub(crate) fn ask(
    working: &mut Working,
    line: Line,
    what: impl Into<Text>,
    why: impl Into<Text>,
    how: impl Into<Text>,
) {
    let missing = Missing {
        what: what.into(),
        why: why.into(),
        how: how.into(),
    };
    let note = format!(
        "Not known yet: {}.",
        missing.what.trim_end_matches(['.', ' '])
    );
    if !working
        .missing
        .iter()
        .any(|other| other.what == missing.what)
    {
        working.missing.push(missing);
    }
    working.lines.push(line.judge(Verdict::NotKnownYet, note));
}

/// A physical figure with at most `places` decimals and no trailing zeros.
pub(crate) fn figure(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') {
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" {
            "0".into()
        } else {
            text.into()
        }
    } else {
        text
    }
}

/// A code figure exactly, without trailing zeros.
pub(crate) fn exact(value: Decimal) -> String {
    value.normalize().to_string()
}

/// Amperes (or volts) within what a low-voltage installation can have; keeps arithmetic from
/// overflowing on typing errors.
pub(crate) fn plausible(value: Decimal) -> Option<Decimal> {
    (value > Decimal::ZERO && value <= Decimal::from(100_000)).then_some(value)
}

/// As [`plausible`], with zero allowed: a looked-at zero is an answer.
pub(crate) fn plausible_load(value: Decimal) -> Option<Decimal> {
    (value >= Decimal::ZERO && value <= Decimal::from(100_000)).then_some(value)
}

/// A measured figure that is finite and above zero.
pub(crate) fn positive(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0 && value < 1e9).then_some(value)
}

time::serde::format_description!(pub(crate) iso_date, Date, "[year]-[month]-[day]");

/// A date or nothing. The module above stumbles over a null that serde has buffered, as it does
/// inside tagged enums; this one reads it as a plain optional text.
pub(crate) mod optional_date {
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};
    use time::Date;
    use time::macros::format_description;

    const FORMAT: &[time::format_description::BorrowedFormatItem<'static>] =
        format_description!("[year]-[month]-[day]");

    pub(crate) fn serialize<S: Serializer>(date: &Option<Date>, s: S) -> Result<S::Ok, S::Error> {
        date.and_then(|date| date.format(&FORMAT).ok()).serialize(s)
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(d: D) -> Result<Option<Date>, D::Error> {
        Option::<String>::deserialize(d)?
            .map(|text| Date::parse(&text, &FORMAT).map_err(D::Error::custom))
            .transpose()
    }
}
