mod invented;
mod properties;
mod rules;
mod rules_hardware;
mod scenarios;
mod sieve;
mod speed;

use super::*;
use crate::installation::{Control, Drive, Driven, Site, Surroundings};
use crate::plate::*;
use crate::units::*;

fn read<T>(value: T) -> Field<T> {
    Field::read(value)
}

fn inches(value: f64) -> Field<Millimetres> {
    read(Millimetres::from_inches(value))
}

fn turning(direction: Direction, seen_from: SeenFrom, reversible: bool) -> Field<Rotation> {
    read(Rotation {
        direction,
        seen_from,
        reversible,
    })
}

/// A complete plate: 1/4 hp PSC fan motor on studs, in the stream of its fan.
fn fan_motor() -> Plate {
    Plate {
        power: read(Watts::from_hp(0.25)),
        volts: read(vec![Volts(230.0)]),
        amps: read(vec![Amps(1.8)]),
        phases: read(1),
        frequency: read(vec![Hertz(60.0)]),
        speeds: read(vec![Rpm(1075.0)]),
        motor_type: read(MotorType::PermanentSplitCapacitor),
        rotation: turning(Direction::Clockwise, SeenFrom::ShaftEnd, false),
        frame: read("48Y".to_owned()),
        mount: read(Mount::Studs),
        bolt_circle: inches(4.75),
        stud_length: inches(1.5),
        stud_count: read(4),
        stud_thread: read("8-32".to_owned()),
        stud_end: read(StudEnd::LeadEnd),
        shaft_diameter: inches(0.5),
        shaft_length: inches(4.0),
        shaft_form: read(ShaftForm::Flat),
        double_shaft: read(false),
        body_diameter: inches(5.6),
        body_length: inches(5.0),
        enclosure: read(Enclosure::TotallyEnclosedAirOver),
        ambient: read(Celsius(40.0)),
        insulation: read(InsulationClass::B),
        duty: read(Duty::Continuous),
        service_factor: read(1.0),
        rise: Field::Unknown,
        protection: read(Protection::Automatic),
        bearing: read(Bearing::Sleeve),
        position: read(Position::Horizontal),
        speed_control: read(false),
        capacitor: read(Microfarads(5.0)),
        capacitor_volts: read(Volts(370.0)),
        capacitor_included: read(false),
        code_letter: Field::Unknown,
        efficiency: read(62.0),
        power_factor: Field::Unknown,
        hazardous_listing: Field::Unknown,
        ..Plate::default()
    }
}

/// The machine that motor served: everything known, and nothing at odds with its plate.
fn fan_machine() -> Installation {
    Installation {
        driven: Driven {
            drive: Some(Drive::Direct),
            wheel_limit: Some(Rpm(1400.0)),
            hub_bore: Some(Millimetres(12.7)),
            hub_length: Some(Millimetres(50.8)),
            hub_keyway: Some(false),
            stud_needed: Some(Millimetres(20.0)),
            rotation: Some(Direction::Clockwise),
            shaft_power: Some(Watts(140.0)),
            shaft_power_at: Some(Rpm(1075.0)),
            flow_m3_s: Some(0.6),
            second_shaft_used: Some(false),
            reverses: Some(false),
            ..Driven::default()
        },
        site: Site {
            nominal_volts: Some(Volts(230.0)),
            measured_volts: Some(Volts(234.0)),
            phases: Some(1),
            frequency: Some(Hertz(60.0)),
            ambient: Some(Celsius(30.0)),
            surroundings: Some(Surroundings::CleanDry),
            in_air_stream: Some(true),
            position: Some(Position::Horizontal),
            free_length: Some(Millimetres(200.0)),
            free_diameter: Some(Millimetres(160.0)),
            shaft_clearance: Some(Millimetres(25.4)),
            control: Some(Control::None),
            control_amps: Some(Amps(10.0)),
            taps_used: Some(1),
            restart_can_hurt: Some(false),
            hazardous: Some("none".to_owned()),
            continuous: Some(true),
            ..Site::default()
        },
        disconnect: None,
        overload: None,
    }
}

/// A complete three-phase motor on feet, for a belt.
fn belt_motor() -> Plate {
    Plate {
        power: read(Watts::from_hp(1.0)),
        volts: read(vec![Volts(230.0), Volts(460.0)]),
        amps: read(vec![Amps(3.2), Amps(1.6)]),
        phases: read(3),
        speeds: read(vec![Rpm(1725.0)]),
        motor_type: read(MotorType::ThreePhaseInduction),
        rotation: turning(Direction::Clockwise, SeenFrom::ShaftEnd, true),
        frame: read("56".to_owned()),
        mount: read(Mount::Feet),
        shaft_diameter: inches(0.625),
        shaft_length: inches(1.875),
        shaft_form: read(ShaftForm::Keyed),
        body_length: inches(9.0),
        enclosure: read(Enclosure::TotallyEnclosedFanCooled),
        service_factor: read(1.15),
        protection: read(Protection::NoProtector),
        bearing: read(Bearing::Ball),
        position: read(Position::Any),
        capacitor: Field::Unknown,
        capacitor_volts: Field::Unknown,
        efficiency: read(85.5),
        ..fan_motor()
    }
}

fn belt_machine() -> Installation {
    let mut machine = fan_machine();
    machine.driven = Driven {
        drive: Some(Drive::Belt),
        hub_bore: Some(Millimetres(15.875)),
        hub_length: Some(Millimetres(38.0)),
        hub_keyway: Some(true),
        motor_sheave: Some(Millimetres(90.0)),
        driven_sheave: Some(Millimetres(210.0)),
        rotation: Some(Direction::Clockwise),
        second_shaft_used: Some(false),
        reverses: Some(false),
        ..Driven::default()
    };
    machine.site.in_air_stream = Some(false);
    machine.site.phases = Some(3);
    machine.site.free_length = Some(Millimetres(350.0));
    machine.site.free_diameter = Some(Millimetres(250.0));
    machine.site.shaft_clearance = Some(Millimetres(50.0));
    machine.site.control = Some(Control::Contactor);
    machine.overload = Some(crate::installation::Overload {
        kind: crate::installation::OverloadKind::Separate,
        setting: None,
        range: None,
        manual_reset: Some(true),
    });
    machine
}
