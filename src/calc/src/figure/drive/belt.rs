//! Topic: belt drives.

use super::answer;
use super::belt_figures::{Belt, Known, lengths, names, speeds, tension, wanted};
use super::sheet::{LENGTH, Sheet};
use crate::belt::section::{SECTIONS, find, pitch_diameter, read_name};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, ask, figure, line};
use crate::units::{Millimetres, Rpm};

pub(super) const BELT: Topic = Topic {
    name: "belt",
    title: "Belt drive",
    what: "Driven speed, sheave for a wanted speed, belt length or centres, wrap, rim speed and tension of a V-belt drive.",
    subject: Subject::FanAndDrive,
    wants: WANTS,
    answers: ANSWERS,
    run,
};

const WANTS: &[Want] = &[
    want("motor_speed_rpm", "Motor speed", Takes::Number).unit("rpm"),
    want(
        "motor_sheave_pitch_mm",
        "Motor sheave, pitch diameter",
        Takes::Number,
    )
    .unit("mm")
    .note("not the outside diameter"),
    want(
        "motor_sheave_pitch_in",
        "Motor sheave, pitch diameter in inches",
        Takes::Number,
    )
    .unit("in"),
    want(
        "motor_sheave_outside_mm",
        "Motor sheave, outside diameter",
        Takes::Number,
    )
    .unit("mm")
    .note("where the pitch diameter is not known; needs the belt's section"),
    want(
        "motor_sheave_outside_in",
        "Motor sheave, outside diameter in inches",
        Takes::Number,
    )
    .unit("in"),
    want(
        "driven_sheave_pitch_mm",
        "Driven sheave, pitch diameter",
        Takes::Number,
    )
    .unit("mm"),
    want(
        "driven_sheave_pitch_in",
        "Driven sheave, pitch diameter in inches",
        Takes::Number,
    )
    .unit("in"),
    want(
        "driven_sheave_outside_mm",
        "Driven sheave, outside diameter",
        Takes::Number,
    )
    .unit("mm"),
    want(
        "driven_sheave_outside_in",
        "Driven sheave, outside diameter in inches",
        Takes::Number,
    )
    .unit("in"),
    want(
        "wanted_speed_rpm",
        "Wanted speed of the driven shaft",
        Takes::Number,
    )
    .unit("rpm")
    .note("for the sheave that gives it"),
    want("centres_mm", "Distance of the shafts", Takes::Number).unit("mm"),
    want(
        "centres_in",
        "Distance of the shafts, in inches",
        Takes::Number,
    )
    .unit("in"),
    want(
        "belt_length_mm",
        "Belt length along the pitch line",
        Takes::Number,
    )
    .unit("mm")
    .note("for the centres, where these are not given"),
    want(
        "belt_length_in",
        "Belt length along the pitch line, in inches",
        Takes::Number,
    )
    .unit("in"),
    want("belt", "Name of the belt", Takes::Text).note("as A42, BX55, 4L420, 3V500"),
    want("section", "Section of the belt", Takes::Text)
        .note("as A, BX, 4L, 3V; blank where the belt is named"),
    want(
        "force_n",
        "Force that presses the belt by the test deflection",
        Takes::Number,
    )
    .unit("N"),
    want("force_lb", "That force, in pounds", Takes::Number).unit("lb"),
];

const ANSWERS: &[Answer] = &[
    answer(
        "driven_speed_rpm",
        "rpm",
        "speed of the driven shaft, slip left out",
    ),
    answer("speed_ratio", "", "driven speed over motor speed"),
    answer(
        "sheave_ratio_for_wanted",
        "",
        "driven over motor sheave, pitch, for the wanted speed",
    ),
    answer(
        "driven_sheave_for_wanted_mm",
        "mm",
        "driven sheave, pitch, for the wanted speed",
    ),
    answer("driven_sheave_for_wanted_in", "in", "the same"),
    answer(
        "motor_sheave_for_wanted_mm",
        "mm",
        "motor sheave, pitch, for the wanted speed",
    ),
    answer("motor_sheave_for_wanted_in", "in", "the same"),
    answer("belt_speed_m_s", "m/s", "speed of the belt"),
    answer("belt_speed_fpm", "ft/min", "the same"),
    answer("belt_length_mm", "mm", "by the usual series"),
    answer("belt_length_in", "in", "the same"),
    answer("belt_length_exact_mm", "mm", "by geometry"),
    answer("belt_length_exact_in", "in", "the same"),
    answer(
        "centres_mm",
        "mm",
        "distance of the shafts for the belt length",
    ),
    answer("centres_in", "in", "the same"),
    answer("wrap_deg", "deg", "wrap on the small sheave, exact"),
    answer("wrap_rule_deg", "deg", "by 180 - 60 (D - d)/C"),
    answer("span_mm", "mm", "free span"),
    answer("span_in", "in", "the same"),
    answer("deflection_mm", "mm", "test deflection, 1/64 of the span"),
    answer("deflection_in", "in", "the same"),
    answer("force_used_n", "N", "lowest force at it, belt that has run"),
    answer("force_used_lb", "lb", "the same"),
    answer("force_new_n", "N", "highest force at it, new belt"),
    answer("force_new_lb", "lb", "the same"),
    answer("belt_section", "", "section of the belt"),
    answer(
        "belt_cogged",
        "",
        "whether its name is that of a cogged belt",
    ),
    answer(
        "belt_number_means",
        "",
        "what the number of the belt's name counts",
    ),
    answer("belt_inside_mm", "mm", "inside length by the name"),
    answer("belt_inside_in", "in", "the same"),
    answer("belt_outside_mm", "mm", "outside length by the name"),
    answer("belt_outside_in", "in", "the same"),
    answer("belt_top_width_in", "in", "width at the top"),
    answer("belt_thickness_in", "in", "thickness"),
    answer(
        "not_the_same_as",
        "",
        "section of the same cross-section that is not the same belt",
    ),
];

fn belt(given: &Given) -> Result<Belt, Trouble> {
    let named = match given.text("belt")? {
        Some(name) => Some(read_name(&name).ok_or_else(|| {
            Trouble::of(
                "belt",
                "Give section and number, as A42, BX55, 4L420 or 3V500",
            )
        })?),
        None => None,
    };
    let section = match given.text("section")? {
        Some(name) => Some(find(&name).ok_or_else(|| {
            let names: Vec<&str> = SECTIONS.iter().map(|section| section.name).collect();
            Trouble::of("section", format!("Give one of {}", names.join(", ")))
        })?),
        None => named.map(|named| (named.section, named.cogged)),
    };
    Ok(Belt { named, section })
}

/// Pitch diameter as given, or from the outside diameter and the section.
fn sheave(
    given: &Given,
    sheet: &mut Sheet,
    which: &Which,
    belt: Belt,
) -> Result<Option<f64>, Trouble> {
    if let Some(pitch) = LENGTH.positive(given, which.pitch)? {
        return Ok(Some(pitch));
    }
    let Some(outside) = LENGTH.positive(given, which.outside)? else {
        return Ok(None);
    };
    let shown = line(which.key, which.label).rule(
        "outside diameter less the section's step",
        "RMA, from memory",
    );
    let pitch = belt
        .section
        .and_then(|(section, _)| pitch_diameter(section, Millimetres(outside)));
    match pitch {
        Some(pitch) => sheet
            .working()
            .lines
            .push(shown.value(figure(pitch.0, 2), "mm").note(
            "A sheave for both A and B belts follows its own data; read the pitch diameter there.",
        )),
        None => ask(
            sheet.working(),
            shown,
            "pitch diameter of the sheave, or the section of its belt",
            "speeds follow from pitch diameters; outside diameters are larger",
            "read the sheave's data, or the belt's name",
        ),
    }
    Ok(pitch.map(|pitch| pitch.0))
}

/// One of the two sheaves, by the names of its fields.
struct Which {
    key: &'static str,
    label: &'static str,
    pitch: &'static str,
    outside: &'static str,
}

const MOTOR: Which = Which {
    key: "motor_sheave_pitch",
    label: "Pitch diameter of the motor sheave",
    pitch: "motor_sheave_pitch",
    outside: "motor_sheave_outside",
};
const DRIVEN: Which = Which {
    key: "driven_sheave_pitch",
    label: "Pitch diameter of the driven sheave",
    pitch: "driven_sheave_pitch",
    outside: "driven_sheave_outside",
};

fn run(given: &Given) -> Result<Figure, Trouble> {
    let belt = belt(given)?;
    let mut sheet = Sheet::new("Belt drive");
    let known = Known {
        motor: given.positive("motor_speed_rpm")?.map(Rpm),
        motor_sheave: sheave(given, &mut sheet, &MOTOR, belt)?.map(Millimetres),
        driven_sheave: sheave(given, &mut sheet, &DRIVEN, belt)?.map(Millimetres),
    };
    names(&mut sheet, belt);
    speeds(&mut sheet, &known)?;
    wanted(&mut sheet, given, &known)?;
    lengths(&mut sheet, given, &known, belt)?;
    tension(&mut sheet, given, &known, belt)?;
    if sheet.is_empty() {
        return Err(Trouble::new(
            "Give motor speed and sheaves, sheaves and centres or length, or the name of a belt",
        ));
    }
    for caution in [
        "Lock out before the guard of a belt drive is opened, and put the guard back before it runs.",
        "Speeds follow from pitch diameters; slip of the belt, about 1 %, is left out. Measure the speed after a change.",
        "Check the fan's highest speed and the motor's amps before a sheave that makes the fan faster is used.",
        "Change all belts of a drive together, with belts of one make and kind.",
    ] {
        sheet.caution(caution);
    }
    sheet.done()
}
