//! What the pages of isolation, work, lifting, proof and return share.

use super::gate::{SheetSource, Surroundings};
use super::record;
use super::steps::{JobView, Keys};
use crate::clock::Millis;
use crate::form::{FieldErrors, Fields};
use crate::machines::Machine;
use crate::page::Page;
use crate::people::{Person, Role};
use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// Who works at machines.
pub const WORKERS: &[Role] = &[Role::Technician, Role::Supervisor];

impl Keys {
    /// The hidden fields of a form whose other fields are made from data.
    pub fn of(fields: &Fields) -> Keys {
        Keys {
            entry: fields.get("entry").to_owned(),
            seen: fields.get("seen").to_owned(),
            device_at: fields.get("device_at").to_owned(),
        }
    }
}

impl JobView {
    /// Keys of a form's own: a page with several forms gives each its own entry.
    pub fn fresh_keys(&self, now: Millis) -> Keys {
        Keys {
            entry: record::new_id(now),
            seen: self.job.version.to_string(),
            device_at: String::new(),
        }
    }

    /// What the gate looks at, as this page read it: to say beforehand why a step is not open.
    pub fn around(&self) -> Surroundings {
        Surroundings {
            sources: self
                .sheet
                .iter()
                .flat_map(|sheet| &sheet.sources)
                .map(|source| SheetSource {
                    source_id: source.id,
                    name: source.name.clone(),
                    stores: crate::machines::stores_energy(&source.relieved_how),
                    tested: source.dead_test != "none",
                })
                .collect(),
            locks: self.locks.clone(),
            tag: self.tag().to_owned(),
            control: self.control.clone(),
            outside: self.outside.clone(),
            plug: self.machine.as_ref().and_then(Machine::plugged_in),
            criticality: self.machine.as_ref().map(|m| m.criticality.clone()),
            ..Surroundings::default()
        }
    }
}

/// Whether this person may write here at all; others read.
pub fn works(person: &Person) -> bool {
    WORKERS.contains(&person.role)
}

/// The page again, with what was typed and what is wrong with it.
pub fn refused<T: Template>(page: T) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response()
}

/// What was typed, as a template's macros take it.
pub fn typed(fields: &Fields, name: &str) -> String {
    fields.get(name).to_owned()
}

/// The same messages beside fields of other names.
pub fn renamed(errors: &FieldErrors, rename: impl Fn(&str) -> String) -> FieldErrors {
    let mut renamed = FieldErrors::default();
    for (field, message) in errors.all() {
        renamed.add(&rename(field), message);
    }
    renamed
}

/// The number in a reading as the instrument showed it: `0`, `0.2`, `118,4 V`, `12 ghost`.
///
/// `None` where it is not a number (`OL`), or where what follows could change what the number means
/// (`0.4 kV`, `0 to 120`): such a reading is kept as typed and never judged as a figure.
pub fn shown_number(as_shown: &str, units: &[&str]) -> Option<f64> {
    const REMARKS: &[&str] = &[
        "ac", "ghost", "ghosts", "stray", "induced", "drifting", "falling", "steady", "lo-z",
        "low-z", "hi-z",
    ];
    let text = as_shown.trim().to_lowercase().replace(',', ".");
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let end = text.find(|c: char| !digits(c)).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let number: f64 = number.parse().ok().filter(|n: &f64| n.is_finite())?;
    let plain = rest
        .split_whitespace()
        .all(|word| units.contains(&word) || REMARKS.contains(&word));
    plain.then_some(number)
}

/// Unit words of a voltage reading.
pub const VOLTS: &[&str] = &["v", "vac", "volt", "volts"];
/// Unit words of a current reading.
pub const AMPS: &[&str] = &["a", "amp", "amps"];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_is_a_number_only_where_it_says_one_plainly() {
        for (text, number) in [
            ("0", Some(0.0)),
            ("0.2", Some(0.2)),
            ("0,2 V", Some(0.2)),
            ("12 ghost", Some(12.0)),
            ("-0.1V", Some(-0.1)),
            ("", None),
            ("OL", None),
            ("0.4 kV", None),
            ("0.4kV", None),
            ("120 mV", None),
            ("0 to 120", None),
            ("0 / 118", None),
            ("inf", None),
            ("1e-9", None),
            ("1.2.3", None),
        ] {
            assert_eq!(shown_number(text, VOLTS), number, "{text:?}");
        }
    }
}
