//! Invented plates and machines, drawn from bytes.

use super::*;
use crate::installation::{Overload, OverloadKind};
use serde_json::Value;

/// Choices drawn from bytes, so that proptest can shrink a failure to the first choices.
pub(super) struct Dice<'a>(pub(super) std::slice::Iter<'a, u8>);

impl Dice<'_> {
    pub(super) fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        let face = self.0.next().copied().unwrap_or(0);
        from[usize::from(face) % from.len()].clone()
    }
    /// Seldom true: a candidate that differs everywhere is refused whatever else is asked.
    pub(super) fn one_in(&mut self, faces: u8) -> bool {
        self.0.next().is_some_and(|face| face % faces == 1)
    }
    pub(super) fn yes(&mut self) -> bool {
        self.pick(&[false, true])
    }
}

const TYPES: [MotorType; 8] = [
    MotorType::PermanentSplitCapacitor,
    MotorType::ShadedPole,
    MotorType::SplitPhase,
    MotorType::CapacitorStart,
    MotorType::CapacitorStartCapacitorRun,
    MotorType::ThreePhaseInduction,
    MotorType::ElectronicallyCommutated,
    MotorType::DirectCurrent,
];

/// A complete plate.
pub(super) fn plate(d: &mut Dice) -> Plate {
    let volts = [
        vec![230.0],
        vec![115.0],
        vec![115.0, 230.0],
        vec![208.0, 230.0],
        vec![220.0],
        vec![460.0],
    ];
    let volts: Vec<Volts> = d.pick(&volts).into_iter().map(Volts).collect();
    let amps = [1.8, 1.9, 1.2, 3.0, 7.0];
    let amps = volts.iter().map(|_| Amps(d.pick(&amps))).collect();
    let speeds = [
        vec![1075.0],
        vec![1100.0],
        vec![1050.0],
        vec![1140.0],
        vec![1000.0],
        vec![1725.0],
        vec![1075.0, 900.0],
        vec![1075.0, 900.0, 700.0],
    ];
    let enclosures = [
        Enclosure::TotallyEnclosedAirOver,
        Enclosure::OpenDripProof,
        Enclosure::OpenAirOver,
        Enclosure::TotallyEnclosedFanCooled,
        Enclosure::TotallyEnclosedNonVentilated,
        Enclosure::ExplosionProof,
    ];
    let protections = [
        Protection::Automatic,
        Protection::NoProtector,
        Protection::Manual,
        Protection::Impedance,
        Protection::Thermostat,
    ];
    let mounts = [
        Mount::Studs,
        Mount::Feet,
        Mount::CFace,
        Mount::BellyBand,
        Mount::Yoke,
        Mount::Flange,
    ];
    Plate {
        power: read(Watts::from_hp(d.pick(&[
            0.25,
            0.25,
            1.0 / 3.0,
            0.24,
            0.5,
            1.0,
            0.125,
        ]))),
        volts: read(volts),
        amps: read(amps),
        phases: read(d.pick(&[1, 1, 1, 3])),
        frequency: read(d.pick(&[
            vec![Hertz(60.0)],
            vec![Hertz(50.0), Hertz(60.0)],
            vec![Hertz(50.0)],
        ])),
        speeds: read(d.pick(&speeds).into_iter().map(Rpm).collect()),
        motor_type: read(d.pick(&TYPES)),
        rotation: turning(
            d.pick(&[Direction::Clockwise, Direction::CounterClockwise]),
            d.pick(&[SeenFrom::ShaftEnd, SeenFrom::LeadEnd, SeenFrom::NotStated]),
            d.yes(),
        ),
        frame: read(
            d.pick(&["48Y", "56", "56H", "143T", "56Z", "90S", "odd"])
                .to_owned(),
        ),
        mount: read(d.pick(&mounts)),
        bolt_circle: inches(d.pick(&[4.75, 4.77, 5.0])),
        stud_length: inches(d.pick(&[1.5, 1.0, 2.5])),
        stud_count: read(d.pick(&[4, 4, 2])),
        stud_thread: read(d.pick(&["8-32", "10-32"]).to_owned()),
        stud_end: read(d.pick(&[StudEnd::LeadEnd, StudEnd::ShaftEnd, StudEnd::Both])),
        shaft_diameter: inches(d.pick(&[0.5, 0.5, 0.375, 0.3125, 0.625])),
        shaft_length: inches(d.pick(&[4.0, 4.0, 3.0, 1.5, 6.0])),
        shaft_form: read(d.pick(&[ShaftForm::Flat, ShaftForm::Keyed, ShaftForm::Round])),
        double_shaft: read(d.yes()),
        body_diameter: inches(d.pick(&[5.6, 5.6, 5.0, 6.5])),
        body_length: inches(d.pick(&[5.0, 5.0, 4.0, 9.0])),
        enclosure: read(d.pick(&enclosures)),
        ambient: read(Celsius(d.pick(&[40.0, 40.0, 50.0, 60.0]))),
        insulation: read(d.pick(&[
            InsulationClass::B,
            InsulationClass::F,
            InsulationClass::A,
            InsulationClass::H,
        ])),
        duty: read(d.pick(&[Duty::Continuous, Duty::Intermittent])),
        service_factor: read(d.pick(&[1.0, 1.15, 1.35])),
        rise: read(Celsius(d.pick(&[40.0, 80.0]))),
        protection: read(d.pick(&protections)),
        bearing: read(d.pick(&[Bearing::Ball, Bearing::Sleeve])),
        position: read(d.pick(&[
            Position::Horizontal,
            Position::Any,
            Position::ShaftUp,
            Position::ShaftDown,
        ])),
        speed_control: read(d.yes()),
        capacitor: read(Microfarads(d.pick(&[5.0, 5.0, 10.0]))),
        capacitor_volts: read(Volts(d.pick(&[370.0, 440.0]))),
        capacitor_included: read(d.yes()),
        code_letter: Field::Unknown,
        efficiency: read(d.pick(&[62.0, 80.0, 95.0])),
        power_factor: Field::Unknown,
        hazardous_listing: read(
            d.pick(&["none", "none", "Class I Division 2 Group D T3"])
                .to_owned(),
        ),
        ..Plate::default()
    }
}

/// A complete machine that the old motor suited. The old plate stands in for what is not known of
/// the site, so the promise below is one about plates and sites that do not contradict each other.
pub(super) fn machine(d: &mut Dice, old: &Plate) -> Installation {
    let of = |field: &Field<Millimetres>| field.value().unwrap().0;
    let kind = *old.motor_type.value().unwrap();
    let volts = d.pick(old.volts.value().unwrap()).0;
    let frequency = d.pick(old.frequency.value().unwrap());
    let speed = old.speeds.value().unwrap()[0].0;
    let rotation = *old.rotation.value().unwrap();
    let fixed = crate::motor::at_shaft_end(rotation).filter(|_| !rotation.reversible);
    let enclosure = *old.enclosure.value().unwrap();
    let open = matches!(enclosure, Enclosure::OpenDripProof | Enclosure::OpenAirOver);
    let air_over = matches!(
        enclosure,
        Enclosure::OpenAirOver | Enclosure::TotallyEnclosedAirOver
    );
    let control: &[Control] = match kind {
        MotorType::PermanentSplitCapacitor | MotorType::ShadedPole => &[
            Control::None,
            Control::Thermostat,
            Control::SolidStateSpeedController,
        ],
        MotorType::ThreePhaseInduction => {
            &[Control::None, Control::Contactor, Control::FrequencyDrive]
        }
        _ => &[Control::None, Control::Switch],
    };
    let double = *old.double_shaft.value().unwrap();
    let most_amps = old
        .amps
        .value()
        .unwrap()
        .iter()
        .fold(0.0_f64, |most, a| a.0.max(most));
    let hurt = d.yes();
    let surroundings = d.pick(&[
        Surroundings::CleanDry,
        Surroundings::Wet,
        Surroundings::Dusty,
    ]);
    let mut turns = d.pick(&[Direction::Clockwise, Direction::CounterClockwise]);
    turns = fixed.unwrap_or(turns);
    Installation {
        driven: Driven {
            drive: Some(d.pick(&[Drive::Direct, Drive::Belt, Drive::Coupled])),
            // A wheel has at least 5 % in hand over the speed it always ran at.
            wheel_limit: Some(Rpm(speed * d.pick(&[1.05, 1.3, 2.0]))),
            hub_bore: old.shaft_diameter.value().copied(),
            hub_length: Some(Millimetres(
                of(&old.shaft_length) * d.pick(&[0.5, 0.8, 1.0]),
            )),
            hub_keyway: Some(*old.shaft_form.value().unwrap() == ShaftForm::Keyed),
            stud_needed: Some(Millimetres(of(&old.stud_length) * d.pick(&[0.5, 1.0]))),
            rotation: Some(turns),
            shaft_power: Some(Watts(
                old.power.value().unwrap().0 * d.pick(&[1.0, 0.8, 0.5]),
            )),
            shaft_power_at: Some(Rpm(speed)),
            driven_speed: Some(Rpm(speed)),
            motor_sheave: Some(Millimetres(90.0)),
            driven_sheave: Some(Millimetres(90.0)),
            second_shaft_used: Some(double && d.yes()),
            reverses: Some(rotation.reversible && d.yes()),
            ..Driven::default()
        },
        site: Site {
            nominal_volts: Some(Volts(volts)),
            measured_volts: Some(Volts(volts * d.pick(&[1.0, 0.95, 1.05]))),
            phases: old.phases.value().copied(),
            frequency: Some(frequency),
            ambient: Some(Celsius(
                old.ambient.value().unwrap().0 - d.pick(&[0.0, 10.0, 25.0]),
            )),
            surroundings: Some(if open {
                Surroundings::CleanDry
            } else {
                surroundings
            }),
            in_air_stream: Some(air_over || d.yes()),
            position: old.position.value().copied(),
            free_length: Some(Millimetres(of(&old.body_length) * d.pick(&[1.0, 1.2, 2.0]))),
            free_diameter: Some(Millimetres(of(&old.body_diameter) * d.pick(&[1.0, 1.2]))),
            shaft_clearance: Some(Millimetres(d.pick(&[0.0, 30.0, 100.0]))),
            control: Some(d.pick(control)),
            control_amps: Some(Amps(most_amps * d.pick(&[1.1, 1.5, 5.0]))),
            taps_used: Some(d.pick(&[1, old.speeds.value().unwrap().len() as u8])),
            restart_can_hurt: Some(hurt),
            hazardous: Some(
                d.pick(&["none", "none", "Class I Division 2 Group D T3"])
                    .to_owned(),
            ),
            continuous: Some(*old.duty.value().unwrap() == Duty::Continuous),
            ..Site::default()
        },
        disconnect: None,
        overload: d.yes().then_some(Overload {
            kind: OverloadKind::Separate,
            setting: None,
            range: None,
            manual_reset: Some(true),
        }),
    }
}

/// The candidate: the old motor with some fields changed, so that every verdict turns up.
pub(super) fn candidate(d: &mut Dice, old: &Plate) -> Plate {
    let mut mine = as_map(old);
    for (name, value) in as_map(&plate(d)) {
        if d.one_in(24) {
            mine.insert(name, value);
        }
    }
    serde_json::from_value(Value::Object(mine)).unwrap()
}

pub(super) type Map = serde_json::Map<String, Value>;

pub(super) fn as_map<T: serde::Serialize>(thing: &T) -> Map {
    match serde_json::to_value(thing).unwrap() {
        Value::Object(map) => map,
        _ => unreachable!("a struct is an object"),
    }
}
