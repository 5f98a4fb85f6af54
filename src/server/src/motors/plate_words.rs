//! The questions of a motor plate, in the order in which plates are read, with the words of choices.

use crate::rows::{Ask, Options, Takes, YES_NO, ask, hinted};

pub const HOWS: Options = &[
    ("read", "read"),
    ("measured", "measured"),
    ("old_record", "from old record"),
    ("assumed", "assumed"),
    ("unreadable", "unreadable"),
];

const PHASES: Options = &[("1", "single-phase"), ("3", "three-phase")];

const TYPES: Options = &[
    ("shaded_pole", "shaded pole"),
    ("split_phase", "split phase"),
    ("permanent_split_capacitor", "permanent split capacitor"),
    ("capacitor_start", "capacitor start"),
    (
        "capacitor_start_capacitor_run",
        "capacitor start, capacitor run",
    ),
    ("three_phase_induction", "three-phase induction"),
    ("electronically_commutated", "electronically commutated"),
    ("direct_current", "direct current"),
];

/// Direction, where it is seen from, and whether it can be reversed: one choice, one fact.
pub const ROTATIONS: Options = &[
    ("cw_shaft_fixed", "clockwise from the shaft end"),
    ("ccw_shaft_fixed", "counter-clockwise from the shaft end"),
    ("cw_lead_fixed", "clockwise from the lead end"),
    ("ccw_lead_fixed", "counter-clockwise from the lead end"),
    ("cw_unstated_fixed", "clockwise, end not stated"),
    ("ccw_unstated_fixed", "counter-clockwise, end not stated"),
    (
        "cw_shaft_reversible",
        "reversible, now clockwise from the shaft end",
    ),
    (
        "ccw_shaft_reversible",
        "reversible, now counter-clockwise from the shaft end",
    ),
    (
        "cw_lead_reversible",
        "reversible, now clockwise from the lead end",
    ),
    (
        "ccw_lead_reversible",
        "reversible, now counter-clockwise from the lead end",
    ),
    (
        "cw_unstated_reversible",
        "reversible, now clockwise, end not stated",
    ),
    (
        "ccw_unstated_reversible",
        "reversible, now counter-clockwise, end not stated",
    ),
];

pub const MOUNTS: Options = &[
    ("studs", "studs"),
    ("feet", "feet"),
    ("c_face", "C face"),
    ("belly_band", "belly band"),
    ("yoke", "yoke"),
    ("flange", "flange"),
];

const SHAFT_FORMS: Options = &[
    ("round", "round"),
    ("flat", "with a flat"),
    ("keyed", "with a keyway"),
];

const STUD_ENDS: Options = &[
    ("shaft_end", "shaft end"),
    ("lead_end", "lead end"),
    ("both", "both ends"),
];

pub const ENCLOSURES: Options = &[
    ("open_drip_proof", "open, drip-proof"),
    ("open_air_over", "open, cooled by its fan's stream"),
    (
        "totally_enclosed_fan_cooled",
        "totally enclosed, own cooling fan",
    ),
    (
        "totally_enclosed_non_ventilated",
        "totally enclosed, no fan",
    ),
    (
        "totally_enclosed_air_over",
        "totally enclosed, cooled by its fan's stream",
    ),
    ("explosion_proof", "listed for a hazardous location"),
];

const PROTECTIONS: Options = &[
    ("no_protector", "none"),
    ("automatic", "automatic: restarts by itself"),
    ("manual", "manual reset"),
    ("impedance", "impedance protected"),
    ("thermostat", "pilot thermostat only"),
];

const BEARINGS: Options = &[("ball", "ball"), ("sleeve", "sleeve")];

pub const POSITIONS: Options = &[
    ("any", "any"),
    ("horizontal", "horizontal"),
    ("shaft_up", "shaft up"),
    ("shaft_down", "shaft down"),
];

const DUTIES: Options = &[
    ("continuous", "continuous"),
    ("intermittent", "intermittent"),
];

const CLASSES: Options = &[("a", "A"), ("e", "E"), ("b", "B"), ("f", "F"), ("h", "H")];

/// Fields of one group with its heading.
pub type Group = (&'static str, &'static [Ask]);

pub const GROUPS: &[Group] = &[
    (
        "As stamped",
        &[
            hinted("power", "Power", Takes::Power, "1/6 hp, 0.12 kW or 124 W"),
            hinted("volts", "Volts", Takes::Number("V"), "208-230 or 115/230"),
            hinted(
                "amps",
                "Full-load amps",
                Takes::Number("A"),
                "In the order of the volts",
            ),
            ask("phases", "Phases", Takes::Choice(PHASES)),
            hinted("frequency", "Frequency", Takes::Number("Hz"), "60 or 50/60"),
            hinted(
                "speeds",
                "Speed",
                Takes::Number("rpm"),
                "1075, or 1075/900 with taps",
            ),
            ask("motor_type", "Type", Takes::Choice(TYPES)),
            ask("rotation", "Turns", Takes::Choice(ROTATIONS)),
            ask("frame", "Frame", Takes::Text),
        ],
    ),
    (
        "Mounting, shaft and size",
        &[
            ask("mount", "Mounted by", Takes::Choice(MOUNTS)),
            ask("shaft_diameter", "Shaft diameter", Takes::Length),
            ask("shaft_length", "Shaft length", Takes::Length),
            ask("shaft_form", "Shaft form", Takes::Choice(SHAFT_FORMS)),
            ask("double_shaft", "Shaft at both ends", Takes::Choice(YES_NO)),
            ask("bolt_circle", "Stud or bolt circle", Takes::Length),
            ask("stud_count", "Studs or bolts", Takes::Number("")),
            ask("stud_length", "Stud length", Takes::Length),
            hinted("stud_thread", "Stud thread", Takes::Text, "8-32 or M4"),
            ask("stud_end", "Studs at", Takes::Choice(STUD_ENDS)),
            ask("body_diameter", "Body diameter", Takes::Length),
            ask("body_length", "Body length", Takes::Length),
            ask(
                "position",
                "Shaft position allowed",
                Takes::Choice(POSITIONS),
            ),
        ],
    ),
    (
        "Enclosure and heat",
        &[
            ask("enclosure", "Enclosure", Takes::Choice(ENCLOSURES)),
            ask("ambient", "Ambient", Takes::Number("°C")),
            ask("insulation", "Insulation class", Takes::Choice(CLASSES)),
            ask("rise", "Temperature rise", Takes::Number("°C")),
            ask("duty", "Duty", Takes::Choice(DUTIES)),
            ask("service_factor", "Service factor", Takes::Number("")),
            ask(
                "protection",
                "Thermal protection",
                Takes::Choice(PROTECTIONS),
            ),
            ask("bearing", "Bearings", Takes::Choice(BEARINGS)),
        ],
    ),
    (
        "Capacitor, control and the rest",
        &[
            ask("capacitor", "Capacitor", Takes::Number("µF")),
            ask("capacitor_volts", "Capacitor volts", Takes::Number("V")),
            ask(
                "capacitor_included",
                "Capacitor comes with it",
                Takes::Choice(YES_NO),
            ),
            ask(
                "speed_control",
                "Speed control allowed",
                Takes::Choice(YES_NO),
            ),
            ask("code_letter", "Locked-rotor code letter", Takes::Text),
            ask("efficiency", "Efficiency", Takes::Number("%")),
            hinted(
                "power_factor",
                "Power factor",
                Takes::Number(""),
                "0.62 or 62 %",
            ),
            ask(
                "hazardous_listing",
                "Hazardous-location listing",
                Takes::Text,
            ),
        ],
    ),
    ("Other marks", super::plate_more::ASKS),
];
