//! Machines: each wears a tag, and behind the tag is one record.

pub mod alike;
pub mod cautions;
pub mod drive;
pub mod edit;
pub mod facts;
mod facts_words;
pub mod form;
pub mod isolation;
pub mod list;
pub mod papers;
pub mod queries;
pub mod show;
pub mod tags;

use crate::motors::MotorId;
use crate::panels::CircuitId;
use calc::installation::{DisconnectKind, Installation};
use serde::{Deserialize, Serialize};
use time::Date;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct MachineId(pub i64);

/// One maintained unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    pub id: MachineId,
    pub tag: String,
    pub name: String,
    pub kind: String,
    pub serves: String,
    pub place_id: i64,
    pub parent_id: Option<MachineId>,
    pub criticality: String,
    pub before_you_go: String,
    /// Drive, wheel, site, control, disconnect and overload, as the calculations need them.
    pub facts: Installation,
    pub circuit_id: Option<CircuitId>,
    /// `None`: nobody has proved that the circuit feeds it.
    pub feed_proved_on: Option<Date>,
    pub feed_proved_by: String,
    pub design_motor_id: Option<MotorId>,
    pub fitted_motor_id: Option<MotorId>,
    pub installed_on: Option<Date>,
    pub retired_on: Option<Date>,
    pub version: i64,
}

impl Machine {
    /// The facts as the circuit check needs them: the kind says whether the motor moves air.
    pub fn circuit_facts(&self) -> Installation {
        let mut facts = self.facts.clone();
        facts.driven.air_mover = air_mover(&self.kind).or(facts.driven.air_mover);
        facts
    }

    /// Whether a plug cuts it off; `None`: the record does not say.
    pub fn plugged_in(&self) -> Option<bool> {
        plugged_in(&self.facts)
    }
}

/// Whether a plug cuts off a machine with these facts; `None`: they do not say.
pub fn plugged_in(facts: &Installation) -> Option<bool> {
    let disconnect = facts.disconnect.as_ref()?;
    Some(disconnect.kind == DisconnectKind::PlugAndSocket)
}

/// Whether the motor of a machine of this kind drives a fan or blower; `None` for other machines.
pub fn air_mover(kind: &str) -> Option<bool> {
    match kind {
        "fan" | "unit_heater" | "air_handler" => Some(true),
        "pump" | "compressor" => Some(false),
        _ => None,
    }
}

/// Values and words of a machine's kind.
pub const KINDS: &[(&str, &str)] = &[
    ("fan", "fan"),
    ("pump", "pump"),
    ("unit_heater", "unit heater"),
    ("compressor", "compressor"),
    ("air_handler", "air handler"),
    ("other", "other"),
];

/// A source on a machine's isolation sheet.
#[derive(Clone, Debug, PartialEq, sqlx::FromRow)]
pub struct Source {
    pub id: i64,
    pub kind: String,
    pub name: String,
    pub magnitude: String,
    pub device: String,
    pub device_place: String,
    pub label_read: String,
    pub locked_how: String,
    /// How stored energy is let out; `none`: looked at, it stores nothing; empty: not known.
    pub relieved_how: String,
    /// `none`, `single_phase`, `split_phase`, `three_phase`, or with `_neutral`: the pairs tested dead.
    pub dead_test: String,
    pub circuit_id: Option<CircuitId>,
}

/// The machine's written energy-control steps.
#[derive(Clone, Debug, PartialEq)]
pub struct IsolationSheet {
    pub id: i64,
    pub revision: i64,
    pub steps: String,
    pub made_at: i64,
    pub inspected_on: Option<Date>,
    pub inspected_by: String,
    pub sources: Vec<Source>,
    pub before: Before,
}

/// Who is told and what is at hand before shut-down, and which interlocks are restored afterwards;
/// one a line.
#[derive(Clone, Debug, Default, PartialEq, Eq, sqlx::FromRow)]
pub struct Before {
    pub tell_first: String,
    pub keys_needed: String,
    pub interlocks: String,
}

impl Before {
    /// The lines of a list that say something.
    pub fn lines(text: &str) -> Vec<&str> {
        let lines = text.lines().map(str::trim);
        lines.filter(|line| !line.is_empty()).collect()
    }

    pub fn is_empty(&self) -> bool {
        [&self.tell_first, &self.keys_needed, &self.interlocks]
            .into_iter()
            .all(|text| text.trim().is_empty())
    }
}

/// Whether a source may store energy, from how that is let out: only a looked-at `none` says no.
pub fn stores_energy(relieved_how: &str) -> bool {
    !relieved_how.trim().eq_ignore_ascii_case("none")
}
