//! The run test before a machine goes back into service: numbers against limits.

use crate::plate::{Direction, Plate};
use crate::shown::{Fill, ask, figure, line, optional_date, positive};
use crate::supply::{judge_volts, plate_at};
use crate::units::{Rpm, Volts};
use crate::vibration::{self, VibrationInput};
use crate::working::{Line, Verdict, Working};
use serde::{Deserialize, Serialize};
use time::Date;

/// Minutes a machine runs before its readings count. Source: common practice.
pub const MINUTES: u32 = 15;

/// One reading with the instrument that gave it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Reading {
    /// The figure shown; `None` where it is blank.
    pub value: Option<f64>,
    /// The instrument, by its number.
    pub instrument: Option<String>,
    /// Last day of its calibration; `None` where it is not marked.
    #[serde(with = "optional_date")]
    pub calibration_due: Option<Date>,
}

/// What was seen of the air or water that the machine moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flow {
    /// It moves the right way.
    RightWay,
    /// It moves the wrong way.
    WrongWay,
    /// Nobody looked.
    NotLooked,
    /// The machine moves neither air nor water.
    DoesNotApply,
}

/// Everything noted at the run test; a blank is `None`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ProofInput {
    /// Plate of the motor that is fitted now.
    pub motor: Plate,
    /// Day of the test; an instrument whose calibration ended before it is not accepted.
    #[serde(with = "optional_date")]
    pub date: Option<Date>,
    /// Turning as seen, from the same end as `direction_right`.
    pub direction_seen: Option<Direction>,
    /// Right turning, seen from the same end.
    pub direction_right: Option<Direction>,
    /// What was seen of the air or water.
    pub flow: Option<Flow>,
    /// One on single phase, three on three phases.
    pub amps: Option<Vec<Reading>>,
    /// One on single phase; line to line, three on three phases.
    pub volts: Option<Vec<Reading>>,
    /// Optional.
    pub vibration: Option<VibrationInput>,
    /// Optional: measured speed of the driven shaft and the speed it should have.
    pub speed: Option<Reading>,
    /// Speed the driven shaft should have.
    pub speed_wanted: Option<Rpm>,
    /// The guard is whole again.
    pub guard_complete: Option<bool>,
    /// What was reported is gone.
    pub first_symptom_gone: Option<bool>,
    /// Minutes the machine ran before the readings.
    pub minutes_run: Option<u32>,
}

/// Whether the run test is passed.
///
/// A pass needs direction and flow, amperes and volts, the guard, the first symptom gone and the minutes
/// it ran (fewer than [`MINUTES`] are noted, common practice); speed
/// and vibration are judged where they were measured. Readings of an instrument past its calibration
/// are not accepted. Sources: the lines name them.
pub fn judge(input: &ProofInput) -> Working {
    let mut working = Working::new("Run test");
    working.cautions.push(
        "Numbers of one run, not a promise. Stop at any rub, smell or smoke whatever the figures say."
            .into(),
    );
    judge_direction(&mut working, input);
    judge_flow(&mut working, input.flow);
    let phases = input.motor.phases.value().copied();
    let volts = accepted(
        &mut working,
        input,
        input.volts.as_deref(),
        "volts_meter",
        "Voltmeter",
    );
    judge_amps(&mut working, input, phases, volts.as_deref());
    let volts: Vec<Volts> = volts.unwrap_or_default().into_iter().map(Volts).collect();
    judge_volts(&mut working, &input.motor, &volts, phases);
    judge_yes(
        &mut working,
        line("guard", "Guard complete").rule("no opening left", "29 CFR 1910.212(a)(5)"),
        input.guard_complete,
        "Stop the machine, lock it out and put the guard back.",
    );
    judge_yes(
        &mut working,
        line("symptom", "First symptom gone").rule(
            "the reported fault is absent",
            "DOE-STD-1065-94; common practice",
        ),
        input.first_symptom_gone,
        "Go on with the diagnosis: what was reported is still there.",
    );
    judge_minutes(&mut working, input.minutes_run);
    judge_speed(&mut working, input);
    if let Some(vibration) = &input.vibration {
        vibration::judge(&mut working, vibration);
    }
    working
}

fn words(direction: Direction) -> &'static str {
    match direction {
        Direction::Clockwise => "clockwise",
        Direction::CounterClockwise => "counter-clockwise",
    }
}

fn judge_direction(working: &mut Working, input: &ProofInput) {
    let shown = line("direction", "Direction of turning").rule(
        "seen and right direction from the same end",
        "common practice",
    );
    match (input.direction_seen, input.direction_right) {
        (Some(seen), Some(right)) => {
            let shown = shown.value(words(seen), "").limit(words(right));
            working.lines.push(if seen == right {
                shown.judge(Verdict::Within, "It turns the right way.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Lock it out and reverse it: two lines on three phases, the reversing leads or \
                     plug on single phase.",
                )
            });
        }
        _ => ask(
            working,
            shown,
            "direction seen and right direction",
            "a centrifugal wheel that turns backwards still moves air, only too little",
            "bump the motor and look at the shaft; compare with the arrow on the housing",
        ),
    }
}

fn judge_flow(working: &mut Working, flow: Option<Flow>) {
    let shown = line("flow", "Air or water the right way")
        .rule("seen at the grille or at the gauge", "common practice");
    match flow {
        Some(Flow::RightWay) => {
            working
                .lines
                .push(shown.value("yes", "").judge(Verdict::Within, "Seen."));
        }
        Some(Flow::DoesNotApply) => working.lines.push(
            shown
                .value("does not apply", "")
                .judge(Verdict::Within, "Nothing to see."),
        ),
        Some(Flow::WrongWay) => working.lines.push(shown.value("no", "").judge(
            Verdict::Beyond,
            "Stop it; check turning, wheel hand and damper before it runs again.",
        )),
        Some(Flow::NotLooked) => ask(
            working,
            shown.value("not looked", ""),
            "flow seen the right way",
            "turning the right way does not prove that air moves the right way",
            "hold a tissue at the grille or read the gauge",
        ),
        None => ask(
            working,
            shown,
            "flow seen the right way",
            "turning the right way does not prove that air moves the right way",
            "hold a tissue at the grille or read the gauge",
        ),
    }
}

/// The figures of accepted instruments; `None` where one is blank or its instrument is out of date,
/// which is then said on a line.
fn accepted(
    working: &mut Working,
    input: &ProofInput,
    readings: Option<&[Reading]>,
    key: &'static str,
    label: &'static str,
) -> Option<Vec<f64>> {
    let readings = readings?;
    for reading in readings {
        let Some(due) = reading.calibration_due else {
            continue;
        };
        let name = reading
            .instrument
            .as_deref()
            .unwrap_or("the instrument")
            .to_owned();
        let shown = line(key, label)
            .value(name.clone(), "")
            .limit(format!("calibrated until {due}"))
            .rule(
                "calibration in date on the day of the test",
                "DOE-STD-1065-94",
            );
        match input.date {
            Some(date) if date <= due => {}
            Some(_) => {
                ask(
                    working,
                    shown,
                    format!("a reading by an instrument in calibration, not {name}"),
                    "its calibration had ended on the day of the test",
                    "repeat the reading with an instrument in date",
                );
                return None;
            }
            None => {
                ask(
                    working,
                    shown,
                    "day of the test",
                    "the calibration of the instrument is held against it",
                    "enter the day",
                );
                return None;
            }
        }
    }
    readings
        .iter()
        .map(|reading| positive(reading.value?))
        .collect()
}

fn judge_amps(
    working: &mut Working,
    input: &ProofInput,
    phases: Option<u8>,
    volts: Option<&[f64]>,
) {
    let shown = line("amps", "Running current").rule(
        "each leg at or under the plate; the service factor is not used up",
        "common practice; NEMA MG 1 1.42",
    );
    let amps = accepted(
        working,
        input,
        input.amps.as_deref(),
        "amps_meter",
        "Ammeter",
    );
    let plate = volts
        .and_then(|volts| volts.first().copied())
        .and_then(|volts| plate_at(&input.motor, Volts(volts)))
        .and_then(|plate| plate.amps);
    let (Some(amps), Some(plate), Some(phases)) = (amps, plate, phases) else {
        return ask(
            working,
            shown,
            "running amperes of each leg, with plate current, phases and volts",
            "current is the motor's own word on its load",
            "clamp each leg with the machine closed up and running; read the plate",
        );
    };
    let highest = amps.iter().copied().fold(0.0, f64::max);
    let margin = 100.0 * (plate.0 - highest) / plate.0;
    let shown = shown
        .value(figure(highest, 2), "A")
        .limit(format!("{} A on the plate", figure(plate.0, 2)))
        .margin(format!("{} %", figure(margin, 1)));
    let legs = if phases == 3 { 3 } else { 1 };
    if highest > plate.0 * (1.0 + 1e-9) {
        working.lines.push(shown.judge(
            Verdict::Beyond,
            "Stop it and find the load: speed, wheel, belt ratio, damper, low volts.",
        ));
    } else if amps.len() < legs {
        ask(
            working,
            shown,
            "running amperes of all three legs",
            "one open leg is seen only in the others",
            "clamp each leg",
        );
    } else {
        let note = format!("{} % is left to the plate current.", figure(margin, 1));
        working.lines.push(shown.judge(Verdict::Within, note));
    }
}

fn judge_yes(working: &mut Working, shown: Line, answer: Option<bool>, todo: &'static str) {
    match answer {
        Some(true) => working
            .lines
            .push(shown.value("yes", "").judge(Verdict::Within, "Recorded.")),
        Some(false) => working
            .lines
            .push(shown.value("no", "").judge(Verdict::Beyond, todo)),
        None => {
            let what = shown.label.to_lowercase();
            ask(
                working,
                shown,
                what,
                "return to service waits for it",
                "look, and answer yes or no",
            );
        }
    }
}

fn judge_minutes(working: &mut Working, minutes: Option<u32>) {
    let shown = line("minutes", "Minutes run")
        .rule("readings count when it has settled", "common practice")
        .limit(format!("{MINUTES} min"));
    match minutes {
        Some(minutes) if minutes >= MINUTES => working.lines.push(
            shown
                .value(minutes.to_string(), "min")
                .judge(Verdict::Within, "It ran long enough."),
        ),
        Some(minutes) => working
            .lines
            .push(shown.value(minutes.to_string(), "min").judge(
                Verdict::WithinNote,
                "Let it run on and read the amperes again when it is warm.",
            )),
        None => ask(
            working,
            shown,
            "minutes run",
            "readings of a cold machine say little",
            "note how long it ran before the readings",
        ),
    }
}

/// Within 5 % of the wanted speed; judged only where a speed was measured.
fn judge_speed(working: &mut Working, input: &ProofInput) {
    let Some(reading) = &input.speed else { return };
    let shown = line("speed", "Speed").rule("within 5 % of the wanted speed", "common practice");
    let speed = accepted(
        working,
        input,
        Some(std::slice::from_ref(reading)),
        "speed_meter",
        "Tachometer",
    );
    let wanted = input.speed_wanted.and_then(|wanted| positive(wanted.0));
    match (speed.and_then(|speed| speed.first().copied()), wanted) {
        (Some(speed), Some(wanted)) => {
            let off = 100.0 * (speed - wanted) / wanted;
            let shown = shown
                .value(figure(speed, 0), "rpm")
                .limit(format!("{} rpm", figure(wanted, 0)))
                .margin(format!("{} % off", figure(off, 1)));
            working.lines.push(if off.abs() <= 5.0 + 1e-9 {
                shown.judge(Verdict::Within, "The machine turns at its speed.")
            } else {
                shown.judge(
                    Verdict::Beyond,
                    "Check sheaves, belt and the motor's plate speed; work out flow and power anew.",
                )
            });
        }
        _ => ask(
            working,
            shown,
            "measured and wanted speed",
            "power rises with the cube of a fan's speed",
            "measure at the driven shaft; take the wanted speed from the machine's record",
        ),
    }
}
