//! The few figures of a plate by which most misfits are told apart, as numbers that a database can
//! hold in columns. What a plate does not tell is no number, and rules nothing out.

use super::known::{celsius, get, list, num, tap_count, text, top};
use super::place::{reversible, unclassified};
use super::{frames, known::Figure};
use crate::motor::{at_shaft_end, poles_from_plate_speed};
use crate::plate::*;
use crate::units::Rpm;

/// Counts up when a column changes its meaning: rows written under another number are written
/// afresh, and until then rule nothing out.
pub const REVISION: i64 = 1;

macro_rules! columns {
    ($($name:ident: $column:literal, $what:literal;)+) => {
        /// One figure of [`Traits`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[repr(usize)]
        pub enum Column {$(
            #[doc = $what]
            $name,
        )+}

        impl Column {
            /// All of them, in the order of the values of [`Traits`].
            pub const ALL: &'static [Column] = &[$(Column::$name,)+];

            /// Its name in a table.
            pub const fn name(self) -> &'static str {
                match self {$(Column::$name => $column,)+}
            }
        }
    };
}

columns! {
    Phases: "phases", "Phases.";
    Power: "power_w", "Plate power, W.";
    VoltsLow: "volts_low", "Lowest plate voltage.";
    VoltsHigh: "volts_high", "Highest plate voltage.";
    HertzLow: "hertz_low", "Lowest plate frequency.";
    HertzHigh: "hertz_high", "Highest plate frequency.";
    Speed: "speed_rpm", "Full-load speed of the highest tap.";
    Taps: "taps", "Number of speed taps.";
    Poles: "poles", "Poles, where the plate's own single frequency tells them.";
    Kind: "kind", "Code of the motor type.";
    Turning: "turning", "Code of the one way it turns; none where it can be reversed.";
    Mount: "mount", "Code of the mount.";
    FootHeight: "foot_height_mm", "Shaft height over the feet of a plain standard frame.";
    ShaftDiameter: "shaft_diameter_mm", "Shaft diameter.";
    ShaftLength: "shaft_length_mm", "Shaft length.";
    DoubleShaft: "double_shaft", "1 with a second shaft end, 0 without.";
    BodyDiameter: "body_diameter_mm", "Body diameter, where the length is known too.";
    BodyLength: "body_length_mm", "Body length, where the diameter is known too.";
    Enclosure: "enclosure", "Code of the enclosure.";
    Ambient: "ambient_c", "Hottest air it is made for.";
    Duty: "duty", "Code of the duty.";
    Protection: "protection", "Code of the protector.";
    Bearing: "bearing", "Code of the bearings.";
}

/// Values whose code is their place in a list.
pub(super) trait Coded: Copy + PartialEq + 'static {
    /// Codes are stored: add at the end, never in between.
    const ALL: &'static [Self];

    fn code(self) -> Option<f64> {
        Self::ALL
            .iter()
            .position(|known| *known == self)
            .map(|at| at as f64)
    }
}

macro_rules! coded {
    ($($kind:ident: $($variant:ident)+;)+) => {$(
        impl Coded for $kind {
            const ALL: &'static [Self] = &[$($kind::$variant,)+];
        }
    )+};
}

/// A motor that turns one way only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum OneWay {
    /// Clockwise at the shaft end.
    Clockwise,
    /// Counter-clockwise at the shaft end.
    CounterClockwise,
    /// The plate does not tell which way.
    NotStated,
}

coded! {
    MotorType: ShadedPole SplitPhase PermanentSplitCapacitor CapacitorStart
        CapacitorStartCapacitorRun ThreePhaseInduction ElectronicallyCommutated DirectCurrent;
    OneWay: Clockwise CounterClockwise NotStated;
    Mount: Studs Feet CFace BellyBand Yoke Flange;
    Enclosure: OpenDripProof OpenAirOver TotallyEnclosedFanCooled TotallyEnclosedNonVentilated
        TotallyEnclosedAirOver ExplosionProof;
    Duty: Continuous Intermittent;
    Protection: NoProtector Automatic Manual Impedance Thermostat;
    Bearing: Ball Sleeve;
}

/// What the columns hold of one plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Traits {
    values: [Option<f64>; Column::ALL.len()],
    /// Listing for a hazardous location as marked; empty for none.
    pub listing: String,
}

impl Traits {
    /// Reads them off a plate. Impossible figures are no figures, as in the rules.
    pub fn of(plate: &Plate) -> Traits {
        let mut traits = Traits {
            values: [None; Column::ALL.len()],
            listing: text(&plate.hazardous_listing)
                .filter(|text| !unclassified(text))
                .unwrap_or_default()
                .to_owned(),
        };
        traits.electrical(plate);
        traits.mechanical(plate);
        traits
    }

    /// The value of one column.
    pub fn get(&self, column: Column) -> Option<f64> {
        self.values[column as usize]
    }

    fn put(&mut self, column: Column, value: Option<f64>) {
        self.values[column as usize] = value;
    }

    fn electrical(&mut self, plate: &Plate) {
        let phases = get(&plate.phases).filter(|phases| *phases > 0);
        self.put(Column::Phases, phases.map(f64::from));
        self.put(Column::Power, num(&plate.power));
        self.span(&plate.volts, Column::VoltsLow, Column::VoltsHigh);
        self.span(&plate.frequency, Column::HertzLow, Column::HertzHigh);
        self.put(Column::Speed, top(&plate.speeds));
        self.put(Column::Taps, tap_count(plate).map(|taps| taps as f64));
        self.put(Column::Poles, poles(plate).map(f64::from));
        self.put(Column::Kind, code(&plate.motor_type));
        self.put(Column::Duty, code(&plate.duty));
        self.put(Column::Protection, code(&plate.protection));
        self.put(Column::Ambient, celsius(get(&plate.ambient)));
    }

    fn mechanical(&mut self, plate: &Plate) {
        self.put(Column::Turning, one_way(plate).and_then(Coded::code));
        self.put(Column::Mount, code(&plate.mount));
        self.put(Column::FootHeight, foot_height(plate));
        self.put(Column::ShaftDiameter, num(&plate.shaft_diameter));
        self.put(Column::ShaftLength, num(&plate.shaft_length));
        let double = get(&plate.double_shaft).map(|double| f64::from(u8::from(double)));
        self.put(Column::DoubleShaft, double);
        let body = num(&plate.body_diameter).zip(num(&plate.body_length));
        self.put(Column::BodyDiameter, body.map(|(diameter, _)| diameter));
        self.put(Column::BodyLength, body.map(|(_, length)| length));
        self.put(Column::Enclosure, code(&plate.enclosure));
        self.put(Column::Bearing, code(&plate.bearing));
    }

    fn span<T: Figure>(&mut self, field: &Field<Vec<T>>, low: Column, high: Column) {
        let figures = list(field).map(|values| values.iter().map(|value| value.figure()));
        self.put(low, figures.clone().map(|all| all.fold(f64::MAX, f64::min)));
        self.put(high, figures.map(|all| all.fold(0.0, f64::max)));
    }
}

fn code<T: Coded>(field: &Field<T>) -> Option<f64> {
    get(field)?.code()
}

/// Poles by the plate's own frequency; with several, the supply decides and the column tells none.
fn poles(plate: &Plate) -> Option<u32> {
    let [hertz] = list(&plate.frequency)? else {
        return None;
    };
    poles_from_plate_speed(get(&plate.motor_type)?, Rpm(top(&plate.speeds)?), *hertz).ok()
}

fn one_way(plate: &Plate) -> Option<OneWay> {
    if reversible(plate)? {
        return None;
    }
    Some(match get(&plate.rotation).and_then(at_shaft_end) {
        Some(Direction::Clockwise) => OneWay::Clockwise,
        Some(Direction::CounterClockwise) => OneWay::CounterClockwise,
        None => OneWay::NotStated,
    })
}

/// Height of the frame's table. A letter for a special shaft or mounting tells nothing for sure.
pub(super) fn foot_height(plate: &Plate) -> Option<f64> {
    let on_feet = get(&plate.mount).is_none_or(|mount| mount == Mount::Feet);
    let name = text(&plate.frame).filter(|_| on_feet)?;
    let special = ['Y', 'Z'].iter().any(|l| frames::has_letter(name, *l));
    (!special)
        .then(|| frames::find(name))?
        .map(|frame| frame.height)
}
