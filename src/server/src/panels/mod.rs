//! Panels and circuits: what feeds a machine, what the label says and what was proved.

pub mod choice;
pub mod edit;
pub mod faces;
pub mod form;
pub mod queries;
pub mod schedule;
pub mod show;
pub mod whole;

use calc::installation::Circuit;
use serde::{Deserialize, Serialize};
use time::Date;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct CircuitId(pub i64);

/// A circuit with its panel's name.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelCircuit {
    pub id: CircuitId,
    pub panel_id: i64,
    pub panel: String,
    pub number: String,
    /// The label as it reads on the panel.
    pub label_read: String,
    /// Found wrong and not yet put right.
    pub label_wrong: bool,
    pub label_note: String,
    /// `None`: nobody has proved that the label says what it feeds.
    pub label_proved_on: Option<Date>,
    pub label_proved_by: String,
    pub label_proved_how: String,
    /// As marked on the insulation.
    pub wire_type: String,
    /// Conduit, cable or tray.
    pub raceway: String,
    /// What it feeds besides machines of the register.
    pub feeds: String,
    pub facts: Circuit,
    pub version: i64,
}

impl PanelCircuit {
    /// `Panel LP-1, circuit 7`
    pub fn words(&self) -> String {
        format!("Panel {}, circuit {}", self.panel, self.number)
    }
}
