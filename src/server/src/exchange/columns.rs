//! The columns of each register: one table for reading a file, for writing one, for the empty
//! templates and for the page that documents them.

use super::asks;
use crate::machines::facts;
use crate::motors::plate_words;
use crate::panels::form as circuits;
use crate::rows::{Ask, Options, Takes};
use crate::shop::Units;

/// In a cell: what is there goes. A blank cell leaves it.
pub const CLEAR: &str = "[clear]";
/// In a cell of a plate: it was looked at and cannot be read.
pub const UNREADABLE: &str = "unreadable";

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Register {
    Places,
    Panels,
    Circuits,
    Machines,
    Shelf,
    Lists,
    Parts,
    Lines,
    Plans,
}

impl Register {
    /// In the order in which they are read in: what others refer to comes first.
    pub const ALL: &[Register] = &[
        Register::Places,
        Register::Panels,
        Register::Circuits,
        Register::Machines,
        Register::Shelf,
        Register::Lists,
        Register::Parts,
        Register::Lines,
        Register::Plans,
    ];

    /// In addresses, in the database and as a file's name.
    pub fn word(self) -> &'static str {
        match self {
            Register::Places => "places",
            Register::Machines => "machines",
            Register::Shelf => "shelf-motors",
            Register::Lists => "supplier-motors",
            Register::Panels => "panels",
            Register::Circuits => "circuits",
            Register::Parts => "parts",
            Register::Lines => "parts-lists",
            Register::Plans => "plans",
        }
    }

    pub fn named(word: &str) -> Option<Register> {
        Register::ALL.iter().copied().find(|r| r.word() == word)
    }

    pub fn title(self) -> &'static str {
        match self {
            Register::Places => "Places",
            Register::Machines => "Machines",
            Register::Shelf => "Motors on the shelf",
            Register::Lists => "Motors of suppliers' lists",
            Register::Panels => "Panels",
            Register::Circuits => "Circuits of panels",
            Register::Parts => "Parts",
            Register::Lines => "Parts lists of machines",
            Register::Plans => "Preventive plans of machines",
        }
    }

    /// One and several of it, in a sentence.
    pub fn nouns(self) -> (&'static str, &'static str) {
        match self {
            Register::Places => ("place", "places"),
            Register::Machines => ("machine", "machines"),
            Register::Shelf | Register::Lists => ("motor", "motors"),
            Register::Panels => ("panel", "panels"),
            Register::Circuits => ("circuit", "circuits"),
            Register::Parts => ("part", "parts"),
            Register::Lines => ("line", "lines"),
            Register::Plans => ("plan", "plans"),
        }
    }

    /// By what a row finds the record that it is about.
    pub fn key_words(self) -> &'static str {
        match self {
            Register::Places => "A row is known by its name and what it lies within.",
            Register::Machines => "A row is known by its tag, whatever its case.",
            Register::Shelf => "A row is known by the motor's name on the shelf.",
            Register::Lists => "A row is known by its list and the motor's name on it.",
            Register::Panels => "A row is known by the panel's name.",
            Register::Circuits => "A row is known by its panel and the circuit's number.",
            Register::Parts => "A row is known by the part's name.",
            Register::Lines => "A row is known by the machine, where the part sits, and the part.",
            Register::Plans => {
                "A row is known by the machine and what is to be done. Plans on a kind of machine or a place are written on their own page."
            }
        }
    }

    pub fn columns(self) -> Vec<Column> {
        let (own, more): (&[Ask], &[plate_words::Group]) = match self {
            Register::Places => (asks::PLACES, &[]),
            Register::Panels => (asks::PANELS, &[]),
            Register::Circuits => (asks::CIRCUITS, &[]),
            Register::Machines => (asks::MACHINES, &[]),
            Register::Shelf => (asks::SHELF, plate_words::GROUPS),
            Register::Lists => (asks::LISTS, plate_words::GROUPS),
            Register::Parts => (asks::PARTS, &[]),
            Register::Lines => (asks::LINES, &[]),
            Register::Plans => (asks::PLANS, &[]),
        };
        let mut columns: Vec<Column> = own.iter().map(|ask| Column::of(self, ask, false)).collect();
        if self == Register::Machines {
            let facts = facts::GROUPS.iter().flat_map(|(_, _, asks)| asks.iter());
            columns.extend(facts.map(|ask| Column::of(self, ask, false)));
        }
        if self == Register::Circuits {
            columns.extend(
                circuits::ASKS
                    .iter()
                    .map(|ask| Column::of(self, ask, false)),
            );
        }
        let plate = more.iter().flat_map(|(_, asks)| asks.iter());
        columns.extend(plate.map(|ask| Column::of(self, ask, true)));
        columns
    }
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    pub field: &'static str,
    /// As it heads a column of ours.
    pub name: String,
    pub label: &'static str,
    pub hint: &'static str,
    pub options: Options,
    /// Whether a number in it has a unit, so that a unit in the column's head says which.
    pub measured: bool,
    pub unit: (&'static str, &'static str),
    pub needed: bool,
    pub plate: bool,
}

impl Column {
    fn of(register: Register, ask: &Ask, plate: bool) -> Column {
        let options: Options = match ask.takes {
            Takes::Choice(options) => options,
            _ => &[],
        };
        let measured = matches!(ask.takes, Takes::Length | Takes::Distance | Takes::Power);
        Column {
            field: ask.name,
            name: ask.name.replace('_', " "),
            label: ask.label,
            hint: ask.hint,
            options,
            measured: measured || ask.takes.unit(Units::Us) == "°C",
            unit: (ask.takes.unit(Units::Us), ask.takes.unit(Units::Si)),
            needed: needed(register).contains(&ask.name),
            plate,
        }
    }

    pub fn unit(&self, units: Units) -> &'static str {
        match units {
            Units::Us => self.unit.0,
            Units::Si => self.unit.1,
        }
    }

    /// What may stand in it, in words.
    pub fn takes(&self, units: Units) -> String {
        if self.options.is_empty() {
            return match self.unit(units) {
                "" => String::new(),
                unit if self.measured => format!("{unit}, or another unit written with the number"),
                unit => unit.to_owned(),
            };
        }
        let words: Vec<&str> = self.options.iter().map(|(_, words)| *words).collect();
        words.join("; ")
    }
}

/// What a new row cannot do without.
fn needed(register: Register) -> &'static [&'static str] {
    match register {
        Register::Places => &["name", "kind"],
        Register::Machines => &["tag", "name", "kind", "place"],
        Register::Shelf => &["name", "bin", "held"],
        Register::Lists => &["list", "name"],
        Register::Panels => &["name", "place", "supply"],
        Register::Circuits => &["panel", "number", "label_read"],
        Register::Parts => &["name", "kind", "standing"],
        Register::Lines => &["machine", "position", "part", "amount"],
        Register::Plans => &["machine", "action", "kind", "anchor_on"],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_of_a_register_has_a_name_of_its_own() {
        for register in Register::ALL {
            let columns = register.columns();
            let mut names: Vec<&str> = columns.iter().map(|c| c.name.as_str()).collect();
            let all = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), all, "{register:?}");
            let needed_are_there = needed(*register)
                .iter()
                .all(|name| columns.iter().any(|c| c.field == *name));
            assert!(needed_are_there, "{register:?}");
            assert_eq!(Register::named(register.word()), Some(*register));
        }
    }
}
