//! What a topic is: its fields, its answers, and the function behind it.

use super::Given;
use crate::working::Working;
use serde_json::{Map, Value};

/// Where a topic stands on the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Subject {
    /// Plates, fits, speeds and capacitors.
    Motor,
    /// Fans, air, screens, belts, bearings.
    FanAndDrive,
    /// Conductors, devices, switches, boxes.
    Circuit,
    /// Volts, insulation and windings.
    Supply,
    /// Vibration, balance and the run test.
    Proof,
    /// When work is due.
    Dates,
    /// How long things last, and how often they fail.
    Life,
    /// Spares, energy and money.
    StockAndEnergy,
}

impl Subject {
    /// All, in the order of the bench.
    pub const ALL: [Subject; 8] = [
        Subject::Motor,
        Subject::Circuit,
        Subject::Supply,
        Subject::FanAndDrive,
        Subject::Proof,
        Subject::Dates,
        Subject::Life,
        Subject::StockAndEnergy,
    ];

    /// The heading.
    pub fn words(self) -> &'static str {
        match self {
            Subject::Motor => "Motor and fit",
            Subject::FanAndDrive => "Fan, air and drive",
            Subject::Circuit => "Circuit",
            Subject::Supply => "Supply and windings",
            Subject::Proof => "Proof and vibration",
            Subject::Dates => "Due dates and meters",
            Subject::Life => "Life and reliability",
            Subject::StockAndEnergy => "Stock, energy and money",
        }
    }
}

/// What a field takes.
#[derive(Clone, Copy, Debug)]
pub enum Takes {
    /// A number, or a text such as `7 1/2`, in the unit of the field.
    Number,
    /// A whole number, zero or above.
    Whole,
    /// `true` or `false`.
    Flag,
    /// Free text.
    Text,
    /// One of these words; the second of each pair is what people read.
    Choice(&'static [(&'static str, &'static str)]),
    /// A date, `2026-11-25`.
    Date,
    /// Wall-clock time, `2026-11-25T09:00` or with seconds.
    Moment,
    /// A list of numbers in the unit of the field.
    Numbers,
    /// A list of lists of numbers.
    NumberLists,
    /// A list of dates.
    Dates,
    /// A list of words or texts.
    Texts,
    /// Numbers by name: `{"12": 4}`. The texts name what the names are.
    NumbersByName(&'static str),
    /// A list of objects of these fields.
    Rows(&'static [Want]),
    /// One object of these fields.
    Group(&'static [Want]),
    /// An object or list whose form the note says; for machines that ask, not for people that type.
    Json,
}

/// One field that a topic reads.
#[derive(Clone, Copy, Debug)]
pub struct Want {
    /// Its name in JSON, with the unit in it where the name is ours.
    pub name: &'static str,
    /// What people read on the bench.
    pub label: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// Unit of the figure; empty where it has none.
    pub unit: &'static str,
    /// Valid range, meaning of blank, or an example: one short clause.
    pub note: &'static str,
}

/// A field without unit and note, for `const` tables.
pub const fn want(name: &'static str, label: &'static str, takes: Takes) -> Want {
    Want {
        name,
        label,
        takes,
        unit: "",
        note: "",
    }
}

impl Want {
    /// With its unit.
    pub const fn unit(mut self, unit: &'static str) -> Want {
        self.unit = unit;
        self
    }
    /// With its note.
    pub const fn note(mut self, note: &'static str) -> Want {
        self.note = note;
        self
    }
}

/// One answer of a topic.
#[derive(Clone, Copy, Debug)]
pub struct Answer {
    /// Its name in JSON.
    pub name: &'static str,
    /// Unit, or empty.
    pub unit: &'static str,
    /// What it is, in a few words.
    pub what: &'static str,
}

/// One calculation by name.
#[derive(Debug)]
pub struct Topic {
    /// Name on the command line and in addresses.
    pub name: &'static str,
    /// Title on the bench.
    pub title: &'static str,
    /// What it tells, in one sentence.
    pub what: &'static str,
    /// Where it stands.
    pub subject: Subject,
    /// What it reads.
    pub wants: &'static [Want],
    /// What it answers.
    pub answers: &'static [Answer],
    /// The calculation.
    pub run: fn(&Given) -> Result<Figure, Trouble>,
}

/// The answers of one run, with their working.
#[derive(Clone, Debug, Default)]
pub struct Figure {
    /// By name; what cannot be answered is left out and named in the working's `missing`.
    pub answers: Map<String, Value>,
    /// The shown calculation.
    pub working: Working,
}

impl Figure {
    /// No answer yet.
    pub fn new(working: Working) -> Figure {
        Figure {
            answers: Map::new(),
            working,
        }
    }

    /// Adds an answer.
    #[must_use]
    pub fn with(mut self, name: &str, value: impl Into<Value>) -> Figure {
        self.answers.insert(name.to_owned(), value.into());
        self
    }

    /// Adds an answer where there is one.
    #[must_use]
    pub fn with_some(self, name: &str, value: Option<impl Into<Value>>) -> Figure {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }

    /// A bare list or word.
    pub fn bare(working: Working, value: impl Into<Value>) -> Figure {
        Figure::new(working).with("result", value)
    }
}

/// Why a topic cannot answer, beside the field it concerns.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Trouble {
    /// One sentence for people.
    pub message: String,
    /// The field, where one is at fault; inside lists as `motors.2.hp`.
    pub field: Option<String>,
}

impl Trouble {
    /// Trouble with the whole.
    pub fn new(message: impl Into<String>) -> Trouble {
        Trouble {
            message: message.into(),
            field: None,
        }
    }

    /// Trouble with one field.
    pub fn of(field: impl Into<String>, message: impl Into<String>) -> Trouble {
        Trouble {
            message: message.into(),
            field: Some(field.into()),
        }
    }

    /// The same trouble, seen from the list or object that holds the field.
    #[must_use]
    pub fn inside(mut self, outer: &str) -> Trouble {
        self.field = Some(match self.field {
            Some(field) => format!("{outer}.{field}"),
            None => outer.to_owned(),
        });
        self
    }
}
