//! The columns of each register: one table for reading a file, for writing one, for the empty
//! templates and for the page that documents them.

use crate::machines::{self, facts, form::CRITICALITIES};
use crate::motors::plate_words;
use crate::rows::{Ask, Options, Takes, hinted};
use crate::shelf::form::MADE;
use crate::shop::{Units, places};

/// In a cell: what is there goes. A blank cell leaves it.
pub const CLEAR: &str = "[clear]";
/// In a cell of a plate: it was looked at and cannot be read.
pub const UNREADABLE: &str = "unreadable";

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Register {
    Places,
    Machines,
    Shelf,
    Lists,
}

impl Register {
    pub const ALL: &[Register] = &[
        Register::Places,
        Register::Machines,
        Register::Shelf,
        Register::Lists,
    ];

    /// In addresses, in the database and as a file's name.
    pub fn word(self) -> &'static str {
        match self {
            Register::Places => "places",
            Register::Machines => "machines",
            Register::Shelf => "shelf-motors",
            Register::Lists => "supplier-motors",
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
        }
    }

    /// One and several of it, in a sentence.
    pub fn nouns(self) -> (&'static str, &'static str) {
        match self {
            Register::Places => ("place", "places"),
            Register::Machines => ("machine", "machines"),
            Register::Shelf | Register::Lists => ("motor", "motors"),
        }
    }

    /// By what a row finds the record that it is about.
    pub fn key_words(self) -> &'static str {
        match self {
            Register::Places => "A row is known by its name and what it lies within.",
            Register::Machines => "A row is known by its tag, whatever its case.",
            Register::Shelf => "A row is known by the motor's name on the shelf.",
            Register::Lists => "A row is known by its list and the motor's name on it.",
        }
    }

    pub fn columns(self) -> Vec<Column> {
        let (own, more): (&[Ask], &[plate_words::Group]) = match self {
            Register::Places => (PLACES, &[]),
            Register::Machines => (MACHINES, &[]),
            Register::Shelf => (SHELF, plate_words::GROUPS),
            Register::Lists => (LISTS, plate_words::GROUPS),
        };
        let mut columns: Vec<Column> = own.iter().map(|ask| Column::of(self, ask, false)).collect();
        if self == Register::Machines {
            let facts = facts::GROUPS.iter().flat_map(|(_, _, asks)| asks.iter());
            columns.extend(facts.map(|ask| Column::of(self, ask, false)));
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
    }
}

const PLACES: &[Ask] = &[
    hinted(
        "within",
        "Lies within",
        Takes::Text,
        "The way to it from the site down, as Mill, North range; blank for a site",
    ),
    hinted("name", "Name", Takes::Text, "Roof 2"),
    hinted("kind", "Kind", Takes::Choice(places::KINDS), ""),
    hinted(
        "access_note",
        "Access",
        Takes::Text,
        "Keys, ladder, hatch, who to ask",
    ),
];

const MACHINES: &[Ask] = &[
    hinted("tag", "Tag", Takes::Text, "KH-EF-1"),
    hinted("name", "What it is", Takes::Text, "Kiln-hall extract fan"),
    hinted("kind", "Kind", Takes::Choice(machines::KINDS), ""),
    hinted("serves", "Serves", Takes::Text, "Kiln hall"),
    hinted(
        "place",
        "Place",
        Takes::Text,
        "The way to it, as Mill, North range, Roof; or its name where only one has it",
    ),
    hinted(
        "criticality",
        "How much it matters",
        Takes::Choice(CRITICALITIES),
        "ordinary where a new row is blank",
    ),
    hinted(
        "before_you_go",
        "Know before you go",
        Takes::Text,
        "Keys, ladder, who to tell",
    ),
    hinted(
        "installed_on",
        "Installed on",
        Takes::Text,
        "A day, as 2019-05-31",
    ),
    hinted(
        "retired_on",
        "Retired on",
        Takes::Text,
        "A day, as 2026-11-25",
    ),
];

const NAME: Ask = hinted(
    "name",
    "Name",
    Takes::Text,
    "The shop's own name for the motor",
);
const MADE_ASK: Ask = hinted(
    "made",
    "Still made",
    Takes::Choice(MADE),
    "not known where a new row is blank",
);
const PRICE: Ask = hinted("price", "Price", Takes::Text, "148.50");
const NOTE: Ask = hinted("note", "Note", Takes::Text, "");
const PLATE_TEXT: Ask = hinted("plate_text", "The plate as it reads", Takes::Text, "");
const KNOWN: Ask = hinted(
    "how_known",
    "How the plate is known",
    Takes::Choice(HOWS),
    "For the values of the row that are new or changed; from old record where blank",
);
const HOWS: Options = &[
    ("read", "read"),
    ("measured", "measured"),
    ("old_record", "from old record"),
    ("assumed", "assumed"),
];

const SHELF: &[Ask] = &[
    NAME,
    hinted("bin", "Bin", Takes::Text, "A-3"),
    hinted("held", "Held", Takes::Text, "Counted; 0 is an answer"),
    PRICE,
    MADE_ASK,
    NOTE,
    PLATE_TEXT,
    KNOWN,
];

const LISTS: &[Ask] = &[
    hinted("list", "List", Takes::Text, "Whose list it is"),
    hinted(
        "list_day",
        "Day of the list",
        Takes::Text,
        "The day it was current, as 2026-11-25; needed for a list that is new",
    ),
    NAME,
    PRICE,
    hinted("lead_days", "Days until it is here", Takes::Text, "14"),
    MADE_ASK,
    NOTE,
    PLATE_TEXT,
    KNOWN,
];

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
