//! A machine's record as people type it.

use super::queries::Place;
use super::{KINDS, Machine, facts};
use crate::clock::date_value;
use crate::form::{self, FieldErrors, Fields};
use crate::motors::Motor;
use crate::motors::plate_form::PlateInput;
use crate::panels::{CircuitId, PanelCircuit, choice};
use crate::photos::plates::Beside;
use crate::rows::Typed;
use crate::shop::Units;
use calc::installation::Installation;
use calc::plate::Plate;
use time::Date;

pub const CRITICALITIES: &[(&str, &str)] = &[
    ("low", "low"),
    ("ordinary", "ordinary"),
    ("high", "high: people or work stop without it"),
];

/// A motor typed with the machine.
#[derive(Clone, Debug, PartialEq)]
pub struct NewMotor {
    pub name: String,
    pub plate: Plate,
    pub plate_text: String,
}

impl NewMotor {
    /// Says the same as the motor that is recorded.
    pub fn is(&self, motor: &Motor) -> bool {
        self.plate == motor.plate && self.plate_text == motor.plate_text && self.name == motor.name
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct NewMachine {
    pub tag: String,
    pub name: String,
    pub kind: String,
    pub serves: String,
    pub place_id: i64,
    pub criticality: String,
    pub before_you_go: String,
    pub circuit_id: Option<CircuitId>,
    pub feed_proved_on: Option<Date>,
    pub feed_proved_by: String,
    pub installed_on: Option<Date>,
    pub retired_on: Option<Date>,
    pub facts: Installation,
    /// `None`: nothing is known of it.
    pub fitted: Option<NewMotor>,
    pub design: Option<NewMotor>,
}

/// What the form offers to choose from.
#[derive(Clone, Debug)]
pub struct Lists {
    pub places: Vec<Place>,
    pub circuits: Vec<PanelCircuit>,
    /// Photos of the machine's jobs, to read its plate from.
    pub photos: Vec<Beside>,
    /// There are more circuits than a list holds: only the one that was typed is here.
    pub many: bool,
}

#[derive(Clone, Debug, Default)]
pub struct MachineInput(pub Typed);

impl MachineInput {
    pub fn from_fields(fields: &Fields) -> Self {
        MachineInput(Typed::from_fields(fields))
    }

    pub fn get(&self, name: &str) -> &str {
        self.0.get(name)
    }

    pub fn from_machine(
        machine: &Machine,
        fitted: Option<&Motor>,
        design: Option<&Motor>,
        units: Units,
    ) -> Self {
        let mut t = facts::typed(&machine.facts, units);
        t.put("tag", &machine.tag);
        t.put("name", &machine.name);
        t.put("kind", &machine.kind);
        t.put("serves", &machine.serves);
        t.put("place_id", machine.place_id.to_string());
        t.put("criticality", &machine.criticality);
        t.put("before_you_go", &machine.before_you_go);
        t.put_known("circuit_id", machine.circuit_id, |id| id.0.to_string());
        t.put_known("feed_proved_on", machine.feed_proved_on, date_value);
        t.put("feed_proved_by", &machine.feed_proved_by);
        t.put_known("installed_on", machine.installed_on, date_value);
        t.put_known("retired_on", machine.retired_on, date_value);
        t.put("version", machine.version.to_string());
        for (prefix, motor) in [("fitted_", fitted), ("design_", design)] {
            let Some(motor) = motor else { continue };
            t.0.extend(
                PlateInput::from_plate(&motor.plate, units, prefix)
                    .into_typed()
                    .0,
            );
            t.put(format!("{prefix}name"), &motor.name);
            t.put(format!("{prefix}plate_text"), &motor.plate_text);
        }
        MachineInput(t)
    }

    /// # Errors
    /// A message beside each field that cannot be taken.
    pub fn parse(
        &self,
        units: Units,
        lists: &Lists,
        today: Date,
    ) -> Result<NewMachine, FieldErrors> {
        let mut errors = FieldErrors::default();
        let tag = errors.take("tag", tag(self.get("tag")));
        let name = form::required(
            self.get("name"),
            "Enter what the machine is, in a few words",
        );
        let name = errors.take("name", name);
        let kind = one_of(self.get("kind"), KINDS, "Choose what kind of machine it is");
        let kind = errors.take("kind", kind);
        let criticality = one_of(
            self.get("criticality"),
            CRITICALITIES,
            "Choose how much it matters",
        );
        let criticality = errors.take("criticality", criticality);
        let place_id = self.place(lists);
        let place_id = errors.take("place_id", place_id);
        let (circuit_id, feed_proved_on) = self.feed(lists, today, &mut errors);
        let installed_on = errors.take(
            "installed_on",
            form::optional_date(self.get("installed_on")),
        );
        let retired_on = errors.take("retired_on", form::optional_date(self.get("retired_on")));
        let facts = errors.gather(facts::parse(&self.0, units));
        let fitted = self.motor("fitted_", &format!("fitted on {tag}"), units, &mut errors);
        let design = self.motor(
            "design_",
            &format!("design motor of {tag}"),
            units,
            &mut errors,
        );
        errors.or(NewMachine {
            tag,
            name,
            kind,
            serves: self.get("serves").to_owned(),
            place_id,
            criticality,
            before_you_go: self.get("before_you_go").to_owned(),
            circuit_id,
            feed_proved_on,
            feed_proved_by: self.get("feed_proved_by").to_owned(),
            installed_on,
            retired_on,
            facts: facts.unwrap_or_default(),
            fitted,
            design,
        })
    }

    fn place(&self, lists: &Lists) -> Result<i64, String> {
        let typed = self.get("place_id");
        let known = lists
            .places
            .iter()
            .find(|place| place.id.to_string() == typed);
        known
            .map(|place| place.id)
            .ok_or_else(|| "Choose where it stands".to_owned())
    }

    fn feed(
        &self,
        lists: &Lists,
        today: Date,
        errors: &mut FieldErrors,
    ) -> (Option<CircuitId>, Option<Date>) {
        let typed = self.get("circuit_id");
        let circuit = lists
            .circuits
            .iter()
            .find(|c| choice::is(c, typed))
            .map(|c| c.id);
        if circuit.is_none() && !typed.is_empty() {
            errors.add("circuit_id", choice::NONE);
        }
        let on = errors.take(
            "feed_proved_on",
            form::optional_date(self.get("feed_proved_on")),
        );
        if on.is_some_and(|on| on > today) {
            errors.add("feed_proved_on", "This day has not come yet");
        }
        if on.is_some() && circuit.is_none() {
            errors.add(
                "circuit_id",
                "Choose the circuit that was proved, or clear the date",
            );
        }
        if on.is_some() == self.get("feed_proved_by").is_empty() {
            errors.add(
                "feed_proved_by",
                "Enter both who proved the feed and when, or neither",
            );
        }
        (circuit, on)
    }

    fn motor(
        &self,
        prefix: &str,
        usual_name: &str,
        units: Units,
        errors: &mut FieldErrors,
    ) -> Option<NewMotor> {
        let plate = errors.gather(PlateInput::from_typed(&self.0, prefix).parse(units))?;
        let name = self.get(&format!("{prefix}name"));
        let plate_text = self.get(&format!("{prefix}plate_text"));
        if plate == Plate::default() && name.is_empty() && plate_text.is_empty() {
            return None;
        }
        let name = if name.is_empty() { usual_name } else { name };
        Some(NewMotor {
            name: name.to_owned(),
            plate,
            plate_text: plate_text.to_owned(),
        })
    }
}

/// A tag stands in addresses and on stamped plates: letters, digits, dash and dot.
fn tag(text: &str) -> Result<String, String> {
    let text = form::required(text, "Enter the machine's tag")?;
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
    if text.len() <= 24 && text.chars().all(plain) {
        Ok(text)
    } else {
        Err("Use up to 24 letters, digits, dashes and dots, as KH-EF-1".to_owned())
    }
}

/// One of the listed words.
pub fn one_of(word: &str, options: &[(&str, &str)], message: &str) -> Result<String, String> {
    if options.iter().any(|(value, _)| *value == word) {
        Ok(word.to_owned())
    } else {
        Err(message.to_owned())
    }
}
