//! Topic: belt drives.

use super::sheet::{FORCE, LENGTH, Quantity, Sheet, VELOCITY, refused};
use crate::belt::section::{Named, SECTIONS, Section, find, pitch_diameter, read_name};
use crate::belt::tension::{forces, judge};
use crate::belt::{Drive, sheave_for, test_deflection};
use crate::fan::{CAST_IRON_RIM, driven_speed, tip_speed};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, ask, figure, line};
use crate::units::{Millimetres, Rpm};
use crate::working::Verdict;

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

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
        "driven_sheave_for_wanted_mm",
        "mm",
        "driven sheave, pitch, for the wanted speed; also _in",
    ),
    answer(
        "motor_sheave_for_wanted_mm",
        "mm",
        "motor sheave, pitch, for the wanted speed; also _in",
    ),
    answer(
        "belt_speed_m_s",
        "m/s",
        "speed of the belt; also belt_speed_fpm",
    ),
    answer(
        "belt_length_mm",
        "mm",
        "by the usual series; also belt_length_in",
    ),
    answer(
        "belt_length_exact_mm",
        "mm",
        "by geometry; also belt_length_exact_in",
    ),
    answer(
        "centres_mm",
        "mm",
        "distance of the shafts for the belt length; also centres_in",
    ),
    answer("wrap_deg", "deg", "wrap on the small sheave, exact"),
    answer("wrap_rule_deg", "deg", "by 180 - 60 (D - d)/C"),
    answer("span_mm", "mm", "free span; also span_in"),
    answer(
        "deflection_mm",
        "mm",
        "test deflection, 1/64 of the span; also deflection_in",
    ),
    answer(
        "force_used_n",
        "N",
        "lowest force at it, belt that has run; also force_used_lb",
    ),
    answer(
        "force_new_n",
        "N",
        "highest force at it, new belt; also force_new_lb",
    ),
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
    answer(
        "belt_inside_mm",
        "mm",
        "inside length by the name; also belt_inside_in",
    ),
    answer(
        "belt_outside_mm",
        "mm",
        "outside length by the name; also belt_outside_in",
    ),
    answer("belt_top_width_in", "in", "width at the top"),
    answer("belt_thickness_in", "in", "thickness"),
    answer(
        "not_the_same_as",
        "",
        "section of the same cross-section that is not the same belt",
    ),
];

/// The belt, as far as it was named.
#[derive(Clone, Copy, Default)]
struct Belt {
    named: Option<Named>,
    section: Option<(&'static Section, bool)>,
}

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

/// What is known of speeds and sheaves.
struct Known {
    motor: Option<Rpm>,
    motor_sheave: Option<Millimetres>,
    driven_sheave: Option<Millimetres>,
}

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
    lengths(&mut sheet, given, &known)?;
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

fn names(sheet: &mut Sheet, belt: Belt) {
    let Some((section, cogged)) = belt.section else {
        return;
    };
    let source = "belt practice (RMA)";
    let words = match section.not_the_same {
        Some(other) => format!(
            "Same cross-section as {other}, but not the same belt: do not mix or swap them."
        ),
        None => String::new(),
    };
    sheet.word(
        line("belt_section", "Section")
            .rule("by name", source)
            .note(words),
        section.name,
    );
    sheet.answer("belt_cogged", cogged);
    sheet.answer("belt_number_means", section.counts.words());
    sheet.number("belt_top_width_in", section.top_width_in);
    sheet.number("belt_thickness_in", section.thickness_in);
    if let Some(other) = section.not_the_same {
        sheet.answer("not_the_same_as", other);
    }
    if let Some(named) = belt.named {
        let rule = named.section.counts.words();
        if let Some(inside) = named.inside {
            sheet.quantity(
                line("belt_inside", "Inside length").rule(rule, source),
                LENGTH,
                inside.0,
            );
        }
        let shown = line("belt_outside", "Outside length")
            .rule(rule, source)
            .note("The length along the pitch line, from which centres follow, is in neither: see the belt's data");
        sheet.quantity(shown, LENGTH, named.outside.0);
    }
}

fn speeds(sheet: &mut Sheet, known: &Known) -> Result<(), Trouble> {
    let (Some(motor), Some(small)) = (known.motor, known.motor_sheave) else {
        return Ok(());
    };
    let rim = tip_speed(small, motor).map_err(refused)?;
    sheet.quantity(
        line("belt_speed", "Belt speed").rule("pi d n", "geometry"),
        VELOCITY,
        rim.0,
    );
    let shown = line("rim_speed", "Rim of a cast-iron sheave")
        .value(figure(rim.0, 2), "m/s")
        .limit("33.02 m/s (6500 ft/min)")
        .rule("rim speed of cast iron at most 6500 ft/min", "from memory");
    let shown = if rim.0 <= CAST_IRON_RIM.0 * (1.0 + 1e-9) {
        shown.judge(Verdict::Within, "Not above the limit of cast iron.")
    } else {
        shown.judge(Verdict::Beyond, "Cast iron can burst at this speed: smaller sheaves, less speed, or sheaves made for it.")
    };
    sheet.working().lines.push(shown);
    if let Some(driven) = known.driven_sheave {
        let speed = driven_speed(motor, small, driven).map_err(refused)?;
        let shown = line("driven_speed_rpm", "Speed of the driven shaft")
            .rule("n d/D, pitch diameters", "geometry");
        sheet.tell(shown, speed.0, 1, "rpm");
        sheet.number("speed_ratio", speed.0 / motor.0);
    }
    Ok(())
}

fn wanted(sheet: &mut Sheet, given: &Given, known: &Known) -> Result<(), Trouble> {
    let Some(wanted) = given.positive("wanted_speed_rpm")?.map(Rpm) else {
        return Ok(());
    };
    let motor = given.need("motor_speed_rpm", known.motor)?;
    if known.motor_sheave.is_none() && known.driven_sheave.is_none() {
        ask(
            sheet.working(),
            line("driven_sheave_for_wanted", "Sheave for the wanted speed"),
            "pitch diameter of one of the sheaves",
            "the other follows from it",
            "read it on the sheave or in its data",
        );
        return Ok(());
    }
    if let Some(small) = known.motor_sheave {
        let needed = sheave_for(small, motor, wanted).map_err(refused)?;
        let shown = line(
            "driven_sheave_for_wanted",
            "Driven sheave for the wanted speed",
        )
        .rule("d n1/n2, pitch", "geometry");
        sheet.quantity(shown, LENGTH, needed.0);
    }
    if let Some(large) = known.driven_sheave {
        let needed = sheave_for(large, wanted, motor).map_err(refused)?;
        let shown = line(
            "motor_sheave_for_wanted",
            "Motor sheave for the wanted speed",
        )
        .rule("D n2/n1, pitch", "geometry")
        .note("Not below the smallest sheave that motor and belt allow");
        sheet.quantity(shown, LENGTH, needed.0);
    }
    Ok(())
}

fn lengths(sheet: &mut Sheet, given: &Given, known: &Known) -> Result<(), Trouble> {
    let centres = LENGTH.positive(given, "centres")?.map(Millimetres);
    let length = LENGTH.positive(given, "belt_length")?.map(Millimetres);
    let (Some(one), Some(other)) = (known.motor_sheave, known.driven_sheave) else {
        if centres.or(length).is_some() {
            ask(
                sheet.working(),
                line("belt_length", "Belt length and centres"),
                "pitch diameters of both sheaves",
                "length and centres follow from them",
                "read them on the sheaves or in their data",
            );
        }
        return Ok(());
    };
    let drive = match (centres, length) {
        (Some(centres), _) => Drive::new(one, other, centres),
        (None, Some(length)) => Drive::of_length(one, other, length),
        (None, None) => return Ok(()),
    }
    .map_err(refused)?;
    let textbook = "machine design textbooks";
    let mut say = |key, label, rule, source, value: Millimetres| {
        sheet.quantity(line(key, label).rule(rule, source), LENGTH, value.0);
    };
    if centres.is_none() {
        let rule = "(B + sqrt(B² - 32 (D - d)²))/16, B = 4 L - 2 pi (D + d)";
        say(
            "centres",
            "Distance of the shafts",
            rule,
            textbook,
            drive.centres(),
        );
    } else {
        let rule = "2 C + (pi/2)(D + d) + (D - d)²/(4 C)";
        say(
            "belt_length",
            "Belt length along the pitch line",
            rule,
            textbook,
            drive.length(),
        );
        say(
            "belt_length_exact",
            "The same by geometry",
            "2 t + arcs",
            "geometry",
            drive.exact_length(),
        );
    }
    say(
        "span",
        "Free span",
        "sqrt(C² - ((D - d)/2)²)",
        "geometry",
        drive.span(),
    );
    let deflection = test_deflection(drive.span()).map_err(refused)?;
    say(
        "deflection",
        "Test deflection",
        "span/64",
        "belt maintenance practice",
        deflection,
    );
    let shown = line("wrap_deg", "Wrap on the small sheave")
        .rule("180 - 2 asin((D - d)/(2 C))", "geometry");
    sheet.tell(shown, drive.wrap(), 2, "deg");
    sheet.number("wrap_rule_deg", drive.wrap_by_rule());
    Ok(())
}

fn tension(sheet: &mut Sheet, given: &Given, known: &Known, belt: Belt) -> Result<(), Trouble> {
    let force = FORCE.read(given, "force")?;
    let found = match (
        known.motor,
        known.motor_sheave,
        known.driven_sheave,
        belt.section,
    ) {
        (Some(motor), Some(one), Some(other), Some((section, cogged))) => {
            // The smallest sheave turns fastest.
            let (smallest, speed) = if one.0 <= other.0 {
                (one, motor)
            } else {
                (other, driven_speed(motor, one, other).map_err(refused)?)
            };
            forces(section, cogged, smallest, speed)
        }
        _ if force.is_none() => return Ok(()),
        _ => None,
    };
    let Some(found) = found else {
        let shown = line("tension", "Force at the test deflection").rule(
            "table by section, smallest sheave and speed",
            "common practice",
        );
        ask(
            sheet.working(),
            shown,
            "force range of this belt",
            "the table has none for this section, sheave and speed, or one of them was not given",
            "look in the belt maker's tension table",
        );
        return Ok(());
    };
    tell_force(
        sheet,
        "force_used",
        "Force at the deflection, belt that has run",
        found.used_n,
        FORCE,
    );
    tell_force(
        sheet,
        "force_new",
        "Force at the deflection, new belt",
        found.new_n,
        FORCE,
    );
    judge(sheet.working(), found, force);
    Ok(())
}

fn tell_force(
    sheet: &mut Sheet,
    key: &'static str,
    label: &'static str,
    force: f64,
    quantity: Quantity,
) {
    let source = "belt tension table, common practice";
    sheet.quantity(
        line(key, label).rule("by section, smallest sheave and speed", source),
        quantity,
        force,
    );
}
