//! The run test as typed: what calc needs, the readings as shown, and what is missing beside its field.

use super::body::{LiveTest, Reading};
use super::step_page::{AMPS, VOLTS, shown_number};
use super::steps::JobView;
use crate::form::{self, FieldErrors, Fields};
use crate::instruments::Instrument;
use crate::instruments::used::{self, Used};
use crate::people::PersonId;
use calc::installation::Drive;
use calc::plate::{Direction, Plate};
use calc::proof::{self, Flow, ProofInput};
use calc::units::{MillimetresPerSecond, Rpm};
use calc::vibration::{Support, VibrationInput};
use calc::working::{Line, Verdict, Working};
use time::Date;

pub const DIRECTIONS: &[(&str, &str)] = &[
    ("clockwise", "clockwise"),
    ("counter_clockwise", "counter-clockwise"),
    ("not_looked", "not looked"),
];
pub const FLOWS: &[(&str, &str)] = &[
    ("right_way", "the right way"),
    ("wrong_way", "the wrong way"),
    ("not_looked", "not looked"),
    ("does_not_apply", "does not apply"),
];
pub const SUPPORTS: &[(&str, &str)] = &[
    ("rigid", "rigid: on a stiff base"),
    ("flexible", "flexible: on springs or rubbers"),
];
pub const YES_NO: &[(&str, &str)] = &[("yes", "yes"), ("no", "no")];

/// One leg or one pair: what it is called and the field it is typed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leg {
    pub point: &'static str,
    pub field: &'static str,
}

const fn leg(point: &'static str, field: &'static str) -> Leg {
    Leg { point, field }
}

/// Where volts are read, by the number of phases.
pub fn volt_legs(phases: u8) -> &'static [Leg] {
    if phases == 3 {
        const {
            &[
                leg("L1-L2", "volts_1"),
                leg("L2-L3", "volts_2"),
                leg("L3-L1", "volts_3"),
            ]
        }
    } else {
        const { &[leg("L1", "volts_1")] }
    }
}

/// Where amperes are read.
pub fn amp_legs(phases: u8) -> &'static [Leg] {
    if phases == 3 {
        const {
            &[
                leg("L1", "amps_1"),
                leg("L2", "amps_2"),
                leg("L3", "amps_3"),
            ]
        }
    } else {
        const { &[leg("L1", "amps_1")] }
    }
}

/// What the record knows before anything is typed.
#[derive(Clone, Debug)]
pub struct Known {
    pub plate: Plate,
    pub phases: u8,
    pub direction_right: Option<Direction>,
    pub speed_wanted: Option<Rpm>,
    /// The limits are those of fans.
    pub fan: bool,
}

impl Known {
    pub fn of(view: &JobView) -> Known {
        let plate = view
            .fitted
            .as_ref()
            .map_or_else(Plate::default, |motor| motor.plate.clone());
        let facts = view
            .machine
            .as_ref()
            .map(|machine| machine.facts.clone())
            .unwrap_or_default();
        let phases = plate.phases.value().copied().or(facts.site.phases);
        let direct = facts.driven.drive == Some(Drive::Direct);
        let plate_speed = plate
            .speeds
            .value()
            .and_then(|speeds| speeds.first().copied());
        Known {
            phases: phases.unwrap_or(1),
            direction_right: facts.driven.rotation,
            speed_wanted: facts.driven.driven_speed.or(plate_speed.filter(|_| direct)),
            fan: view
                .machine
                .as_ref()
                .is_some_and(|m| matches!(m.kind.as_str(), "fan" | "air_handler" | "unit_heater")),
            plate,
        }
    }
}

/// A run test ready to be recorded.
#[derive(Clone, Debug)]
pub struct Proof {
    pub input: ProofInput,
    pub readings: Vec<Reading>,
    pub live: LiveTest,
    pub verdict: Verdict,
    pub working: Working,
}

/// Judges what was typed. A gap is refused beside its field, unless `as_is` is ticked: then it is
/// recorded as not known yet.
///
/// # Errors
/// A message for every field that is wrong or, without `as_is`, missing.
pub fn parse(
    fields: &Fields,
    known: &Known,
    today: Date,
    register: &[Instrument],
) -> Result<Proof, FieldErrors> {
    let mut errors = FieldErrors::default();
    let as_is = fields.ticked("as_is");
    let used = used::read(fields, register, today, &mut errors);
    let minutes = form::optional_count(fields.get("minutes_run"));
    let minutes = errors.take("minutes_run", minutes);
    let input = input(fields, known, &used, minutes, today);
    let readings = readings(fields, known);
    let working = proof::judge(&input);
    if !as_is {
        for reading in readings
            .iter()
            .filter(|(_, reading)| reading.value.is_none())
        {
            errors.add(
                &reading.0,
                format!(
                    "{} is not a figure. Type what the instrument showed",
                    reading.1.as_shown
                ),
            );
        }
        beside_fields(&working, fields, known, &mut errors);
    }
    let live = live(fields, used, &mut errors);
    errors.or(Proof {
        verdict: working.verdict().unwrap_or(Verdict::NotKnownYet),
        readings: readings.into_iter().map(|(_, reading)| reading).collect(),
        input,
        live,
        working,
    })
}

/// Testing on live parts names the person, the instrument and the precautions, always.
fn live(fields: &Fields, used: Used, errors: &mut FieldErrors) -> LiveTest {
    let person = fields.get("qualified_person").parse().map(PersonId).ok();
    if person.is_none() {
        errors.add(
            "qualified_person",
            "Choose the qualified person who took the readings",
        );
    }
    if used.number.is_empty() {
        errors.add("instrument", "Type the number on the instrument");
    }
    let precautions = form::required(
        fields.get("precautions"),
        "Say which precautions were taken for testing on live parts",
    );
    let precautions = errors.take("precautions", precautions);
    LiveTest::new(person.unwrap_or(PersonId(0)), precautions, used)
}

fn yes(text: &str) -> Option<bool> {
    match text {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

fn input(
    fields: &Fields,
    known: &Known,
    used: &Used,
    minutes: Option<i64>,
    today: Date,
) -> ProofInput {
    let reading = |field: &str, units: &[&str]| proof::Reading {
        value: shown_number(fields.get(field), units),
        instrument: Some(used.number.clone()),
        calibration_due: used.due,
        ..proof::Reading::default()
    };
    let vibration = shown_number(fields.get("vibration"), &["mm/s"]);
    ProofInput {
        motor: known.plate.clone(),
        date: Some(today),
        direction_seen: match fields.get("direction_seen") {
            "clockwise" => Some(Direction::Clockwise),
            "counter_clockwise" => Some(Direction::CounterClockwise),
            _ => None,
        },
        direction_right: known.direction_right,
        flow: match fields.get("flow") {
            "right_way" => Some(Flow::RightWay),
            "wrong_way" => Some(Flow::WrongWay),
            "not_looked" => Some(Flow::NotLooked),
            "does_not_apply" => Some(Flow::DoesNotApply),
            _ => None,
        },
        amps: Some(
            amp_legs(known.phases)
                .iter()
                .map(|l| reading(l.field, AMPS))
                .collect(),
        ),
        volts: Some(
            volt_legs(known.phases)
                .iter()
                .map(|l| reading(l.field, VOLTS))
                .collect(),
        ),
        vibration: (known.fan && fields.ticked("vibration")).then(|| VibrationInput {
            velocity: vibration.map(MillimetresPerSecond),
            support: match fields.get("support") {
                "rigid" => Some(Support::Rigid),
                "flexible" => Some(Support::Flexible),
                _ => None,
            },
            power: known.plate.power.value().copied(),
            ..VibrationInput::default()
        }),
        speed: fields.ticked("speed").then(|| reading("speed", &["rpm"])),
        speed_wanted: known.speed_wanted,
        guard_complete: yes(fields.get("guard_complete")),
        first_symptom_gone: yes(fields.get("first_symptom_gone")),
        minutes_run: minutes.and_then(|minutes| u32::try_from(minutes).ok()),
        ..ProofInput::default()
    }
}

/// What was typed as a reading, with its field; a blank makes no row.
fn readings(fields: &Fields, known: &Known) -> Vec<(String, Reading)> {
    let volts = volt_legs(known.phases)
        .iter()
        .map(|leg| (*leg, "volts", VOLTS));
    let amps = amp_legs(known.phases)
        .iter()
        .map(|leg| (*leg, "amps", AMPS));
    let others: [(Leg, &str, &[&str]); 2] = [
        (leg("highest", "vibration"), "mm_s", &["mm/s"]),
        (leg("driven shaft", "speed"), "rpm", &["rpm"]),
    ];
    volts
        .chain(amps)
        .chain(others)
        .filter(|(leg, ..)| fields.ticked(leg.field))
        .map(|(leg, quantity, units)| {
            let as_shown = fields.get(leg.field);
            let reading = Reading {
                point: leg.point.to_owned(),
                quantity: quantity.to_owned(),
                as_shown: as_shown.to_owned(),
                value: shown_number(as_shown, units),
            };
            (leg.field.to_owned(), reading)
        })
        .collect()
}

/// What calc misses, beside the fields it comes from; what only the record can answer, on top.
fn beside_fields(working: &Working, fields: &Fields, known: &Known, errors: &mut FieldErrors) {
    let open = |line: &&Line| line.verdict == Some(Verdict::NotKnownYet);
    for line in working.lines.iter().filter(open) {
        let (what, how) = working
            .missing
            .iter()
            .find(|missing| line.note.contains(missing.what.as_ref()))
            .map_or(("", "look, and type it"), |missing| {
                (missing.what.as_ref(), missing.how.as_ref())
            });
        let asked: Vec<&str> = match line.key.as_ref() {
            "direction" => vec!["direction_seen"],
            "flow" => vec!["flow"],
            "amps" => amp_legs(known.phases).iter().map(|leg| leg.field).collect(),
            "volts" | "unbalance" => volt_legs(known.phases)
                .iter()
                .map(|leg| leg.field)
                .collect(),
            "amps_meter" | "volts_meter" | "speed_meter" => {
                errors.add(
                    "instrument_due",
                    "The calibration of this instrument has ended. Read again with one in date",
                );
                continue;
            }
            "minutes" => vec!["minutes_run"],
            "guard" => vec!["guard_complete"],
            "symptom" => vec!["first_symptom_gone"],
            "vibration" => vec!["vibration", "support"],
            "speed" => vec!["speed"],
            _ => Vec::new(),
        };
        let blank: Vec<&str> = asked
            .into_iter()
            .filter(|field| !fields.ticked(field) || fields.get(field) == "not_looked")
            .collect();
        for field in &blank {
            errors.add(field, format!("Not known yet: {how}"));
        }
        let unread = readings(fields, known)
            .iter()
            .any(|(_, r)| r.value.is_none());
        if line.key == "direction" && known.direction_right.is_none() {
            errors.add(
                "form",
                "The machine's record does not say which way is right. Read the arrow on the \
                 housing and have it put in the record",
            );
        } else if blank.is_empty() && !unread && errors.get("instrument_due").is_none() {
            errors.add("form", format!("The machine's record lacks: {what}. {how}"));
        }
    }
}
