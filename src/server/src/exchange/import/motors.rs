//! Rows of motors: on the shelf, or on suppliers' lists.

use super::cells::{self, Cells};
use super::plan::{Current, New, Rows};
use super::queries::MotorRow;
use crate::clock::date_value;
use crate::exchange::columns::Register;
use crate::form::{self, FieldErrors, Fields, required};
use crate::motors::plate_form::PlateInput;
use crate::rows::Typed;
use crate::shelf::form::{Goes, MotorChange, motor, price_typed};
use crate::shop::Units;
use calc::plate::Plate;
use std::collections::HashMap;
use time::Date;

pub struct Motors {
    register: Register,
    /// By list and name in small letters; `None` where several have the name.
    by_key: HashMap<String, Option<MotorRow>>,
    /// The day of each list that is there, by its name in small letters.
    lists: HashMap<String, Date>,
    units: Units,
}

fn key(list: &str, name: &str) -> String {
    format!("{}\n{}", list.to_lowercase(), name.to_lowercase())
}

impl Motors {
    pub fn new(
        register: Register,
        rows: Vec<MotorRow>,
        lists: Vec<(String, Date)>,
        units: Units,
    ) -> Motors {
        let mut by_key = HashMap::new();
        for row in rows {
            by_key
                .entry(key(&row.list, &row.name))
                .and_modify(|known| *known = None)
                .or_insert(Some(row));
        }
        let lists = lists
            .into_iter()
            .map(|(name, day)| (name.to_lowercase(), day));
        Motors {
            register,
            by_key,
            lists: lists.collect(),
            units,
        }
    }

    /// The day of a list that a row adds; a list that is there keeps its own.
    fn day(&mut self, list: &str, text: &str) -> Result<Option<Date>, FieldErrors> {
        let refuse = |message: String| FieldErrors::of("list_day", message);
        let day = form::optional_date(text).map_err(refuse)?;
        match (self.lists.get(&list.to_lowercase()), day) {
            (Some(known), Some(day)) if *known != day => Err(refuse(format!(
                "This list is of {}: give a newer one a name of its own",
                date_value(*known)
            ))),
            (Some(_), _) => Ok(None),
            (None, Some(day)) => {
                self.lists.insert(list.to_lowercase(), day);
                Ok(Some(day))
            }
            (None, None) => Err(refuse(
                "There is no such list yet: enter the day it was current".to_owned(),
            )),
        }
    }
}

impl Rows for Motors {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let mut errors = FieldErrors::default();
        let name = required(
            cells::text(cells, "name"),
            "Enter the shop's own name for the motor",
        );
        let name = errors.take("name", name);
        let list = cells::text(cells, "list");
        if self.register == Register::Lists && list.is_empty() {
            errors.add("list", "Enter whose list it is");
        }
        errors.or((key(list, &name), name))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        match self.by_key.get(key) {
            None => Ok(None),
            Some(None) => Err(FieldErrors::of(
                "name",
                "Several motors have this name here: give each a name of its own first",
            )),
            Some(Some(row)) => Ok(Some(Current {
                id: row.id.0,
                version: row.version,
                typed: typed_row(row, self.units)
                    .map_err(|message| FieldErrors::of("name", message))?,
            })),
        }
    }

    fn read(&mut self, _: &str, merged: &Typed, _: &Cells) -> Result<(New, Typed), FieldErrors> {
        let mut typed = merged.clone();
        if typed.get("made").is_empty() {
            typed.put("made", "unknown");
        }
        let goes = match self.register {
            Register::Lists => Goes::List,
            _ => Goes::Shelf,
        };
        let fields = Fields(typed.0.into_iter().collect());
        let mut change = motor(&fields, self.units, goes)?;
        let known = self.by_key.get(&key(merged.get("list"), &change.name));
        let known = known.and_then(Option::as_ref);
        let known_list = known.map(|row| row.list.clone());
        if let Some(row) = known {
            change.name.clone_from(&row.name);
        }
        let mut after = typed_change(&change, self.units);
        if self.register == Register::Shelf {
            return Ok((New::Held(Box::new(change)), after));
        }
        let list = merged.get("list").to_owned();
        let day = self.day(&list, merged.get("list_day"))?;
        after.put("list", known_list.as_deref().unwrap_or(&list));
        let shown = day.or_else(|| self.lists.get(&list.to_lowercase()).copied());
        after.put_known("list_day", shown, date_value);
        let change = Box::new(change);
        Ok((New::Listed { list, day, change }, after))
    }
}

/// A motor as the columns hold it.
pub fn typed_row(row: &MotorRow, units: Units) -> Result<Typed, String> {
    let plate: Plate = serde_json::from_str(&row.plate).map_err(|_| {
        "The plate of this motor cannot be read: open it and save it anew".to_owned()
    })?;
    let change = MotorChange {
        name: row.name.clone(),
        plate,
        plate_text: row.plate_text.clone(),
        made: row.made.clone(),
        note: row.note.clone(),
        bin: Some(row.bin.clone()),
        held: row.held,
        price: row.price_minor,
        lead_days: row.lead_days,
    };
    let mut typed = typed_change(&change, units);
    typed.put("list", &row.list);
    typed.put_known("list_day", row.read_on, date_value);
    Ok(typed)
}

fn typed_change(change: &MotorChange, units: Units) -> Typed {
    let mut t = PlateInput::from_plate(&change.plate, units, "").into_typed();
    t.put("name", &change.name);
    t.put("plate_text", &change.plate_text);
    t.put("made", &change.made);
    t.put("note", &change.note);
    t.put_known("bin", change.bin.as_ref(), |bin| bin.clone());
    t.put("held", change.held.to_string());
    t.put("price", price_typed(change.price));
    t.put_known("lead_days", change.lead_days, |days| days.to_string());
    t
}
