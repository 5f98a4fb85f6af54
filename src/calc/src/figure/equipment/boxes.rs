//! Topic `box_fill`.

use super::super::editions::{RULE_SET, per_edition};
use super::super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::json;
use crate::boxes::{self, BoxError, Contents, Room, Wires, Yokes};
use crate::circuit::RuleSet;
use crate::working::Missing;
use rust_decimal::Decimal;

const BY_SIZE: Takes = Takes::NumbersByName("size in AWG");
const YOKE: &[Want] = &[
    want("count", "Yokes", Takes::Whole),
    want("largest", "Largest conductor on it", Takes::Text).unit("AWG"),
    want("gangs", "Gangs each takes", Takes::Whole).note("blank: one, up to 2 in wide"),
];

const WANTS: &[Want] = &[
    RULE_SET,
    want("box", "Box", Takes::Text).note("trade size and kind, such as 4 x 1-1/2 square"),
    want("box_gangs", "Gangs of the box", Takes::Whole)
        .note("for masonry boxes and multiple covers, whose volume is that of one gang; blank: one, and asked for"),
    want("box_volume_in3", "Marked volume of the box", Takes::Number)
        .unit("in3")
        .note("instead of the trade size"),
    want(
        "added_in3",
        "Marked volumes of rings and covers",
        Takes::Numbers,
    )
    .unit("in3")
    .note("plaster rings, raised covers, extension rings"),
    want("metal_barriers", "Unmarked metal barriers", Takes::Whole).note("take 1/2 in3 each"),
    want(
        "other_barriers",
        "Unmarked nonmetallic barriers",
        Takes::Whole,
    )
    .note("take 1 in3 each"),
    want("conductors", "Conductors that end in the box", BY_SIZE)
        .note(r#"by size, such as {"12": 4}; grounding conductors apart"#),
    want("through", "Conductors that pass through", BY_SIZE).note("no splice, no loop"),
    want("loops", "Unbroken loops", BY_SIZE).note("twice the free length of 300.14 or longer"),
    want("pigtails", "Pigtails", BY_SIZE).note("no part leaves the box; they count nothing"),
    want("egc", "Equipment grounding conductors", BY_SIZE).note("those that come in"),
    want("isolated_egc", "Isolated grounding set", BY_SIZE).note("beside the others"),
    want("bonding_jumpers", "Equipment bonding jumpers", BY_SIZE).note("those that come in"),
    want("canopy_wires", "Fixture wires from a canopy", BY_SIZE)
        .note("up to four under 14 AWG are left out"),
    want(
        "canopy_egc",
        "Grounding conductors from the canopy",
        BY_SIZE,
    )
    .note("left out"),
    want("clamps", "Clamps inside the box", Takes::Flag).note("a clamp outside counts nothing"),
    want("studs", "Fixture stud inside", Takes::Flag),
    want("hickeys", "Hickey inside", Takes::Flag),
    want("yokes", "Devices on yokes", Takes::Whole).note("switches and receptacles"),
    want("yoke_largest", "Largest conductor on a device", Takes::Text)
        .unit("AWG")
        .note("blank: known only where all conductors are of one size"),
    want("yoke_gangs", "Gangs of each device", Takes::Whole).note("blank: one, up to 2 in wide"),
    want("more_yokes", "Other devices", Takes::Rows(YOKE)).note("where devices differ"),
    want("terminal_blocks", "Terminal blocks", Takes::Texts)
        .note("the largest conductor on each, such as 12; counted from 2023"),
    want("rule", "Question about the rule", Takes::Text)
        .note("which conductor size is used; answered in each_conductor_at_own_size"),
];

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

const ANSWERS: &[Answer] = &[
    answer("fill_in3", "in3", "room the contents take"),
    answer(
        "fill_in3_at_most",
        "in3",
        "where a device's conductors are open",
    ),
    answer(
        "egc_allowance_in3",
        "in3",
        "part of the grounding conductors",
    ),
    answer(
        "box_in3",
        "in3",
        "room of the box with rings, less barriers",
    ),
    answer("fits", "", "whether the contents fit"),
    answer(
        "left_in3",
        "in3",
        "room that is left; below zero where it is short",
    ),
    answer("more_18awg", "", "how many more of this size fit"),
    answer("more_16awg", "", "how many more of this size fit"),
    answer("more_14awg", "", "how many more of this size fit"),
    answer("more_12awg", "", "how many more of this size fit"),
    answer("more_10awg", "", "how many more of this size fit"),
    answer("more_8awg", "", "how many more of this size fit"),
    answer("more_6awg", "", "how many more of this size fit"),
    answer(
        "smallest_square_box_in3",
        "in3",
        "smallest square box of the table",
    ),
    answer("smallest_square_box", "", "its trade size"),
    answer(
        "smallest_octagonal_box_in3",
        "in3",
        "smallest round or octagonal box",
    ),
    answer("smallest_octagonal_box", "", "its trade size"),
    answer(
        "smallest_device_box_in3",
        "in3",
        "smallest single device box",
    ),
    answer("smallest_device_box", "", "its trade size"),
    answer(
        "each_conductor_at_own_size",
        "",
        "true: only clamps, fittings, devices and grounding conductors go by a largest",
    ),
];

pub(super) const BOX_FILL: Topic = Topic {
    name: "box_fill",
    title: "Box fill",
    what: "Tells how much of a box its conductors, clamps and devices take, and what still fits.",
    subject: Subject::Circuit,
    wants: WANTS,
    answers: ANSWERS,
    run,
};

fn run(given: &Given) -> Result<Figure, Trouble> {
    let contents = contents(given)?;
    let (room, one_gang) = room(given)?;
    let unsaid: Vec<&'static str> = [
        ("clamps", "internal clamps"),
        ("egc", "grounding conductors"),
        ("yokes", "devices"),
    ]
    .into_iter()
    .filter(|(name, _)| !(given.has(name) || *name == "yokes" && given.has("more_yokes")))
    .map(|(_, words)| words)
    .collect();
    if contents.is_empty() && given.has("rule") {
        return Ok(Figure::new(boxes::rule()).with("each_conductor_at_own_size", true));
    }
    if contents.is_empty() && room.volume.is_none() {
        return Err(Trouble::of(
            "conductors",
            "Not given: Conductors that end in the box",
        ));
    }
    let mut figure = per_edition(given, |edition| {
        one(edition, &contents, &room, &unsaid).map_err(trouble)
    })?;
    if one_gang {
        figure.working.missing.push(Missing {
            what: "number of gangs of the box".into(),
            why: "one gang was taken; the volume of the table is that of each gang".into(),
            how: "count the devices that stand side by side".into(),
        });
    }
    Ok(figure)
}

fn trouble(error: BoxError) -> Trouble {
    Trouble::new(sentence(&error.to_string()))
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn one(
    edition: RuleSet,
    contents: &Contents,
    room: &Room,
    unsaid: &[&'static str],
) -> Result<Figure, BoxError> {
    let fill = boxes::fill(edition, contents)?;
    let most = boxes::fill_at_most(edition, contents)?;
    let volume = room.total();
    let fits = volume.and_then(|volume| match fill.device_open {
        true if fill.total > volume => Some(false),
        true => most.filter(|most| *most <= volume).map(|_| true),
        false => Some(fill.total <= volume),
    });
    // A box alone tells what it may hold, not what it holds.
    let empty = contents.is_empty();
    let known = (!fill.device_open && !empty).then_some(fill.total);
    let figure = Figure::new(boxes::check(edition, contents, room, unsaid)?)
        .with("each_conductor_at_own_size", true)
        .with_some("fill_in3", known.map(json))
        .with_some(
            "fill_in3_at_most",
            most.filter(|_| fill.device_open).map(json),
        )
        .with_some("egc_allowance_in3", (!empty).then(|| json(fill.of("egc"))))
        .with_some("box_in3", volume.map(json))
        .with_some("fits", fits.filter(|_| !empty))
        .with_some(
            "left_in3",
            volume.zip(known).map(|(volume, fill)| json(volume - fill)),
        );
    room_answers(figure, edition, contents, volume, known)
}

/// What else fits, and which box would do.
fn room_answers(
    mut figure: Figure,
    edition: RuleSet,
    contents: &Contents,
    volume: Option<Decimal>,
    known: Option<Decimal>,
) -> Result<Figure, BoxError> {
    if let Some(volume) = volume {
        for size in boxes::sizes() {
            let more = boxes::more(edition, contents, size, volume)?;
            figure = figure.with_some(&format!("more_{size}awg"), more);
        }
    }
    if let Some(fill) = known {
        for kind in ["square", "octagonal", "device"] {
            if let Some(found) = boxes::smallest_box(kind, fill) {
                figure = figure
                    .with(&format!("smallest_{kind}_box_in3"), json(found.volume))
                    .with(&format!("smallest_{kind}_box"), found.name);
            }
        }
    }
    Ok(figure)
}

fn wires(given: &Given, name: &str) -> Result<Vec<Wires>, Trouble> {
    let read = given.numbers_by_name(name)?.unwrap_or_default();
    read.into_iter()
        .map(|(size, count)| {
            if count.fract() == 0.0 && (0.0..=f64::from(boxes::MOST)).contains(&count) {
                Ok(Wires {
                    size,
                    count: count as u32,
                })
            } else {
                Err(Trouble::of(
                    format!("{name}.{size}"),
                    "Give a whole number of conductors, zero or above",
                ))
            }
        })
        .collect()
}

fn small(given: &Given, name: &str) -> Result<Option<u32>, Trouble> {
    match given.whole(name)? {
        None => Ok(None),
        Some(count) => match u32::try_from(count) {
            Ok(count) if count <= boxes::MOST => Ok(Some(count)),
            _ => Err(Trouble::of(name, "Give a smaller number")),
        },
    }
}

/// Yes or no, or how many: any number of them counts once.
fn any(given: &Given, name: &str) -> Result<bool, Trouble> {
    match given.raw(name) {
        Some(value) if value.is_number() => Ok(given.whole(name)? != Some(0)),
        _ => Ok(given.flag(name)? == Some(true)),
    }
}

fn contents(given: &Given) -> Result<Contents, Trouble> {
    let mut yokes = vec![Yokes {
        count: small(given, "yokes")?.unwrap_or(0),
        gangs: small(given, "yoke_gangs")?.unwrap_or(1),
        largest: given.text("yoke_largest")?,
    }];
    let others = given.rows("more_yokes", |row| {
        Ok(Yokes {
            count: row.need("count", small(row, "count")?)?,
            gangs: small(row, "gangs")?.unwrap_or(1),
            largest: row.text("largest")?,
        })
    })?;
    yokes.extend(others.unwrap_or_default());
    Ok(Contents {
        conductors: wires(given, "conductors")?,
        through: wires(given, "through")?,
        loops: wires(given, "loops")?,
        pigtails: wires(given, "pigtails")?,
        egc: wires(given, "egc")?,
        isolated_egc: wires(given, "isolated_egc")?,
        bonding_jumpers: wires(given, "bonding_jumpers")?,
        canopy_wires: wires(given, "canopy_wires")?,
        canopy_egc: wires(given, "canopy_egc")?,
        clamps: any(given, "clamps")?,
        fitting_types: u32::from(any(given, "studs")?) + u32::from(any(given, "hickeys")?),
        yokes,
        terminal_blocks: given.texts("terminal_blocks")?.unwrap_or_default(),
    })
}

/// The box, and whether one gang was taken because their number was not given.
fn room(given: &Given) -> Result<(Room, bool), Trouble> {
    let mut one_gang = false;
    let gangs = small(given, "box_gangs")?;
    let volume = match (given.decimal("box_volume_in3")?, given.text("box")?) {
        (Some(_), Some(_)) => {
            let both = "Give the trade size or the marked volume, not both";
            return Err(Trouble::of("box_volume_in3", both));
        }
        (None, None) => None,
        (Some(volume), None) => Some(volume),
        (None, Some(text)) => {
            let found = named(&text)?;
            one_gang = found.by_gang && gangs.is_none();
            let gangs = gangs.filter(|_| found.by_gang).unwrap_or(1);
            Some(found.volume * Decimal::from(gangs))
        }
    };
    let room = Room {
        volume,
        added: given.decimals("added_in3")?.unwrap_or_default(),
        metal_barriers: small(given, "metal_barriers")?.unwrap_or(0),
        other_barriers: small(given, "other_barriers")?.unwrap_or(0),
    };
    Ok((room, one_gang))
}

fn named(text: &str) -> Result<boxes::BoxRoom, Trouble> {
    let found = boxes::find_box(text);
    match found.as_slice() {
        [] => Err(Trouble::of(
            "box",
            "No box of the table has this size; give its marked volume in box_volume_in3",
        )),
        [one] => Ok(one.clone()),
        several => {
            let names: Vec<&str> = several.iter().map(|found| found.name.as_str()).collect();
            let names = names.join("; ");
            Err(Trouble::of("box", format!("Say which one: {names}")))
        }
    }
}
