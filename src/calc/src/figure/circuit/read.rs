//! Fields that several topics of the circuit share, and how they are read.

use super::super::{Given, Takes, Trouble, Want, want};
use crate::circuit::current::{NoRow, Supply};
use crate::circuit::device::MotorRow;
use crate::circuit::motor_load::{Exception, MotorLoad, NoFullLoad};
use crate::installation::{DeviceKind, Metal};
use crate::units::{Celsius, Metres, Volts};
use crate::working::Missing;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

pub(super) const HP: Want = want("hp", "Power", Takes::Number)
    .unit("hp")
    .note("such as 7 1/2; blank where the plate names amperes only");
pub(super) const PHASES: Want = want(
    "phases",
    "Phases",
    Takes::Choice(&[("1", "1"), ("3", "3"), ("dc", "direct current")]),
);
/// Where direct current has no place.
pub(super) const PHASES_AC: Want =
    want("phases", "Phases", Takes::Choice(&[("1", "1"), ("3", "3")]));
pub(super) const VOLTS: Want = want("volts", "Voltage", Takes::Number)
    .unit("V")
    .note("system or plate; 208 V has a column of its own");
pub(super) const NAMEPLATE: Want =
    want("nameplate_a", "Current on the plate", Takes::Number).unit("A");
pub(super) const SERVICE_FACTOR: Want =
    want("service_factor", "Marked service factor", Takes::Number).note("blank: not marked");
pub(super) const RISE: Want = want("temp_rise_c", "Marked temperature rise", Takes::Number)
    .unit("°C")
    .note("blank: not marked");
pub(super) const TERMINAL: Want = want("terminal_c", "Lowest terminal rating", Takes::Number)
    .unit("°C")
    .note("60, 75 or 90; blank: both columns are answered");
pub(super) const TYPE: Want = want(
    "type",
    "Kind of motor",
    Takes::Choice(&[
        ("single_phase", "single phase"),
        ("polyphase", "polyphase, not wound rotor"),
        ("squirrel_cage", "squirrel cage"),
        (
            "design_b_energy_efficient",
            "design B, energy-efficient or premium",
        ),
        ("synchronous", "synchronous"),
        ("wound_rotor", "wound rotor"),
        ("dc", "direct current"),
    ]),
)
.note("blank: by the phases");
pub(super) const EXCEPTION: Want = want(
    "exception",
    "Counts with its plate because",
    Takes::Choice(&[
        (
            "air_mover",
            "fan or blower with a shaded-pole or split-capacitor motor",
        ),
        ("several_speeds", "more than one speed"),
        ("low_speed", "built below 1200 rpm or for high torque"),
        (
            "appliance",
            "listed appliance marked with power and current",
        ),
        ("torque", "torque motor"),
        ("adjustable_voltage", "adjustable-voltage drive"),
    ]),
)
.note("blank: the table counts");

const DEVICES: &[(&str, &str)] = &[
    ("inverse_time_breaker", "inverse-time breaker"),
    ("breaker", "breaker (the same)"),
    ("dual_element_fuse", "dual-element fuse"),
    ("time_delay_fuse", "time-delay fuse (the same)"),
    ("nontime_delay_fuse", "fuse without time delay"),
    ("class_cc_fuse", "time-delay fuse of class CC"),
    ("instantaneous_trip_breaker", "instantaneous-trip breaker"),
];

pub(super) const OCPD: Want =
    want("ocpd", "Branch device", Takes::Choice(DEVICES)).note("blank: every kind is answered");
pub(super) const DEVICE: Want = want("device", "Branch device", Takes::Choice(DEVICES));

/// The same two by each other's name.
pub(super) const DEVICE_ALIAS: Want = Want {
    note: "the same, by another name",
    ..DEVICE
};
pub(super) const OCPD_ALIAS: Want = Want {
    note: "the same, by another name",
    ..OCPD
};

/// A kind of NEC device, under either of two names.
pub(super) fn device_by_either(
    given: &Given,
    name: &str,
    other: &str,
) -> Result<Option<DeviceKind>, Trouble> {
    match (device(given, name)?, device(given, other)?) {
        (Some(one), Some(two)) if one != two => {
            Err(Trouble::of(other, "Two different kinds of branch device"))
        }
        (one, two) => Ok(one.or(two)),
    }
}

/// A kind of NEC device.
pub(super) fn device(given: &Given, name: &str) -> Result<Option<DeviceKind>, Trouble> {
    Ok(given.choice(name)?.map(|word| match word {
        "inverse_time_breaker" | "breaker" => DeviceKind::InverseTimeBreaker,
        "instantaneous_trip_breaker" => DeviceKind::InstantaneousTripBreaker,
        "nontime_delay_fuse" | "class_cc_fuse" => DeviceKind::NonTimeDelayFuse,
        _ => DeviceKind::DualElementFuse,
    }))
}

pub(super) const METAL: Want = want(
    "metal",
    "Metal",
    Takes::Choice(&[("copper", "copper"), ("aluminium", "aluminium")]),
);

/// The same, by another name.
pub(super) const MATERIAL: Want = Want {
    name: "material",
    note: "the same, by another name",
    ..METAL
};

/// Copper or aluminium, as `metal` or as `material`; `cu` and `al` are understood too.
pub(super) fn metal(given: &Given) -> Result<Option<Metal>, Trouble> {
    match (metal_as(given, "metal")?, metal_as(given, "material")?) {
        (Some(one), Some(other)) if one != other => {
            Err(Trouble::of("material", "Two different metals"))
        }
        (one, other) => Ok(one.or(other)),
    }
}

fn metal_as(given: &Given, name: &str) -> Result<Option<Metal>, Trouble> {
    let Some(text) = given.text(name)? else {
        return Ok(None);
    };
    match text.to_ascii_lowercase().as_str() {
        "copper" | "cu" => Ok(Some(Metal::Copper)),
        "aluminium" | "aluminum" | "al" => Ok(Some(Metal::Aluminium)),
        _ => Err(Trouble::of(name, "Give one of copper, aluminium")),
    }
}

/// Asks for the metal where copper was taken.
pub(super) fn missing_metal() -> Missing {
    Missing {
        what: "metal of the conductors".into(),
        why: "copper was taken; aluminium carries less".into(),
        how: "look at the end of the conductor".into(),
    }
}

pub(super) fn phases(given: &Given) -> Result<Option<u8>, Trouble> {
    match given.whole("phases")? {
        None => Ok(None),
        Some(1) => Ok(Some(1)),
        Some(3) => Ok(Some(3)),
        Some(_) => Err(Trouble::of("phases", "Give 1 or 3")),
    }
}

/// Phases or direct current: 1, 3 or dc.
pub(super) fn supply(given: &Given) -> Result<Option<Supply>, Trouble> {
    let direct = given
        .raw("phases")
        .and_then(|value| value.as_str())
        .is_some_and(|text| text.trim().eq_ignore_ascii_case("dc"));
    if direct {
        return Ok(Some(Supply::Direct));
    }
    match phases(given) {
        Ok(phases) => Ok(phases.and_then(Supply::of_phases)),
        Err(_) => Err(Trouble::of("phases", "Give 1, 3 or dc")),
    }
}

pub(super) fn need_phases(given: &Given) -> Result<u8, Trouble> {
    given.need("phases", phases(given)?)
}

/// A number within these bounds.
pub(super) fn between(
    given: &Given,
    name: &str,
    low: f64,
    high: f64,
) -> Result<Option<f64>, Trouble> {
    match given.number(name)? {
        Some(value) if !(low..=high).contains(&value) => Err(Trouble::of(
            name,
            format!("Give a number from {low} to {high}"),
        )),
        read => Ok(read),
    }
}

/// Volts of an installation, 1 to 50 000.
pub(super) fn volts(given: &Given, name: &str) -> Result<Option<Volts>, Trouble> {
    Ok(between(given, name, 1.0, 50_000.0)?.map(Volts))
}

/// A temperature from -60 to 300 °C.
pub(super) fn celsius(given: &Given, name: &str) -> Result<Option<Celsius>, Trouble> {
    match given.number(name)? {
        Some(c) if !(-60.0..=300.0).contains(&c) => {
            Err(Trouble::of(name, "Give a temperature from -60 to 300 °C"))
        }
        read => Ok(read.map(Celsius)),
    }
}

/// Rating of terminals or insulation: 60 °C or more.
pub(super) fn rating_c(given: &Given, name: &str) -> Result<Option<Celsius>, Trouble> {
    match given.number(name)? {
        Some(c) if !(60.0..=300.0).contains(&c) => Err(Trouble::of(
            name,
            "Give a rating of 60 °C or more, such as 60, 75 or 90",
        )),
        read => Ok(read.map(Celsius)),
    }
}

/// A current above zero, exact.
pub(super) fn amps(given: &Given, name: &str) -> Result<Option<Decimal>, Trouble> {
    match given.decimal(name)? {
        Some(amps) if amps < Decimal::new(1, 3) || amps > Decimal::from(100_000) => {
            Err(Trouble::of(name, "Give amperes from 0.001 to 100 000"))
        }
        read => Ok(read),
    }
}

/// Amperes, with zero allowed.
pub(super) fn load_amps(given: &Given, name: &str) -> Result<Option<Decimal>, Trouble> {
    match given.decimal(name)? {
        Some(amps) if amps > Decimal::from(100_000) => {
            Err(Trouble::of(name, "Give amperes from 0 to 100 000"))
        }
        read => Ok(read),
    }
}

pub(super) const ONE_WAY_FT: Want =
    want("one_way_ft", "Length of the run, one way", Takes::Number).unit("ft");
pub(super) const ONE_WAY_M: Want = want("one_way_m", "Length of the run, one way", Takes::Number)
    .unit("m")
    .note("in place of feet");

/// Length of the run, in metres or in feet of 0.3048 m.
pub(super) fn one_way(given: &Given) -> Result<Option<Metres>, Trouble> {
    let (m, feet) = (
        between(given, "one_way_m", 0.001, 1_000_000.0)?,
        between(given, "one_way_ft", 0.003, 3_000_000.0)?,
    );
    match (m, feet) {
        (Some(_), Some(_)) => Err(Trouble::of("one_way_m", "Give feet or metres, not both")),
        (Some(m), None) => Ok(Some(Metres(m))),
        (None, feet) => Ok(feet.map(|feet| Metres(feet * 0.3048))),
    }
}

/// The motor of a topic whose fields bear the usual names.
pub(super) fn motor(given: &Given) -> Result<MotorLoad, Trouble> {
    let row = given.choice("type")?.map(|word| match word {
        "single_phase" => MotorRow::SinglePhase,
        "polyphase" => MotorRow::Polyphase,
        "squirrel_cage" => MotorRow::SquirrelCage,
        "design_b_energy_efficient" => MotorRow::DesignBEfficient,
        "synchronous" => MotorRow::Synchronous,
        "wound_rotor" => MotorRow::WoundRotor,
        _ => MotorRow::DirectCurrent,
    });
    let supply = if row == Some(MotorRow::DirectCurrent) {
        Some(Supply::Direct)
    } else {
        supply(given)?
    };
    Ok(MotorLoad {
        supply,
        hp: given.positive("hp")?,
        volts: volts(given, "volts")?,
        plate_amps: amps(given, "nameplate_a")?,
        exception: None,
        row,
        service_factor: given.positive("service_factor")?,
        rise: given.positive("temp_rise_c")?.map(Celsius),
        ..MotorLoad::default()
    }
    .direct_where_only())
}

/// Why the plate counts, where it does.
pub(super) fn exception(given: &Given) -> Result<Option<Exception>, Trouble> {
    Ok(given.choice("exception")?.map(|word| match word {
        "air_mover" => Exception::AirMover,
        "several_speeds" => Exception::SeveralSpeeds,
        "low_speed" => Exception::LowSpeed,
        "appliance" => Exception::Appliance,
        "torque" => Exception::Torque,
        _ => Exception::AdjustableVoltage,
    }))
}

/// Which field lacks what the current needs.
pub(super) fn no_full_load(why: &NoFullLoad) -> Trouble {
    let field = match why {
        NoFullLoad::Phases => "phases",
        NoFullLoad::Volts | NoFullLoad::Table(_, NoRow::Volts) => "volts",
        NoFullLoad::PlateAmps => "nameplate_a",
        NoFullLoad::Power | NoFullLoad::Table(..) => "hp",
    };
    Trouble::of(field, why.to_string())
}

/// An exact figure as JSON gives it.
pub(super) fn num(value: Decimal) -> f64 {
    value.to_f64().unwrap_or_default()
}

/// An error's clause as a sentence.
pub(super) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        format!("{}{}", first.to_uppercase(), chars.as_str())
    })
}
