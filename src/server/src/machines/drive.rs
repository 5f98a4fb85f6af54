//! The belt drive of a machine worked out from its record, by the topic of the bench.

use super::Machine;
use calc::installation::Drive;
use calc::plate::Plate;
use calc::working::Working;
use serde_json::{Map, Value};

/// The topic of the bench that does it.
pub const TOPIC: &str = "belt";

/// What the record says, in the topic's fields; speed from the plate of the motor that is on it.
fn fields(machine: &Machine, plate: Option<&Plate>) -> Map<String, Value> {
    let driven = &machine.facts.driven;
    let speed = plate
        .and_then(|plate| plate.speeds.value())
        .and_then(|all| all.first());
    let known = [
        ("motor_speed_rpm", speed.map(|rpm| rpm.0)),
        ("motor_sheave_pitch_mm", driven.motor_sheave.map(|mm| mm.0)),
        (
            "driven_sheave_pitch_mm",
            driven.driven_sheave.map(|mm| mm.0),
        ),
        ("centres_mm", driven.centres.map(|mm| mm.0)),
        ("belt_length_mm", driven.belt_length.map(|mm| mm.0)),
    ];
    let known = known.into_iter();
    let mut fields: Map<String, Value> = known
        .filter_map(|(name, value)| Some((name.to_owned(), value?.into())))
        .collect();
    if let Some(belt) = &driven.belt {
        fields.insert("belt".to_owned(), belt.clone().into());
    }
    fields
}

/// The drive's working; `None` where the machine has no belt or nothing of it is known.
pub fn working(machine: &Machine, plate: Option<&Plate>) -> Option<Working> {
    if machine.facts.driven.drive != Some(Drive::Belt) {
        return None;
    }
    let fields = fields(machine, plate);
    let topic = calc::figure::find(TOPIC)?;
    calc::figure::answer(topic, &fields)
        .ok()
        .map(|figure| figure.working)
}

/// The same figures in the address of the bench, to try others.
pub fn on_the_bench(machine: &Machine, plate: Option<&Plate>) -> String {
    let text = |value: Value| match value {
        Value::String(text) => text,
        other => other.to_string(),
    };
    let fields = fields(machine, plate).into_iter();
    let fields: Vec<(String, String)> = fields.map(|(name, value)| (name, text(value))).collect();
    let asked = serde_html_form::to_string(fields).unwrap_or_default();
    format!("/bench/{TOPIC}?{asked}")
}
