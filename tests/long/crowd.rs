//! A crowd of plausible motors, all invented, the same for the same seed: what lists of two hundred
//! thousand motors look like. Some plates are thin, as plates are.

use calc::plate::*;
use calc::units::*;

/// Steps of SplitMix64 (public domain, Steele and others 2014): the same numbers everywhere.
pub struct Seed(pub u64);

impl Seed {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, most: u64) -> u64 {
        self.next() % most
    }
    pub fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len() as u64) as usize].clone()
    }
    pub fn one_in(&mut self, faces: u64) -> bool {
        self.below(faces) == 0
    }
}

/// What goes together on one line of motors.
struct Line {
    kind: MotorType,
    phases: u8,
    hp: &'static [f64],
    volts: &'static [&'static [f64]],
    mounts: &'static [Mount],
    /// Slip at full load.
    slip: f64,
}

const SMALL: &[&[f64]] = &[
    &[115.0],
    &[230.0],
    &[208.0, 230.0],
    &[115.0, 230.0],
    &[277.0],
];
const THREE: &[&[f64]] = &[
    &[230.0, 460.0],
    &[208.0, 230.0, 460.0],
    &[460.0],
    &[575.0],
    &[400.0],
];
const LINES: &[Line] = &[
    Line {
        kind: MotorType::ShadedPole,
        phases: 1,
        hp: &[0.02, 0.033, 0.05, 0.0667, 0.0833, 0.1],
        volts: SMALL,
        mounts: &[Mount::Studs, Mount::Studs, Mount::Yoke],
        slip: 0.14,
    },
    Line {
        kind: MotorType::PermanentSplitCapacitor,
        phases: 1,
        hp: &[
            0.0833, 0.1, 0.125, 0.1667, 0.2, 0.25, 0.3333, 0.5, 0.75, 1.0,
        ],
        volts: SMALL,
        mounts: &[Mount::Studs, Mount::Studs, Mount::BellyBand, Mount::Yoke],
        slip: 0.104,
    },
    Line {
        kind: MotorType::SplitPhase,
        phases: 1,
        hp: &[0.1667, 0.25, 0.3333, 0.5, 0.75],
        volts: SMALL,
        mounts: &[Mount::Feet, Mount::Yoke],
        slip: 0.042,
    },
    Line {
        kind: MotorType::CapacitorStart,
        phases: 1,
        hp: &[0.25, 0.3333, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0],
        volts: SMALL,
        mounts: &[Mount::Feet, Mount::CFace, Mount::Yoke],
        slip: 0.042,
    },
    Line {
        kind: MotorType::ElectronicallyCommutated,
        phases: 1,
        hp: &[0.0833, 0.1667, 0.25, 0.3333, 0.5, 0.75, 1.0],
        volts: SMALL,
        mounts: &[Mount::Studs, Mount::BellyBand],
        slip: 0.06,
    },
    Line {
        kind: MotorType::ThreePhaseInduction,
        phases: 3,
        hp: &[
            0.25, 0.3333, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0,
        ],
        volts: THREE,
        mounts: &[Mount::Feet, Mount::Feet, Mount::CFace, Mount::Flange],
        slip: 0.035,
    },
];

/// Frame, shaft diameter and usable length in inches, by power.
fn frame(hp: f64, mount: Mount, seed: &mut Seed) -> (&'static str, f64, f64) {
    match (mount, hp) {
        (Mount::Studs | Mount::BellyBand | Mount::Yoke, hp) if hp < 0.12 => {
            let (shaft, long) = seed.pick(&[(0.25, 2.0), (0.3125, 2.5), (0.3125, 4.0)]);
            ("42Y", shaft, long)
        }
        (Mount::Studs | Mount::BellyBand | Mount::Yoke, _) => {
            let (shaft, long) = seed.pick(&[(0.5, 3.0), (0.5, 4.0), (0.5, 6.0), (0.625, 4.0)]);
            ("48Y", shaft, long)
        }
        (_, hp) if hp <= 0.5 => seed.pick(&[("48", 0.5, 1.5), ("56", 0.625, 1.875)]),
        (_, hp) if hp <= 1.5 => seed.pick(&[("56", 0.625, 1.875), ("143T", 0.875, 2.25)]),
        (_, hp) if hp <= 3.0 => seed.pick(&[("145T", 0.875, 2.25), ("182T", 1.125, 2.75)]),
        (_, hp) if hp <= 5.0 => ("184T", 1.125, 2.75),
        (_, hp) if hp <= 10.0 => seed.pick(&[("213T", 1.375, 3.38), ("215T", 1.375, 3.38)]),
        (_, _) => seed.pick(&[("254T", 1.625, 4.0), ("256T", 1.625, 4.0)]),
    }
}

/// A value of the plate, or nothing where it is worn.
fn marked<T>(value: T, seed: &mut Seed) -> Field<T> {
    match seed.below(40) {
        0 => Field::Unknown,
        1 if seed.one_in(4) => Field::Unreadable,
        _ => Field::read(value),
    }
}

fn inches(value: f64, seed: &mut Seed) -> Field<Millimetres> {
    marked(Millimetres::from_inches(value), seed)
}

/// The motor with this number of the crowd.
pub fn plate(number: u64) -> Plate {
    let mut seed = Seed(number.wrapping_mul(0x1000_0000_01b3) ^ 0x5eed);
    let s = &mut seed;
    let line = &LINES[[0, 1, 1, 1, 2, 3, 3, 4, 5, 5, 5][s.below(11) as usize]];
    let hp = s.pick(line.hp);
    let hertz: Vec<f64> = s.pick(&[
        vec![60.0],
        vec![60.0],
        vec![60.0],
        vec![50.0, 60.0],
        vec![50.0],
    ]);
    let poles = s.pick(&[2.0, 4.0, 4.0, 4.0, 6.0, 6.0, 8.0]);
    let slip = line.slip * (0.8 + 0.4 * s.below(100) as f64 / 100.0);
    let speed = (120.0 * hertz[hertz.len() - 1] / poles * (1.0 - slip) / 5.0).round() * 5.0;
    let mount = s.pick(line.mounts);
    let (frame, shaft, long) = frame(hp, mount, s);
    let plate = Plate {
        power: marked(Watts::from_hp(hp), s),
        phases: marked(line.phases, s),
        frequency: marked(hertz.into_iter().map(Hertz).collect(), s),
        speeds: marked(taps(speed, s), s),
        motor_type: marked(line.kind, s),
        frame: marked(frame.to_owned(), s),
        mount: marked(mount, s),
        shaft_diameter: inches(shaft, s),
        shaft_length: inches(long, s),
        ..Plate::default()
    };
    let plate = electrical(plate, line, hp, s);
    let plate = held(plate, mount, s);
    built(plate, hp, s)
}

fn taps(speed: f64, s: &mut Seed) -> Vec<Rpm> {
    let count = s.pick(&[1, 1, 1, 1, 2, 3]);
    (0..count)
        .map(|tap| Rpm(speed - 150.0 * f64::from(tap)))
        .collect()
}

fn electrical(mut plate: Plate, line: &Line, hp: f64, s: &mut Seed) -> Plate {
    let volts = s.pick(line.volts);
    let root = if line.phases == 3 { 3_f64.sqrt() } else { 1.0 };
    let amps = |v: &f64| Amps((hp * 745.7 / (v * root * 0.52) * 10.0).ceil() / 10.0);
    plate.amps = marked(volts.iter().map(amps).collect(), s);
    plate.volts = marked(volts.iter().copied().map(Volts).collect(), s);
    plate.rotation = marked(
        Rotation {
            direction: s.pick(&[Direction::Clockwise, Direction::CounterClockwise]),
            seen_from: s.pick(&[SeenFrom::ShaftEnd, SeenFrom::LeadEnd]),
            reversible: line.kind != MotorType::ShadedPole && s.one_in(2),
        },
        s,
    );
    plate.efficiency = marked(60.0 + s.below(30) as f64, s);
    plate.service_factor = marked(s.pick(&[1.0, 1.0, 1.15, 1.25]), s);
    let cap = matches!(line.kind, MotorType::PermanentSplitCapacitor);
    if cap {
        plate.capacitor = marked(Microfarads(s.pick(&[3.0, 5.0, 7.5, 10.0, 15.0])), s);
        plate.capacitor_volts = marked(Volts(370.0), s);
    }
    plate.capacitor_included = marked(s.one_in(2), s);
    plate.speed_control = marked(s.one_in(3), s);
    plate
}

fn held(mut plate: Plate, mount: Mount, s: &mut Seed) -> Plate {
    if matches!(mount, Mount::Studs) {
        plate.bolt_circle = inches(s.pick(&[2.8, 4.75, 5.5]), s);
        plate.stud_length = inches(s.pick(&[1.0, 1.5]), s);
        plate.stud_count = marked(4, s);
        plate.stud_thread = marked(s.pick(&["8-32", "10-32"]).to_owned(), s);
        plate.stud_end = marked(s.pick(&[StudEnd::LeadEnd, StudEnd::ShaftEnd]), s);
    }
    plate.shaft_form = marked(
        s.pick(&[ShaftForm::Flat, ShaftForm::Keyed, ShaftForm::Round]),
        s,
    );
    plate.double_shaft = marked(s.one_in(20), s);
    plate
}

fn built(mut plate: Plate, hp: f64, s: &mut Seed) -> Plate {
    let wide = if hp < 0.12 {
        3.3
    } else {
        5.6 + hp.sqrt() - 0.5
    };
    plate.body_diameter = inches(wide, s);
    plate.body_length = inches(3.5 + 3.0 * hp.powf(0.4) + s.below(20) as f64 / 10.0, s);
    plate.enclosure = marked(
        s.pick(&[
            Enclosure::OpenDripProof,
            Enclosure::OpenAirOver,
            Enclosure::TotallyEnclosedAirOver,
            Enclosure::TotallyEnclosedFanCooled,
            Enclosure::TotallyEnclosedNonVentilated,
        ]),
        s,
    );
    plate.ambient = marked(Celsius(s.pick(&[40.0, 40.0, 50.0, 60.0])), s);
    plate.insulation = marked(s.pick(&[InsulationClass::B, InsulationClass::F]), s);
    plate.duty = marked(
        s.pick(&[Duty::Continuous, Duty::Continuous, Duty::Intermittent]),
        s,
    );
    plate.protection = marked(
        s.pick(&[
            Protection::Automatic,
            Protection::NoProtector,
            Protection::Manual,
        ]),
        s,
    );
    plate.bearing = marked(s.pick(&[Bearing::Ball, Bearing::Sleeve]), s);
    plate.position = marked(s.pick(&[Position::Any, Position::Horizontal]), s);
    if s.one_in(400) {
        plate.hazardous_listing = Field::read("Class I Div 1 Group D T3".to_owned());
    }
    plate
}

/// Name, price in cents and days to arrive of the motor with this number.
pub fn offer(number: u64) -> (String, Option<i64>, Option<i64>) {
    let mut seed = Seed(number ^ 0x000f_f312);
    let price = (!seed.one_in(10)).then(|| 4_000 + seed.below(90_000) as i64);
    let days = (!seed.one_in(8)).then(|| 1 + seed.below(40) as i64);
    (format!("Crowd motor {number:06}"), price, days)
}
