//! The figures of a belt drive: names, speeds, sheaves, lengths and tension.

use super::sheet::{FORCE, LENGTH, Quantity, Sheet, VELOCITY, refused};
use crate::belt::section::{Named, Section, judge_length};
use crate::belt::tension::{Forces, forces, judge};
use crate::belt::{Drive, sheave_for, test_deflection};
use crate::fan::{CAST_IRON_RIM, driven_speed, tip_speed};
use crate::figure::{Given, Trouble};
use crate::shown::{Fill, ask, figure, line};
use crate::units::{Millimetres, Rpm};
use crate::working::Verdict;

/// The belt, as far as it was named.
#[derive(Clone, Copy, Default)]
pub(super) struct Belt {
    pub named: Option<Named>,
    pub section: Option<(&'static Section, bool)>,
}

/// What is known of speeds and sheaves.
pub(super) struct Known {
    pub motor: Option<Rpm>,
    pub motor_sheave: Option<Millimetres>,
    pub driven_sheave: Option<Millimetres>,
}

pub(super) fn names(sheet: &mut Sheet, belt: Belt) {
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
            .rule("inside and 2 in for A, 3 for B, 4 for C, 5 for D; others a tenth of the number", source)
            .note("The length along the pitch line, from which centres follow, is in neither: see the belt's data");
        sheet.quantity(shown, LENGTH, named.outside.0);
    }
}

pub(super) fn speeds(sheet: &mut Sheet, known: &Known) -> Result<(), Trouble> {
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

pub(super) fn wanted(sheet: &mut Sheet, given: &Given, known: &Known) -> Result<(), Trouble> {
    let Some(wanted) = given.positive("wanted_speed_rpm")?.map(Rpm) else {
        return Ok(());
    };
    let motor = given.need("motor_speed_rpm", known.motor)?;
    let shown = line(
        "sheave_ratio_for_wanted",
        "Sheave ratio D/d for the wanted speed",
    )
    .rule("n1/n2, pitch diameters", "geometry");
    sheet.tell(shown, motor.0 / wanted.0, 4, "");
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

/// The field that was given, in millimetres or inches.
fn named(given: &Given, stem: &str) -> String {
    let metric = format!("{stem}_mm");
    if given.has(&metric) {
        metric
    } else {
        format!("{stem}_in")
    }
}

/// The belt that was named against the length that the drive needs.
fn against_name(sheet: &mut Sheet, drive: &Drive, belt: Belt) {
    if let Some(named) = belt.named {
        judge_length(sheet.working(), &named, drive.exact_length());
    }
}

pub(super) fn lengths(
    sheet: &mut Sheet,
    given: &Given,
    known: &Known,
    belt: Belt,
) -> Result<(), Trouble> {
    let centres = LENGTH.positive(given, "centres")?.map(Millimetres);
    let length = LENGTH.positive(given, "belt_length")?.map(Millimetres);
    if centres.is_some() && length.is_some() {
        let words = "Give the distance of the shafts or the belt length, not both";
        return Err(Trouble::of("belt_length_mm", words));
    }
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
    match (centres, length) {
        (Some(centres), _) => {
            let drive = at_centres(given, (one, other), centres)?;
            tell_lengths(sheet, &drive);
            against_name(sheet, &drive, belt);
            tell_span(sheet, &drive)
        }
        (None, Some(length)) => {
            let drive = of_length(given, (one, other), length)?;
            against_name(sheet, &drive, belt);
            let shown = line("centres", "Distance of the shafts").rule(
                "(B + sqrt(B² - 32 (D - d)²))/16, B = 4 L - 2 pi (D + d)",
                "machine design textbooks",
            );
            sheet.quantity(shown, LENGTH, drive.centres().0);
            tell_span(sheet, &drive)
        }
        (None, None) => Ok(()),
    }
}

type Sheaves = (Millimetres, Millimetres);

fn at_centres(
    given: &Given,
    (one, other): Sheaves,
    centres: Millimetres,
) -> Result<Drive, Trouble> {
    if centres.0 <= (one.0 + other.0) / 2.0 {
        return Err(Trouble::of(
            named(given, "centres"),
            "The sheaves would touch: the shafts must be farther apart than half the sum of the pitch diameters",
        ));
    }
    Drive::new(one, other, centres).map_err(refused)
}

fn of_length(given: &Given, (one, other): Sheaves, length: Millimetres) -> Result<Drive, Trouble> {
    Drive::of_length(one, other, length).map_err(|_| {
        Trouble::of(
            named(given, "belt_length"),
            "The belt is too short for these sheaves: they would touch before it fits",
        )
    })
}

fn tell_lengths(sheet: &mut Sheet, drive: &Drive) {
    let shown = line("belt_length", "Belt length along the pitch line").rule(
        "2 C + (pi/2)(D + d) + (D - d)²/(4 C)",
        "machine design textbooks",
    );
    sheet.quantity(shown, LENGTH, drive.length().0);
    let shown = line("belt_length_exact", "The same by geometry").rule(
        "2 t + (pi/2)(D + d) + (D - d) asin((D - d)/(2 C))",
        "geometry",
    );
    sheet.quantity(shown, LENGTH, drive.exact_length().0);
}

fn tell_span(sheet: &mut Sheet, drive: &Drive) -> Result<(), Trouble> {
    let shown = line("span", "Free span").rule("t = sqrt(C² - ((D - d)/2)²)", "geometry");
    sheet.quantity(shown, LENGTH, drive.span().0);
    let deflection = test_deflection(drive.span()).map_err(refused)?;
    let shown = line("deflection", "Test deflection").rule("t/64", "belt maintenance practice");
    sheet.quantity(shown, LENGTH, deflection.0);
    let shown = line("wrap_deg", "Wrap on the small sheave")
        .rule("180 - 2 asin((D - d)/(2 C))", "geometry");
    sheet.tell(shown, drive.wrap(), 2, "deg");
    sheet.number("wrap_rule_deg", drive.wrap_by_rule());
    Ok(())
}

pub(super) fn tension(
    sheet: &mut Sheet,
    given: &Given,
    known: &Known,
    belt: Belt,
) -> Result<(), Trouble> {
    let force = FORCE.read(given, "force")?;
    let whole =
        known.motor.is_some() && known.motor_sheave.is_some() && known.driven_sheave.is_some();
    if force.is_none() && !(whole && belt.section.is_some()) {
        return Ok(());
    }
    let found = force_range(known, belt)?;
    let Some(found) = found else {
        no_force(sheet, force.is_some());
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

/// The table's range for the smallest sheave, which turns fastest.
fn force_range(known: &Known, belt: Belt) -> Result<Option<Forces>, Trouble> {
    let (Some(motor), Some(one), Some(other), Some((section, cogged))) = (
        known.motor,
        known.motor_sheave,
        known.driven_sheave,
        belt.section,
    ) else {
        return Ok(None);
    };
    let (smallest, speed) = if one.0 <= other.0 {
        (one, motor)
    } else {
        (other, driven_speed(motor, one, other).map_err(refused)?)
    };
    Ok(forces(section, cogged, smallest, speed))
}

/// The table has no range for this drive; asked for only where a force waits to be judged.
fn no_force(sheet: &mut Sheet, measured: bool) {
    let shown = line("tension", "Force at the test deflection").rule(
        "table by section, smallest sheave and speed",
        "belt tension table, common practice",
    );
    if measured {
        return ask(
            sheet.working(),
            shown,
            "force range of this belt",
            "the table has none for this section, sheave and speed, or one of them was not given",
            "look in the belt maker's tension table",
        );
    }
    let shown = shown
        .value("no range", "")
        .note("The table has none for this section, sheave and speed: look in the belt maker's.");
    sheet.working().lines.push(shown);
}
