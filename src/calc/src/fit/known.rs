//! Reading inputs with care: a value that cannot be (zero volts, NaN) is no value.

use super::Need;
use crate::installation::{Drive, Driven, Installation, Site};
use crate::motor::{
    FullLoad, Load, Running, poles_from_plate_speed, running_speed, synchronous_speed,
};
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
    /// Motor speed at which it was measured.
    pub load_at: Option<f64>,
    /// Full-load speed of the old motor; where its plate is silent, the speed measured.
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
        let hertz =
            opt(installation.site.frequency).or_else(|| list(&old.frequency).and_then(single));
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
            load_at: opt(installation.driven.shaft_power_at),
            old_speed: top(&old.speeds).or_else(|| measured_speed(&installation.driven)),
            new_speed: top(&new.speeds),
            hertz,
        }
    }

    /// Poles and synchronous speed of a plate at its own frequency; an electronic motor has none.
    pub fn poles(&self, kind: Option<MotorType>, plate: &Plate, speed: f64) -> Option<(u32, f64)> {
        let own = match list(&plate.frequency) {
            Some([one]) => Some(one.0),
            _ => self.hertz,
        };
        let hertz = Hertz(own?);
        let poles = poles_from_plate_speed(kind?, Rpm(speed), hertz).ok()?;
        Some((poles, synchronous_speed(hertz, poles).ok()?.0))
    }

    /// A motor whose speed is set, not given by poles and slip.
    pub fn electronic(&self) -> bool {
        self.new_type == Some(MotorType::ElectronicallyCommutated)
    }

    /// How far two plate speeds may differ and still be one: 20 % of the old slip (NEMA MG 1
    /// 12.46). Without a slip to take it from, one turn a minute.
    pub fn speed_tolerance(&self) -> f64 {
        let slip = || {
            let speed = self.old_speed?;
            let (_, synchronous) = self.poles(self.old_type, self.old, speed)?;
            Some(synchronous - speed)
        };
        // An electronic motor has no slip: its plate speed is a setting.
        let slip = if self.electronic() { None } else { slip() };
        slip.map_or(1.0, |slip| (0.2 * slip).max(1.0)) + 1e-9
    }

    /// Shaft power the machine takes from the candidate at its plate speed: the measured one,
    /// moved by the cube law where the wheel follows the motor. `None` without a measurement.
    ///
    /// A speed within the plate tolerance above the measured one counts as the same. On a belt the
    /// sheaves decide, and a coupled machine need not take less at a lower speed.
    pub fn taken(&self) -> Option<f64> {
        let load = self.load?;
        let Some((at, new)) = self.load_at.zip(self.new_speed) else {
            return Some(load);
        };
        let cube = load * (new / at).powi(3);
        Some(match self.driven.drive {
            Some(Drive::Direct) if new <= at || new > at + self.speed_tolerance() => cube,
            Some(Drive::Coupled) if new > at + self.speed_tolerance() => cube,
            _ => load,
        })
    }

    /// The measured shaft power, or less where a slower wheel takes less. What a faster one takes
    /// beyond it is judged with the speed.
    pub fn taken_at_most(&self) -> Option<f64> {
        let taken = self.taken()?;
        Some(self.load.map_or(taken, |load| load.min(taken)))
    }

    /// Where candidate and machine settle by torque balance; `None` if the shaft power or the
    /// motor's slip is not known.
    pub fn settled(&self) -> Option<Running> {
        let speed = self.new_speed?;
        let (_, synchronous) = self.poles(self.new_type, self.new, speed)?;
        let motor = FullLoad {
            power: Watts(self.new_power?),
            speed: Rpm(speed),
            synchronous: Rpm(synchronous),
        };
        let load = Load {
            power: Watts(self.load?),
            at: Rpm(self.load_at?),
        };
        running_speed(motor, load).ok()
    }

    /// Whether the candidate drives the machine no faster than the old motor did: not stronger,
    /// and no faster by its plate. `None` where it cannot be told.
    pub fn no_faster(&self) -> Option<bool> {
        let power = self.new_power? <= self.old_power? * 1.005;
        Some(power && self.new_speed? <= self.old_speed? + self.speed_tolerance())
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
pub(super) fn top(field: &Field<Vec<Rpm>>) -> Option<f64> {
    list(field).map(|speeds| speeds.iter().fold(0.0, |top, speed| speed.0.max(top)))
}

/// Number of speed taps.
pub(super) fn tap_count(plate: &Plate) -> Option<usize> {
    list(&plate.speeds).map(<[_]>::len)
}

/// Motor speed that a measured wheel speed tells: itself, or over the sheaves of a belt.
fn measured_speed(driven: &Driven) -> Option<f64> {
    let speed = opt(driven.driven_speed)?;
    match driven.drive? {
        Drive::Belt => Some(speed * opt(driven.driven_sheave)? / opt(driven.motor_sheave)?),
        Drive::Direct | Drive::Coupled => Some(speed),
    }
}
