//! Forms whose rows are made from data: each row says what it asks, how it reads and what was typed.

use crate::form::{FieldErrors, Fields};
use crate::shop::Units;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// Values and words of a choice.
pub type Options = &'static [(&'static str, &'static str)];

pub const YES_NO: Options = &[("yes", "yes"), ("no", "no")];

/// What a row takes.
#[derive(Clone, Copy, Debug)]
pub enum Takes {
    Text,
    /// A number with its unit in words; empty for none.
    Number(&'static str),
    /// Inches or millimetres, by the shop.
    Length,
    /// Feet or metres, by the shop.
    Distance,
    /// Horsepower or watts, by the shop.
    Power,
    Choice(Options),
}

impl Takes {
    /// The unit of a bare number here; empty for none.
    pub fn unit(self, units: Units) -> &'static str {
        match (self, units) {
            (Takes::Number(unit), _) => unit,
            (Takes::Length, Units::Us) => "in",
            (Takes::Length, Units::Si) => "mm",
            (Takes::Distance, Units::Us) => "ft",
            (Takes::Distance, Units::Si) => "m",
            (Takes::Power, Units::Us) => "hp",
            (Takes::Power, Units::Si) => "W",
            (Takes::Text | Takes::Choice(_), _) => "",
        }
    }

    /// The text of a form with its unit, unless it carries one already.
    pub fn with_unit(self, text: &str, units: Units) -> String {
        match self.unit(units) {
            "" => text.to_owned(),
            _ if text.ends_with(char::is_alphabetic) => text.to_owned(),
            unit => format!("{text} {unit}"),
        }
    }
}

/// One question of a form.
#[derive(Clone, Copy, Debug)]
pub struct Ask {
    pub name: &'static str,
    pub label: &'static str,
    pub takes: Takes,
    pub hint: &'static str,
}

pub const fn ask(name: &'static str, label: &'static str, takes: Takes) -> Ask {
    Ask {
        name,
        label,
        takes,
        hint: "",
    }
}

pub const fn hinted(
    name: &'static str,
    label: &'static str,
    takes: Takes,
    hint: &'static str,
) -> Ask {
    Ask {
        name,
        label,
        takes,
        hint,
    }
}

/// A row as the template shows it.
#[derive(Clone, Debug)]
pub struct Row {
    pub name: String,
    pub label: String,
    pub hint: &'static str,
    pub value: String,
    pub options: Options,
    pub error: Option<String>,
    /// For plate fields: how the value is known.
    pub how: Option<String>,
}

impl Row {
    pub fn is_choice(&self) -> bool {
        !self.options.is_empty()
    }
}

/// What was typed, by field name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Typed(pub BTreeMap<String, String>);

impl Typed {
    /// The fields of a form, the first of each name.
    pub fn from_fields(fields: &Fields) -> Self {
        let mut typed = BTreeMap::new();
        for (name, value) in &fields.0 {
            typed
                .entry(name.clone())
                .or_insert_with(|| value.trim().to_owned());
        }
        Typed(typed)
    }

    pub fn get(&self, name: &str) -> &str {
        self.0.get(name).map_or("", String::as_str)
    }

    pub fn put(&mut self, name: impl Into<String>, value: impl Into<String>) {
        self.0.insert(name.into(), value.into());
    }

    /// Puts what is known; what is not stays blank.
    pub fn put_known<T>(&mut self, name: &str, value: Option<T>, words: impl FnOnce(T) -> String) {
        if let Some(value) = value {
            self.put(name, words(value));
        }
    }

    pub fn rows(&self, asks: &[Ask], units: Units, errors: &FieldErrors) -> Vec<Row> {
        asks.iter()
            .map(|ask| self.row(ask, ask.name.to_owned(), units, errors))
            .collect()
    }

    pub fn row(&self, ask: &Ask, name: String, units: Units, errors: &FieldErrors) -> Row {
        let label = match ask.takes.unit(units) {
            "" => ask.label.to_owned(),
            unit => format!("{}, {unit}", ask.label),
        };
        Row {
            label,
            hint: ask.hint,
            value: self.get(&name).to_owned(),
            options: if let Takes::Choice(options) = ask.takes {
                options
            } else {
                &[]
            },
            error: errors.get(&name).map(str::to_owned),
            how: None,
            name,
        }
    }
}

/// Reads typed fields one after the other and notes what cannot be read.
pub struct Reader<'a> {
    pub typed: &'a Typed,
    pub errors: FieldErrors,
}

impl<'a> Reader<'a> {
    pub fn new(typed: &'a Typed) -> Self {
        Reader {
            typed,
            errors: FieldErrors::default(),
        }
    }

    /// `None` where the field is blank or cannot be read; the second is noted.
    pub fn known<T>(
        &mut self,
        name: &str,
        read: impl FnOnce(&str) -> Result<T, String>,
    ) -> Option<T> {
        let text = self.typed.get(name);
        if text.is_empty() {
            return None;
        }
        read(text)
            .map_err(|message| self.errors.add(name, message))
            .ok()
    }

    pub fn choice<T: DeserializeOwned>(&mut self, name: &str) -> Option<T> {
        self.known(name, chosen)
    }

    pub fn yes_no(&mut self, name: &str) -> Option<bool> {
        self.known(name, yes_no)
    }

    pub fn text(&self, name: &str) -> String {
        self.typed.get(name).to_owned()
    }
}

/// The variant behind the word of a choice: calc's enums carry their words as serde names.
pub fn chosen<T: DeserializeOwned>(word: &str) -> Result<T, String> {
    serde_json::from_value(serde_json::Value::String(word.to_owned()))
        .map_err(|_| "Choose one of the list".to_owned())
}

/// The word of a variant.
pub fn word<T: Serialize>(variant: T) -> String {
    match serde_json::to_value(variant) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

/// The words people read for the word of a choice.
pub fn words_of(options: Options, word: &str) -> String {
    options
        .iter()
        .find(|(value, _)| *value == word)
        .map_or(word, |(_, words)| words)
        .to_owned()
}

pub fn yes_no(word: &str) -> Result<bool, String> {
    match word {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("Choose yes or no".to_owned()),
    }
}

pub fn yes_no_word(yes: bool) -> String {
    if yes { "yes" } else { "no" }.to_owned()
}

/// A small whole number above zero.
pub fn small_count(text: &str) -> Result<u8, String> {
    match text.parse::<u8>() {
        Ok(n) if n > 0 => Ok(n),
        _ => Err("Enter a whole number, as 3".to_owned()),
    }
}
