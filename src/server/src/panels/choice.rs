//! A circuit to choose on a form: from a list, or, where there are more than a list is good for, by
//! its panel and its number.

use super::{CircuitId, PanelCircuit, queries};
use crate::db::Db;

/// More than this is no list to look through.
const MOST: i64 = 200;

/// What a form offers.
#[derive(Clone, Debug, Default)]
pub struct Offered {
    /// All there are; where they are many, only those that were typed.
    pub circuits: Vec<PanelCircuit>,
    /// Values and words of a list.
    pub options: Vec<(String, String)>,
    pub many: bool,
}

impl Offered {
    pub fn new(circuits: Vec<PanelCircuit>, many: bool) -> Offered {
        let words = |c: &PanelCircuit| {
            let words = format!("{}: {}", c.words(), c.label_read);
            (c.id.0.to_string(), words)
        };
        Offered {
            options: circuits.iter().map(words).collect(),
            circuits,
            many,
        }
    }

    /// What stands in the field of text: `LP-1, 7`, or what was typed and is no circuit.
    pub fn shown(&self, typed: &str) -> String {
        let found = self.circuits.iter().find(|c| is(c, typed));
        found.map_or_else(|| typed.to_owned(), named)
    }
}

/// Beside a field that names no circuit.
pub const NONE: &str = "Choose one of the circuits, or write its panel and number, as LP-1, 7";

/// `LP-1, 7`
fn named(circuit: &PanelCircuit) -> String {
    format!("{}, {}", circuit.panel, circuit.number)
}

/// The panel's name in small letters and the number of a circuit that is typed.
fn parted(typed: &str) -> Option<(String, &str)> {
    let (panel, number) = typed.rsplit_once(',')?;
    Some((panel.trim().to_lowercase(), number.trim()))
}

/// Whether this circuit was chosen from a list, or typed.
pub fn is(circuit: &PanelCircuit, typed: &str) -> bool {
    circuit.id.0.to_string() == typed
        || parted(typed).is_some_and(|(panel, number)| {
            circuit.panel.to_lowercase() == panel && circuit.number == number
        })
}

/// # Errors
/// The database's.
pub async fn offered(db: &Db, typed: &[&str]) -> sqlx::Result<Offered> {
    let circuits = queries::first_circuits(db, MOST + 1).await?;
    if circuits.len() as i64 <= MOST {
        return Ok(Offered::new(circuits, false));
    }
    let mut circuits = Vec::new();
    for typed in typed {
        let found = match (typed.parse(), parted(typed)) {
            (Ok(id), _) => queries::circuit(db, CircuitId(id)).await?,
            (_, Some((panel, number))) => queries::circuit_named(db, &panel, number).await?,
            _ => None,
        };
        circuits.extend(found);
    }
    Ok(Offered::new(circuits, true))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circuit_is_typed_with_its_panel() {
        let circuit = PanelCircuit {
            id: CircuitId(31),
            panel_id: 1,
            panel: "LP-1, north".to_owned(),
            number: "7".to_owned(),
            label_read: String::new(),
            label_wrong: false,
            label_note: String::new(),
            label_proved_on: None,
            label_proved_by: String::new(),
            label_proved_how: String::new(),
            wire_type: String::new(),
            raceway: String::new(),
            feeds: String::new(),
            facts: calc::installation::Circuit::default(),
            version: 1,
        };
        for typed in ["31", "lp-1, North, 7", "LP-1, north,7"] {
            assert!(is(&circuit, typed), "{typed}");
        }
        for typed in ["", "7", "LP-1, 7", "LP-1, north, 17"] {
            assert!(!is(&circuit, typed), "{typed}");
        }
        let offered = Offered::new(vec![circuit], true);
        assert_eq!(offered.shown("31"), "LP-1, north, 7");
        assert_eq!(offered.shown("LP-9, 1"), "LP-9, 1");
    }
}
