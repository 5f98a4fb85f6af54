//! The cells of a row: words of choices, units from the column's head, what clears and what is left.

use crate::exchange::columns::{CLEAR, Column, UNREADABLE};
use crate::exchange::heads;
use crate::form::FieldErrors;
use crate::rows::Typed;

/// A column of the file that is read: where, what, and the unit its head gives.
pub struct Read<'a> {
    at: usize,
    column: &'a Column,
    unit: String,
}

pub struct Cell<'a> {
    pub column: &'a Column,
    text: String,
}

/// The cells of a row that say something.
pub type Cells<'a> = Vec<Cell<'a>>;

impl Cell<'_> {
    pub fn clears(&self) -> bool {
        self.text == CLEAR
    }

    fn unreadable(&self) -> bool {
        self.column.plate && self.text == UNREADABLE
    }
}

pub fn columns_read<'a>(
    columns: &'a [Column],
    fields: &[String],
    names: &[String],
) -> Vec<Read<'a>> {
    let read = |(at, field): (usize, &String)| {
        let column = columns.iter().find(|c| c.field == *field)?;
        let unit = heads::unit_of(column, names.get(at)?);
        Some(Read { at, column, unit })
    };
    fields.iter().enumerate().filter_map(read).collect()
}

pub fn of<'a>(read: &[Read<'a>], texts: &[String]) -> Result<Cells<'a>, FieldErrors> {
    let mut errors = FieldErrors::default();
    let mut cells = Vec::new();
    for Read { at, column, unit } in read {
        let text = texts.get(*at).map_or("", |text| text.trim());
        if text.is_empty() {
            continue;
        }
        let text = match special(column, text) {
            Some(word) => word.to_owned(),
            None if column.options.is_empty() => heads::with_unit(text, unit),
            None => errors.take(column.field, choice(column, text)),
        };
        cells.push(Cell { column, text });
    }
    errors.or(cells)
}

fn special(column: &Column, text: &str) -> Option<&'static str> {
    let is = |word: &str| text.eq_ignore_ascii_case(word);
    if is(CLEAR) {
        Some(CLEAR)
    } else if column.plate && is(UNREADABLE) {
        Some(UNREADABLE)
    } else {
        None
    }
}

/// The value of a choice, by its value or its words.
fn choice(column: &Column, text: &str) -> Result<String, String> {
    let lower = text.to_lowercase();
    let spaced = lower.replace([' ', '-'], "_");
    let found = column.options.iter().find(|(value, words)| {
        let value = value.to_lowercase();
        value == lower || value == spaced || words.to_lowercase() == lower
    });
    let yes_no = || match lower.as_str() {
        "y" | "true" => Some("yes"),
        "n" | "false" => Some("no"),
        _ => None,
    };
    let short = || {
        let value = yes_no().or_else(|| alias(column.field, &lower))?;
        column.options.iter().find(|(v, _)| *v == value)
    };
    if let Some((value, _)) = found.or_else(short) {
        return Ok((*value).to_owned());
    }
    let words: Vec<&str> = column.options.iter().map(|(_, words)| *words).collect();
    Err(format!("This is none of: {}", words.join("; ")))
}

/// What the trade writes for a word of ours.
fn alias(field: &str, text: &str) -> Option<&'static str> {
    match (field, text) {
        ("kind", "exhaust fan" | "extract fan" | "supply fan" | "blower") => Some("fan"),
        ("kind", "ahu") => Some("air_handler"),
        ("kind", "heater") => Some("unit_heater"),
        ("criticality", "normal" | "medium") => Some("ordinary"),
        ("phases", "single" | "1ph") => Some("1"),
        ("phases", "three" | "3ph") => Some("3"),
        ("motor_type", "psc") => Some("permanent_split_capacitor"),
        ("motor_type", "ecm") => Some("electronically_commutated"),
        ("enclosure", "tefc") => Some("totally_enclosed_fan_cooled"),
        ("enclosure", "tenv") => Some("totally_enclosed_non_ventilated"),
        ("enclosure", "teao") => Some("totally_enclosed_air_over"),
        ("enclosure", "odp") => Some("open_drip_proof"),
        _ => None,
    }
}

/// What a cell says; empty where there is none or where it clears.
pub fn text<'a>(cells: &'a Cells<'_>, field: &str) -> &'a str {
    let cell = cells.iter().find(|cell| cell.column.field == field);
    cell.filter(|cell| !cell.clears())
        .map_or("", |cell| cell.text.as_str())
}

/// What is there with the row's cells laid over it.
pub fn merged(before: &Typed, cells: &Cells) -> Typed {
    let how = match text(cells, "how_known") {
        "" => "old_record",
        how => how,
    };
    let mut merged = before.clone();
    for cell in cells {
        let field = cell.column.field;
        let blank = cell.clears() || cell.unreadable();
        let text = if blank { "" } else { cell.text.as_str() };
        if cell.column.plate && (blank || text != before.get(field)) {
            let how = match (cell.unreadable(), blank) {
                (true, _) => UNREADABLE,
                (false, true) => "",
                (false, false) => how,
            };
            merged.put(format!("{field}_how"), how);
        }
        merged.put(field, text);
    }
    merged
}

/// The row with the way in which a value is known left as it is wherever the value came out the same,
/// as 1/2 and 0.5 do; `None` where there is no such value.
pub fn hows_kept(before: &Typed, merged: &Typed, after: &Typed, cells: &Cells) -> Option<Typed> {
    let mut kept = merged.clone();
    for cell in cells.iter().filter(|cell| cell.column.plate) {
        let field = cell.column.field;
        let how = format!("{field}_how");
        let same = after.get(field) == before.get(field) && !before.get(field).is_empty();
        if same && merged.get(&how) != before.get(&how) {
            kept.put(how.as_str(), before.get(&how));
        }
    }
    (kept != *merged).then_some(kept)
}

/// A field as a cell of ours holds it.
pub fn written(column: &Column, typed: &Typed) -> String {
    let text = typed.get(column.field);
    if column.plate && typed.get(&format!("{}_how", column.field)) == UNREADABLE {
        return UNREADABLE.to_owned();
    }
    text.to_owned()
}
