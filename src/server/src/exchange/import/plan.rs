//! What a file would do to a register, row by row: added, changed field by field, left, or refused
//! with the row and the column. Pure: what is there was read before, nothing is written.

use super::cells::{self, Cells};
use super::circuits::NewCircuitRow;
use super::parts::NewPart;
use super::plans::NewPlanRow;
use crate::exchange::columns::{Column, Register};
use crate::exchange::reading::Sheet;
use crate::form::FieldErrors;
use crate::machines::MachineId;
use crate::machines::form::NewMachine;
use crate::machines::queries::Motors as MachineMotors;
use crate::panels::queries::NewPanel;
use crate::rows::{Typed, words_of};
use crate::shelf::form::MotorChange;
use crate::shop::Units;
use crate::stores::form::NewLine;
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use time::Date;

/// So many faults and so many rows are shown; the others are counted.
pub const MOST_SHOWN: usize = 200;

/// A record as it is.
#[derive(Clone, Debug)]
pub struct Current {
    pub id: i64,
    pub version: i64,
    pub typed: Typed,
}

/// A record as it is to be.
#[derive(Clone, Debug)]
pub enum New {
    /// The place's parent by the way to it, since that may be a row before.
    Place {
        within: String,
        kind: String,
        name: String,
        access_note: String,
    },
    Machine {
        new: Box<NewMachine>,
        motors: MachineMotors,
        /// The tag in small letters of what it is a part of; `None` leaves that as it is.
        part_of: Option<String>,
    },
    Panel(Box<NewPanel>),
    Circuit(Box<NewCircuitRow>),
    Part(Box<NewPart>),
    /// A line of the parts list of a machine.
    Line(MachineId, Box<NewLine>),
    Plan(Box<NewPlanRow>),
    Held(Box<MotorChange>),
    Listed {
        list: String,
        day: Option<Date>,
        change: Box<MotorChange>,
    },
}

/// What one register knows of its rows.
pub trait Rows: Send {
    /// The key of a row, as it is compared, and the row's name for people.
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors>;

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors>;

    /// The record of a row, and its fields as they will read. `cells` are the row's own.
    fn read(
        &mut self,
        key: &str,
        merged: &Typed,
        cells: &Cells,
    ) -> Result<(New, Typed), FieldErrors>;

    /// The column beside which it is said that two rows are about the same one.
    fn key_field(&self) -> &'static str {
        "name"
    }
}

pub type Known = Box<dyn Rows>;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    pub row: usize,
    /// As the file heads it, or our name where the file has no such column.
    pub column: String,
    pub message: String,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    pub label: &'static str,
    pub field: &'static str,
    pub was: String,
    pub is: String,
}

/// One record to write.
#[derive(Clone, Debug)]
pub struct Act {
    pub row: usize,
    pub title: String,
    /// The record that is changed and its version; `None` for a new one.
    pub of: Option<(i64, i64)>,
    pub new: New,
    /// Field by field; of new ones only for as many as are shown.
    pub changes: Vec<Change>,
}

#[derive(Debug, Default)]
pub struct Plan {
    pub acts: Vec<Act>,
    pub faults: Vec<Fault>,
    pub faults_in_all: usize,
    pub left: usize,
    /// Of everything that would be written and of what it rests on.
    pub digest: String,
}

impl Plan {
    pub fn added(&self) -> usize {
        self.acts.iter().filter(|act| act.of.is_none()).count()
    }

    pub fn changed(&self) -> usize {
        self.acts.len() - self.added()
    }

    fn fault(&mut self, row: usize, column: &str, message: &str) {
        self.faults_in_all += 1;
        if self.faults.len() < MOST_SHOWN {
            let (column, message) = (column.to_owned(), message.to_owned());
            self.faults.push(Fault {
                row,
                column,
                message,
            });
        }
    }
}

/// A file with what its columns mean.
pub struct Job {
    pub register: Register,
    pub sheet: Sheet,
    /// Our field for each column of the file; empty for those that are not read.
    pub fields: Vec<String>,
    pub units: Units,
}

pub fn plan(job: &Job, mut known: Known) -> Plan {
    let mut plan = Plan::default();
    let columns = job.register.columns();
    let read = cells::columns_read(&columns, &job.fields, &job.sheet.heads);
    let mut digest = Sha256::new();
    digest.update(job.fields.join(","));
    let mut seen: HashMap<String, usize> = HashMap::new();
    for line in &job.sheet.rows {
        let head = |field: &str| {
            let at = job.fields.iter().position(|f| f == field);
            let own = || {
                columns
                    .iter()
                    .find(|c| c.field == field)
                    .map(|c| c.name.as_str())
            };
            at.map(|at| job.sheet.heads[at].as_str())
                .or_else(own)
                .unwrap_or("")
                .to_owned()
        };
        let judged = cells::of(&read, &line.cells)
            .and_then(|cells| row(known.as_mut(), &cells, &columns, (line.number, &mut seen)));
        match judged {
            Ok(Some(mut act)) => {
                digest.update(format!("{} {:?};", act.row, act.of));
                if act.of.is_none() && plan.acts.len() >= MOST_SHOWN {
                    act.changes = Vec::new();
                }
                plan.acts.push(act);
            }
            Ok(None) => plan.left += 1,
            Err(errors) => {
                for (field, message) in errors.all() {
                    plan.fault(line.number, &head(field), message);
                }
            }
        }
    }
    plan.digest = digest
        .finalize()
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    plan
}

/// `None` where the row says nothing that is not there already.
fn row(
    known: &mut dyn Rows,
    cells: &Cells,
    columns: &[Column],
    (number, seen): (usize, &mut HashMap<String, usize>),
) -> Result<Option<Act>, FieldErrors> {
    let (key, title) = known.key(cells)?;
    if let Some(first) = seen.insert(key.clone(), number) {
        let message = format!("Row {first} is about the same one");
        return Err(FieldErrors::of(known.key_field(), message));
    }
    let current = known.find(&key)?;
    if current.is_none() {
        missing(cells, columns)?;
    }
    let before = current
        .as_ref()
        .map(|c| c.typed.clone())
        .unwrap_or_default();
    let merged = cells::merged(&before, cells);
    let (mut new, mut after) = known.read(&key, &merged, cells)?;
    if let Some(kept) = cells::hows_kept(&before, &merged, &after, cells) {
        (new, after) = known.read(&key, &kept, cells)?;
    }
    let changes: Vec<Change> = columns
        .iter()
        .filter(|column| cells.iter().any(|cell| cell.column.field == column.field))
        .filter_map(|column| change(column, &before, &after))
        .collect();
    if current.is_some() && changes.is_empty() {
        return Ok(None);
    }
    Ok(Some(Act {
        row: number,
        title,
        of: current.map(|c| (c.id, c.version)),
        new,
        changes,
    }))
}

/// A new record has every column that it needs.
fn missing(cells: &Cells, columns: &[Column]) -> Result<(), FieldErrors> {
    let mut errors = FieldErrors::default();
    for column in columns.iter().filter(|column| column.needed) {
        if !cells
            .iter()
            .any(|cell| cell.column.field == column.field && !cell.clears())
        {
            errors.add(column.field, "This is needed for one that is new");
        }
    }
    errors.or(())
}

fn change(column: &Column, before: &Typed, after: &Typed) -> Option<Change> {
    let (was, is) = (shown(column, before), shown(column, after));
    (was != is).then_some(Change {
        label: column.label,
        field: column.field,
        was,
        is,
    })
}

fn shown(column: &Column, typed: &Typed) -> String {
    let text = cells::written(column, typed);
    words_of(column.options, &text)
}
