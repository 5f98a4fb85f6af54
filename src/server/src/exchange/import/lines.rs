//! Rows of the parts lists of machines.

use super::cells::{self, Cells};
use super::plan::{Current, New, Rows};
use super::queries::LineRow;
use crate::form::{FieldErrors, Fields, required};
use crate::machines::MachineId;
use crate::rows::Typed;
use crate::stores::PartId;
use crate::stores::form;
use std::collections::HashMap;

pub struct Lines {
    by_key: HashMap<String, LineRow>,
    /// By tag in small letters: number and tag.
    machines: HashMap<String, (MachineId, String)>,
    /// By name in small letters: number and name.
    parts: HashMap<String, (PartId, String)>,
}

fn key(machine: &str, position: &str, part: &str) -> String {
    format!("{machine}\n{position}\n{part}").to_lowercase()
}

impl Lines {
    pub fn new(
        lines: Vec<LineRow>,
        machines: Vec<(MachineId, String)>,
        parts: Vec<(PartId, String)>,
    ) -> Lines {
        let keyed = |line: LineRow| (key(&line.machine, &line.position, &line.part), line);
        let tag = |(id, tag): (MachineId, String)| (tag.to_lowercase(), (id, tag));
        let name = |(id, name): (PartId, String)| (name.to_lowercase(), (id, name));
        Lines {
            by_key: lines.into_iter().map(keyed).collect(),
            machines: machines.into_iter().map(tag).collect(),
            parts: parts.into_iter().map(name).collect(),
        }
    }
}

pub fn typed(line: &LineRow) -> Typed {
    let mut t = Typed::default();
    t.put("machine", &line.machine);
    t.put("position", &line.position);
    t.put("part", &line.part);
    t.put("amount", line.amount.words());
    t.put("note", &line.note);
    t
}

impl Rows for Lines {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let mut errors = FieldErrors::default();
        let mut text = |field: &'static str, ask: &str| {
            errors.take(field, required(cells::text(cells, field), ask))
        };
        let machine = text("machine", "Enter the machine's tag");
        let position = text("position", "Say where it sits: drive-end bearing, belt 1");
        let part = text("part", "Enter the part's name");
        let title = format!("{machine}, {position}: {part}");
        errors.or((key(&machine, &position, &part), title))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        Ok(self.by_key.get(key).map(|line| Current {
            id: line.id,
            version: 0,
            typed: typed(line),
        }))
    }

    fn read(&mut self, key: &str, merged: &Typed, _: &Cells) -> Result<(New, Typed), FieldErrors> {
        let mut errors = FieldErrors::default();
        let machine = self.machines.get(&merged.get("machine").to_lowercase());
        if machine.is_none() {
            let message = "There is no such machine: add it first, or from a file of machines";
            errors.add("machine", message);
        }
        let part = self.parts.get(&merged.get("part").to_lowercase());
        if part.is_none() {
            let message = "There is no such part: add it first, or from a file of parts";
            errors.add("part", message);
        }
        let mut fields = merged.clone();
        fields.put("part", part.map_or(0, |(id, _)| id.0).to_string());
        fields.put("place", merged.get("position"));
        let new = form::line(&Fields(fields.0.into_iter().collect()));
        let new = errors.gather(new.map_err(|errors| errors.renamed("place", "position")));
        let (Some((machine, tag)), Some((_, name)), Some(new)) = (machine, part, errors.or(new)?)
        else {
            return Err(FieldErrors::default());
        };
        let was = self.by_key.get(key);
        let after = typed(&LineRow {
            id: 0,
            machine: tag.clone(),
            position: was.map_or_else(|| new.place.clone(), |was| was.position.clone()),
            part: name.clone(),
            amount: new.amount,
            note: new.note.clone(),
        });
        Ok((New::Line(*machine, Box::new(new)), after))
    }

    fn key_field(&self) -> &'static str {
        "position"
    }
}
