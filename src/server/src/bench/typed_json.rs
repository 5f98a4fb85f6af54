//! What was typed into a topic's form, as the topic's JSON.

use super::asked::MOST_ROWS;
use super::quantity;
use crate::form::FieldErrors;
use crate::measure;
use crate::rows::Typed;
use crate::shop::Units;
use calc::figure::{Takes, Want};
use serde_json::{Map, Value};

/// How many rows of a table are filled, once they are [`closed_up`].
pub(super) fn filled(typed: &Typed, name: &str) -> usize {
    indexes(typed, name).len()
}

/// The row numbers of a table that hold something, in order.
fn indexes(typed: &Typed, name: &str) -> Vec<usize> {
    let start = format!("{name}.");
    let number = |key: &str| key.strip_prefix(&start)?.split('.').next()?.parse().ok();
    let mut found: Vec<usize> = typed
        .0
        .iter()
        .filter(|(_, value)| !value.is_empty())
        .filter_map(|(key, _)| number(key))
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// Blank rows between filled ones go, so that row numbers are those of the list.
pub fn closed_up(wants: &'static [Want], typed: Typed) -> Typed {
    let mut out = typed;
    for want in wants {
        if !matches!(want.takes, Takes::Rows(_)) {
            continue;
        }
        let was = indexes(&out, want.name);
        let start = format!("{}.", want.name);
        let (rows, mut rest): (Vec<_>, Vec<_>) = out
            .0
            .into_iter()
            .partition(|(key, _)| key.starts_with(&start));
        for (to, from) in was.iter().enumerate() {
            let from = format!("{start}{from}.");
            for (key, value) in &rows {
                if let Some(field) = key.strip_prefix(&from) {
                    rest.push((format!("{start}{to}.{field}"), value.clone()));
                }
            }
        }
        out = Typed(rest.into_iter().collect());
    }
    out
}

/// What was typed, as the topic's JSON object; blank fields are left out.
/// # Errors
/// Each field that cannot be read, with its sentence.
pub fn object(
    wants: &'static [Want],
    typed: &Typed,
    units: Units,
) -> Result<Map<String, Value>, FieldErrors> {
    let mut reader = Reader {
        typed,
        units,
        errors: FieldErrors::default(),
    };
    let object = reader.object(wants, "");
    reader.errors.or(object)
}

struct Reader<'a> {
    typed: &'a Typed,
    units: Units,
    errors: FieldErrors,
}

impl Reader<'_> {
    fn object(&mut self, wants: &'static [Want], before: &str) -> Map<String, Value> {
        let mut out = Map::new();
        for want in wants {
            if let Some(value) = self.value(want, wants, &format!("{before}{}", want.name)) {
                out.insert(want.name.to_owned(), value);
            }
        }
        out
    }

    fn value(&mut self, want: &'static Want, beside: &[Want], name: &str) -> Option<Value> {
        match want.takes {
            Takes::Group(within) => {
                let object = self.object(within, &format!("{name}."));
                (!object.is_empty()).then_some(Value::Object(object))
            }
            Takes::Rows(within) => {
                let rows = filled(self.typed, name).min(MOST_ROWS);
                let row = |at: usize| Value::Object(self.object(within, &format!("{name}.{at}.")));
                let rows: Vec<Value> = (0..rows).map(row).collect();
                (!rows.is_empty()).then_some(Value::Array(rows))
            }
            _ => {
                let text = self.typed.get(name);
                if text.is_empty() {
                    return None;
                }
                let shown = quantity::shown_unit(want, beside, self.units);
                read(want, text, shown)
                    .map_err(|message| self.errors.add(name, message))
                    .ok()
            }
        }
    }
}

fn read(want: &Want, text: &str, shown: &str) -> Result<Value, String> {
    let figure = |text: &str| quantity::read(text, want.unit, shown).map(Value::from);
    match want.takes {
        Takes::Number | Takes::Whole => figure(text),
        Takes::Numbers => parts(text).map(figure).collect(),
        Takes::NumberLists => text
            .lines()
            .filter(|line| !line.trim().is_empty())
            .map(|line| parts(line).map(figure).collect::<Result<Value, _>>())
            .collect(),
        Takes::Flag => Ok(Value::Bool(text == "true")),
        Takes::Dates => Ok(parts(text).map(Value::from).collect()),
        Takes::Texts => Ok(text
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
            .map(Value::from)
            .collect()),
        Takes::NumbersByName(_) => by_name(text).map(Value::Object),
        Takes::Json => Ok(loose(text)),
        _ => Ok(text.into()),
    }
}

/// Figures with blanks, semicolons or commas between them.
fn parts(text: &str) -> impl Iterator<Item = &str> {
    text.split([' ', ';', ',', '\n', '\r', '\t'])
        .map(str::trim)
        .filter(|part| !part.is_empty())
}

/// `12: 4, 14: 2`
fn by_name(text: &str) -> Result<Map<String, Value>, String> {
    const ASK: &str = "Enter names and numbers, as 12: 4, 14: 2";
    let mut out = Map::new();
    for part in text.split([',', ';', '\n']).map(str::trim) {
        if part.is_empty() {
            continue;
        }
        let (name, value) = part.split_once([':', '=']).ok_or(ASK)?;
        let value = measure::number(value).ok_or(ASK)?;
        out.insert(name.trim().to_owned(), value.into());
    }
    Ok(out)
}

/// JSON as it stands; otherwise a list of lists, one a line, as `2026-05-01 5000`.
fn loose(text: &str) -> Value {
    if let Ok(value) = serde_json::from_str(text) {
        return value;
    }
    let word = |part: &str| match part.parse::<f64>() {
        Ok(number) if number.is_finite() => Value::from(number),
        _ => Value::from(part),
    };
    text.lines()
        .filter(|line| !line.trim().is_empty())
        .map(|line| parts(line).map(word).collect::<Value>())
        .collect()
}

/// The field of the form that a topic's trouble belongs to: `v.2` is typed in `v`.
pub fn field_of(wants: &'static [Want], trouble: &str) -> String {
    let mut here = wants;
    let mut path = String::new();
    let mut parts = trouble.split('.');
    while let Some(part) = parts.next() {
        let Some(want) = here.iter().find(|want| want.name == part) else {
            break;
        };
        path.push_str(part);
        match want.takes {
            Takes::Group(within) => here = within,
            Takes::Rows(within) => match parts.next() {
                Some(at) => {
                    path = format!("{path}.{at}");
                    here = within;
                }
                None => break,
            },
            _ => break,
        }
        path.push('.');
    }
    path.trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use calc::figure::want;
    use serde_json::json;

    static MOTOR: &[Want] = &[
        want("hp", "Power", Takes::Number).unit("hp"),
        want("volts", "Volts", Takes::Number).unit("V"),
    ];
    static WANTS: &[Want] = &[
        want("motors", "Motors", Takes::Rows(MOTOR)),
        want("run", "One way", Takes::Number).unit("ft"),
        want("v", "Readings", Takes::Numbers).unit("V"),
        want("sizes", "Conductors", Takes::NumbersByName("size")),
        want("readings", "Readings", Takes::Json),
        want("ends", "Ends at", Takes::Group(MOTOR)),
    ];

    fn typed(fields: &[(&str, &str)]) -> Typed {
        let pair = |(name, value): &(&str, &str)| (name.to_string(), value.to_string());
        Typed(fields.iter().map(pair).collect())
    }

    #[test]
    fn what_is_typed_becomes_the_topics_json() {
        let typed = typed(&[
            ("motors.0.hp", "7 1/2"),
            ("motors.0.volts", "230"),
            ("motors.3.hp", "5"),
            ("run", "30 m"),
            ("v", "460; 467 450"),
            ("sizes", "12: 4, 14: 2"),
            ("readings", "2026-05-01 5000\n2026-05-31 5201"),
            ("ends.volts", ""),
        ]);
        let typed = closed_up(WANTS, typed);
        let read = object(WANTS, &typed, Units::Us).expect("it reads");
        assert_eq!(
            Value::Object(read),
            json!({
                "motors": [{"hp": 7.5, "volts": 230.0}, {"hp": 5.0}],
                "run": 98.425_196_850_4,
                "v": [460.0, 467.0, 450.0],
                "sizes": {"12": 4.0, "14": 2.0},
                "readings": [["2026-05-01", 5000.0], ["2026-05-31", 5201.0]],
            })
        );
    }

    #[test]
    fn what_cannot_be_read_is_said_beside_its_field() {
        let typed = typed(&[("motors.0.hp", "big"), ("run", "3 kg"), ("sizes", "many")]);
        let errors = object(WANTS, &typed, Units::Us).expect_err("three mistakes");
        let fields: Vec<&str> = errors.all().map(|(field, _)| field).collect();
        assert_eq!(fields, ["motors.0.hp", "run", "sizes"]);
    }

    #[test]
    fn trouble_finds_its_field() {
        assert_eq!(field_of(WANTS, "motors.1.hp"), "motors.1.hp");
        assert_eq!(field_of(WANTS, "motors.1"), "motors.1");
        assert_eq!(field_of(WANTS, "v.2"), "v");
        assert_eq!(field_of(WANTS, "ends.volts"), "ends.volts");
        assert_eq!(field_of(WANTS, "motors"), "motors");
        assert_eq!(field_of(WANTS, "elsewhere"), "");
    }
}
