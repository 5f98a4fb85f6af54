//! A topic's form: what it asks, as fields to type in.

use super::quantity;
use super::typed_json::filled;
use crate::form::FieldErrors;
use crate::rows::{Options, Typed};
use crate::shop::Units;
use calc::figure::{Takes, Want};

/// Blank rows shown beyond those that are filled.
const SPARE_ROWS: usize = 2;
/// More rows than this are for programs.
pub(super) const MOST_ROWS: usize = 200;

const YES_NO: Options = &[("true", "yes"), ("false", "no")];

/// One field as the template shows it.
pub enum Input {
    /// A line to type, or a choice.
    Line(Line),
    /// Several lines to type.
    Area(Line),
    /// A heading over the fields that follow it.
    Heading(String),
    /// A table with a row for each item.
    Table(Table),
}

pub struct Line {
    pub name: String,
    pub label: String,
    pub hint: String,
    pub value: String,
    pub options: Options,
    pub error: Option<String>,
}

pub struct Table {
    pub name: String,
    pub label: String,
    pub hint: String,
    pub error: Option<String>,
    pub heads: Vec<String>,
    pub rows: Vec<Vec<Line>>,
}

/// The form of these fields, with what was typed.
pub fn inputs(
    wants: &'static [Want],
    typed: &Typed,
    units: Units,
    errors: &FieldErrors,
) -> Vec<Input> {
    let form = Form {
        typed,
        units,
        errors,
    };
    let mut out = Vec::new();
    form.add(&mut out, wants, "", "");
    out
}

struct Form<'a> {
    typed: &'a Typed,
    units: Units,
    errors: &'a FieldErrors,
}

impl Form<'_> {
    /// Groups come last, each under its heading, so that no field seems to belong to one.
    fn add(&self, out: &mut Vec<Input>, wants: &'static [Want], before: &str, within: &str) {
        let mut groups = Vec::new();
        for want in asked_once(wants) {
            let name = format!("{before}{}", want.name);
            match want.takes {
                Takes::Group(fields) => groups.push((want.label, format!("{name}."), fields)),
                Takes::Rows(columns) => out.push(Input::Table(self.table(want, name, columns))),
                Takes::NumberLists | Takes::Texts | Takes::Json => {
                    out.push(Input::Area(self.line(want, wants, name)));
                }
                _ => out.push(Input::Line(self.line(want, wants, name))),
            }
        }
        for (label, before, fields) in groups {
            let heading = match within {
                "" => label.to_owned(),
                within => format!("{within}: {label}"),
            };
            out.push(Input::Heading(heading.clone()));
            self.add(out, fields, &before, &heading);
        }
    }

    fn line(&self, want: &'static Want, beside: &[Want], name: String) -> Line {
        let unit = quantity::shown_unit(want, beside, self.units);
        let label = match unit {
            "" => want.label.to_owned(),
            unit => format!("{}, {unit}", want.label),
        };
        Line {
            label,
            hint: hint(want),
            value: self.typed.get(&name).to_owned(),
            options: options(want.takes),
            error: self.errors.get(&name).map(str::to_owned),
            name,
        }
    }

    fn table(&self, want: &'static Want, name: String, within: &'static [Want]) -> Table {
        let rows = (filled(self.typed, &name) + SPARE_ROWS).min(MOST_ROWS);
        let row = |at: usize| {
            let line =
                |want: &'static Want| self.line(want, within, format!("{name}.{at}.{}", want.name));
            asked_once(within).map(line).collect()
        };
        let head = |want: &Want| match quantity::shown_unit(want, within, self.units) {
            "" => want.label.to_owned(),
            unit => format!("{}, {unit}", want.label),
        };
        Table {
            label: want.label.to_owned(),
            hint: want.note.to_owned(),
            error: self.errors.get(&name).map(str::to_owned),
            heads: asked_once(within).map(head).collect(),
            rows: (0..rows).map(row).collect(),
            name,
        }
    }
}

/// The fields without the US twin of one that is asked in SI: the form takes either unit there.
fn asked_once(wants: &'static [Want]) -> impl Iterator<Item = &'static Want> {
    let twin = |want: &Want| {
        wants
            .iter()
            .any(|other| quantity::are_twins(other.name, want.name))
    };
    wants.iter().filter(move |want| !twin(want))
}

fn options(takes: Takes) -> Options {
    match takes {
        Takes::Choice(options) => options,
        Takes::Flag => YES_NO,
        _ => &[],
    }
}

fn hint(want: &Want) -> String {
    let how = match want.takes {
        Takes::Numbers => "Several, with blanks or semicolons between",
        Takes::Dates => "Several, as 2026-11-25, with blanks between",
        Takes::NumberLists => "One list a line, with blanks between the figures",
        Takes::Texts => "One a line",
        Takes::NumbersByName(_) => "As 12: 4, 14: 2",
        Takes::Date => "As 2026-11-25",
        Takes::Moment => "As 2026-11-25T09:00",
        _ => "",
    };
    match (want.note, how) {
        (note, "") => note.to_owned(),
        ("", how) => how.to_owned(),
        (note, how) => format!("{note}. {how}"),
    }
}
