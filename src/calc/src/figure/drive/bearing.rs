//! Topics: bearings and grease.

use super::sheet::{GREASE, LENGTH, Sheet, VIBRATION, refused, temperature};
use crate::bearing::grease::{
    Conditions, Design, Dirt, Lie, Moisture, interval, quantity, quantity_oz, show_interval,
};
use crate::bearing::{
    Kind, Place, Position, Rolling, equivalent_load, hours, judge_life, judge_place, rating_for,
    rating_life, reliability_factor,
};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, ask, line};
use crate::units::{Celsius, Millimetres, MillimetresPerSecond, Rpm};

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}

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
    answer("equivalent_load_kn", "kN", "P = X Fr + Y Fa"),
    answer("life_million_turns", "million", "L10"),
    answer("life_h", "h", "L10 in hours"),
    answer("reliability_factor", "", "a1"),
    answer("adjusted_life_million_turns", "million", "a1 L10"),
    answer("adjusted_life_h", "h", "a1 L10 in hours"),
    answer("rating_needed_kn", "kN", "load rating for the wanted hours"),
    answer("place_verdict", "", "whether the kind suits its place"),
];

fn load(given: &Given) -> Result<Option<f64>, Trouble> {
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

fn life(sheet: &mut Sheet, given: &Given, load: f64) -> Result<(), Trouble> {
    let rolling = match given.need_choice("rolling")? {
        "ball" => Rolling::Ball,
        _ => Rolling::Roller,
    };
    let speed = given.positive("speed_rpm")?.map(Rpm);
    let wanted = given.positive("wanted_hours")?;
    let rating = given.positive("rating_kn")?;
    sheet.tell(
        line("equivalent_load_kn", "Equivalent load P").rule("given, or X Fr + Y Fa", "ISO 281"),
        load,
        4,
        "kN",
    );
    if let Some((hours, speed)) = wanted.zip(speed) {
        let share = factor(given)?.unwrap_or(1.0);
        let needed = rating_for(rolling, load, speed, hours / share).map_err(refused)?;
        let shown = line("rating_needed_kn", "Load rating for the wanted hours")
            .rule("P (60 n h/(a1 10^6))^(1/p)", "ISO 281");
        sheet.tell(shown, needed, 3, "kN");
    }
    let shown = line("life_million_turns", "Rating life L10")
        .rule("(C/P)^p, p = 3 ball, 10/3 roller", "ISO 281");
    let Some(rating) = rating else {
        if wanted.zip(speed).is_none() {
            given.need("rating_kn", rating)?;
        }
        ask(
            sheet.working(),
            shown,
            "dynamic load rating C",
            "life follows from C over P",
            "look the bearing's number up in its maker's table",
        );
        return Ok(());
    };
    let turns = rating_life(rolling, rating, load).map_err(refused)?;
    let shown = if load > 0.5 * rating {
        shown.note("The equation is meant for loads up to half of C: take it as a rough figure.")
    } else {
        shown
    };
    sheet.tell(shown, turns, 3, "million turns");
    in_hours(sheet, given, turns, (speed, wanted))
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

pub(super) const REGREASE: Topic = Topic {
    name: "regrease",
    title: "Grease: how much and how often",
    what: "Grease for one filling of a rolling bearing, and the running hours between fillings.",
    subject: Subject::FanAndDrive,
    wants: REGREASE_WANTS,
    answers: REGREASE_ANSWERS,
    run: regrease,
};

const REGREASE_WANTS: &[Want] = &[
    want("sealed", "Sealed for life", Takes::Flag).note("a sealed bearing is not regreased"),
    want("bore_mm", "Bore", Takes::Number)
        .unit("mm")
        .note("for the interval"),
    want("bore_in", "Bore, in inches", Takes::Number).unit("in"),
    want("outside_mm", "Outside diameter", Takes::Number)
        .unit("mm")
        .note("for the amount"),
    want("outside_in", "Outside diameter, in inches", Takes::Number).unit("in"),
    want("width_mm", "Width", Takes::Number)
        .unit("mm")
        .note("for the amount"),
    want("width_in", "Width, in inches", Takes::Number).unit("in"),
    want("speed_rpm", "Speed", Takes::Number).unit("rpm"),
    want(
        "housing_temperature_c",
        "Temperature of the housing",
        Takes::Number,
    )
    .unit("°C"),
    want(
        "housing_temperature_f",
        "Temperature of the housing, in °F",
        Takes::Number,
    )
    .unit("°F"),
    want(
        "contamination",
        "Dirt",
        Takes::Choice(&[
            ("light", "Light, not abrasive"),
            ("severe", "Severe, not abrasive"),
            ("light_abrasive", "Light, abrasive"),
            ("severe_abrasive", "Severe, abrasive"),
        ]),
    ),
    want(
        "moisture",
        "Moisture",
        Takes::Choice(&[
            ("below_80", "Below 80 % relative humidity"),
            ("from_80_to_90", "80 to 90 %"),
            ("condensation", "Condensation at times"),
            ("water", "Water at times"),
        ]),
    ),
    want(
        "vibration_peak_mm_s",
        "Vibration velocity, peak",
        Takes::Number,
    )
    .unit("mm/s")
    .note("peak, not r.m.s."),
    want(
        "vibration_peak_in_s",
        "Vibration velocity, peak, in in/s",
        Takes::Number,
    )
    .unit("in/s"),
    want(
        "shaft_position",
        "Shaft position",
        Takes::Choice(&[
            ("horizontal", "Horizontal"),
            ("slanted", "45 degrees"),
            ("vertical", "Vertical"),
        ]),
    ),
    want(
        "design",
        "Design of the bearing",
        Takes::Choice(&[
            ("ball", "Ball"),
            ("cylindrical_or_needle", "Cylindrical or needle roller"),
            ("taper_or_spherical", "Taper or spherical roller"),
        ]),
    ),
];

const REGREASE_ANSWERS: &[Answer] = &[
    answer(
        "grease_g",
        "g",
        "grease for one filling, 0.005 D B; also grease_oz",
    ),
    answer("grease_inch_form_oz", "oz", "by the inch form 0.114 D B"),
    answer("temperature_factor", "", "of the housing"),
    answer("dirt_factor", "", "of the dirt"),
    answer("moisture_factor", "", "of the moisture"),
    answer("vibration_factor", "", "of the vibration"),
    answer("position_factor", "", "of the shaft position"),
    answer("design_factor", "", "of the bearing"),
    answer("factor_k", "", "product of the six"),
    answer(
        "interval_k1_h",
        "h",
        "14e6/(n sqrt d) - 4 d, before the factors",
    ),
    answer("interval_h", "h", "running hours between greasings"),
    answer(
        "clamped",
        "",
        "true where the form falls below zero and says nothing",
    ),
    answer("regreased", "", "false for a sealed bearing"),
];

fn conditions(given: &Given) -> Result<Conditions, Trouble> {
    Ok(Conditions {
        housing: temperature(given, "housing_temperature")?.map(Celsius),
        dirt: given.choice("contamination")?.map(|word| match word {
            "light" => Dirt::Light,
            "severe" => Dirt::Severe,
            "light_abrasive" => Dirt::LightAbrasive,
            _ => Dirt::SevereAbrasive,
        }),
        moisture: given.choice("moisture")?.map(|word| match word {
            "below_80" => Moisture::Below80,
            "from_80_to_90" => Moisture::From80To90,
            "condensation" => Moisture::Condensation,
            _ => Moisture::Water,
        }),
        vibration_peak: VIBRATION
            .read(given, "vibration_peak")?
            .map(MillimetresPerSecond),
        lie: given.choice("shaft_position")?.map(|word| match word {
            "horizontal" => Lie::Horizontal,
            "slanted" => Lie::Slanted,
            _ => Lie::Vertical,
        }),
        design: given.choice("design")?.map(|word| match word {
            "ball" => Design::Ball,
            "cylindrical_or_needle" => Design::CylindricalOrNeedle,
            _ => Design::TaperOrSpherical,
        }),
    })
}

fn regrease(given: &Given) -> Result<Figure, Trouble> {
    let mut sheet = Sheet::new("Grease");
    let sealed = given.flag("sealed")?;
    let outside = LENGTH.positive(given, "outside")?.map(Millimetres);
    let width = LENGTH.positive(given, "width")?.map(Millimetres);
    let bore = LENGTH.positive(given, "bore")?.map(Millimetres);
    let speed = given.positive("speed_rpm")?.map(Rpm);
    let conditions = conditions(given)?;
    if sealed == Some(true) {
        sheet.answer("regreased", false);
        sheet.working().lines.push(
            line("sealed", "Sealed bearing")
                .value("not regreased", "")
                .rule("sealed for life", "common practice")
                .note("Replace it when it runs rough, hot or loud."),
        );
        return sheet.done();
    }
    if let Some((outside, width)) = outside.zip(width) {
        let shown = line("grease", "Grease for one filling")
            .rule("0.005 D B, mm", "bearing lubrication practice");
        sheet.quantity(shown, GREASE, quantity(outside, width).map_err(refused)?);
        sheet.number(
            "grease_inch_form_oz",
            quantity_oz(outside, width).map_err(refused)?,
        );
    }
    factors(&mut sheet, &conditions);
    if let Some((bore, speed)) = bore.zip(speed) {
        intervals(&mut sheet, bore, speed, &conditions)?;
    }
    if sheet.is_empty() {
        return Err(Trouble::new(
            "Give outside diameter and width for the amount, or bore and speed for the interval",
        ));
    }
    sheet.caution("The bearing maker's and the machine maker's own figures go first. Too much grease overheats a bearing as surely as too little.");
    sheet.caution("Do not mix greases of unlike thickeners, and keep hands clear of turning parts while greasing.");
    sheet.done()
}

fn factors(sheet: &mut Sheet, conditions: &Conditions) {
    for factor in conditions.factors() {
        if let Some(value) = factor.value {
            sheet.tell(
                line(factor.key, factor.label).rule("factor by table", "from memory"),
                value,
                2,
                "",
            );
        }
    }
}

fn intervals(
    sheet: &mut Sheet,
    bore: Millimetres,
    speed: Rpm,
    conditions: &Conditions,
) -> Result<(), Trouble> {
    let bare = interval(bore, speed, 1.0).map_err(refused)?;
    sheet.number("interval_k1_h", bare);
    let clamped = bare <= 0.0;
    sheet.answer("clamped", clamped);
    match conditions.product() {
        Some(k) => {
            sheet.tell(
                line("factor_k", "Factor K").rule("product of the six factors", "from memory"),
                k,
                4,
                "",
            );
            let hours = interval(bore, speed, k).map_err(refused)?;
            sheet.number("interval_h", hours);
            sheet.working().lines.push(show_interval(hours, clamped));
        }
        None => {
            let unknown: Vec<String> = conditions
                .factors()
                .iter()
                .filter(|factor| factor.value.is_none())
                .map(|factor| factor.label.to_lowercase())
                .collect();
            ask(
                sheet.working(),
                line("interval_h", "Hours between greasings")
                    .rule("T = K (14 000 000/(n sqrt d) - 4 d)", "from memory"),
                unknown.join(", "),
                "each shortens the interval by a factor of up to ten; none is assumed",
                "look at the machine and its place, and measure housing and vibration",
            );
        }
    }
    Ok(())
}
