//! What must hold for any text and any plate.

mod plate_parts;

use calc::figure;
use calc::plate::{
    Bearing, Direction, Duty, Enclosure, Field, How, InsulationClass, MotorType, Mount, Plate,
    Position, Protection, Rotation, SeenFrom, ShaftForm, StudEnd, plausible, read, write,
};
use calc::units::{Amps, Celsius, Hertz, Microfarads, Millimetres, Rpm, Volts, Watts};
use plate_parts::covered;
use proptest::prelude::*;
use serde_json::json;

/// Draws from a list of numbers, so that plates shrink.
struct Dice(Vec<u32>, usize);

impl Dice {
    fn roll(&mut self) -> u32 {
        self.1 += 1;
        self.0
            .get(self.1 % self.0.len())
            .copied()
            .unwrap_or(0)
            .rotate_left(self.1 as u32 % 31)
    }
    fn pick<T: Clone>(&mut self, of: &[T]) -> T {
        of[self.roll() as usize % of.len()].clone()
    }
    /// A figure with up to three decimals.
    fn figure(&mut self, from: f64, to: f64) -> f64 {
        let share = f64::from(self.roll() % 100_000) / 100_000.0;
        ((from + (to - from) * share) * 1000.0).round() / 1000.0
    }
    fn how(&mut self) -> How {
        self.pick(&[
            How::Read,
            How::Read,
            How::Read,
            How::Measured,
            How::OldRecord,
            How::Assumed,
        ])
    }
    fn known<T>(&mut self, value: T) -> Field<T> {
        let how = self.how();
        match self.roll() % 3 {
            0 => Field::Unknown,
            _ => Field::Known { value, how },
        }
    }
    /// Also unreadable, for what has a name of its own on plates.
    fn named<T>(&mut self, value: T) -> Field<T> {
        if self.roll().is_multiple_of(8) {
            return Field::Unreadable;
        }
        self.known(value)
    }
    fn length(&mut self, from: f64, to: f64) -> Field<Millimetres> {
        let value = Millimetres(self.figure(from, to));
        self.named(value)
    }
}

fn random(d: &mut Dice) -> Plate {
    let mut plate = Plate::default();
    electric(d, &mut plate);
    mechanic(d, &mut plate);
    marks(d, &mut plate);
    plate
}

fn electric(d: &mut Dice, plate: &mut Plate) {
    let volts = d.pick(&[
        vec![115.0],
        vec![208.0, 230.0],
        vec![115.0, 230.0],
        vec![208.0, 230.0, 460.0],
    ]);
    let amps: Vec<Amps> = volts.iter().map(|_| Amps(d.figure(0.1, 60.0))).collect();
    let power = [
        Watts::from_hp(1.0 / 6.0),
        Watts::from_hp(7.5),
        Watts(d.figure(5.0, 50_000.0)),
    ];
    let power = d.pick(&power);
    plate.power = d.named(power);
    let input = Watts(d.figure(5.0, 50_000.0));
    plate.more.input_power = d.named(input);
    plate.amps = d.named(amps.clone());
    plate.more.service_factor_amps = d.named(amps.clone());
    plate.more.locked_rotor_amps = d.named(amps);
    plate.volts = d.named(volts.into_iter().map(Volts).collect());
    let hertz = d.pick(&[
        vec![Hertz(60.0)],
        vec![Hertz(50.0)],
        vec![Hertz(50.0), Hertz(60.0)],
    ]);
    plate.frequency = d.named(hertz);
    let speeds = d.pick(&[
        vec![1075.0],
        vec![1725.0, 1140.0],
        vec![1075.0, 1000.0, 850.5],
    ]);
    plate.speeds = d.named(speeds.into_iter().map(Rpm).collect());
    let phases = d.pick(&[1, 3]);
    plate.phases = d.named(phases);
    let poles = d.pick(&[2, 4, 6, 8]);
    plate.more.poles = d.named(poles);
    let count = d.pick(&[1, 2, 3, 5]);
    plate.more.speed_count = d.named(count);
    let figures = [
        d.figure(1.0, 2.0),
        d.figure(1.0, 99.0),
        d.figure(0.3, 1.0),
        d.figure(-40.0, 90.0),
    ];
    plate.service_factor = d.named(figures[0]);
    plate.efficiency = d.named(figures[1]);
    plate.power_factor = d.named(figures[2]);
    plate.ambient = d.named(Celsius(figures[3]));
    let rise = Celsius(d.figure(10.0, 130.0));
    plate.rise = d.named(rise);
    let farads = Microfarads(d.figure(1.0, 800.0));
    plate.capacitor = d.named(farads);
    let volts = Volts(d.pick(&[165.0, 250.0, 370.0, 440.0]));
    plate.capacitor_volts = d.named(volts);
    let code = d.pick(&['A', 'H', 'L', 'V']);
    plate.code_letter = d.named(code);
    let design = d.pick(&['A', 'B', 'C', 'D']);
    plate.more.design_letter = d.named(design);
    let connection = d.pick(&["Δ/Y", "YY/Y", "Y", "Δ"]).to_owned();
    plate.more.connection = d.named(connection);
}

fn mechanic(d: &mut Dice, plate: &mut Plate) {
    plate.bolt_circle = d.length(20.0, 300.0);
    plate.stud_length = d.length(5.0, 100.0);
    plate.shaft_diameter = d.length(3.0, 120.0);
    plate.shaft_length = d.length(5.0, 300.0);
    plate.body_diameter = d.length(20.0, 600.0);
    plate.body_length = d.length(20.0, 900.0);
    let count = d.pick(&[2, 4, 6]);
    plate.stud_count = d.named(count);
    let thread = d.pick(&["8-32", "10-32", "M4", "1/4-20"]).to_owned();
    plate.stud_thread = d.named(thread);
    let end = d.pick(&[StudEnd::ShaftEnd, StudEnd::LeadEnd, StudEnd::Both]);
    plate.stud_end = d.known(end);
    let form = d.pick(&[ShaftForm::Round, ShaftForm::Flat, ShaftForm::Keyed]);
    plate.shaft_form = d.known(form);
    let double = d.pick(&[true, false]);
    plate.double_shaft = d.known(double);
    let frame = d
        .pick(&["56C", "48Y", "143T", "90S", "56HZ", "L56C", "42"])
        .to_owned();
    plate.frame = d.named(frame);
    let mounts = [
        Mount::Studs,
        Mount::Feet,
        Mount::CFace,
        Mount::BellyBand,
        Mount::Yoke,
        Mount::Flange,
    ];
    let mount = d.pick(&mounts);
    plate.mount = d.named(mount);
    let position = d.pick(&[
        Position::Any,
        Position::Horizontal,
        Position::ShaftUp,
        Position::ShaftDown,
    ]);
    plate.position = d.named(position);
    plate.more.mounting_code = d.named("B35".to_owned());
}

fn marks(d: &mut Dice, plate: &mut Plate) {
    let kinds = [
        MotorType::ShadedPole,
        MotorType::SplitPhase,
        MotorType::PermanentSplitCapacitor,
        MotorType::CapacitorStart,
        MotorType::CapacitorStartCapacitorRun,
        MotorType::ThreePhaseInduction,
        MotorType::ElectronicallyCommutated,
        MotorType::DirectCurrent,
    ];
    let kind = d.pick(&kinds);
    plate.motor_type = d.named(kind);
    let rotation = Rotation {
        direction: d.pick(&[Direction::Clockwise, Direction::CounterClockwise]),
        seen_from: d.pick(&[SeenFrom::ShaftEnd, SeenFrom::LeadEnd, SeenFrom::NotStated]),
        reversible: d.pick(&[true, false]),
    };
    plate.rotation = d.named(rotation);
    if plate.rotation.value().is_none() {
        let flag = d.pick(&[true, false]);
        plate.more.reversible = d.known(flag);
    }
    let enclosures = [
        Enclosure::OpenDripProof,
        Enclosure::OpenAirOver,
        Enclosure::TotallyEnclosedFanCooled,
        Enclosure::TotallyEnclosedNonVentilated,
        Enclosure::TotallyEnclosedAirOver,
        Enclosure::ExplosionProof,
    ];
    let enclosure = d.pick(&enclosures);
    plate.enclosure = d.named(enclosure);
    if plate.enclosure == Field::Unknown {
        let mark = d.pick(&["OPEN", "TE", "TEBC", "WPI", "WPII"]).to_owned();
        plate.more.enclosure_mark = d.known(mark);
    }
    let classes = [
        InsulationClass::A,
        InsulationClass::E,
        InsulationClass::B,
        InsulationClass::F,
        InsulationClass::H,
    ];
    let class = d.pick(&classes);
    plate.insulation = d.named(class);
    duty(d, plate);
    let protections = [
        Protection::NoProtector,
        Protection::Automatic,
        Protection::Manual,
        Protection::Impedance,
        Protection::Thermostat,
    ];
    let protection = d.pick(&protections);
    plate.protection = d.named(protection);
    let bearing = d.pick(&[Bearing::Ball, Bearing::Sleeve]);
    plate.bearing = d.named(bearing);
    let flags = [d.pick(&[true, false]), d.pick(&[true, false])];
    plate.speed_control = d.known(flags[0]);
    plate.capacitor_included = d.known(flags[1]);
    let ip = d.pick(&["IP55", "IP44", "IPX4", "IP5X", "IP00"]).to_owned();
    plate.more.ip_code = d.known(ip);
    plate.more.cooling_code = d.known("IC411".to_owned());
    plate.more.efficiency_class = d.known("IE3".to_owned());
    let listing = d.pick(&[
        "Class I Div 1 Group D T3",
        "Class II Div 2 Group F/G",
        "Class I, Class II",
    ]);
    plate.hazardous_listing = d.named(listing.to_owned());
}

/// Duty, its code and its minutes say one thing and are known in one way.
fn duty(d: &mut Dice, plate: &mut Plate) {
    let how = d.how();
    let known = |value| Field::Known { value, how };
    let code = |text: &str| Field::Known {
        value: text.to_owned(),
        how,
    };
    match d.roll() % 5 {
        0 => plate.duty = known(Duty::Continuous),
        1 => (plate.duty, plate.more.duty_code) = (known(Duty::Continuous), code("S1")),
        2 => (plate.duty, plate.more.duty_code) = (known(Duty::Intermittent), code("S3 40 %")),
        3 => {
            plate.duty = known(Duty::Intermittent);
            plate.more.duty_minutes = Field::Known { value: 30.0, how };
        }
        _ => plate.duty = Field::Unreadable,
    }
}

/// Signs, figures and words that stand on plates.
const PARTS: &str = "\
1/6|1 1/2|½|0,18|1.2|208-230|115|60|1075|HP|kW|V|A|RPM|min-1|/min|HZ|PH|3~|µF|MFD|\
370|CW|CCW|SE|LE|CWSE|REV|TEAO|INS|CL|F|B|CODE|L|AMB|40|°C|°F|FR|56|C|SER NO|MFR|?|\
??|unreadable|measured|assumed|x|SHAFT|DIA|in|\"|one|seventy-five|two|oh|eight|point|\
and a half|sixth|to|/|-|,|;|(|)|:|=|.|HI|LO|HI/LO|IP|IC|S3|%|Δ|Y|Class I|Div 1|Group|\
T3|CAP|RISE|EFF|PF|TYPE|DUTY|30|MIN|STUDS|8-32|INPUT|OUTPUT|\n|é";

/// Any of them in any order.
fn plate_like() -> impl Strategy<Value = String> {
    let glue = prop::sample::select(vec!["", " ", " ", " ", "\u{a0}"]);
    let part = (
        prop::sample::select(PARTS.split('|').collect::<Vec<&str>>()),
        glue,
    )
        .prop_map(|(word, glue)| format!("{word}{glue}"));
    prop::collection::vec(part, 0..24).prop_map(|parts| parts.concat())
}

/// More on a machine with time: `PROPTEST_CASES=20000`.
fn cases() -> u32 {
    let asked = std::env::var("PROPTEST_CASES").ok();
    asked.and_then(|cases| cases.parse().ok()).unwrap_or(512)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(cases()) })]

    #[test]
    fn any_text_is_taken_apart_without_rest(text in any::<String>()) {
        covered(&text, &read(&text));
    }

    #[test]
    fn any_plate_like_text_is_taken_apart_without_rest(text in plate_like()) {
        let reading = read(&text);
        covered(&text, &reading);
        let working = plausible(&reading.plate);
        prop_assert!(working.lines.iter().all(|line| !line.key.is_empty()));
        prop_assert!(answered(&text));
    }

    #[test]
    fn a_plate_that_is_written_reads_back_the_same(dice in prop::collection::vec(any::<u32>(), 300)) {
        let plate = random(&mut Dice(dice, 0));
        let text = write(&plate);
        let reading = read(&text);
        prop_assert!(reading.not_understood.is_empty(), "{text}: {:?}", reading.not_understood);
        prop_assert_eq!(reading.plate, plate, "{}", text);
    }

    #[test]
    fn any_figures_are_judged_without_panic(
        power in any::<f64>(), volts in prop::collection::vec(any::<f64>(), 0..4),
        amps in prop::collection::vec(any::<f64>(), 0..4), speed in any::<f64>(), hertz in any::<f64>(),
        dice in prop::collection::vec(any::<u32>(), 300),
    ) {
        let mut plate = random(&mut Dice(dice, 0));
        plate.power = Field::read(Watts(power));
        plate.volts = Field::read(volts.into_iter().map(Volts).collect());
        plate.amps = Field::read(amps.into_iter().map(Amps).collect());
        plate.speeds = Field::read(vec![Rpm(speed)]);
        plate.frequency = Field::read(vec![Hertz(hertz)]);
        plate.rise = Field::read(Celsius(speed));
        plate.service_factor = Field::read(hertz);
        plate.more.input_power = Field::read(Watts(hertz));
        plausible(&plate);
        write(&plate);
    }
}

fn answered(text: &str) -> bool {
    let topic = figure::find("plate").expect("the topic");
    figure::run(topic, &json!({ "text": text })).is_ok() || text.trim().is_empty()
}
