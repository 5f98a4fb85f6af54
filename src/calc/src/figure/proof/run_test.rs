//! Topic. The run test after a repair.

use super::{answer, vibration};
use crate::figure::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::plate::{Direction, Field, InsulationClass, MotorType, Plate, SeenFrom};
use crate::proof::{self, Flow, Instrument, ProofInput, Quantity, Reading, SpeedRun};
use crate::units::{Amps, Hertz, Rpm, Volts};
use crate::working::Verdict;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

type Words = &'static [(&'static str, &'static str)];

const TURNING: Words = &[
    ("clockwise", "Clockwise"),
    ("counter_clockwise", "Counter-clockwise"),
];
const ENDS: Words = &[("shaft_end", "Shaft end"), ("lead_end", "Lead end")];
const FLOWS: Words = &[
    ("right_way", "The right way"),
    ("wrong_way", "The wrong way"),
    ("not_looked", "Not looked"),
    ("does_not_apply", "Moves neither air nor water"),
];
const CLASSES: Words = &[("a", "A"), ("e", "E"), ("b", "B"), ("f", "F"), ("h", "H")];
const MOTORS: Words = &[
    ("three_phase_induction", "Three-phase induction"),
    ("permanent_split_capacitor", "Permanent split capacitor"),
    ("capacitor_start", "Capacitor-start"),
    (
        "capacitor_start_capacitor_run",
        "Capacitor-start, capacitor-run",
    ),
    ("split_phase", "Split phase"),
    ("shaded_pole", "Shaded pole"),
    ("electronically_commutated", "Electronically commutated"),
    ("direct_current", "Direct current"),
];
const READS: Words = &[
    ("amps", "Amperes"),
    ("volts", "Volts"),
    ("speed", "Speed"),
    ("vibration", "Vibration"),
    ("temperature", "Temperature"),
];
const KINDS: Words = &[
    ("true_rms_clamp", "True r.m.s. clamp meter"),
    ("averaging_clamp", "Averaging clamp meter"),
    ("true_rms_meter", "True r.m.s. multimeter"),
    ("averaging_meter", "Averaging multimeter"),
    (
        "low_impedance_meter",
        "Multimeter on its low-impedance range",
    ),
    ("voltage_tester", "Two-pole voltage tester"),
    ("non_contact_tester", "Non-contact tester"),
    ("power_meter", "Power meter"),
    ("tachometer", "Tachometer"),
    ("strobe", "Stroboscope"),
    ("vibration_meter", "Vibration meter"),
    ("contact_thermometer", "Contact thermometer"),
    ("infrared_thermometer", "Infrared thermometer"),
    ("senses", "Hand, ear or eye"),
];

const INSTRUMENT: &[Want] = &[
    want("reads", "What it read", Takes::Choice(READS)),
    want("name", "Its number", Takes::Text),
    want("kind", "Its kind", Takes::Choice(KINDS)),
    want(
        "calibration_due",
        "Last day of its calibration",
        Takes::Date,
    )
    .note("blank: not marked"),
];
const AT_SPEED: &[Want] = &[
    want("speed", "Speed", Takes::Text).note("such as low, or 850 rpm"),
    want("amps", "Amperes of each leg", Takes::Numbers).unit("A"),
    want("plate_amps", "Plate current at this speed", Takes::Number).unit("A"),
];

const WANTS: &[Want] = &[
    want("date", "Day of the test", Takes::Date).note("calibration is held against it"),
    want("phases", "Phases of the motor", Takes::Whole).note("1 or 3"),
    want("plate_volts", "Volts on the plate", Takes::Numbers).unit("V"),
    want("plate_amps", "Amperes on the plate", Takes::Numbers)
        .unit("A")
        .note("in the order of the volts"),
    want("plate_speeds_rpm", "Speeds on the plate", Takes::Numbers)
        .unit("rpm")
        .note("highest first"),
    want(
        "plate_frequency_hz",
        "Frequency on the plate",
        Takes::Number,
    )
    .unit("Hz"),
    want("service_factor", "Service factor", Takes::Number).note("named, never used up"),
    want(
        "insulation_class",
        "Insulation class",
        Takes::Choice(CLASSES),
    ),
    want("motor_type", "Kind of motor", Takes::Choice(MOTORS)),
    want(
        "drive_fed",
        "A frequency drive feeds the motor",
        Takes::Flag,
    ),
    want(
        "speed_controlled",
        "The speed is turned down while it is read",
        Takes::Flag,
    ),
    want("direction_seen", "Direction seen", Takes::Choice(TURNING)),
    want("direction_seen_from", "Seen from", Takes::Choice(ENDS))
        .note("blank: the end from which the right direction is meant"),
    want("direction_right", "Right direction", Takes::Choice(TURNING)),
    want("direction_right_from", "Meant from", Takes::Choice(ENDS)),
    want("flow", "Air or water moves", Takes::Choice(FLOWS)),
    want("amps", "Running amperes of each leg", Takes::Numbers)
        .unit("A")
        .note("one, or three on three phases"),
    want(
        "amps_at_speeds",
        "Amperes at the lower speeds",
        Takes::Rows(AT_SPEED),
    ),
    want("volts", "Running volts", Takes::Numbers)
        .unit("V")
        .note("line to line, three on three phases"),
    want("speed_rpm", "Speed of the driven shaft", Takes::Number).unit("rpm"),
    want("speed_wanted_rpm", "Speed it should have", Takes::Number).unit("rpm"),
    want("motor_speed_rpm", "Speed of the motor", Takes::Number).unit("rpm"),
    want("vibration", "Vibration", Takes::Group(vibration::WANTS))
        .note("the fields of the topic vibration"),
    want("motor_temperature_c", "Body of the motor", Takes::Number).unit("°C"),
    want("ambient_c", "Air around the motor", Takes::Number)
        .unit("°C")
        .note("a running body is no colder than it"),
    want(
        "bearing_temperatures_c",
        "Housing of each bearing",
        Takes::Numbers,
    )
    .unit("°C"),
    want(
        "own_bearings",
        "The machine has bearings besides the motor's",
        Takes::Flag,
    ),
    want("guard_complete", "Guard complete", Takes::Flag),
    want("first_symptom_gone", "First symptom gone", Takes::Flag),
    want(
        "minutes_run",
        "Minutes run before the readings",
        Takes::Whole,
    )
    .unit("min"),
    want("instruments", "Instruments", Takes::Rows(INSTRUMENT)),
];

pub(super) const PROOF: Topic = Topic {
    name: "proof",
    title: "Run test after a repair",
    what: "Amperes, volts, unbalance, speed, vibration, temperature and rotation against their limits.",
    subject: Subject::Proof,
    wants: WANTS,
    answers: &[
        answer("verdict", "", "the worst line, in words"),
        answer("proved", "", "every reading is there and inside its limit"),
        answer("lines", "", "verdict of each line, by its key"),
        answer("missing", "", "what was not read or not given"),
        answer(
            "amps_unbalance_percent",
            "%",
            "largest distance of a leg from the mean",
        ),
        answer("volts_unbalance_percent", "%", "the same of the volts"),
    ],
    run,
};

/// A choice whose word is the name that the type has in JSON.
fn word<T: DeserializeOwned>(given: &Given, name: &str) -> Result<Option<T>, Trouble> {
    Ok(given
        .choice(name)?
        .and_then(|word| serde_json::from_value(Value::from(word)).ok()))
}

fn field<T>(value: Option<T>) -> Field<T> {
    value.map_or(Field::Unknown, Field::read)
}

/// Plate figures; none may be zero or below.
fn figures(given: &Given, name: &str) -> Result<Option<Vec<f64>>, Trouble> {
    match given.numbers(name)? {
        Some(list) if list.is_empty() || list.iter().any(|figure| *figure <= 0.0) => {
            Err(Trouble::of(name, "Give numbers above zero"))
        }
        list => Ok(list),
    }
}

fn list<T>(numbers: Option<Vec<f64>>, of: fn(f64) -> T) -> Option<Vec<T>> {
    numbers.map(|numbers| numbers.into_iter().map(of).collect())
}

fn plate(given: &Given) -> Result<Plate, Trouble> {
    let phases = match given.whole("phases")? {
        None => None,
        Some(1) => Some(1),
        Some(3) => Some(3),
        Some(_) => return Err(Trouble::of("phases", "Give 1 or 3")),
    };
    let frequency = given.positive("plate_frequency_hz")?;
    let class = given.choice("insulation_class")?.map(|word| match word {
        "a" => InsulationClass::A,
        "e" => InsulationClass::E,
        "b" => InsulationClass::B,
        "f" => InsulationClass::F,
        _ => InsulationClass::H,
    });
    Ok(Plate {
        phases: field(phases),
        volts: field(list(figures(given, "plate_volts")?, Volts)),
        amps: field(list(figures(given, "plate_amps")?, Amps)),
        speeds: field(list(figures(given, "plate_speeds_rpm")?, Rpm)),
        frequency: field(frequency.map(|hertz| vec![Hertz(hertz)])),
        service_factor: field(given.positive("service_factor")?),
        insulation: field(class),
        motor_type: field(word::<MotorType>(given, "motor_type")?),
        ..Plate::default()
    })
}

/// The instruments by what they read.
struct Case(Vec<(Option<&'static str>, Reading)>);

impl Case {
    fn read(given: &Given) -> Result<Case, Trouble> {
        let rows = given.rows("instruments", |row| {
            let instrument = Reading {
                value: None,
                instrument: row.text("name")?,
                kind: word::<Instrument>(row, "kind")?,
                calibration_due: row.date("calibration_due")?,
            };
            Ok((Some(row.need_choice("reads")?), instrument))
        })?;
        Ok(Case(rows.unwrap_or_default()))
    }

    /// A reading by the instrument that read this.
    fn of(&self, what: &str, value: Option<f64>) -> Reading {
        let found = self.0.iter().find(|(reads, _)| *reads == Some(what));
        Reading {
            value,
            ..found
                .map(|(_, instrument)| instrument.clone())
                .unwrap_or_default()
        }
    }

    fn all(&self, what: &str, values: Option<Vec<f64>>) -> Option<Vec<Reading>> {
        let one = |value| self.of(what, Some(value));
        values.map(|values| values.into_iter().map(one).collect())
    }

    fn one(&self, what: &str, value: Option<f64>) -> Option<Reading> {
        value.map(|value| self.of(what, Some(value)))
    }
}

fn at_speeds(given: &Given, case: &Case) -> Result<Option<Vec<SpeedRun>>, Trouble> {
    given.rows("amps_at_speeds", |row| {
        Ok(SpeedRun {
            speed: row.text("speed")?,
            amps: case.all("amps", row.numbers("amps")?),
            plate_amps: row.positive("plate_amps")?.map(Amps),
        })
    })
}

fn input(given: &Given) -> Result<ProofInput, Trouble> {
    let case = Case::read(given)?;
    let vibration = given.group("vibration", vibration::read)?;
    let minutes = given.whole("minutes_run")?;
    Ok(ProofInput {
        motor: plate(given)?,
        date: given.date("date")?,
        direction_seen: word::<Direction>(given, "direction_seen")?,
        direction_right: word::<Direction>(given, "direction_right")?,
        direction_seen_from: word::<SeenFrom>(given, "direction_seen_from")?,
        direction_right_from: word::<SeenFrom>(given, "direction_right_from")?,
        flow: word::<Flow>(given, "flow")?,
        amps: case.all("amps", given.numbers("amps")?),
        amps_at_speeds: at_speeds(given, &case)?,
        volts: case.all("volts", given.numbers("volts")?),
        vibration_meter: vibration.as_ref().map(|_| case.of("vibration", None)),
        vibration,
        speed: case.one("speed", given.number("speed_rpm")?),
        speed_wanted: given.positive("speed_wanted_rpm")?.map(Rpm),
        motor_speed: case.one("speed", given.number("motor_speed_rpm")?),
        ambient: given.number("ambient_c")?,
        motor_temperature: case.one("temperature", given.number("motor_temperature_c")?),
        bearing_temperatures: case.all("temperature", given.numbers("bearing_temperatures_c")?),
        own_bearings: given.flag("own_bearings")?,
        drive_fed: given.flag("drive_fed")?,
        speed_controlled: given.flag("speed_controlled")?,
        guard_complete: given.flag("guard_complete")?,
        first_symptom_gone: given.flag("first_symptom_gone")?,
        minutes_run: minutes.map(|minutes| u32::try_from(minutes).unwrap_or(u32::MAX)),
    })
}

fn run(given: &Given) -> Result<Figure, Trouble> {
    let input = input(given)?;
    let working = proof::prove(&input);
    let verdict = working.verdict().unwrap_or(Verdict::NotKnownYet);
    let missing: Vec<Value> = working
        .missing
        .iter()
        .map(|missing| missing.what.as_ref().into())
        .collect();
    let amps = proof::unbalance_percent(&input, Quantity::Amps);
    let volts = proof::unbalance_percent(&input, Quantity::Volts);
    let lines = proof::by_key(&working);
    let lines: Map<String, Value> = lines
        .into_iter()
        .map(|(key, verdict)| (key, verdict.words().into()))
        .collect();
    Ok(Figure::new(working)
        .with("verdict", verdict.words())
        .with(
            "proved",
            verdict.severity() < Verdict::NotKnownYet.severity(),
        )
        .with("lines", lines)
        .with("missing", missing)
        .with_some("amps_unbalance_percent", amps)
        .with_some("volts_unbalance_percent", volts))
}
