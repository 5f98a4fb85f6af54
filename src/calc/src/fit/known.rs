//! Reading inputs with care: a value that cannot be (zero volts, NaN) is no value.

use super::Need;
use crate::installation::{Driven, Installation, Site};
use crate::plate::{Field, MotorType, Plate};
use crate::units::{Amps, Celsius, Hertz, Microfarads, Millimetres, Rpm, Volts, Watts};

pub(super) trait Figure: Copy {
    fn figure(self) -> f64;
}

macro_rules! figures {
    ($($unit:ty),+) => {$(impl Figure for $unit { fn figure(self) -> f64 { self.0 } })+};
}
figures!(
    Amps,
    Celsius,
    Hertz,
    Microfarads,
    Millimetres,
    Rpm,
    Volts,
    Watts
);

impl Figure for f64 {
    fn figure(self) -> f64 {
        self
    }
}

fn above_zero(value: f64) -> Option<f64> {
    // Below 1e-6 and above 1e9 nothing on a plate can be, and products stay finite between them.
    (1e-6..=1e9).contains(&value).then_some(value)
}

/// A plate figure above zero.
pub(super) fn num<T: Figure>(field: &Field<T>) -> Option<f64> {
    field.value().and_then(|value| above_zero(value.figure()))
}

/// A site figure above zero.
pub(super) fn opt<T: Figure>(value: Option<T>) -> Option<f64> {
    value.and_then(|value| above_zero(value.figure()))
}

/// A temperature may be below zero, but must be one.
pub(super) fn celsius(value: Option<Celsius>) -> Option<f64> {
    value
        .map(|value| value.0)
        .filter(|t| (-273.15..=1e6).contains(t))
}

/// A list of figures, all possible, and not empty.
pub(super) fn list<T: Figure>(field: &Field<Vec<T>>) -> Option<&[T]> {
    let values = field.value()?.as_slice();
    let possible = values
        .iter()
        .all(|value| above_zero(value.figure()).is_some());
    (possible && !values.is_empty()).then_some(values)
}

pub(super) fn get<T: Copy>(field: &Field<T>) -> Option<T> {
    field.value().copied()
}

pub(super) fn text(field: &Field<String>) -> Option<&str> {
    field
        .value()
        .map(|text| text.trim())
        .filter(|text| !text.is_empty())
}

/// Everything one candidate is judged by, with the few figures several rules share.
pub(super) struct Facts<'a> {
    pub old: &'a Plate,
    pub new: &'a Plate,
    pub driven: &'a Driven,
    pub site: &'a Site,
    pub installation: &'a Installation,
    pub old_type: Option<MotorType>,
    pub new_type: Option<MotorType>,
    pub old_power: Option<f64>,
    pub new_power: Option<f64>,
    /// Measured shaft power.
    pub load: Option<f64>,
    pub old_speed: Option<f64>,
    pub new_speed: Option<f64>,
    /// Supply frequency: the site's, else the old plate's if it names one only.
    pub hertz: Option<f64>,
}

impl<'a> Facts<'a> {
    pub fn new(need: &Need<'a>, new: &'a Plate) -> Self {
        let (old, installation) = (need.old, need.installation);
        let single = |list: &[Hertz]| match list {
            [one] => Some(one.0),
            _ => None,
        };
        Facts {
            old,
            new,
            driven: &installation.driven,
            site: &installation.site,
            installation,
            old_type: get(&old.motor_type),
            new_type: get(&new.motor_type),
            old_power: num(&old.power),
            new_power: num(&new.power),
            load: opt(installation.driven.shaft_power),
            old_speed: top(&old.speeds),
            new_speed: top(&new.speeds),
            hertz: opt(installation.site.frequency)
                .or_else(|| list(&old.frequency).and_then(single)),
        }
    }

    /// Supply voltage: `(volts, measured)`.
    pub fn supply(&self) -> Option<(f64, bool)> {
        opt(self.site.measured_volts)
            .map(|v| (v, true))
            .or(opt(self.site.nominal_volts).map(|v| (v, false)))
    }

    /// Amps of a plate at the supply, or its only figure.
    pub fn amps(&self, plate: &Plate) -> Option<f64> {
        let amps = list(&plate.amps)?;
        if let [only] = amps {
            return Some(only.0);
        }
        let volts = list(&plate.volts).filter(|volts| volts.len() == amps.len())?;
        let (supply, _) = self.supply()?;
        let nearest = (0..volts.len()).min_by(|a, b| {
            let off = |i: &usize| (supply / volts[*i].0 - 1.0).abs();
            off(a).total_cmp(&off(b))
        })?;
        Some(amps[nearest].0)
    }
}

/// Speed of the highest tap, whatever the order they were typed in.
fn top(field: &Field<Vec<Rpm>>) -> Option<f64> {
    list(field).map(|speeds| speeds.iter().fold(0.0, |top, speed| speed.0.max(top)))
}
