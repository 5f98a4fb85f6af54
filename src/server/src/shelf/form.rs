//! What is typed about motors, counts and lists.

use crate::form::{self, FieldErrors, Fields};
use crate::motors::Motor;
use crate::motors::plate_form::PlateInput;
use crate::shop::Units;
use calc::plate::Plate;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Deserialize;
use time::Date;

/// Values and words of whether a motor can still be bought.
pub const MADE: &[(&str, &str)] = &[
    ("made", "still made"),
    ("ended", "no longer made"),
    ("unknown", "not known"),
];

pub fn made_words(made: &str) -> &'static str {
    MADE.iter()
        .find(|(word, _)| *word == made)
        .map_or("not known", |(_, words)| words)
}

/// Where the motor of a form goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goes {
    /// To the shelf: bin and count are asked.
    Shelf,
    /// It may get a bin; one that is there already is counted on its own form.
    Changed {
        on_shelf: bool,
    },
    List,
}

/// A motor as it is to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorChange {
    pub name: String,
    pub plate: Plate,
    pub plate_text: String,
    pub made: String,
    pub note: String,
    /// `None`: it gets no place on the shelf.
    pub bin: Option<String>,
    pub held: i64,
    pub price: Option<i64>,
    pub lead_days: Option<i64>,
}

/// Money in hundredths; blank is not known.
pub fn price(text: &str) -> Result<Option<i64>, String> {
    const ASK: &str = "Enter a price, as 148.50";
    let Some(amount) = form::optional_decimal(text).map_err(|_| ASK.to_owned())? else {
        return Ok(None);
    };
    let minor = amount
        .checked_mul(Decimal::ONE_HUNDRED)
        .ok_or(ASK)?
        .normalize();
    match minor.to_i64() {
        Some(cents) if minor.scale() == 0 && (0..=100_000_000_000).contains(&cents) => {
            Ok(Some(cents))
        }
        _ => Err(ASK.to_owned()),
    }
}

pub fn price_typed(minor: Option<i64>) -> String {
    minor.map_or_else(String::new, |minor| {
        format!("{}.{:02}", minor / 100, minor % 100)
    })
}

/// # Errors
/// A message beside each field that cannot be read.
pub fn motor(fields: &Fields, units: Units, goes: Goes) -> Result<MotorChange, FieldErrors> {
    let mut errors = FieldErrors::default();
    let name = form::required(
        fields.get("name"),
        "Enter the shop's own name for the motor",
    );
    let name = errors.take("name", name);
    let made = fields.get("made").to_owned();
    if !MADE.iter().any(|(word, _)| *word == made) {
        errors.add(
            "made",
            "Choose whether it is still made; not known is an answer",
        );
    }
    let plate = match PlateInput::from_fields(fields, "").parse(units) {
        Ok(plate) => plate,
        Err(of_plate) => {
            for (field, message) in of_plate.all() {
                errors.add(field, message);
            }
            Plate::default()
        }
    };
    let bin = Some(fields.get("bin").to_owned()).filter(|bin| !bin.is_empty());
    if goes == Goes::Shelf && bin.is_none() {
        errors.add("bin", "Enter the bin it lies in");
    }
    if goes == (Goes::Changed { on_shelf: true }) && bin.is_none() {
        errors.add(
            "bin",
            "Enter the bin; a motor that is used up keeps its bin with a count of 0",
        );
    }
    let held = errors.take("held", form::optional_count(fields.get("held")));
    let counts = match goes {
        Goes::Shelf => true,
        Goes::Changed { on_shelf } => !on_shelf && bin.is_some(),
        Goes::List => false,
    };
    if counts && held.is_none() {
        errors.add("held", "Count them; 0 is an answer");
    }
    let price = errors.take("price", price(fields.get("price")));
    let lead_days = errors.take("lead_days", form::optional_count(fields.get("lead_days")));
    errors.or(MotorChange {
        name,
        plate,
        plate_text: fields.get("plate_text").to_owned(),
        made,
        note: fields.get("note").to_owned(),
        bin: bin.filter(|_| goes != Goes::List),
        held: held.unwrap_or(0),
        price,
        lead_days,
    })
}

/// The plain fields of a motor as a form shows them; the plate's own come from its `PlateInput`.
pub fn of_motor(motor: &Motor) -> Vec<(String, String)> {
    let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    vec![
        pair("name", &motor.name),
        pair("made", &motor.made),
        pair("plate_text", &motor.plate_text),
        pair("note", &motor.note),
        pair("version", &motor.version.to_string()),
    ]
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct CountInput {
    pub held: String,
    pub reason: String,
}

impl CountInput {
    pub fn parse(&self) -> Result<(i64, String), FieldErrors> {
        let mut errors = FieldErrors::default();
        let held = errors.take("held", form::optional_count(&self.held));
        if held.is_none() {
            errors.add("held", "Count them; 0 is an answer");
        }
        let reason = form::required(&self.reason, "Say why the count was wrong");
        let reason = errors.take("reason", reason);
        errors.or((held.unwrap_or(0), reason))
    }
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct ListInput {
    pub name: String,
    pub read_on: String,
    pub note: String,
}

#[derive(Clone, Debug, PartialEq)]
pub struct NewList {
    pub name: String,
    pub read_on: Date,
    pub note: String,
}

impl ListInput {
    pub fn parse(&self) -> Result<NewList, FieldErrors> {
        let mut errors = FieldErrors::default();
        let name = errors.take("name", form::required(&self.name, "Enter whose list it is"));
        let read_on = form::date(&self.read_on, "Enter the day the list was current")
            .map_err(|message| errors.add("read_on", message));
        let Ok(read_on) = read_on else {
            return Err(errors);
        };
        errors.or(NewList {
            name,
            read_on,
            note: self.note.trim().to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_exact_and_blank_is_not_known() {
        assert_eq!(price(""), Ok(None));
        assert_eq!(price("148.5"), Ok(Some(14_850)));
        assert_eq!(price("148,50"), Ok(Some(14_850)));
        assert_eq!(price("0"), Ok(Some(0)));
        for bad in ["148.505", "-1", "cheap", "1e40"] {
            assert!(price(bad).is_err(), "{bad}");
        }
        assert_eq!(price_typed(Some(14_805)), "148.05");
    }
}
