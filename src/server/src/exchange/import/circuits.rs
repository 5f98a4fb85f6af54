//! Rows of circuits: the label as it reads and as it was proved, the conductors, and the panels that
//! a circuit feeds.

use super::cells::{self, Cells};
use super::plan::{Current, New, Rows};
use crate::clock::date_value;
use crate::form::{self, FieldErrors, required};
use crate::panels::form::{CircuitInput, NewCircuit};
use crate::panels::queries::Panel;
use crate::panels::{CircuitId, PanelCircuit};
use crate::rows::Typed;
use crate::shop::Units;
use std::collections::HashMap;
use time::Date;

/// When the label was proved, by whom and how.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proof {
    pub on: Option<Date>,
    pub by: String,
    pub how: String,
}

/// A circuit as it is to be.
#[derive(Clone, Debug)]
pub struct NewCircuitRow {
    pub panel: i64,
    pub new: NewCircuit,
    /// `None` where it stands as it is.
    pub proof: Option<Proof>,
    /// Panels that it feeds from now on, and panels that it no longer feeds.
    pub feeds: Vec<i64>,
    pub leaves: Vec<i64>,
}

/// A circuit by its panel and its number, as rows are compared.
pub fn circuit_key(panel: &str, number: &str) -> String {
    format!("{}\n{number}", panel.to_lowercase())
}

pub struct Circuits {
    by_key: HashMap<String, PanelCircuit>,
    panels: HashMap<i64, Panel>,
    by_name: HashMap<String, i64>,
    /// The circuit that feeds each panel, as rows so far leave it: its key and its own panel.
    feeders: HashMap<i64, (String, i64)>,
    units: Units,
    today: Date,
}

impl Circuits {
    pub fn new(
        circuits: Vec<PanelCircuit>,
        panels: Vec<Panel>,
        (units, today): (Units, Date),
    ) -> Circuits {
        let mut of_circuit: HashMap<CircuitId, Vec<i64>> = HashMap::new();
        for panel in &panels {
            if let Some(circuit) = panel.fed_from_id {
                of_circuit.entry(circuit).or_default().push(panel.id);
            }
        }
        let mut feeders = HashMap::new();
        for circuit in &circuits {
            for panel in of_circuit.get(&circuit.id).into_iter().flatten() {
                let key = circuit_key(&circuit.panel, &circuit.number);
                feeders.insert(*panel, (key, circuit.panel_id));
            }
        }
        let key = |c: PanelCircuit| (circuit_key(&c.panel, &c.number), c);
        Circuits {
            by_key: circuits.into_iter().map(key).collect(),
            by_name: panels
                .iter()
                .map(|panel| (panel.name.to_lowercase(), panel.id))
                .collect(),
            panels: panels.into_iter().map(|panel| (panel.id, panel)).collect(),
            feeders,
            units,
            today,
        }
    }

    pub fn typed(&self, circuit: &PanelCircuit) -> Typed {
        let mut t = CircuitInput::from_circuit(circuit, self.units).0;
        t.put("panel", &circuit.panel);
        t.put(
            "label_wrong",
            if circuit.label_wrong { "yes" } else { "no" },
        );
        t.put_known("label_proved_on", circuit.label_proved_on, date_value);
        if circuit.label_proved_on.is_some() {
            t.put("label_proved_by", &circuit.label_proved_by);
            t.put("label_proved_how", &circuit.label_proved_how);
        }
        let key = circuit_key(&circuit.panel, &circuit.number);
        t.put("feeds_panels", self.names(&self.fed(&key)));
        t
    }

    fn fed(&self, key: &str) -> Vec<i64> {
        let fed = self.feeders.iter().filter(|(_, (feeder, _))| feeder == key);
        fed.map(|(panel, _)| *panel).collect()
    }

    /// In the order of the alphabet, so that the same panels read the same.
    fn names(&self, panels: &[i64]) -> String {
        let name = |id| self.panels.get(id).map(|panel| panel.name.as_str());
        let mut names: Vec<&str> = panels.iter().filter_map(name).collect();
        names.sort_unstable();
        names.join("; ")
    }

    fn panel(&self, name: &str) -> Result<i64, String> {
        let found = self.by_name.get(&name.to_lowercase());
        found.copied().ok_or_else(|| {
            format!("There is no panel {name}: add it first, or from a file of panels")
        })
    }

    /// The panels that the circuit is to feed: none that is fed by another, and none above it.
    fn feeds(&self, key: &str, own: i64, text: &str) -> Result<Vec<i64>, String> {
        let mut panels = Vec::new();
        for name in text
            .split(';')
            .map(str::trim)
            .filter(|name| !name.is_empty())
        {
            let panel = self.panel(name)?;
            if let Some((feeder, _)) = self.feeders.get(&panel).filter(|(f, _)| f != key) {
                let words = feeder.replace('\n', ", circuit ");
                return Err(format!("{name} is fed by {words}: clear that first"));
            }
            let mut above = Some(own);
            for _ in 0..=self.panels.len() {
                if above == Some(panel) {
                    return Err(format!("{name} lies above this circuit"));
                }
                above = above
                    .and_then(|at| self.feeders.get(&at))
                    .map(|(_, panel)| *panel);
            }
            if !panels.contains(&panel) {
                panels.push(panel);
            }
        }
        Ok(panels)
    }

    fn proof(&self, typed: &Typed, wrong: bool) -> Result<Proof, FieldErrors> {
        let mut errors = FieldErrors::default();
        let on = form::optional_date(typed.get("label_proved_on"));
        let on = errors.take("label_proved_on", on);
        let by = typed.get("label_proved_by").to_owned();
        if on.is_some_and(|on| on > self.today) {
            errors.add("label_proved_on", "This day has not come yet");
        }
        if on.is_some() && wrong {
            let message = "A label that is wrong is not proved: clear one of the two";
            errors.add("label_proved_on", message);
        }
        if on.is_some() == by.is_empty() {
            let message = "Enter both who proved the label and when, or neither";
            errors.add("label_proved_by", message);
        }
        let how = typed.get("label_proved_how").to_owned();
        errors.or(Proof { on, by, how })
    }
}

fn stands(circuit: &PanelCircuit) -> Proof {
    match circuit.label_proved_on {
        None => Proof::default(),
        on => Proof {
            on,
            by: circuit.label_proved_by.clone(),
            how: circuit.label_proved_how.clone(),
        },
    }
}

impl Rows for Circuits {
    fn key(&self, cells: &Cells) -> Result<(String, String), FieldErrors> {
        let mut errors = FieldErrors::default();
        let panel = required(cells::text(cells, "panel"), "Enter the panel's name");
        let panel = errors.take("panel", panel);
        let number = required(
            cells::text(cells, "number"),
            "Enter the circuit's number as marked",
        );
        let number = errors.take("number", number);
        let title = format!("{panel}, circuit {number}");
        errors.or((circuit_key(&panel, &number), title))
    }

    fn find(&self, key: &str) -> Result<Option<Current>, FieldErrors> {
        Ok(self.by_key.get(key).map(|circuit| Current {
            id: circuit.id.0,
            version: circuit.version,
            typed: self.typed(circuit),
        }))
    }

    fn read(
        &mut self,
        key: &str,
        merged: &Typed,
        cells: &Cells,
    ) -> Result<(New, Typed), FieldErrors> {
        let was = self.by_key.get(key);
        let mut typed = merged.clone();
        let wrong = typed.get("label_wrong") == "yes";
        typed.put("label_wrong", if wrong { "yes" } else { "" });
        let relabelled = was.is_some_and(|was| {
            was.label_read != typed.get("label_read") || was.label_wrong != wrong
        });
        if relabelled && cells::text(cells, "label_proved_on").is_empty() {
            for field in ["label_proved_on", "label_proved_by", "label_proved_how"] {
                typed.put(field, "");
            }
        }
        let mut errors = FieldErrors::default();
        let panel = errors.take("panel", self.panel(merged.get("panel")));
        let mut new = errors.gather(CircuitInput(typed.clone()).parse(self.units));
        let proof = errors.gather(self.proof(&typed, wrong)).unwrap_or_default();
        let feeds = self.feeds(key, panel, merged.get("feeds_panels"));
        let feeds = errors.take("feeds_panels", feeds);
        if let (Some(new), Some(was)) = (&mut new, was)
            && circuit_reads(&new.facts, self.units) == circuit_reads(&was.facts, self.units)
        {
            // Facts that read the same stay to the last digit.
            new.facts.clone_from(&was.facts);
        }
        let new = errors.or(new)?.ok_or_else(FieldErrors::default)?;
        let mut after = after(&new, &proof, self.units);
        let name = self.panels.get(&panel).map(|panel| panel.name.clone());
        after.put_known("panel", name, |name| name);
        after.put("feeds_panels", self.names(&feeds));
        let fed = was.map_or_else(Vec::new, |_| self.fed(key));
        let stood = was.map(stands).unwrap_or_default();
        let row = NewCircuitRow {
            panel,
            new,
            proof: (proof != stood || relabelled).then_some(proof),
            leaves: fed.iter().filter(|p| !feeds.contains(p)).copied().collect(),
            feeds: feeds.iter().filter(|p| !fed.contains(p)).copied().collect(),
        };
        self.feeders.retain(|_, (feeder, _)| feeder != key);
        for fed in feeds {
            self.feeders.insert(fed, (key.to_owned(), panel));
        }
        Ok((New::Circuit(Box::new(row)), after))
    }

    fn key_field(&self) -> &'static str {
        "number"
    }
}

fn circuit_reads(facts: &calc::installation::Circuit, units: Units) -> Typed {
    crate::panels::form::typed(facts, units)
}

fn after(new: &NewCircuit, proof: &Proof, units: Units) -> Typed {
    let mut t = circuit_reads(&new.facts, units);
    t.put("number", &new.number);
    t.put("label_read", &new.label_read);
    t.put("label_wrong", if new.label_wrong { "yes" } else { "no" });
    t.put("label_note", &new.label_note);
    t.put("wire_type", &new.wire_type);
    t.put("raceway", &new.raceway);
    t.put("feeds", &new.feeds);
    t.put_known("label_proved_on", proof.on, date_value);
    t.put("label_proved_by", &proof.by);
    t.put("label_proved_how", &proof.how);
    t
}
