//! Topic: seating and tightening torques.

use super::answer;
use super::sheet::{Sheet, TORQUE};
use crate::fastening::{Steel, Torque, bolt, bushing, metric_set_screw, set_screw};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, line};

pub(super) const TIGHTENING: Topic = Topic {
    name: "tightening",
    title: "Tightening torque",
    what: "Torque of a set screw, a bolt or nut, or a quick-detachable bushing, with the span over which charts print it.",
    subject: Subject::FanAndDrive,
    wants: WANTS,
    answers: ANSWERS,
    run,
};

const WANTS: &[Want] = &[
    want(
        "fastener",
        "Fastener",
        Takes::Choice(&[
            ("set_screw", "Set screw, inch, alloy steel, cup point"),
            ("metric_set_screw", "Set screw, metric"),
            ("bolt", "Bolt or nut, inch"),
            ("bushing", "Quick-detachable bushing"),
        ]),
    ),
    want("size", "Size", Takes::Text).note("#10-32, 1/4-20, M6; for a bushing its letters, H to N"),
    want("sae_grade", "SAE grade of the bolt", Takes::Whole)
        .note("2 or 5; by the marks on its head"),
    want(
        "steel",
        "Steel of a metric set screw",
        Takes::Choice(&[("alloy", "Alloy"), ("stainless", "Stainless")]),
    ),
];

const ANSWERS: &[Answer] = &[
    answer("torque_n_m", "N m", "torque"),
    answer("torque_in_lb", "in-lb", "the same"),
    answer("lowest_n_m", "N m", "lowest in print or in tolerance"),
    answer("lowest_in_lb", "in-lb", "the same"),
    answer("highest_n_m", "N m", "highest in print or in tolerance"),
    answer("highest_in_lb", "in-lb", "the same"),
    answer(
        "charts_disagree",
        "",
        "true where charts are more than 5 % apart",
    ),
    answer(
        "cap_screw_torque_n_m",
        "N m",
        "each cap screw of the bushing",
    ),
    answer("cap_screw_torque_in_lb", "in-lb", "the same"),
    answer(
        "key_screw_size_in",
        "in",
        "set screw over the key of the bushing",
    ),
    answer("key_screw_torque_n_m", "N m", "its torque"),
    answer("key_screw_torque_in_lb", "in-lb", "the same"),
];

fn unlisted(what: &str) -> Trouble {
    Trouble::of(
        "size",
        format!("No {what} of this size is listed: ask its maker"),
    )
}

fn run(given: &Given) -> Result<Figure, Trouble> {
    let mut sheet = Sheet::new("Tightening torque");
    let size = given.need_text("size")?;
    match given.need_choice("fastener")? {
        "set_screw" => {
            let torque = set_screw(&size).ok_or_else(|| unlisted("inch set screw"))?;
            tell(&mut sheet, torque, "set screw charts, common practice");
            screw(&mut sheet, torque);
        }
        "metric_set_screw" => {
            let steel = match given.need_choice("steel")? {
                "alloy" => Steel::Alloy,
                _ => Steel::Stainless,
            };
            let torque =
                metric_set_screw(&size, steel).ok_or_else(|| unlisted("metric set screw"))?;
            tell(&mut sheet, torque, "shaft collar chart, common practice");
            screw(&mut sheet, torque);
        }
        "bolt" => bolts(&mut sheet, given, &size)?,
        _ => bushings(&mut sheet, &size)?,
    }
    sheet.caution("The maker's own figure for wheel, sheave or bushing goes first. Lock out before working on the shaft, and check the torque again after the first hours of running.");
    sheet.done()
}

fn tell(sheet: &mut Sheet, torque: Torque, source: &'static str) {
    let shown = line("torque", "Torque").rule("by size", source);
    sheet.quantity(shown, TORQUE, torque.value.0);
    if torque.lowest != torque.highest {
        sheet.quantity(
            line("lowest", "Lowest").rule("by size", source),
            TORQUE,
            torque.lowest.0,
        );
        sheet.quantity(
            line("highest", "Highest").rule("by size", source),
            TORQUE,
            torque.highest.0,
        );
    }
}

fn screw(sheet: &mut Sheet, torque: Torque) {
    sheet.answer("charts_disagree", torque.disagrees());
    if torque.disagrees() {
        sheet.caution("Charts disagree on this size: ask the maker of the hub, and do not go above the lower figure without it.");
    }
    sheet.caution("Seat it on the flat of the shaft. What a set screw holds is not computed: tables of it differ by a factor of two.");
}

fn bolts(sheet: &mut Sheet, given: &Given, size: &str) -> Result<(), Trouble> {
    let grade = given.need_whole("sae_grade")?;
    let grade = u8::try_from(grade)
        .ok()
        .filter(|grade| matches!(grade, 2 | 5));
    let grade = grade.ok_or_else(|| {
        Trouble::of(
            "sae_grade",
            "Grades 2 and 5 are listed; for others ask the maker",
        )
    })?;
    let torque = bolt(size, grade).ok_or_else(|| unlisted("bolt"))?;
    tell(
        sheet,
        torque,
        "machine hardware chart, tolerance 20 %, common practice",
    );
    sheet.caution("Oil or grease on the threads lowers the torque that a bolt stands; the chart does not say which it was made for.");
    Ok(())
}

fn bushings(sheet: &mut Sheet, letters: &str) -> Result<(), Trouble> {
    let found = bushing(letters).ok_or_else(|| {
        Trouble::of(
            "size",
            "Give the bushing's letters: H, SH, SDS, SK, SF, E, F, J, M or N",
        )
    })?;
    let source = "bushing table, common practice";
    let shown = line("cap_screw_torque", "Each cap screw").rule("by bushing", source);
    sheet.quantity(shown, TORQUE, found.cap_screws.0);
    let source = if found.from_memory {
        "from memory"
    } else {
        source
    };
    if let Some(size) = found.key_screw_size {
        sheet.word(
            line("key_screw_size_in", "Set screw over the key").rule("by bushing", source),
            size,
        );
    }
    if let Some(torque) = found.key_screw {
        sheet.quantity(
            line("key_screw_torque", "Its torque").rule("by bushing", source),
            TORQUE,
            torque.0,
        );
    }
    sheet.caution("Clean the tapers and keep oil and grease off them. Tighten the cap screws in turns, a little each; a gap must stay under the flange.");
    Ok(())
}
