//! Topic: grease, how much and how often.

use super::answer;
use super::sheet::{GREASE, LENGTH, Sheet, VIBRATION, refused, temperature};
use crate::bearing::grease::{
    Conditions, Design, Dirt, Lie, Moisture, interval, quantity, quantity_oz, show_interval,
};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::shown::{Fill, ask, line};
use crate::units::{Celsius, Millimetres, MillimetresPerSecond, Rpm};

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
    answer("grease_g", "g", "grease for one filling, 0.005 D B"),
    answer("grease_oz", "oz", "the same"),
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
        return tell_sealed(sheet);
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
    if sealed.is_none() {
        sheet.caution("A bearing sealed for life is not regreased: look for seals and for a grease fitting first.");
    }
    sheet.caution("Do not mix greases of unlike thickeners, and keep hands clear of turning parts while greasing.");
    sheet.done()
}

fn tell_sealed(mut sheet: Sheet) -> Result<Figure, Trouble> {
    sheet.answer("regreased", false);
    sheet.working().lines.push(
        line("sealed", "Sealed bearing")
            .value("not regreased", "")
            .rule("sealed for life", "common practice")
            .note("Replace it when it runs rough, hot or loud."),
    );
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
        None => ask_conditions(sheet, conditions),
    }
    Ok(())
}

/// The interval waits for every factor: none is taken for granted.
fn ask_conditions(sheet: &mut Sheet, conditions: &Conditions) {
    let unknown: Vec<&str> = conditions
        .factors()
        .iter()
        .filter(|factor| factor.value.is_none())
        .map(|factor| factor.condition)
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
