//! A plate in one line, the way it is said across a counter.

use calc::plate::{MotorType, Plate};

pub fn type_words(kind: MotorType) -> &'static str {
    match kind {
        MotorType::ShadedPole => "shaded pole",
        MotorType::SplitPhase => "split phase",
        MotorType::PermanentSplitCapacitor => "permanent split capacitor",
        MotorType::CapacitorStart => "capacitor start",
        MotorType::CapacitorStartCapacitorRun => "capacitor start and run",
        MotorType::ThreePhaseInduction => "three-phase induction",
        MotorType::ElectronicallyCommutated => "electronically commutated",
        MotorType::DirectCurrent => "direct current",
    }
}

/// `1/4 hp, 115/230 V, 1 phase, 1075 rpm, permanent split capacitor`. What is not known is left out.
pub fn plate_words(plate: &Plate) -> String {
    let mut parts = Vec::new();
    if let Some(power) = plate.power.value() {
        parts.push(power.hp_words());
    }
    let joined = |values: Vec<String>| values.join("/");
    if let Some(volts) = plate.volts.value() {
        parts.push(format!(
            "{} V",
            joined(volts.iter().map(|v| v.0.to_string()).collect())
        ));
    }
    if let Some(phases) = plate.phases.value() {
        parts.push(format!("{phases} phase"));
    }
    if let Some(speeds) = plate.speeds.value() {
        parts.push(format!(
            "{} rpm",
            joined(speeds.iter().map(|n| n.0.to_string()).collect())
        ));
    }
    if let Some(kind) = plate.motor_type.value() {
        parts.push(type_words(*kind).to_owned());
    }
    if parts.is_empty() {
        "plate not known".to_owned()
    } else {
        parts.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use calc::plate::Field;
    use calc::units::{Rpm, Volts, Watts};

    #[test]
    fn a_plate_is_said_in_one_line_and_never_made_up() {
        let mut plate = Plate::default();
        assert_eq!(plate_words(&plate), "plate not known");
        plate.power = Field::read(Watts::from_hp(0.25));
        plate.volts = Field::read(vec![Volts(115.0), Volts(230.0)]);
        plate.speeds = Field::read(vec![Rpm(1075.0)]);
        assert_eq!(plate_words(&plate), "1/4 hp, 115/230 V, 1075 rpm");
    }
}
