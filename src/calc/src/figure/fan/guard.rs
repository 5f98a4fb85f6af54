//! Topic: the guard of fan blades.

use super::answer;
use super::sheet::{HEIGHT, LENGTH, Sheet};
use crate::fan::guard::{self, GuardInput, needs_guard, opening_at};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::units::Millimetres;

pub(super) const GUARD: Topic = Topic {
    name: "guard",
    title: "Guard of fan blades",
    what: "Whether blades must be guarded, the widest opening, and the opening a distance allows.",
    subject: Subject::FanAndDrive,
    wants: GUARD_WANTS,
    answers: GUARD_ANSWERS,
    run: run_guard,
};

const GUARD_WANTS: &[Want] = &[
    want(
        "blade_height_m",
        "Lowest point of the blades above floor or working level",
        Takes::Number,
    )
    .unit("m")
    .note("of the periphery; the level on which people stand or work"),
    want(
        "blade_height_ft",
        "Height of the blades, in feet",
        Takes::Number,
    )
    .unit("ft"),
    want("guarded", "A guard is there", Takes::Flag),
    want("opening_mm", "Widest opening of the guard", Takes::Number)
        .unit("mm")
        .note("on ring guards the clear space between rings"),
    want("opening_in", "Widest opening, in inches", Takes::Number).unit("in"),
    want(
        "distance_mm",
        "From the opening to the blades",
        Takes::Number,
    )
    .unit("mm"),
    want(
        "distance_in",
        "From the opening to the blades, in inches",
        Takes::Number,
    )
    .unit("in"),
    want("enclosed", "Inside a closed unit", Takes::Flag),
];

const GUARD_ANSWERS: &[Answer] = &[
    answer("guard_needed", "", "true where the height rule bites"),
    answer(
        "largest_opening_mm",
        "mm",
        "widest opening by the height rule",
    ),
    answer("largest_opening_in", "in", "the same"),
    answer(
        "opening_at_distance_mm",
        "mm",
        "widest opening at this distance",
    ),
    answer("opening_at_distance_in", "in", "the same"),
];

fn run_guard(given: &Given) -> Result<Figure, Trouble> {
    let input = GuardInput {
        height: HEIGHT
            .read(given, "blade_height")?
            .map(|metres| Millimetres(metres * 1000.0)),
        guarded: given.flag("guarded")?,
        opening: LENGTH.read(given, "opening")?.map(Millimetres),
        distance: LENGTH.read(given, "distance")?.map(Millimetres),
        enclosed: given.flag("enclosed")?,
    };
    let mut sheet = Sheet::on(guard::check(&input));
    let needed = input.height.and_then(needs_guard);
    if let Some(needed) = needed {
        sheet.answer("guard_needed", needed);
    }
    if needed == Some(true) {
        sheet.number("largest_opening_mm", guard::LARGEST_OPENING.0);
        sheet.number("largest_opening_in", guard::LARGEST_OPENING.inches());
    }
    if let Some(limit) = input.distance.and_then(opening_at) {
        sheet.number("opening_at_distance_mm", limit.0);
        sheet.number("opening_at_distance_in", limit.inches());
    }
    sheet.done()
}
