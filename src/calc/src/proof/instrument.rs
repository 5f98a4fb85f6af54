//! Instruments of the run test: which can read what, and what to mind about them.

use serde::{Deserialize, Serialize};

/// Kind of an instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Instrument {
    /// Clamp meter, true r.m.s.
    TrueRmsClamp,
    /// Clamp meter that averages and is right on a sine only.
    AveragingClamp,
    /// Multimeter of high impedance, true r.m.s.
    TrueRmsMeter,
    /// Multimeter of high impedance that averages.
    AveragingMeter,
    /// Multimeter on its low-impedance range.
    LowImpedanceMeter,
    /// Two-pole voltage tester that shows steps.
    VoltageTester,
    /// Tester that is held near a wire.
    NonContactTester,
    /// Power meter: volts, amperes and kilowatts.
    PowerMeter,
    /// Tachometer, by touch or by a mark that reflects.
    Tachometer,
    /// Stroboscope.
    Strobe,
    /// Vibration meter or analyser.
    VibrationMeter,
    /// Thermometer with a probe that touches.
    ContactThermometer,
    /// Infrared thermometer or camera.
    InfraredThermometer,
    /// Hand, ear or eye.
    Senses,
}

/// What is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Amperes.
    Amps,
    /// Volts.
    Volts,
    /// Turns a minute.
    Speed,
    /// Vibration velocity.
    Vibration,
    /// Degrees Celsius.
    Temperature,
}

impl Quantity {
    /// The key of a line about its instrument.
    pub(super) fn meter_key(self) -> &'static str {
        match self {
            Quantity::Amps => "amps_meter",
            Quantity::Volts => "volts_meter",
            Quantity::Speed => "speed_meter",
            Quantity::Vibration => "vibration_meter",
            Quantity::Temperature => "temperature_meter",
        }
    }

    /// What people call its instrument.
    pub(super) fn meter(self) -> &'static str {
        match self {
            Quantity::Amps => "Ammeter",
            Quantity::Volts => "Voltmeter",
            Quantity::Speed => "Tachometer",
            Quantity::Vibration => "Vibration meter",
            Quantity::Temperature => "Thermometer",
        }
    }

    /// A figure that can be.
    pub(super) fn possible(self, value: f64) -> Option<f64> {
        let range = match self {
            Quantity::Amps | Quantity::Vibration => 0.0..1e9,
            Quantity::Volts | Quantity::Speed => f64::MIN_POSITIVE..1e9,
            Quantity::Temperature => -50.0..1000.0,
        };
        range.contains(&value).then_some(value)
    }
}

impl Instrument {
    /// What people read.
    pub fn words(self) -> &'static str {
        match self {
            Instrument::TrueRmsClamp => "true r.m.s. clamp meter",
            Instrument::AveragingClamp => "averaging clamp meter",
            Instrument::TrueRmsMeter => "true r.m.s. multimeter",
            Instrument::AveragingMeter => "averaging multimeter",
            Instrument::LowImpedanceMeter => "low-impedance multimeter",
            Instrument::VoltageTester => "two-pole voltage tester",
            Instrument::NonContactTester => "non-contact tester",
            Instrument::PowerMeter => "power meter",
            Instrument::Tachometer => "tachometer",
            Instrument::Strobe => "stroboscope",
            Instrument::VibrationMeter => "vibration meter",
            Instrument::ContactThermometer => "contact thermometer",
            Instrument::InfraredThermometer => "infrared thermometer",
            Instrument::Senses => "hand, ear or eye",
        }
    }

    /// It loads what it measures too little to drive a coupled voltage down.
    pub fn high_impedance(self) -> bool {
        matches!(self, Instrument::TrueRmsMeter | Instrument::AveragingMeter)
    }

    /// Why it cannot read this, or `None` where it can. An unknown drive is not held against it.
    /// Source: common practice; averaging meters are right on a pure sine only.
    pub fn cannot_read(self, what: Quantity, drive_fed: Option<bool>) -> Option<&'static str> {
        use Instrument as I;
        let averaging = matches!(self, I::AveragingClamp | I::AveragingMeter);
        let drive = drive_fed == Some(true);
        match what {
            Quantity::Amps | Quantity::Volts if averaging && drive => Some(
                "an averaging instrument reads wrong behind a frequency drive; take a true r.m.s. one",
            ),
            Quantity::Volts if drive && self == I::LowImpedanceMeter => {
                Some("its low impedance is not made for a drive's output")
            }
            _ => self.never_reads(what),
        }
    }

    /// Why this kind never reads the quantity.
    fn never_reads(self, what: Quantity) -> Option<&'static str> {
        use Instrument as I;
        let meter = matches!(
            self,
            I::TrueRmsClamp
                | I::AveragingClamp
                | I::TrueRmsMeter
                | I::AveragingMeter
                | I::PowerMeter
        );
        match (what, self) {
            (Quantity::Amps | Quantity::Volts, _) if meter => None,
            (Quantity::Amps, _) => Some("it does not read amperes"),
            (Quantity::Volts, I::LowImpedanceMeter) => None,
            (Quantity::Volts, I::NonContactTester) => {
                Some("it tells that a field is there, not how many volts")
            }
            (Quantity::Volts, I::VoltageTester) => Some("it shows steps, not a figure"),
            (Quantity::Volts, _) => Some("it does not read volts"),
            (Quantity::Speed, I::Tachometer | I::Strobe) => None,
            (Quantity::Speed, _) => Some("it does not read speed"),
            (Quantity::Vibration, I::VibrationMeter) => None,
            (Quantity::Vibration, _) => Some("it does not read millimetres a second"),
            (Quantity::Temperature, I::ContactThermometer | I::InfraredThermometer) => None,
            (Quantity::Temperature, _) => Some("it does not read degrees"),
        }
    }

    /// What to mind though it can read this. Source: common practice.
    pub fn mind(self, what: Quantity) -> Option<&'static str> {
        match (self, what) {
            (Instrument::Strobe, Quantity::Speed) => Some(
                "A stroboscope also stands still at half, twice and a third of the speed: look for one \
                 mark only.",
            ),
            (Instrument::InfraredThermometer, Quantity::Temperature) => Some(
                "Bare shiny metal reads far too cool by infrared: aim at paint or a strip of dull tape.",
            ),
            _ => None,
        }
    }
}
