//! A reference table, run row by row, and what came of it.

use calc::figure;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// One reference table and how each of its rows is held against the program.
pub struct Table {
    /// Path under `tests/reference/`.
    pub file: &'static str,
    /// Where its figures come from, and how well that is known.
    pub source: &'static str,
    /// What is done with it.
    pub check: Check,
}

/// How a table is held.
pub enum Check {
    /// Every row is run.
    Rows(fn(&Row) -> Outcome),
    /// Words for people, with no figure or word that the program answers: why it is not run.
    Prose(&'static str),
}

/// What came of one row; an `Err` is a failed row with what was found.
pub type Outcome = Result<Held, String>;

/// A row that was held.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Held {
    /// The program gives the table's answer.
    Agrees,
    /// The table's or the printed answer is wrong or belongs to another convention: the program is
    /// asserted to give its own, and this says why.
    Differs(String),
}

/// One row by column name.
#[derive(Debug)]
pub struct Row {
    pub number: usize,
    cells: BTreeMap<String, String>,
}

impl Row {
    /// The cell, without outer blanks; an unknown column is a mistake of the test.
    #[track_caller]
    pub fn text(&self, column: &str) -> &str {
        match self.cells.get(column) {
            Some(cell) => cell.trim(),
            None => panic!("no column {column} in {:?}", self.cells.keys()),
        }
    }

    /// The cell as a number; `None` where it is empty or words.
    #[track_caller]
    pub fn number(&self, column: &str) -> Option<f64> {
        self.text(column).parse().ok()
    }

    /// The cell as a number that must be there.
    #[track_caller]
    pub fn need(&self, column: &str) -> f64 {
        self.number(column)
            .unwrap_or_else(|| panic!("{column} is no number: {:?}", self.text(column)))
    }

    /// The cell as JSON.
    #[track_caller]
    pub fn json(&self, column: &str) -> Value {
        serde_json::from_str(self.text(column))
            .unwrap_or_else(|e| panic!("{column}: {e}: {}", self.text(column)))
    }

    /// `got` agrees with the column to the last digit printed there.
    pub fn agrees(&self, column: &str, got: f64) -> Outcome {
        printed(self.text(column), got).map_err(|why| format!("{column}: {why}"))
    }
}

/// How far a figure may lie from the expected one.
#[derive(Clone, Copy)]
enum Room {
    /// Half of its last printed digit, or this, whichever is wider.
    Printed(f64),
    /// This share of its size, or this much, whichever is wider.
    Stated(f64, f64),
}

/// `got` agrees with a printed figure to half of its last printed digit (and 1e-9 of its size).
pub fn printed(text: &str, got: f64) -> Outcome {
    let want: f64 = text.parse().map_err(|_| format!("{text} is no number"))?;
    near(want, got, last_digit(text) / 2.0)
}

/// `got` lies within `within` of `want`, or within 1e-9 of its size.
pub fn near(want: f64, got: f64, within: f64) -> Outcome {
    let room = within.max(want.abs() * 1e-9) * (1.0 + 1e-6);
    if (got - want).abs() <= room {
        Ok(Held::Agrees)
    } else {
        Err(format!("want {want}, got {got}"))
    }
}

/// The worth of the last digit of a printed number: `12.50` gives 0.01, `1e-3` gives 0.001.
fn last_digit(text: &str) -> f64 {
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse().unwrap_or(0)),
        None => (text, 0),
    };
    let decimals = mantissa.split_once('.').map_or(0, |(_, after)| after.len());
    10f64.powi(exponent - decimals as i32)
}

/// All of `want` is in `got`, numbers to their last printed digit or to `within`, whichever is wider.
pub fn holds(want: &Value, got: &Value, within: f64) -> Outcome {
    inside(want, got, Room::Printed(within))
}

fn inside(want: &Value, got: &Value, room: Room) -> Outcome {
    match (want, got) {
        (Value::Number(number), Value::Number(got)) => {
            let want = number.as_f64().unwrap_or(f64::NAN);
            let within = match room {
                Room::Printed(within) => within.max(last_digit(&number.to_string()) / 2.0),
                Room::Stated(share, within) => within.max(share * want.abs()),
            };
            near(want, got.as_f64().unwrap_or(f64::NAN), within)
        }
        (Value::Array(want), Value::Array(got)) => {
            if want.len() != got.len() {
                return Err(format!("want {} items, got {}", want.len(), got.len()));
            }
            for (at, (want, got)) in want.iter().zip(got).enumerate() {
                inside(want, got, room).map_err(|why| format!("{at}: {why}"))?;
            }
            Ok(Held::Agrees)
        }
        (Value::Object(want), Value::Object(got)) => {
            for (name, want) in want {
                let got = got.get(name).ok_or_else(|| format!("{name}: no answer"))?;
                inside(want, got, room).map_err(|why| format!("{name}: {why}"))?;
            }
            Ok(Held::Agrees)
        }
        _ if want == got => Ok(Held::Agrees),
        _ => Err(format!("want {want}, got {got}")),
    }
}

/// Runs a topic by name, as the command line does; trouble comes back as its sentence.
pub fn ask(topic: &str, input: &Value) -> Result<Value, String> {
    let topic = figure::find(topic).ok_or_else(|| format!("no topic {topic}"))?;
    figure::run(topic, input).map_err(|trouble| match trouble.field {
        Some(field) => format!("{field}: {}", trouble.message),
        None => trouble.message,
    })
}

/// Asks a topic and holds the expected fields against the answer; a bare list, word or number is
/// looked for under `result`.
pub fn ask_holds(topic: &str, input: &Value, want: &Value, within: f64) -> Outcome {
    asked(topic, input, want, Room::Printed(within))
}

/// As [`ask_holds`], to a stated tolerance: the share `rel` or the amount `abs`, whichever is wider.
pub fn ask_holds_within(topic: &str, input: &Value, want: &Value, rel: f64, abs: f64) -> Outcome {
    asked(topic, input, want, Room::Stated(rel, abs))
}

fn asked(topic: &str, input: &Value, want: &Value, room: Room) -> Outcome {
    let got = ask(topic, input)?;
    match want {
        Value::Object(_) => inside(want, &got, room),
        bare => inside(bare, &got["result"], room),
    }
}

pub fn folder() -> std::path::PathBuf {
    concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference").into()
}

pub fn rows(file: &str) -> Vec<Row> {
    let mut reader =
        csv::Reader::from_path(folder().join(file)).unwrap_or_else(|e| panic!("{file}: {e}"));
    let rows: Vec<Row> = reader
        .deserialize()
        .enumerate()
        .map(|(at, cells)| Row {
            number: at + 2,
            cells: cells.unwrap_or_else(|e| panic!("{file}: {e}")),
        })
        .collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    rows
}

/// What came of a whole table.
#[derive(Debug, Default)]
pub struct Tally {
    pub rows: usize,
    pub agrees: usize,
    pub differs: Vec<String>,
    pub failed: Vec<String>,
}

impl Table {
    /// Runs every row.
    pub fn tally(&self) -> Tally {
        let rows = rows(self.file);
        let mut tally = Tally {
            rows: rows.len(),
            ..Tally::default()
        };
        let Check::Rows(check) = self.check else {
            return tally;
        };
        for row in &rows {
            match check(row) {
                Ok(Held::Agrees) => tally.agrees += 1,
                Ok(Held::Differs(why)) => tally.differs.push(why),
                Err(why) => tally
                    .failed
                    .push(format!("{} line {}: {why}", self.file, row.number)),
            }
        }
        tally
    }

    /// Fails with every row that failed.
    pub fn must_hold(&self) {
        let tally = self.tally();
        assert!(
            tally.failed.is_empty(),
            "{} of {} rows failed:\n{}",
            tally.failed.len(),
            tally.rows,
            tally.failed.join("\n")
        );
    }

    /// Its lines on the coverage page.
    pub fn coverage(&self, page: &mut String) {
        let tally = self.tally();
        let checked = tally.agrees + tally.differs.len();
        let file = self.file;
        let rows = tally.rows;
        let differ = tally.differs.len();
        let _ = writeln!(
            page,
            "| `{file}` | {rows} | {checked} | {differ} | {} |",
            self.source
        );
    }

    /// Why rows of it differ, or why it is not run.
    pub fn reasons(&self, page: &mut String) {
        match self.check {
            Check::Prose(why) => {
                let _ = writeln!(page, "- `{}`: not run. {why}", self.file);
            }
            Check::Rows(_) => {
                for why in self.tally().differs {
                    let _ = writeln!(page, "- `{}`: {why}", self.file);
                }
            }
        }
    }
}
