//! What one part of the text says: a value or a word for one field of the plate.

use crate::plate::{
    Bearing, Direction, Duty, Enclosure, How, InsulationClass, MotorType, Mount, Position,
    Protection, SeenFrom, ShaftForm, StudEnd,
};

/// The field a part of the text speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Kind {
    Power,
    /// Watts that may be output or input.
    Watts,
    InputPower,
    Volts,
    Amps,
    TapAmps,
    ServiceFactorAmps,
    LockedRotorAmps,
    Speed,
    Frequency,
    Phases,
    Poles,
    SpeedCount,
    ServiceFactor,
    Efficiency,
    PowerFactor,
    Ambient,
    Rise,
    Capacitor,
    CapacitorVolts,
    Minutes,
    ShaftDiameter,
    ShaftLength,
    BodyDiameter,
    BodyLength,
    BoltCircle,
    StudLength,
    StudCount,
    StudThread,
    Frame,
    CodeLetter,
    DesignLetter,
    Insulation,
    Connection,
    IpCode,
    CoolingCode,
    MountingCode,
    EfficiencyClass,
    DutyCode,
    HazardousListing,
    MotorType,
    Rotation,
    Reversible,
    Enclosure,
    EnclosureMark,
    Duty,
    Protection,
    Bearing,
    Position,
    Mount,
    StudEnd,
    ShaftForm,
    DoubleShaft,
    SpeedControl,
    CapacitorIncluded,
    /// Shaft dimensions, diameter and length at once.
    Shaft,
    Body,
}

impl Kind {
    /// Name of the plate's field.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Power | Kind::Watts => "power",
            Kind::InputPower => "input_power",
            Kind::Volts => "volts",
            Kind::Amps => "amps",
            Kind::TapAmps => "tap_amps",
            Kind::ServiceFactorAmps => "service_factor_amps",
            Kind::LockedRotorAmps => "locked_rotor_amps",
            Kind::Speed => "speeds",
            Kind::Frequency => "frequency",
            Kind::Phases => "phases",
            Kind::Poles => "poles",
            Kind::SpeedCount => "speed_count",
            Kind::ServiceFactor => "service_factor",
            Kind::Efficiency => "efficiency",
            Kind::PowerFactor => "power_factor",
            Kind::Ambient => "ambient",
            Kind::Rise => "rise",
            Kind::Capacitor => "capacitor",
            Kind::CapacitorVolts => "capacitor_volts",
            Kind::Minutes => "duty_minutes",
            Kind::ShaftDiameter | Kind::Shaft => "shaft_diameter",
            Kind::ShaftLength => "shaft_length",
            Kind::BodyDiameter | Kind::Body => "body_diameter",
            Kind::BodyLength => "body_length",
            Kind::BoltCircle => "bolt_circle",
            Kind::StudLength => "stud_length",
            Kind::StudCount => "stud_count",
            Kind::StudThread => "stud_thread",
            kind => kind.word_name(),
        }
    }

    fn word_name(self) -> &'static str {
        match self {
            Kind::Frame => "frame",
            Kind::CodeLetter => "code_letter",
            Kind::DesignLetter => "design_letter",
            Kind::Insulation => "insulation",
            Kind::Connection => "connection",
            Kind::IpCode => "ip_code",
            Kind::CoolingCode => "cooling_code",
            Kind::MountingCode => "mounting_code",
            Kind::EfficiencyClass => "efficiency_class",
            Kind::DutyCode => "duty_code",
            Kind::HazardousListing => "hazardous_listing",
            Kind::MotorType => "motor_type",
            Kind::Rotation => "rotation",
            Kind::Reversible => "reversible",
            Kind::EnclosureMark => "enclosure_mark",
            Kind::Duty => "duty",
            Kind::Protection => "protection",
            Kind::Bearing => "bearing",
            Kind::Position => "position",
            Kind::Mount => "mount",
            Kind::StudEnd => "stud_end",
            Kind::ShaftForm => "shaft_form",
            Kind::DoubleShaft => "double_shaft",
            Kind::SpeedControl => "speed_control",
            Kind::CapacitorIncluded => "capacitor_included",
            _ => "enclosure",
        }
    }
}

/// A word of the plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Mark {
    Type(MotorType),
    /// An induction motor; the phases say which.
    Induction,
    Enclosure(Enclosure),
    /// Marked so, where the enclosure has no word of its own.
    EnclosedAs(&'static str),
    Open,
    TotallyEnclosed,
    AirOver,
    Turns(Direction),
    TurnsSeen(Direction, SeenFrom),
    /// Shipped turning so, and can be reversed.
    Shipped(Direction),
    Seen(SeenFrom),
    Reversible(bool),
    Duty(Duty),
    Protection(Protection),
    /// A thermal protector that does not say how it resets.
    Thermal,
    Bearing(Bearing),
    Position(Position),
    Mount(Mount),
    StudEnd(StudEnd),
    ShaftForm(ShaftForm),
    DoubleShaft(bool),
    SpeedControl(bool),
    CapacitorIncluded(bool),
    Phases(u8),
    SpeedCount(u8),
    Insulation(InsulationClass),
}

impl Mark {
    pub fn kind(self) -> Kind {
        match self {
            Mark::Type(_) | Mark::Induction => Kind::MotorType,
            Mark::EnclosedAs(_) => Kind::EnclosureMark,
            Mark::Enclosure(_) | Mark::Open | Mark::TotallyEnclosed | Mark::AirOver => {
                Kind::Enclosure
            }
            Mark::Turns(_) | Mark::TurnsSeen(..) | Mark::Shipped(_) | Mark::Seen(_) => {
                Kind::Rotation
            }
            Mark::Reversible(_) => Kind::Reversible,
            Mark::Duty(_) => Kind::Duty,
            Mark::Protection(_) | Mark::Thermal => Kind::Protection,
            Mark::Bearing(_) => Kind::Bearing,
            Mark::Position(_) => Kind::Position,
            Mark::Mount(_) => Kind::Mount,
            Mark::StudEnd(_) => Kind::StudEnd,
            Mark::ShaftForm(_) => Kind::ShaftForm,
            Mark::DoubleShaft(_) => Kind::DoubleShaft,
            Mark::SpeedControl(_) => Kind::SpeedControl,
            Mark::CapacitorIncluded(_) => Kind::CapacitorIncluded,
            Mark::Phases(_) => Kind::Phases,
            Mark::SpeedCount(_) => Kind::SpeedCount,
            Mark::Insulation(_) => Kind::Insulation,
        }
    }
}

/// A value of one fact.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Said {
    /// Figures in the unit of the plate's field; those of one range share a group.
    Figures(Vec<f64>, Vec<usize>),
    Text(String),
    Mark(Mark),
    Unreadable,
}

/// One fact.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fact {
    pub kind: Kind,
    pub said: Said,
    pub how: How,
}
