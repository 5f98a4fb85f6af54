//! The questions of a machine's record: what is asked, in which words, in which order.

use crate::motors::plate_words::POSITIONS;
use crate::rows::{Ask, Options, Takes, YES_NO, ask, hinted};

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
            hinted(
                "motor_sheave",
                "Motor sheave",
                Takes::Length,
                "Pitch diameter, not the outside",
            ),
            hinted(
                "driven_sheave",
                "Driven sheave",
                Takes::Length,
                "Pitch diameter, not the outside",
            ),
            ask("belts", "Number of belts", Takes::Number("")),
            hinted("belt", "Belt", Takes::Text, "As marked: A42, BX55, 3V500"),
            hinted(
                "belt_length",
                "Belt length",
                Takes::Length,
                "Along the pitch line, from its data sheet",
            ),
            ask("centres", "Distance of the shafts", Takes::Length),
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
