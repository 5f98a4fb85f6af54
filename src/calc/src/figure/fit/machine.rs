//! The machine as people type it: what is driven, and what the site supplies and asks for.

use super::super::{Given, Takes, Trouble, Want, want};
use super::words;
use crate::installation::{
    Disconnect, DisconnectKind, Driven, Installation, Overload, OverloadKind, Site,
};
use crate::units::{Amps, Celsius, Hertz, MM_PER_INCH, Metres, Millimetres, Rpm, Volts, Watts};
use serde_json::Value;

pub(super) static MACHINE: &[Want] = &[
    want("drive", "Drive", Takes::Text).note("direct, belt or coupled"),
    want("wheel_limit_rpm", "Highest wheel speed", Takes::Number).unit("rpm"),
    want("wheel_diameter_mm", "Wheel diameter", Takes::Number)
        .unit("mm")
        .note("or wheel_diameter_in"),
    want("wheel_diameter_in", "Wheel diameter", Takes::Number).unit("in"),
    want("hub_bore_mm", "Hub bore", Takes::Number)
        .unit("mm")
        .note("or hub_bore_in; belt: motor sheave"),
    want("hub_bore_in", "Hub bore", Takes::Number).unit("in"),
    want("hub_length_mm", "Hub length", Takes::Number)
        .unit("mm")
        .note("or hub_length_in"),
    want("hub_length_in", "Hub length", Takes::Number).unit("in"),
    want("hub_keyway", "Keyway in the hub", Takes::Flag),
    want("stud_needed_mm", "Stud length taken up", Takes::Number)
        .unit("mm")
        .note("or stud_needed_in; bracket, washer and nut"),
    want("stud_needed_in", "Stud length taken up", Takes::Number).unit("in"),
    want("rotation", "Right turning at the shaft end", Takes::Text).note("CW or CCW"),
    want("shaft_power_w", "Measured shaft power", Takes::Number)
        .unit("W")
        .note("or shaft_power_hp"),
    want("shaft_power_hp", "Measured shaft power", Takes::Number).unit("hp"),
    want(
        "shaft_power_at_rpm",
        "Motor speed at that measurement",
        Takes::Number,
    )
    .unit("rpm"),
    want("flow_m3_s", "Measured flow", Takes::Number).unit("m³/s"),
    want(
        "driven_speed_rpm",
        "Measured fan or pump speed",
        Takes::Number,
    )
    .unit("rpm"),
    want("motor_sheave_mm", "Motor sheave, pitch", Takes::Number)
        .unit("mm")
        .note("or motor_sheave_in"),
    want("motor_sheave_in", "Motor sheave, pitch", Takes::Number).unit("in"),
    want("driven_sheave_mm", "Driven sheave, pitch", Takes::Number)
        .unit("mm")
        .note("or driven_sheave_in"),
    want("driven_sheave_in", "Driven sheave, pitch", Takes::Number).unit("in"),
    want(
        "second_shaft_used",
        "Second shaft end drives something",
        Takes::Flag,
    ),
    want("reverses", "Reverses in service", Takes::Flag),
];

pub(super) static SITE: &[Want] = &[
    want("nominal_volts_v", "Nominal supply", Takes::Number).unit("V"),
    want("measured_volts_v", "Measured supply", Takes::Number).unit("V").note("beats the nominal and the plate"),
    want("phases", "Phases", Takes::Whole).note("1 or 3"),
    want("frequency_hz", "Frequency", Takes::Number).unit("Hz"),
    want("ambient_c", "Hottest air at the motor", Takes::Number).unit("°C"),
    want("altitude_m", "Height over the sea", Takes::Number).unit("m"),
    want("surroundings", "Surroundings", Takes::Text).note("clean_dry, dusty, wet, grease_laden or corrosive"),
    want("in_air_stream", "Motor sits in its fan's stream", Takes::Flag),
    want("position", "Shaft position", Takes::Text).note("horizontal, shaft_up or shaft_down"),
    want("free_length_mm", "Free length for the body", Takes::Number).unit("mm").note("or free_length_in"),
    want("free_length_in", "Free length for the body", Takes::Number).unit("in"),
    want("free_diameter_mm", "Free width for the body", Takes::Number).unit("mm").note("or free_diameter_in"),
    want("free_diameter_in", "Free width for the body", Takes::Number).unit("in"),
    want("shaft_clearance_mm", "Free length before the shaft end", Takes::Number).unit("mm").note("or shaft_clearance_in; 0 is a measurement"),
    want("shaft_clearance_in", "Free length before the shaft end", Takes::Number).unit("in"),
    want("control", "Switch or control", Takes::Text).note("none, switch, thermostat, contactor, solid_state_speed_controller, voltage_controller or frequency_drive"),
    want("control_amps_a", "Full-load rating of the control", Takes::Number).unit("A"),
    want("taps_used", "Speed taps wired and used", Takes::Whole),
    want("restart_can_hurt", "An unexpected restart can hurt", Takes::Flag),
    want("hazardous", "Classified area", Takes::Text).note("none, or Class I Division 1 Group D T3"),
    want("continuous", "Runs continuously", Takes::Flag),
    want("overload", "Overload protection", Takes::Text).note("separate, in_motor or none"),
    want("overload_setting_a", "Overload setting", Takes::Number).unit("A"),
    want("disconnect_rating_a", "Disconnect rating", Takes::Number).unit("A"),
];

static OVERLOADS: &[words::Word<OverloadKind>] = &[
    (OverloadKind::Separate, &["separate"]),
    (OverloadKind::InMotor, &["inmotor"]),
    (OverloadKind::NoDevice, &["none", "nodevice"]),
];

/// The machine from `machine` and `site`: flat, or each in the program's own form.
pub(super) fn installation(given: &Given) -> Result<Installation, Trouble> {
    let mut installation = Installation::default();
    if let Some(value) = given.raw("machine") {
        match own_form::<Driven>(value, MACHINE) {
            Some(driven) => installation.driven = driven.map_err(|t| t.inside("machine"))?,
            None => installation.driven = given.group("machine", driven)?.unwrap_or_default(),
        }
    }
    if let Some(value) = given.raw("site") {
        match own_form::<Site>(value, SITE) {
            Some(site) => installation.site = site.map_err(|t| t.inside("site"))?,
            None => {
                installation.site = given.group("site", site)?.unwrap_or_default();
                installation.overload = given.group("site", overload)?.flatten();
                installation.disconnect = given.group("site", disconnect)?.flatten();
            }
        }
    }
    Ok(installation)
}

/// The program's own form: told by a field that the flat form does not have.
fn own_form<T: serde::Serialize + serde::de::DeserializeOwned + Default>(
    value: &Value,
    flat: &[Want],
) -> Option<Result<T, Trouble>> {
    let fields = value.as_object()?;
    let own = serde_json::to_value(T::default()).unwrap_or_default();
    let known = |name: &String| own.get(name.as_str()).is_some();
    let alone = |name: &String| known(name) && !flat.iter().any(|want| want.name == *name);
    if !fields.keys().any(alone) || !fields.keys().all(known) {
        return None;
    }
    let read = serde_json::from_value(value.clone());
    Some(read.map_err(|cause| Trouble::new(format!("Cannot be read: {cause}"))))
}

fn length(given: &Given, mm: &str, inches: &str) -> Result<Option<Millimetres>, Trouble> {
    let read = (given.not_negative(mm)?, given.not_negative(inches)?);
    match read {
        (Some(_), Some(_)) => Err(Trouble::of(inches, "Given in two units: leave one out")),
        (mm, inches) => Ok(mm.or(inches.map(|v| v * MM_PER_INCH)).map(Millimetres)),
    }
}

fn driven(given: &Given) -> Result<Driven, Trouble> {
    let power = match (
        given.positive("shaft_power_w")?,
        given.positive("shaft_power_hp")?,
    ) {
        (Some(_), Some(_)) => {
            return Err(Trouble::of(
                "shaft_power_hp",
                "Given in two units: leave one out",
            ));
        }
        (watts, hp) => watts.map(Watts).or(hp.map(Watts::from_hp)),
    };
    Ok(Driven {
        drive: words::word(given, "drive", words::DRIVES)?,
        wheel_limit: given.positive("wheel_limit_rpm")?.map(Rpm),
        wheel_diameter: length(given, "wheel_diameter_mm", "wheel_diameter_in")?,
        hub_bore: length(given, "hub_bore_mm", "hub_bore_in")?,
        hub_length: length(given, "hub_length_mm", "hub_length_in")?,
        hub_keyway: given.flag("hub_keyway")?,
        stud_needed: length(given, "stud_needed_mm", "stud_needed_in")?,
        rotation: words::word(given, "rotation", words::DIRECTIONS)?,
        shaft_power: power,
        shaft_power_at: given.positive("shaft_power_at_rpm")?.map(Rpm),
        flow_m3_s: given.positive("flow_m3_s")?,
        driven_speed: given.positive("driven_speed_rpm")?.map(Rpm),
        motor_sheave: length(given, "motor_sheave_mm", "motor_sheave_in")?,
        driven_sheave: length(given, "driven_sheave_mm", "driven_sheave_in")?,
        second_shaft_used: given.flag("second_shaft_used")?,
        reverses: given.flag("reverses")?,
        ..Driven::default()
    })
}

fn site(given: &Given) -> Result<Site, Trouble> {
    Ok(Site {
        nominal_volts: given.positive("nominal_volts_v")?.map(Volts),
        measured_volts: given.positive("measured_volts_v")?.map(Volts),
        phases: words::small(given, "phases")?,
        frequency: given.positive("frequency_hz")?.map(Hertz),
        ambient: given.number("ambient_c")?.map(Celsius),
        altitude: given.number("altitude_m")?.map(Metres),
        surroundings: words::word(given, "surroundings", words::SURROUNDINGS)?,
        in_air_stream: given.flag("in_air_stream")?,
        position: words::word(given, "position", words::POSITIONS)?,
        free_length: length(given, "free_length_mm", "free_length_in")?,
        free_diameter: length(given, "free_diameter_mm", "free_diameter_in")?,
        shaft_clearance: length(given, "shaft_clearance_mm", "shaft_clearance_in")?,
        control: words::word(given, "control", words::CONTROLS)?,
        control_amps: given.positive("control_amps_a")?.map(Amps),
        taps_used: words::small(given, "taps_used")?,
        restart_can_hurt: given.flag("restart_can_hurt")?,
        hazardous: given.text("hazardous")?,
        continuous: given.flag("continuous")?,
        ..Site::default()
    })
}

fn overload(given: &Given) -> Result<Option<Overload>, Trouble> {
    let kind = words::word(given, "overload", OVERLOADS)?;
    let setting = given.decimal("overload_setting_a")?;
    if kind.is_none() && setting.is_some() {
        return Err(Trouble::of(
            "overload",
            "Give the kind of the overload beside its setting",
        ));
    }
    Ok(kind.map(|kind| Overload {
        kind,
        setting,
        range: None,
        manual_reset: None,
    }))
}

fn disconnect(given: &Given) -> Result<Option<Disconnect>, Trouble> {
    let rating = given.decimal("disconnect_rating_a")?;
    // The kind plays no part in a fit; a general-use switch makes no promise.
    Ok(rating.map(|rating| Disconnect {
        kind: DisconnectKind::GeneralUseSwitch,
        rating: Some(rating),
        horsepower: None,
        in_sight: None,
    }))
}
