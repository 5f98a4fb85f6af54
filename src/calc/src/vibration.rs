//! Vibration of a fan, a machine or a bare motor against its limits: r.m.s. is held against r.m.s. and
//! peak against peak, and neither is ever made into the other.

mod bare_motor;
mod fan;
mod judged_fan;
mod judged_machine;
mod machine;
#[cfg(test)]
mod tests;

pub use bare_motor::{MotorBasis, MotorLimit, NoLimit, motor_limit};
pub use fan::{Application, Category, Limit, Stage, Support, building_category, category, limit};
pub use machine::{JudgedAs, Outside, Zone, Zones, class_by_power, group_by_power, zones};

use crate::shown::{line, positive};
use crate::units::{MM_PER_INCH, Millimetres, MillimetresPerSecond, Rpm, Watts};
use crate::working::{Line, Working};
use serde::{Deserialize, Serialize};

/// What of the wave the instrument shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Root of the mean square.
    Rms,
    /// Highest value of the wave.
    Peak,
}

/// Unit of a velocity on the instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VelocityUnit {
    /// Millimetres a second.
    MmS,
    /// Inches a second.
    InS,
}

/// A velocity as the instrument shows it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Velocity {
    /// The figure shown.
    pub value: f64,
    /// Its unit.
    pub unit: VelocityUnit,
    /// R.m.s. or peak; `None` where nobody knows, and then it is held against nothing.
    pub measure: Option<Measure>,
}

impl VelocityUnit {
    /// As people write it.
    pub fn words(self) -> &'static str {
        match self {
            VelocityUnit::MmS => "mm/s",
            VelocityUnit::InS => "in/s",
        }
    }

    /// A limit in mm/s in this unit; inches to three decimals, as AMCA 204 prints them.
    pub fn of(self, limit: MillimetresPerSecond) -> f64 {
        match self {
            VelocityUnit::MmS => limit.0,
            VelocityUnit::InS => (limit.0 / MM_PER_INCH * 1000.0).round() / 1000.0,
        }
    }
}

impl Velocity {
    /// Millimetres a second, r.m.s.
    pub fn rms(value: MillimetresPerSecond) -> Velocity {
        Velocity {
            value: value.0,
            unit: VelocityUnit::MmS,
            measure: Some(Measure::Rms),
        }
    }

    /// The limit of the reading's own measure in its own unit; `None` where the measure is not known
    /// or has no limit.
    pub fn against(
        &self,
        rms: impl Into<Option<MillimetresPerSecond>>,
        peak: Option<MillimetresPerSecond>,
    ) -> Option<f64> {
        Some(self.unit.of(match self.measure? {
            Measure::Rms => rms.into()?,
            Measure::Peak => peak?,
        }))
    }

    /// The r.m.s. velocity in mm/s; `None` for peak and for an unknown measure.
    pub fn rms_mm_s(&self) -> Option<f64> {
        (self.measure == Some(Measure::Rms)).then_some(match self.unit {
            VelocityUnit::MmS => self.value,
            VelocityUnit::InS => self.value * MM_PER_INCH,
        })
    }

    fn plausible(self) -> Option<Velocity> {
        (self.value.is_finite() && (0.0..1e6).contains(&self.value)).then_some(self)
    }
}

/// What was measured: the highest velocity of all points and directions, or the one at `position`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct VibrationInput {
    /// Highest r.m.s. velocity measured; `reading` goes before it.
    pub velocity: Option<MillimetresPerSecond>,
    /// Category of the fan; `None` leaves it to application and power.
    pub category: Option<Category>,
    /// How the machine stands.
    pub support: Option<Support>,
    /// Driver power; gives the category of a building fan where neither category nor application is
    /// named, and the class of a machine.
    pub power: Option<Watts>,
    /// Limit of the shop's own, from the machine's history, in mm/s of the reading's own measure.
    pub own_shutdown: Option<MillimetresPerSecond>,
    /// The reading with its unit and measure.
    pub reading: Option<Velocity>,
    /// Where it was taken, such as `drive end, horizontal`.
    pub position: Option<String>,
    /// What the fan is used for.
    pub application: Option<Application>,
    /// The one limit that counts; `None` judges a fan in service by all of them.
    pub stage: Option<Stage>,
    /// What it is judged as; `None` is a fan.
    pub judged_as: Option<JudgedAs>,
    /// Key of the class or group of a machine, see [`zones`]; `None` leaves it to the power.
    pub machine_class: Option<String>,
    /// Which limit holds for a bare motor.
    pub motor_basis: Option<MotorBasis>,
    /// Shaft height of a bare motor, for the IEC limits.
    pub shaft_height: Option<Millimetres>,
    /// Speed of a bare motor, for the NEMA limits.
    pub speed: Option<Rpm>,
}

impl VibrationInput {
    /// The reading, when it is a figure.
    pub fn read(&self) -> Option<Velocity> {
        self.reading
            .or_else(|| self.velocity.map(Velocity::rms))
            .and_then(Velocity::plausible)
    }

    /// Category of the fan: as named, else by application and power, else by the power of a building
    /// fan.
    pub fn fan_category(&self) -> Option<Category> {
        self.category.or_else(|| {
            category(
                self.application.unwrap_or(Application::Building),
                self.power,
            )
        })
    }

    /// Class or group of the machine.
    /// # Errors
    /// [`Outside`]: what is missing, or why no class covers it.
    pub fn machine_zones(&self) -> Result<&'static Zones, Outside> {
        if let Some(found) = self.machine_class.as_deref().and_then(zones) {
            return Ok(found);
        }
        let power = self.power.ok_or(Outside::Power)?;
        match self.judged_as {
            Some(JudgedAs::IndustrialMachine) => group_by_power(power, self.support),
            _ => class_by_power(power, self.support),
        }
    }
}

/// Where a fan in service stands between its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Band {
    /// Up to the start-up limit.
    Satisfactory,
    /// Above start-up, up to alarm.
    AboveStartUp,
    /// Above alarm.
    Alarm,
    /// Above shutdown, or above the shop's own shutdown limit.
    Shutdown,
}

impl Band {
    /// What people read.
    pub fn words(self) -> &'static str {
        match self {
            Band::Satisfactory => "satisfactory",
            Band::AboveStartUp => "above start-up",
            Band::Alarm => "above alarm",
            Band::Shutdown => "above shutdown",
        }
    }
}

/// Shutdown limit in the unit of the reading: the lower of the standard's and the shop's own.
fn shutdown(read: &Velocity, input: &VibrationInput, of: Category, on: Support) -> Option<f64> {
    let listed =
        limit(Stage::Shutdown, of, on).and_then(|found| read.against(found.rms, Some(found.peak)));
    let own = input
        .own_shutdown
        .and_then(|own| positive(own.0))
        .map(|own| read.unit.of(MillimetresPerSecond(own)));
    match (listed, own) {
        (Some(listed), Some(own)) => Some(listed.min(own)),
        (listed, own) => listed.or(own),
    }
}

/// The band of a fan's reading; a limit belongs to the better side. `None` while the reading, its
/// measure, the category or the support is not known. Source: ISO 14694.
pub fn band(input: &VibrationInput) -> Option<Band> {
    let (read, of, on) = (input.read()?, input.fan_category()?, input.support?);
    let held = |stage| {
        limit(stage, of, on).and_then(|found: Limit| read.against(found.rms, Some(found.peak)))
    };
    let (start, alarm) = (held(Stage::StartUp)?, held(Stage::Alarm)?);
    let over = |limit: f64| read.value > limit + 1e-9;
    Some(if shutdown(&read, input, of, on).is_some_and(over) {
        Band::Shutdown
    } else if over(alarm) {
        Band::Alarm
    } else if over(start) {
        Band::AboveStartUp
    } else {
        Band::Satisfactory
    })
}

/// The zone of a machine's r.m.s. reading; `None` for a peak reading, which is not made into r.m.s., and
/// where reading or class is not known. Source: ISO 10816.
pub fn zone(input: &VibrationInput) -> Option<Zone> {
    let rms = input.read()?.rms_mm_s()?;
    input.machine_zones().ok()?.zone(MillimetresPerSecond(rms))
}

/// A measured velocity against the limits of what it is judged as.
///
/// A fan by ISO 14694 (category, support, stage), a machine by the zones of ISO 10816, a bare motor by
/// IEC 60034-14 or NEMA MG 1. R.m.s. readings are held against r.m.s. limits, peak against peak. ISO 10816
/// and IEC 60034-14 have no peak limits and NEMA MG 1 no r.m.s. limits; such a reading is not judged.
pub fn check(input: &VibrationInput) -> Working {
    let mut working = Working::new("Vibration");
    working.cautions.push(
        "Compare r.m.s. with r.m.s. and peak with peak; the factor 1.414 holds for a pure sine only."
            .into(),
    );
    if input.read().is_some_and(|read| read.value == 0.0) {
        working.cautions.push(
            "A running machine never reads zero: look at the sensor, its magnet and its cable."
                .into(),
        );
    }
    judge(&mut working, input);
    working
}

fn shown(input: &VibrationInput) -> Line {
    let mut shown = line("vibration", "Vibration velocity, r.m.s.");
    match input.read().map(|read| read.measure) {
        Some(Some(Measure::Peak)) => shown.label = "Vibration velocity, peak".into(),
        Some(None) => shown.label = "Vibration velocity".into(),
        _ => {}
    }
    if let Some(place) = input.position.as_deref().filter(|place| !place.is_empty()) {
        shown.label = format!("{}, {place}", shown.label).into();
    }
    shown
}

/// The line of the reading, as its kind of machine is judged.
pub(crate) fn judge(working: &mut Working, input: &VibrationInput) {
    match input.judged_as.unwrap_or_default() {
        JudgedAs::Fan => judged_fan::judge(working, input),
        JudgedAs::Machine | JudgedAs::IndustrialMachine => judged_machine::judge(working, input),
        JudgedAs::BareMotor => judged_machine::judge_motor(working, input),
    }
}

const HOW: &str =
    "measure at the bearings in three directions; look for springs or rubbers under the machine";
const MEASURE: (&str, &str, &str) = (
    "whether the reading is r.m.s. or peak",
    "the two have limits of their own, and neither is worked out from the other",
    "look at the instrument's setting or its manual",
);
