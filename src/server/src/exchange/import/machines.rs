//! Rows of machines.

use super::cells::{self, Cells};
use super::plan::{Current, New};
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

/// The machines that the file names, and the places there are.
pub struct Machines {
    by_tag: HashMap<String, Machine>,
    places: HashMap<i64, Place>,
    by_path: HashMap<String, i64>,
    /// `None` where several places have the name.
    by_name: HashMap<String, Option<i64>>,
    circuits: HashMap<i64, PanelCircuit>,
    units: Units,
    today: Date,
}

impl Machines {
    pub fn new(
        machines: Vec<Machine>,
        places: Vec<Place>,
        circuits: Vec<PanelCircuit>,
        (units, today): (Units, Date),
    ) -> Machines {
        let mut by_name = HashMap::new();
        for place in &places {
            by_name
                .entry(place.name.to_lowercase())
                .and_modify(|id| *id = None)
                .or_insert(Some(place.id));
        }
        let tag = |machine: Machine| (machine.tag.to_ascii_lowercase(), machine);
        let path = |place: &Place| (place.path.to_lowercase(), place.id);
        Machines {
            by_tag: machines.into_iter().map(tag).collect(),
            by_path: places.iter().map(path).collect(),
            places: places.into_iter().map(|place| (place.id, place)).collect(),
            by_name,
            circuits: circuits.into_iter().map(|c| (c.id.0, c)).collect(),
            units,
            today,
        }
    }

    pub fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let tag = required(cells::text(cells, "tag"), "Enter the machine's tag")
            .map_err(|message| FieldErrors::of("tag", message))?;
        Ok((tag.to_ascii_lowercase(), tag))
    }

    pub fn find(&self, key: &str) -> Option<Current> {
        let machine = self.by_tag.get(key)?;
        Some(Current {
            id: machine.id.0,
            version: machine.version,
            typed: self.typed(machine),
        })
    }

    pub fn typed(&self, machine: &Machine) -> Typed {
        let mut typed = MachineInput::from_machine(machine, None, None, self.units).0;
        let place = self.places.get(&machine.place_id);
        typed.put_known("place", place, |place| place.path.clone());
        typed
    }

    pub fn read(&mut self, key: &str, merged: &Typed) -> Result<(New, Typed), FieldErrors> {
        let was = self.by_tag.get(key);
        let mut typed = merged.clone();
        if typed.get("criticality").is_empty() {
            typed.put("criticality", "ordinary");
        }
        let place = self.place(merged.get("place"))?;
        typed.put("place_id", place.id.to_string());
        let circuit = was.and_then(|machine| machine.circuit_id);
        let circuit = circuit.and_then(|id| self.circuits.get(&id.0));
        let lists = Lists {
            places: vec![place.clone()],
            circuits: circuit.into_iter().cloned().collect(),
        };
        let mut new = MachineInput(typed).parse(self.units, &lists, self.today)?;
        let motors = Motors {
            design: was.and_then(|machine| machine.design_motor_id),
            fitted: was.and_then(|machine| machine.fitted_motor_id),
        };
        if let Some(was) = was {
            keep(&mut new, was, self.units);
        }
        let after = after(&new, place, self.units);
        let new = Box::new(new);
        Ok((New::Machine { new, motors }, after))
    }

    fn place(&self, text: &str) -> Result<&Place, FieldErrors> {
        let lower = text.to_lowercase();
        let refuse = |message: &str| Err(FieldErrors::of("place", message));
        let id = match (self.by_path.get(&lower), self.by_name.get(&lower)) {
            (Some(id), _) | (None, Some(Some(id))) => id,
            (None, Some(None)) => {
                return refuse("Several places have this name: write the way to it from the site");
            }
            (None, None) => {
                return refuse("There is no such place: add it first, or from a file of places");
            }
        };
        let known = self.places.get(id).ok_or("There is no such place");
        known.map_err(|message| FieldErrors::of("place", message))
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

fn after(new: &NewMachine, place: &Place, units: Units) -> Typed {
    let mut t = facts::typed(&new.facts, units);
    t.put("tag", &new.tag);
    t.put("name", &new.name);
    t.put("kind", &new.kind);
    t.put("serves", &new.serves);
    t.put("place", &place.path);
    t.put("criticality", &new.criticality);
    t.put("before_you_go", &new.before_you_go);
    t.put_known("installed_on", new.installed_on, date_value);
    t.put_known("retired_on", new.retired_on, date_value);
    t
}
