//! The circuit as it stands for one machine: the other machines on it counted from the register, so
//! that none counts itself and none is forgotten.

use crate::db::Db;
use crate::machines::{self, Machine};
use crate::motors;
use crate::panels::PanelCircuit;
use calc::circuit::RuleSet;
use calc::circuit::current::{plate_amps, table_flc};
use calc::installation::Circuit;
use calc::plate::Plate;
use calc::units::Volts;
use rust_decimal::Decimal;

/// The circuit's facts with `other_motors` made whole: the motors that are not in the register, as
/// written on the circuit, and the fitted motor of every other machine that it feeds. One that is
/// not known makes the list unknown, never shorter.
pub async fn for_machine(
    db: &Db,
    rule_set: RuleSet,
    machine: &Machine,
    circuit: &PanelCircuit,
) -> sqlx::Result<Circuit> {
    let mut facts = circuit.facts.clone();
    let mut others = facts.other_motors.clone();
    for other in machines::queries::fed_by(db, circuit.id).await? {
        if other.id == machine.id {
            continue;
        }
        if other.retired_on.is_some() {
            continue;
        }
        let motor = match other.fitted_motor_id {
            Some(id) => motors::queries::find(db, id).await?,
            None => None,
        };
        let amps = motor.and_then(|motor| counted(rule_set, &motor.plate, &facts));
        others = others.zip(amps).map(|(mut others, amps)| {
            others.push(amps);
            others
        });
    }
    facts.other_motors = others;
    Ok(facts)
}

/// The larger of plate and table current: NEC 430.24 adds table currents, and a plate that shows more
/// is not passed over (common practice). IEC 60364 has no table of motor currents.
fn counted(rule_set: RuleSet, plate: &Plate, circuit: &Circuit) -> Option<Decimal> {
    let volts: Volts = circuit.volts?;
    let marked = plate_amps(plate, volts);
    let table = match rule_set {
        RuleSet::Iec60364 => None,
        _ => plate
            .power
            .value()
            .and_then(|p| table_flc(circuit.phases?, p.hp(), volts)),
    };
    marked.max(table)
}
