//! Topic: bearing life, and the place of a bearing.

use super::answer;
use super::sheet::{Sheet, not_both, refused};
use crate::bearing::{
    Kind, Place, Position, Rolling, equivalent_load, hours, judge_life, judge_load, judge_place,
    rating_for, rating_life, reliability_factor,
};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, ask, line};
use crate::units::Rpm;

pub(super) const BEARING: Topic = Topic {
    name: "bearing",
    title: "Bearing life and place",
    what: "Rating life of a rolling bearing in turns and hours, the rating for wanted hours, and whether a kind of bearing suits its place.",
    subject: Subject::FanAndDrive,
    wants: BEARING_WANTS,
    answers: BEARING_ANSWERS,
    run: bearing,
};

const BEARING_WANTS: &[Want] = &[
    want(
        "rolling",
        "What rolls",
        Takes::Choice(&[("ball", "Balls"), ("roller", "Rollers or needles")]),
    )
    .note("for the life"),
    want("rating_kn", "Dynamic load rating C", Takes::Number).unit("kN"),
    want("load_kn", "Equivalent load P", Takes::Number)
        .unit("kN")
        .note("or radial and axial load with X and Y"),
    want("radial_kn", "Radial load", Takes::Number).unit("kN"),
    want("axial_kn", "Axial load", Takes::Number)
        .unit("kN")
        .note("0 where there is none"),
    want("x", "Factor X", Takes::Number).note("from the bearing's table"),
    want("y", "Factor Y", Takes::Number).note("from the bearing's table"),
    want("speed_rpm", "Speed", Takes::Number)
        .unit("rpm")
        .note("for hours"),
    want("reliability_percent", "Reliability", Takes::Number)
        .unit("%")
        .note("90, 95, 96, 97, 98 or 99; blank answers L10 only, which is 90"),
    want("wanted_hours", "Wanted life", Takes::Number).unit("h"),
    want(
        "bearing_kind",
        "Kind of bearing",
        Takes::Choice(&[
            ("sleeve", "Sleeve"),
            ("ball", "Ball"),
            ("sealed_ball", "Ball, sealed or shielded"),
            ("unit", "Unit bearing"),
        ]),
    )
    .note("for its place"),
    want(
        "shaft_position",
        "Shaft position",
        Takes::Choice(&[
            ("horizontal", "Horizontal"),
            ("shaft_up", "Vertical, shaft end up"),
            ("shaft_down", "Vertical, shaft end down"),
        ]),
    ),
    want("belt_driven", "A belt pulls at the shaft", Takes::Flag),
    want("heavy_wheel", "A heavy wheel hangs on it", Takes::Flag),
    want("wet", "Water reaches it", Takes::Flag),
    want(
        "plate_allows_position",
        "The plate allows all positions, or this one",
        Takes::Flag,
    ),
];

const BEARING_ANSWERS: &[Answer] = &[
    answer(
        "equivalent_load_kn",
        "kN",
        "P = X Fr + Y Fa, never below Fr",
    ),
    answer("life_million_turns", "million", "L10"),
    answer("life_h", "h", "L10 in hours"),
    answer("reliability_factor", "", "a1"),
    answer("adjusted_life_million_turns", "million", "a1 L10"),
    answer("adjusted_life_h", "h", "a1 L10 in hours"),
    answer("rating_needed_kn", "kN", "load rating for the wanted hours"),
    answer("place_verdict", "", "whether the kind suits its place"),
];

fn load(given: &Given) -> Result<Option<f64>, Trouble> {
    not_both(given, "load_kn", "radial_kn")?;
    if let Some(load) = given.positive("load_kn")? {
        return Ok(Some(load));
    }
    let Some(radial) = given.not_negative("radial_kn")? else {
        return Ok(None);
    };
    let axial = given.need("axial_kn", given.not_negative("axial_kn")?)?;
    let x = given.need("x", given.not_negative("x")?)?;
    let y = given.need("y", given.not_negative("y")?)?;
    equivalent_load(radial, axial, x, y)
        .map(Some)
        .map_err(refused)
}

fn bearing(given: &Given) -> Result<Figure, Trouble> {
    let mut sheet = Sheet::new("Bearing");
    let kind = given.choice("bearing_kind")?;
    let load = load(given)?;
    if let Some(load) = load {
        life(&mut sheet, given, load)?;
    } else if kind.is_none() || given.has("rating_kn") {
        given.need("load_kn", load)?;
    }
    if let Some(kind) = kind {
        place(&mut sheet, given, kind)?;
    }
    sheet.caution("Rating life counts clean, greased, well fitted bearings; dirt, water, bad fits and stray current end most bearings sooner.");
    sheet.done()
}

fn rolling(given: &Given) -> Result<Rolling, Trouble> {
    Ok(match given.need_choice("rolling")? {
        "ball" => Rolling::Ball,
        _ => Rolling::Roller,
    })
}

fn life(sheet: &mut Sheet, given: &Given, load: f64) -> Result<(), Trouble> {
    let rolling = rolling(given)?;
    let speed = given.positive("speed_rpm")?.map(Rpm);
    let wanted = given.positive("wanted_hours")?;
    let rating = given.positive("rating_kn")?;
    sheet.tell(
        line("equivalent_load_kn", "Equivalent load P")
            .rule("given, or the larger of Fr and X Fr + Y Fa", "ISO 281"),
        load,
        4,
        "kN",
    );
    tell_rating_needed(sheet, given, (rolling, load), (speed, wanted))?;
    let shown = line("life_million_turns", "Rating life L10")
        .rule("(C/P)^p, p = 3 ball, 10/3 roller", "ISO 281");
    match rating {
        Some(rating) => {
            let turns = rating_life(rolling, rating, load).map_err(refused)?;
            judge_load(sheet.working(), rating, load);
            sheet.tell(shown, turns, 3, "million turns");
            in_hours(sheet, given, turns, (speed, wanted))
        }
        None if wanted.zip(speed).is_some() => {
            ask(
                sheet.working(),
                shown,
                "dynamic load rating C",
                "life follows from C over P",
                "look the bearing's number up in its maker's table",
            );
            Ok(())
        }
        None => given.need("rating_kn", None),
    }
}

fn tell_rating_needed(
    sheet: &mut Sheet,
    given: &Given,
    (rolling, load): (Rolling, f64),
    (speed, wanted): (Option<Rpm>, Option<f64>),
) -> Result<(), Trouble> {
    if let Some((hours, speed)) = wanted.zip(speed) {
        let share = factor(given)?.unwrap_or(1.0);
        let needed = rating_for(rolling, load, speed, hours / share).map_err(refused)?;
        let shown = line("rating_needed_kn", "Load rating for the wanted hours")
            .rule("P (60 n h/(a1 10^6))^(1/p)", "ISO 281");
        sheet.tell(shown, needed, 3, "kN");
    }
    Ok(())
}

fn factor(given: &Given) -> Result<Option<f64>, Trouble> {
    match given.number("reliability_percent")? {
        None => Ok(None),
        Some(percent) => reliability_factor(percent)
            .map(Some)
            .ok_or_else(|| Trouble::of("reliability_percent", "Give 90, 95, 96, 97, 98 or 99")),
    }
}

fn in_hours(
    sheet: &mut Sheet,
    given: &Given,
    turns: f64,
    (speed, wanted): (Option<Rpm>, Option<f64>),
) -> Result<(), Trouble> {
    let a1 = factor(given)?;
    if let Some(a1) = a1 {
        let shown = line("reliability_factor", "Factor of reliability a1")
            .rule("by table", "ISO 281:2007, from memory");
        sheet.tell(shown, a1, 2, "");
        let shown = line("adjusted_life_million_turns", "Life at this reliability")
            .rule("a1 L10", "ISO 281:2007");
        sheet.tell(shown, a1 * turns, 3, "million turns");
    }
    let shown = line("life_h", "Rating life in hours").rule("10^6 L10/(60 n)", "ISO 281");
    let Some(speed) = speed else {
        ask(
            sheet.working(),
            shown,
            "speed",
            "hours follow from turns and speed",
            "read the motor's plate or measure the shaft",
        );
        return Ok(());
    };
    let life = hours(turns, speed).map_err(refused)?;
    sheet.tell(shown, life, 1, "h");
    if let Some(a1) = a1 {
        let shown = line("adjusted_life_h", "Life at this reliability in hours")
            .rule("a1 10^6 L10/(60 n)", "ISO 281:2007");
        sheet.tell(shown, a1 * life, 1, "h");
    }
    if let Some(wanted) = wanted {
        judge_life(sheet.working(), a1.unwrap_or(1.0) * life, wanted);
    }
    Ok(())
}

fn place(sheet: &mut Sheet, given: &Given, kind: &str) -> Result<(), Trouble> {
    let kind = match kind {
        "sleeve" => Kind::Sleeve,
        "ball" => Kind::Ball,
        "sealed_ball" => Kind::SealedBall,
        _ => Kind::Unit,
    };
    let position = given.choice("shaft_position")?.map(|word| match word {
        "horizontal" => Position::Horizontal,
        "shaft_up" => Position::ShaftUp,
        _ => Position::ShaftDown,
    });
    let place = Place {
        position,
        belt: given.flag("belt_driven")?,
        heavy_wheel: given.flag("heavy_wheel")?,
        wet: given.flag("wet")?,
        plate_allows: given.flag("plate_allows_position")?,
    };
    let before = sheet.working().lines.len();
    judge_place(sheet.working(), kind, &place);
    let lines = sheet.working().lines.iter().skip(before);
    let verdict = lines
        .filter_map(|line| line.verdict)
        .reduce(crate::working::Verdict::worse);
    if let Some(verdict) = verdict {
        sheet.answer("place_verdict", verdict.words());
    }
    Ok(())
}
