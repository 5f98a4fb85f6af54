//! The run test before a machine goes back into service: numbers against limits, each with the
//! instrument that gave it.

mod current;
mod instrument;
mod owed;
mod readings;
mod seen;
mod turning;
mod warmth;

pub use current::current_unbalance;
pub use instrument::{Instrument, Quantity};
pub use owed::prove;

use crate::plate::{Direction, Plate, SeenFrom};
use crate::shown::{Fill, ask, line, optional_date};
use crate::supply::judge_volts;
use crate::units::{Amps, Rpm, Volts};
use crate::vibration::{self, VibrationInput};
use crate::working::{Verdict, Working};
use readings::accepted;
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
    /// What kind of instrument it is.
    pub kind: Option<Instrument>,
}

/// Running current at one of a motor's lower speeds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SpeedRun {
    /// Name of the speed, such as `low` or `850 rpm`.
    pub speed: Option<String>,
    /// One on single phase, three on three phases.
    pub amps: Option<Vec<Reading>>,
    /// Current that the plate gives at this speed.
    pub plate_amps: Option<Amps>,
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
    /// End from which `direction_seen` was seen; `None` is the same end as the right direction.
    pub direction_seen_from: Option<SeenFrom>,
    /// End from which `direction_right` is meant.
    pub direction_right_from: Option<SeenFrom>,
    /// A frequency drive feeds the motor.
    pub drive_fed: Option<bool>,
    /// The speed is turned down by a controller or drive while it is read.
    pub speed_controlled: Option<bool>,
    /// Running current at the lower speeds of a motor with several.
    pub amps_at_speeds: Option<Vec<SpeedRun>>,
    /// Speed of the motor's own shaft.
    pub motor_speed: Option<Reading>,
    /// Surface of the motor's body, °C.
    pub motor_temperature: Option<Reading>,
    /// The machine has bearings besides the motor's.
    pub own_bearings: Option<bool>,
    /// Housing of each bearing of the machine, °C.
    pub bearing_temperatures: Option<Vec<Reading>>,
    /// Air around the motor, °C; `None` where nobody read it.
    pub ambient: Option<f64>,
    /// Instrument of the vibration reading; its value is not read.
    pub vibration_meter: Option<Reading>,
}

/// Whether the run test is passed.
///
/// A pass needs direction and flow, amperes and volts, the guard, the first symptom gone and the minutes
/// it ran (with fewer than [`MINUTES`] amperes and temperatures are not known yet, common practice); speed, vibration and temperature
/// are judged where they were measured ([`prove`] asks for all of them). Readings of an instrument past
/// its calibration, or of one that cannot read what is claimed, are not accepted. Sources: the lines
/// name them.
pub fn judge(input: &ProofInput) -> Working {
    let mut working = Working::new("Run test");
    working.cautions.push(
        "Numbers of one run, not a promise. Stop at any rub, smell or smoke whatever the figures say."
            .into(),
    );
    if input.drive_fed == Some(true) {
        working.cautions.push(
            "Behind a drive: read the supply volts on the line side, with the drive running; its output \
             changes with the speed and needs a meter with a low-pass filter."
                .into(),
        );
    }
    seen::direction(&mut working, input);
    seen::flow(&mut working, input.flow);
    let phases = input.motor.phases.value().copied();
    let volts = accepted(&mut working, input, input.volts.as_deref(), Quantity::Volts);
    current::judge(&mut working, input, phases, volts.as_deref());
    readings::ghost_volts(&mut working, input, volts.as_deref());
    let volts: Vec<Volts> = volts.unwrap_or_default().into_iter().map(Volts).collect();
    judge_volts(&mut working, &input.motor, &volts, phases);
    seen::answers(&mut working, input);
    seen::minutes(&mut working, input.minutes_run);
    turning::driven(&mut working, input);
    turning::motor(&mut working, input);
    judge_vibration(&mut working, input);
    warmth::motor(&mut working, input);
    warmth::bearings(&mut working, input);
    seen::too_early(&mut working, input.minutes_run);
    working
}

/// A vibration reading counts only when its instrument does.
fn judge_vibration(working: &mut Working, input: &ProofInput) {
    let Some(vibration) = &input.vibration else {
        return;
    };
    if let Some(meter) = &input.vibration_meter {
        let meter = Reading {
            value: Some(0.0),
            ..meter.clone()
        };
        if accepted(working, input, Some(&[meter]), Quantity::Vibration).is_none() {
            let shown = line("vibration", "Vibration velocity")
                .rule("limits of its category or class", "ISO 14694, ISO 10816");
            let why = "a reading counts only when its instrument does";
            let how = "repeat it with a vibration meter in calibration, mm/s r.m.s.";
            return ask(
                working,
                shown,
                "vibration velocity by an accepted instrument",
                why,
                how,
            );
        }
    }
    vibration::judge(working, vibration);
}

/// Unbalance of the three amperes or volts that were read, percent; `None` for anything else.
/// Source: NEMA MG 1 (definition, for volts).
pub fn unbalance_percent(input: &ProofInput, what: Quantity) -> Option<f64> {
    let readings = match what {
        Quantity::Amps => input.amps.as_deref()?,
        Quantity::Volts => input.volts.as_deref()?,
        _ => return None,
    };
    let read: Option<Vec<f64>> = readings.iter().map(|reading| reading.value).collect();
    current_unbalance(&read?)
}

/// The worst verdict of each key, in the order of the lines.
pub fn by_key(working: &Working) -> Vec<(String, Verdict)> {
    let mut out: Vec<(String, Verdict)> = Vec::new();
    for line in &working.lines {
        let Some(verdict) = line.verdict else {
            continue;
        };
        match out.iter_mut().find(|(key, _)| *key == line.key) {
            Some((_, worst)) => *worst = worst.worse(verdict),
            None => out.push((line.key.to_string(), verdict)),
        }
    }
    out
}
