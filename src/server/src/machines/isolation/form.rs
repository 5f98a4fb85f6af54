//! A new revision of an isolation sheet as people type it.

use crate::form::{self, FieldErrors, Fields};
use crate::machines::form::one_of;
use crate::machines::{Before, Source};
use crate::panels::{CircuitId, PanelCircuit, choice};
use crate::rows::Typed;

pub const SOURCE_KINDS: &[(&str, &str)] = &[
    ("electrical", "electrical"),
    ("stored", "stored: capacitor, spring, pressure"),
    ("draught", "draught that turns the wheel"),
    ("water", "water"),
    ("gas", "gas"),
    ("gravity", "gravity: guard, belt, hinged fan"),
    ("heat", "heat"),
];

pub const DEAD_TESTS: &[(&str, &str)] = &[
    ("none", "no electrical test"),
    ("single_phase", "single-phase: L-N, L-E, N-E"),
    ("split_phase", "two lines: L1-L2, L1-E, L2-E"),
    ("split_phase_neutral", "two lines and neutral"),
    ("three_phase", "three-phase: all lines and to earth (E)"),
    ("three_phase_neutral", "three-phase and neutral"),
];

/// New sources one form can add.
pub const NEW: [&str; 3] = ["new1_", "new2_", "new3_"];

/// A source typed on the form.
#[derive(Clone, Debug, PartialEq)]
pub struct NewSource {
    pub kind: String,
    pub name: String,
    pub magnitude: String,
    pub device: String,
    pub device_place: String,
    pub label_read: String,
    pub locked_how: String,
    pub relieved_how: String,
    pub dead_test: String,
    pub circuit_id: Option<CircuitId>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct NewSheet {
    pub steps: String,
    pub before: Before,
    /// Sources that are known already, in order.
    pub known: Vec<i64>,
    pub added: Vec<NewSource>,
}

#[derive(Clone, Debug, Default)]
pub struct SheetInput {
    pub typed: Typed,
    pub sources: Vec<i64>,
}

impl SheetInput {
    pub fn from_fields(fields: &Fields) -> Self {
        let ticked = fields.0.iter().filter(|(name, _)| name == "source");
        SheetInput {
            sources: ticked
                .filter_map(|(_, id)| id.trim().parse().ok())
                .collect(),
            typed: Typed::from_fields(fields),
        }
    }

    pub fn get(&self, name: &str) -> &str {
        self.typed.get(name)
    }

    /// The revision this one was made from; 0 for the first.
    pub fn from_revision(&self) -> i64 {
        self.get("revision").parse().unwrap_or(-1)
    }

    /// # Errors
    /// A message beside each field that cannot be taken.
    pub fn parse(
        &self,
        known: &[Source],
        circuits: &[PanelCircuit],
    ) -> Result<NewSheet, FieldErrors> {
        let mut errors = FieldErrors::default();
        let steps = form::required(
            self.get("steps"),
            "Write how the machine is shut down, isolated and tested",
        );
        let steps = errors.take("steps", steps);
        let ids: Vec<i64> = self
            .sources
            .iter()
            .copied()
            .filter(|id| known.iter().any(|s| s.id == *id))
            .collect();
        for source in known.iter().filter(|s| ids.contains(&s.id)) {
            if let Some(message) = not_isolating(&source.device) {
                errors.add("source", format!("{}: {message}", source.name));
            }
        }
        let mut added = Vec::new();
        for prefix in NEW {
            if self.is_used(prefix) {
                let source = self.source(prefix, circuits, &mut errors);
                if let Some(twin) = known.iter().find(|known| source.is_twin(known)) {
                    errors.add(
                        &format!("{prefix}device"),
                        format!(
                            "This device is on the list already: tick {}. Locks are held on one \
                             source, whichever machine they are for",
                            twin.name
                        ),
                    );
                }
                added.push(source);
            }
        }
        if ids.is_empty() && added.is_empty() {
            errors.add("source", "Tick or add at least one source of energy");
        }
        errors.or(NewSheet {
            steps,
            before: Before {
                tell_first: self.get("tell_first").to_owned(),
                keys_needed: self.get("keys_needed").to_owned(),
                interlocks: self.get("interlocks").to_owned(),
            },
            known: ids,
            added,
        })
    }

    /// Something was typed for this new source.
    pub fn is_used(&self, prefix: &str) -> bool {
        let of_it = |name: &str| name.starts_with(prefix) && !name.ends_with("dead_test");
        self.typed
            .0
            .iter()
            .any(|(name, value)| of_it(name) && !value.is_empty())
    }

    fn source(
        &self,
        prefix: &str,
        circuits: &[PanelCircuit],
        errors: &mut FieldErrors,
    ) -> NewSource {
        let field = |name: &str| format!("{prefix}{name}");
        let text = |name: &str| self.get(&field(name)).to_owned();
        let name = form::required(&text("name"), "Name the source, as supply to the fan motor");
        let name = errors.take(&field("name"), name);
        let kind = one_of(&text("kind"), SOURCE_KINDS, "Choose the kind of energy");
        let kind = errors.take(&field("kind"), kind);
        let device = form::required(
            &text("device"),
            "Name what isolates it: breaker, disconnect, valve or block",
        );
        let device = device.and_then(|device| match not_isolating(&device) {
            Some(message) => Err(message),
            None => Ok(device),
        });
        let device = errors.take(&field("device"), device);
        let dead_test = one_of(&text("dead_test"), DEAD_TESTS, "Choose what is tested dead");
        let dead_test = errors.take(&field("dead_test"), dead_test);
        if kind == "electrical" && dead_test == "none" {
            errors.add(
                &field("dead_test"),
                "An electrical source is tested dead: choose the pairs",
            );
        }
        let wanted = text("circuit_id");
        let circuit_id = circuits
            .iter()
            .find(|circuit| choice::is(circuit, &wanted))
            .map(|c| c.id);
        if circuit_id.is_none() && !wanted.is_empty() {
            errors.add(&field("circuit_id"), choice::NONE);
        }
        NewSource {
            kind,
            name,
            magnitude: text("magnitude"),
            device,
            device_place: text("device_place"),
            label_read: text("label_read"),
            locked_how: text("locked_how"),
            relieved_how: text("relieved_how"),
            dead_test,
            circuit_id,
        }
    }
}

impl NewSource {
    /// The same isolating device typed once more: one circuit and one device, or one device in one
    /// place.
    fn is_twin(&self, known: &Source) -> bool {
        let same = |a: &str, b: &str| {
            let plain = |text: &str| {
                text.chars()
                    .filter(|c| c.is_alphanumeric())
                    .collect::<String>()
                    .to_lowercase()
            };
            !plain(a).is_empty() && plain(a) == plain(b)
        };
        let shared_kind = matches!(self.kind.as_str(), "electrical" | "gas" | "water");
        same(&self.device, &known.device)
            && (self.circuit_id.is_some() && self.circuit_id == known.circuit_id
                || shared_kind && same(&self.device_place, &known.device_place))
    }
}

/// Words of control devices, which only tell something else to stop.
const CONTROLS: &[&str] = &[
    "push button",
    "push-button",
    "pushbutton",
    "stop button",
    "emergency stop",
    "e-stop",
    "selector",
    "thermostat",
    "wall stat",
    "humidistat",
    "software",
    "control circuit",
    "building control",
    "timer",
    "time clock",
    "interlock",
    "remote stop",
];

/// Why this is not an isolating device; `None` where it may be one.
pub fn not_isolating(device: &str) -> Option<String> {
    let device = device.to_lowercase();
    let word = CONTROLS.iter().find(|word| device.contains(**word))?;
    Some(format!(
        "A {word} is a control and does not isolate (29 CFR 1910.147(b)). Name the breaker, \
         disconnect, valve or block that does"
    ))
}

#[cfg(test)]
mod tests {
    use super::not_isolating;

    #[test]
    fn controls_are_not_isolating_devices() {
        for control in [
            "Push button by the door",
            "HOA selector switch",
            "wall THERMOSTAT",
            "software stop",
            "E-stop",
        ] {
            assert!(not_isolating(control).is_some(), "{control}");
        }
        for device in [
            "Breaker 7, panel LP-1",
            "Disconnect on the curb",
            "Gas cock",
            "Wheel block",
            "Safety switch with fuses",
        ] {
            assert_eq!(not_isolating(device), None, "{device}");
        }
    }
}
