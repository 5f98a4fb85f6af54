//! What a machine's record says about drive, site, control and switches: asked, read and shown from
//! one table. Blank is not known.

use crate::form::{self, FieldErrors};
use crate::measure;
use crate::motors::plate_words::POSITIONS;
use crate::rows::{
    Ask, Options, Reader, Row, Takes, Typed, YES_NO, ask, hinted, small_count, word, words_of,
    yes_no_word,
};
use crate::shop::Units;
use calc::installation::{Disconnect, Driven, Installation, Overload, Site};
use calc::units::{Amps, Hertz, Rpm, Volts};
use rust_decimal::Decimal;

const DRIVES: Options = &[
    ("direct", "direct: wheel on the motor shaft"),
    ("belt", "belt"),
    ("coupled", "coupled"),
];

const TURNS: Options = &[
    ("clockwise", "clockwise"),
    ("counter_clockwise", "counter-clockwise"),
];

const PHASES: Options = &[("1", "single-phase"), ("3", "three-phase")];

const SURROUNDINGS: Options = &[
    ("clean_dry", "clean and dry"),
    ("dusty", "dusty"),
    ("wet", "wet"),
    ("grease_laden", "grease-laden"),
    ("corrosive", "corrosive"),
];

const CONTROLS: Options = &[
    ("none", "none"),
    ("switch", "switch"),
    ("thermostat", "thermostat"),
    ("contactor", "contactor"),
    (
        "solid_state_speed_controller",
        "solid-state speed controller",
    ),
    ("voltage_controller", "voltage controller"),
    ("frequency_drive", "frequency drive"),
];

const DISCONNECTS: Options = &[
    (
        "motor_circuit_switch",
        "motor-circuit switch, horsepower rated",
    ),
    ("general_use_switch", "general-use switch"),
    ("ac_snap_switch", "AC snap switch"),
    ("branch_breaker", "branch breaker"),
    ("plug_and_socket", "plug and socket"),
];

const OVERLOADS: Options = &[
    ("separate", "separate device in the starter"),
    ("in_motor", "protector inside the motor"),
    ("no_device", "looked for, none there"),
];

/// A heading, whether it starts open, and its questions.
pub type Group = (&'static str, bool, &'static [Ask]);

pub const GROUPS: &[Group] = &[
    (
        "Drive and wheel",
        true,
        &[
            ask("drive", "Drive", Takes::Choice(DRIVES)),
            ask("wheel_diameter", "Wheel diameter", Takes::Length),
            ask("wheel_limit", "Highest wheel speed", Takes::Number("rpm")),
            hinted(
                "turns",
                "Right turning",
                Takes::Choice(TURNS),
                "Seen from the shaft end",
            ),
            ask("hub_bore", "Hub bore", Takes::Length),
            ask("hub_length", "Hub length", Takes::Length),
            ask("hub_keyway", "Hub has a keyway", Takes::Choice(YES_NO)),
            ask("shaft_power", "Measured shaft power", Takes::Power),
            ask(
                "shaft_power_at",
                "Measured at motor speed",
                Takes::Number("rpm"),
            ),
        ],
    ),
    (
        "Drive, further",
        false,
        &[
            ask(
                "driven_speed",
                "Speed of the driven shaft",
                Takes::Number("rpm"),
            ),
            ask("motor_sheave", "Motor sheave", Takes::Length),
            ask("driven_sheave", "Driven sheave", Takes::Length),
            ask("wheel_mass", "Wheel mass", Takes::Number("kg")),
            ask("flow", "Measured flow", Takes::Number("m³/s")),
            hinted(
                "stud_needed",
                "Stud length needed",
                Takes::Length,
                "Bracket, washer and nut",
            ),
            ask(
                "second_shaft_used",
                "Second shaft end used",
                Takes::Choice(YES_NO),
            ),
            ask("reverses", "Reverses in service", Takes::Choice(YES_NO)),
        ],
    ),
    (
        "Supply at the machine",
        true,
        &[
            ask("nominal_volts", "Nominal volts", Takes::Number("V")),
            ask("measured_volts", "Measured volts", Takes::Number("V")),
            ask("phases", "Phases", Takes::Choice(PHASES)),
            ask("frequency", "Frequency", Takes::Number("Hz")),
        ],
    ),
    (
        "What can hurt",
        true,
        &[
            ask(
                "starts_by_itself",
                "Starts by itself",
                Takes::Choice(YES_NO),
            ),
            ask(
                "restart_can_hurt",
                "A restart can hurt somebody",
                Takes::Choice(YES_NO),
            ),
            ask(
                "draught_turns_wheel",
                "Draught turns the wheel",
                Takes::Choice(YES_NO),
            ),
            ask("roof_edge", "Distance to the roof edge", Takes::Distance),
            ask("guard_opening", "Largest guard opening", Takes::Length),
            ask(
                "blade_height",
                "Lowest blade over the floor",
                Takes::Distance,
            ),
            hinted(
                "hazardous",
                "Hazardous area",
                Takes::Text,
                "As documented, or none",
            ),
        ],
    ),
    (
        "Surroundings and room for the motor",
        false,
        &[
            ask("ambient", "Hottest air", Takes::Number("°C")),
            ask("altitude", "Altitude", Takes::Distance),
            ask("surroundings", "Surroundings", Takes::Choice(SURROUNDINGS)),
            ask(
                "in_air_stream",
                "Motor in its fan's air stream",
                Takes::Choice(YES_NO),
            ),
            ask("position", "Shaft position", Takes::Choice(POSITIONS)),
            ask("free_length", "Free length", Takes::Length),
            ask("free_diameter", "Free diameter", Takes::Length),
            ask(
                "shaft_clearance",
                "Free in front of the shaft",
                Takes::Length,
            ),
        ],
    ),
    (
        "Control",
        false,
        &[
            ask(
                "control",
                "Switched or regulated by",
                Takes::Choice(CONTROLS),
            ),
            ask("control_amps", "Its full-load amps", Takes::Number("A")),
            ask(
                "control_locked_rotor",
                "Its locked-rotor amps",
                Takes::Number("A"),
            ),
            ask("taps_used", "Speed taps used", Takes::Number("")),
            ask("continuous", "Duty is continuous", Takes::Choice(YES_NO)),
        ],
    ),
    (
        "Disconnect and overload",
        false,
        &[
            ask("disconnect_kind", "Disconnect", Takes::Choice(DISCONNECTS)),
            ask("disconnect_rating", "Disconnect rating", Takes::Number("A")),
            ask(
                "disconnect_hp",
                "Disconnect horsepower",
                Takes::Number("hp"),
            ),
            hinted(
                "in_sight",
                "Disconnect in sight",
                Takes::Choice(YES_NO),
                "And within 50 ft, 15 m",
            ),
            ask("overload_kind", "Overload", Takes::Choice(OVERLOADS)),
            ask("overload_setting", "Overload setting", Takes::Number("A")),
            ask("overload_low", "Overload range from", Takes::Number("A")),
            ask("overload_high", "Overload range to", Takes::Number("A")),
            ask("manual_reset", "Reset by hand", Takes::Choice(YES_NO)),
        ],
    ),
];

fn above_zero(text: &str) -> Result<f64, String> {
    measure::amount(
        text,
        &["rpm", "v", "a", "hz", "kg", "hp"],
        "Enter a number above zero, as 12.5",
    )
}

fn decimal(text: &str) -> Result<Decimal, String> {
    form::optional_decimal(text)?
        .filter(|n| *n > Decimal::ZERO)
        .ok_or_else(|| "Enter a number above zero, as 12.5".to_owned())
}

/// # Errors
/// A message beside each field that cannot be read.
pub fn parse(typed: &Typed, units: Units) -> Result<Installation, FieldErrors> {
    let mut r = Reader::new(typed);
    let driven = driven(&mut r, units);
    let site = site(&mut r, units);
    let disconnect = disconnect(&mut r);
    let overload = overload(&mut r);
    r.errors.or(Installation {
        driven,
        site,
        disconnect,
        overload,
    })
}

fn driven(r: &mut Reader<'_>, units: Units) -> Driven {
    let length = |t: &str| measure::length(t, units);
    Driven {
        air_mover: None, // from the machine's kind, never typed
        drive: r.choice("drive"),
        wheel_diameter: r.known("wheel_diameter", length),
        wheel_mass_kg: r.known("wheel_mass", above_zero),
        wheel_limit: r.known("wheel_limit", above_zero).map(Rpm),
        hub_bore: r.known("hub_bore", length),
        hub_length: r.known("hub_length", length),
        hub_keyway: r.yes_no("hub_keyway"),
        stud_needed: r.known("stud_needed", length),
        rotation: r.choice("turns"),
        shaft_power: r.known("shaft_power", |t| measure::power(t, units)),
        shaft_power_at: r.known("shaft_power_at", above_zero).map(Rpm),
        flow_m3_s: r.known("flow", above_zero),
        driven_speed: r.known("driven_speed", above_zero).map(Rpm),
        motor_sheave: r.known("motor_sheave", length),
        driven_sheave: r.known("driven_sheave", length),
        second_shaft_used: r.yes_no("second_shaft_used"),
        reverses: r.yes_no("reverses"),
        compressor: None, // the shop's forms do not ask for compressors
    }
}

fn site(r: &mut Reader<'_>, units: Units) -> Site {
    let length = |t: &str| measure::length(t, units);
    let distance = |t: &str| measure::distance(t, units);
    Site {
        nominal_volts: r.known("nominal_volts", above_zero).map(Volts),
        measured_volts: r.known("measured_volts", above_zero).map(Volts),
        phases: r.known("phases", small_count),
        frequency: r.known("frequency", above_zero).map(Hertz),
        ambient: r.known("ambient", measure::celsius),
        altitude: r.known("altitude", distance),
        surroundings: r.choice("surroundings"),
        in_air_stream: r.yes_no("in_air_stream"),
        position: r.choice("position"),
        free_length: r.known("free_length", length),
        free_diameter: r.known("free_diameter", length),
        shaft_clearance: r.known("shaft_clearance", length),
        control: r.choice("control"),
        control_amps: r.known("control_amps", above_zero).map(Amps),
        control_locked_rotor: r.known("control_locked_rotor", above_zero).map(Amps),
        taps_used: r.known("taps_used", small_count),
        restart_can_hurt: r.yes_no("restart_can_hurt"),
        hazardous: r.known("hazardous", |t| Ok(t.to_owned())),
        continuous: r.yes_no("continuous"),
        roof_edge: r.known("roof_edge", distance),
        starts_by_itself: r.yes_no("starts_by_itself"),
        draught_turns_wheel: r.yes_no("draught_turns_wheel"),
        guard_opening: r.known("guard_opening", length),
        blade_height: r.known("blade_height", distance),
    }
}

fn disconnect(r: &mut Reader<'_>) -> Option<Disconnect> {
    let kind = r.choice("disconnect_kind");
    let rating = r.known("disconnect_rating", decimal);
    let horsepower = r.known("disconnect_hp", decimal);
    let in_sight = r.yes_no("in_sight");
    if kind.is_none() && (rating.is_some() || horsepower.is_some() || in_sight.is_some()) {
        r.errors.add(
            "disconnect_kind",
            "Choose the kind of disconnect these values belong to",
        );
    }
    Some(Disconnect {
        kind: kind?,
        rating,
        horsepower,
        in_sight,
    })
}

fn overload(r: &mut Reader<'_>) -> Option<Overload> {
    let kind = r.choice("overload_kind");
    let setting = r.known("overload_setting", decimal);
    let low = r.known("overload_low", decimal);
    let high = r.known("overload_high", decimal);
    let manual_reset = r.yes_no("manual_reset");
    if low.is_some() != high.is_some() {
        r.errors
            .add("overload_low", "Enter both ends of the range, or neither");
    }
    if kind.is_none() && (setting.is_some() || low.is_some() || manual_reset.is_some()) {
        r.errors.add(
            "overload_kind",
            "Choose the kind of overload these values belong to",
        );
    }
    Some(Overload {
        kind: kind?,
        setting,
        range: low.zip(high),
        manual_reset,
    })
}

/// The fields as a form shows them.
pub fn typed(facts: &Installation, units: Units) -> Typed {
    let mut t = Typed::default();
    let length = |l: calc::units::Millimetres| measure::length_typed(l, units);
    let distance = |d: calc::units::Metres| measure::distance_typed(d, units);
    let d = &facts.driven;
    t.put_known("drive", d.drive, word);
    t.put_known("wheel_diameter", d.wheel_diameter, length);
    t.put_known("wheel_mass", d.wheel_mass_kg, |n| n.to_string());
    t.put_known("wheel_limit", d.wheel_limit, |n| n.0.to_string());
    t.put_known("hub_bore", d.hub_bore, length);
    t.put_known("hub_length", d.hub_length, length);
    t.put_known("hub_keyway", d.hub_keyway, yes_no_word);
    t.put_known("stud_needed", d.stud_needed, length);
    t.put_known("turns", d.rotation, word);
    t.put_known("shaft_power", d.shaft_power, |w| {
        measure::power_typed(w, units)
    });
    t.put_known("shaft_power_at", d.shaft_power_at, |n| n.0.to_string());
    t.put_known("flow", d.flow_m3_s, |n| n.to_string());
    t.put_known("driven_speed", d.driven_speed, |n| n.0.to_string());
    t.put_known("motor_sheave", d.motor_sheave, length);
    t.put_known("driven_sheave", d.driven_sheave, length);
    t.put_known("second_shaft_used", d.second_shaft_used, yes_no_word);
    t.put_known("reverses", d.reverses, yes_no_word);
    let s = &facts.site;
    t.put_known("nominal_volts", s.nominal_volts, |n| n.0.to_string());
    t.put_known("measured_volts", s.measured_volts, |n| n.0.to_string());
    t.put_known("phases", s.phases, |n| n.to_string());
    t.put_known("frequency", s.frequency, |n| n.0.to_string());
    t.put_known("ambient", s.ambient, |n| n.0.to_string());
    t.put_known("altitude", s.altitude, distance);
    t.put_known("surroundings", s.surroundings, word);
    t.put_known("in_air_stream", s.in_air_stream, yes_no_word);
    t.put_known("position", s.position, word);
    t.put_known("free_length", s.free_length, length);
    t.put_known("free_diameter", s.free_diameter, length);
    t.put_known("shaft_clearance", s.shaft_clearance, length);
    t.put_known("control", s.control, word);
    t.put_known("control_amps", s.control_amps, |n| n.0.to_string());
    t.put_known("control_locked_rotor", s.control_locked_rotor, |n| {
        n.0.to_string()
    });
    t.put_known("taps_used", s.taps_used, |n| n.to_string());
    t.put_known("restart_can_hurt", s.restart_can_hurt, yes_no_word);
    t.put_known("hazardous", s.hazardous.clone(), |text| text);
    t.put_known("continuous", s.continuous, yes_no_word);
    t.put_known("roof_edge", s.roof_edge, distance);
    t.put_known("starts_by_itself", s.starts_by_itself, yes_no_word);
    t.put_known("draught_turns_wheel", s.draught_turns_wheel, yes_no_word);
    t.put_known("guard_opening", s.guard_opening, length);
    t.put_known("blade_height", s.blade_height, distance);
    if let Some(d) = &facts.disconnect {
        t.put("disconnect_kind", word(d.kind));
        t.put_known("disconnect_rating", d.rating, |n| n.to_string());
        t.put_known("disconnect_hp", d.horsepower, |n| n.to_string());
        t.put_known("in_sight", d.in_sight, yes_no_word);
    }
    if let Some(o) = &facts.overload {
        t.put("overload_kind", word(o.kind));
        t.put_known("overload_setting", o.setting, |n| n.to_string());
        t.put_known("overload_low", o.range, |(low, _)| low.to_string());
        t.put_known("overload_high", o.range, |(_, high)| high.to_string());
        t.put_known("manual_reset", o.manual_reset, yes_no_word);
    }
    t
}

/// Fields of one heading for the form.
#[derive(Clone, Debug)]
pub struct FormGroup {
    pub title: &'static str,
    pub open: bool,
    pub rows: Vec<Row>,
}

pub fn groups(typed: &Typed, units: Units, errors: &FieldErrors) -> Vec<FormGroup> {
    GROUPS
        .iter()
        .map(|(title, open, asks)| {
            let rows = typed.rows(asks, units, errors);
            let open = *open || rows.iter().any(|row| row.error.is_some());
            FormGroup { title, open, rows }
        })
        .collect()
}

/// Facts of one heading for reading: label and words, `not known` where blank.
#[derive(Clone, Debug)]
pub struct Lines {
    pub title: &'static str,
    pub lines: Vec<(&'static str, String)>,
}

pub fn lines(facts: &Installation, units: Units) -> Vec<Lines> {
    let typed = typed(facts, units);
    let words = |ask: &Ask| {
        let text = typed.get(ask.name);
        match ask.takes {
            _ if text.is_empty() => "not known".to_owned(),
            Takes::Choice(options) => words_of(options, text),
            takes => takes.with_unit(text, units),
        }
    };
    let group = |(title, _, asks): &Group| Lines {
        title,
        lines: asks.iter().map(|ask| (ask.label, words(ask))).collect(),
    };
    GROUPS.iter().map(group).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blank_is_not_known_and_what_is_shown_reads_back() {
        assert_eq!(
            parse(&Typed::default(), Units::Us),
            Ok(Installation::default())
        );
        let mut t = Typed::default();
        for (name, value) in [
            ("wheel_diameter", "14"),
            ("shaft_power", "1/6"),
            ("roof_edge", "12 ft"),
            ("turns", "clockwise"),
            ("taps_used", "2"),
            ("disconnect_kind", "ac_snap_switch"),
            ("disconnect_rating", "20"),
            ("overload_kind", "in_motor"),
            ("hazardous", "none"),
        ] {
            t.put(name, value);
        }
        let facts = parse(&t, Units::Us).expect("readable");
        for units in [Units::Us, Units::Si] {
            assert_eq!(parse(&typed(&facts, units), units), Ok(facts.clone()));
        }
        let shown = lines(&facts, Units::Us);
        assert_eq!(shown[0].lines[1], ("Wheel diameter", "14 in".to_owned()));
        assert_eq!(
            shown[0].lines[2],
            ("Highest wheel speed", "not known".to_owned())
        );
    }

    #[test]
    fn values_of_a_disconnect_need_its_kind() {
        let mut t = Typed::default();
        t.put("disconnect_rating", "30");
        t.put("overload_low", "1");
        let errors = parse(&t, Units::Us).expect_err("no kind");
        assert!(errors.get("disconnect_kind").is_some() && errors.get("overload_low").is_some());
    }
}
