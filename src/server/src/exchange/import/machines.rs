//! Rows of machines.

use super::cells::{self, Cells};
use super::circuits::circuit_key;
use super::place_names::PlaceNames;
use super::plan::{Current, New, Rows};
use crate::clock::date_value;
use crate::form::{FieldErrors, required};
use crate::machines::form::{Lists, MachineInput, NewMachine};
use crate::machines::queries::{Motors, Place};
use crate::machines::{Machine, facts};
use crate::panels::PanelCircuit;
use crate::rows::Typed;
use crate::shop::Units;
use std::collections::HashMap;
use time::Date;

/// A machine as rows of the file name it, and what it is a part of.
pub struct Named {
    pub tag: String,
    pub part_of: Option<String>,
}

/// The machines that the file names, and everything they refer to.
pub struct Machines {
    by_tag: HashMap<String, Machine>,
    /// Every machine, also those of rows so far, by its tag in small letters.
    all: HashMap<String, Named>,
    tags: HashMap<i64, String>,
    places: PlaceNames,
    circuits: HashMap<i64, PanelCircuit>,
    by_number: HashMap<String, i64>,
    units: Units,
    today: Date,
}

impl Machines {
    /// `machines` are all there are; only those that the file names are kept whole.
    pub fn new(
        machines: Vec<Machine>,
        wanted: impl Fn(&str) -> bool,
        (places, circuits): (PlaceNames, Vec<PanelCircuit>),
        (units, today): (Units, Date),
    ) -> Machines {
        let tags: HashMap<i64, String> = machines
            .iter()
            .map(|machine| (machine.id.0, machine.tag.clone()))
            .collect();
        let named = |machine: &Machine| {
            let above = machine.parent_id.and_then(|id| tags.get(&id.0));
            let named = Named {
                tag: machine.tag.clone(),
                part_of: above.map(|tag| tag.to_ascii_lowercase()),
            };
            (machine.tag.to_ascii_lowercase(), named)
        };
        let all = machines.iter().map(named).collect();
        let lower = |machine: Machine| (machine.tag.to_ascii_lowercase(), machine);
        let kept = machines.into_iter().map(lower);
        Machines {
            by_tag: kept.filter(|(tag, _)| wanted(tag)).collect(),
            all,
            tags,
            places,
            by_number: circuits
                .iter()
                .map(|c| (circuit_key(&c.panel, &c.number), c.id.0))
                .collect(),
            circuits: circuits.into_iter().map(|c| (c.id.0, c)).collect(),
            units,
            today,
        }
    }

    pub fn typed(&self, machine: &Machine) -> Typed {
        let mut typed = MachineInput::from_machine(machine, None, None, self.units).0;
        typed.put_known("place", self.places.path(machine.place_id), |path| path);
        let above = machine.parent_id.and_then(|id| self.tags.get(&id.0));
        typed.put_known("part_of", above, String::clone);
        let circuit = machine.circuit_id.and_then(|id| self.circuits.get(&id.0));
        typed.put_known("panel", circuit, |c| c.panel.clone());
        typed.put_known("circuit", circuit, |c| c.number.clone());
        typed
    }

    /// How many machines lie above one.
    pub fn depth(&self, tag: &str) -> usize {
        let above = |tag: &String| self.all.get(tag).and_then(|named| named.part_of.clone());
        std::iter::successors(above(&tag.to_ascii_lowercase()), above)
            .take(100)
            .count()
    }

    fn circuit(&self, merged: &Typed) -> Result<Option<&PanelCircuit>, FieldErrors> {
        let (panel, number) = (merged.get("panel"), merged.get("circuit"));
        if panel.is_empty() && number.is_empty() {
            return Ok(None);
        }
        if panel.is_empty() || number.is_empty() {
            let message = "Write both the panel and the circuit's number, or neither";
            return Err(FieldErrors::of("circuit", message));
        }
        let id = self.by_number.get(&circuit_key(panel, number));
        let circuit = id.and_then(|id| self.circuits.get(id));
        let none = || {
            let message = "There is no such circuit: add it first, or from a file of circuits";
            FieldErrors::of("circuit", message)
        };
        circuit.ok_or_else(none).map(Some)
    }

    /// What it is a part of, by tag in small letters; empty for nothing.
    fn part_of(&self, key: &str, text: &str) -> Result<String, FieldErrors> {
        let lower = text.to_ascii_lowercase();
        let refuse = |message: &str| Err(FieldErrors::of("part_of", message));
        if lower.is_empty() {
            return Ok(lower);
        }
        if lower != key && !self.all.contains_key(&lower) {
            return refuse("There is no such machine, nor a row above that adds it");
        }
        let mut above = Some(lower.as_str());
        for _ in 0..100 {
            match above {
                None => return Ok(lower),
                Some(tag) if tag == key => break,
                Some(tag) => above = self.all.get(tag).and_then(|n| n.part_of.as_deref()),
            }
        }
        refuse("A machine cannot be part of itself or of one of its parts")
    }

    fn after(&self, new: &NewMachine, place: &Place, above: &str) -> Typed {
        let mut t = facts::typed(&new.facts, self.units);
        t.put("tag", &new.tag);
        t.put("name", &new.name);
        t.put("kind", &new.kind);
        t.put("serves", &new.serves);
        t.put("place", &place.path);
        t.put("criticality", &new.criticality);
        t.put("before_you_go", &new.before_you_go);
        t.put_known("installed_on", new.installed_on, date_value);
        t.put_known("retired_on", new.retired_on, date_value);
        t.put_known("feed_proved_on", new.feed_proved_on, date_value);
        t.put("feed_proved_by", &new.feed_proved_by);
        let circuit = new.circuit_id.and_then(|id| self.circuits.get(&id.0));
        t.put_known("panel", circuit, |c| c.panel.clone());
        t.put_known("circuit", circuit, |c| c.number.clone());
        let above = self.all.get(above).map(|named| named.tag.clone());
        t.put_known("part_of", above, |tag| tag);
        t
    }
}

impl Rows for Machines {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let tag = required(cells::text(cells, "tag"), "Enter the machine's tag")
            .map_err(|message| FieldErrors::of("tag", message))?;
        Ok((tag.to_ascii_lowercase(), tag))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        Ok(self.by_tag.get(key).map(|machine| Current {
            id: machine.id.0,
            version: machine.version,
            typed: self.typed(machine),
        }))
    }

    fn read(
        &mut self,
        key: &str,
        merged: &Typed,
        cells: &Cells,
    ) -> Result<(New, Typed), FieldErrors> {
        let was = self.by_tag.get(key);
        let mut typed = merged.clone();
        if typed.get("criticality").is_empty() {
            typed.put("criticality", "ordinary");
        }
        let place = self.places.find(merged.get("place"));
        let place = place.map_err(|message| FieldErrors::of("place", message))?;
        typed.put("place_id", place.id.to_string());
        let circuit = self.circuit(merged)?;
        typed.put_known("circuit_id", circuit, |c| c.id.0.to_string());
        let moved = was.is_some_and(|was| was.circuit_id != circuit.map(|c| c.id));
        if circuit.is_none() {
            typed.0.remove("circuit_id");
        }
        if moved && cells::text(cells, "feed_proved_on").is_empty() {
            typed.put("feed_proved_on", "");
            typed.put("feed_proved_by", "");
        }
        let lists = Lists {
            places: vec![place.clone()],
            circuits: circuit.into_iter().cloned().collect(),
            photos: Vec::new(),
            many: true,
        };
        let parsed = MachineInput(typed).parse(self.units, &lists, self.today);
        let mut new = parsed.map_err(|errors| errors.renamed("circuit_id", "circuit"))?;
        let motors = Motors {
            design: was.and_then(|machine| machine.design_motor_id),
            fitted: was.and_then(|machine| machine.fitted_motor_id),
        };
        if let Some(was) = was {
            keep(&mut new, was, self.units);
        }
        let above = self.part_of(key, merged.get("part_of"))?;
        let after = self.after(&new, place, &above);
        let stood = was.and_then(|was| self.tags.get(&was.parent_id?.0));
        let stood = stood.map_or(String::new(), |tag| tag.to_ascii_lowercase());
        let part_of = (stood != above).then(|| above.clone());
        let named = Named {
            tag: new.tag.clone(),
            part_of: Some(above).filter(|tag| !tag.is_empty()),
        };
        self.all.insert(key.to_owned(), named);
        let new = Box::new(new);
        Ok((
            New::Machine {
                new,
                motors,
                part_of,
            },
            after,
        ))
    }

    fn key_field(&self) -> &'static str {
        "tag"
    }
}

/// What no column asks for stays, and facts that read the same stay to the last digit.
fn keep(new: &mut NewMachine, was: &Machine, units: Units) {
    // Known by its tag whatever the case: the tag stays as it is stamped.
    new.tag.clone_from(&was.tag);
    new.facts.driven.air_mover = was.facts.driven.air_mover;
    new.facts
        .driven
        .compressor
        .clone_from(&was.facts.driven.compressor);
    if facts::typed(&new.facts, units) == facts::typed(&was.facts, units) {
        new.facts.clone_from(&was.facts);
    }
}
