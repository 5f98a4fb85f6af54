//! Marks that few plates carry: asked, read and said, so that nothing that was read is dropped.

use super::plate_form::PlateReader;
use super::plate_said::{Said, say};
use crate::measure;
use crate::rows::{Ask, Takes, YES_NO, ask, hinted, small_count, yes_no, yes_no_word};
use calc::plate::More;
use calc::units::{Amps, Rpm, Watts};

pub const ASKS: &[Ask] = &[
    ask("input_power", "Power taken in", Takes::Number("W")),
    hinted(
        "tap_powers",
        "Power of each tap",
        Takes::Number("W"),
        "Highest first, as 250/190",
    ),
    hinted(
        "tap_amps",
        "Current of each tap",
        Takes::Number("A"),
        "Highest first, as 2.4/1.9",
    ),
    hinted(
        "speeds_by_frequency",
        "Speed at each frequency",
        Takes::Number("rpm"),
        "In the order of the frequencies",
    ),
    ask("speed_count", "Number of speeds", Takes::Number("")),
    ask("poles_marked", "Poles", Takes::Number("")),
    hinted(
        "service_factor_amps",
        "Service-factor amps",
        Takes::Number("A"),
        "In the order of the volts",
    ),
    hinted(
        "locked_rotor_amps",
        "Locked-rotor amps",
        Takes::Number("A"),
        "In the order of the volts",
    ),
    ask("design_letter", "Design letter", Takes::Text),
    hinted(
        "connection",
        "Connection",
        Takes::Text,
        "In the order of the volts, as Δ/Y",
    ),
    ask(
        "reversible_marked",
        "Can be reversed",
        Takes::Choice(YES_NO),
    ),
    ask("enclosure_mark", "Enclosure as marked", Takes::Text),
    hinted("ip_code", "IP code", Takes::Text, "As IP55"),
    hinted("cooling_code", "Cooling code", Takes::Text, "As IC411"),
    hinted("mounting_code", "Mounting code", Takes::Text, "As B3"),
    hinted(
        "efficiency_class",
        "Efficiency class",
        Takes::Text,
        "As IE2",
    ),
    hinted("duty_code", "Duty type", Takes::Text, "As S1 or S3 40 %"),
    ask("duty_minutes", "Longest run", Takes::Number("min")),
];

const AMPS: &str = "Enter amps, as 1.8 or 3.6/1.8";

pub(super) fn read(r: &mut PlateReader<'_>) -> More {
    let watts = |t: &str| measure::amount(t, &["w"], "Enter watts, as 250").map(Watts);
    let letter = |t: &str| {
        let mut letters = t.chars();
        match (letters.next(), letters.next()) {
            (Some(c), None) if c.is_ascii_alphabetic() => Ok(c.to_ascii_uppercase()),
            _ => Err("Enter one letter, as B".to_owned()),
        }
    };
    More {
        input_power: r.field("input_power", watts),
        tap_powers: r.list("tap_powers", &["w"], "Enter watts, as 250/190", Watts),
        tap_amps: r.list("tap_amps", &["a"], AMPS, Amps),
        speeds_by_frequency: r.list(
            "speeds_by_frequency",
            &["rpm"],
            "Enter speeds, as 1725/1425",
            Rpm,
        ),
        speed_count: r.field("speed_count", small_count),
        poles: r.field("poles_marked", small_count),
        service_factor_amps: r.list("service_factor_amps", &["a"], AMPS, Amps),
        locked_rotor_amps: r.list("locked_rotor_amps", &["a"], AMPS, Amps),
        design_letter: r.field("design_letter", letter),
        connection: r.text("connection"),
        reversible: r.field("reversible_marked", yes_no),
        enclosure_mark: r.text("enclosure_mark"),
        ip_code: r.text("ip_code"),
        cooling_code: r.text("cooling_code"),
        mounting_code: r.text("mounting_code"),
        efficiency_class: r.text("efficiency_class"),
        duty_code: r.text("duty_code"),
        duty_minutes: r.field("duty_minutes", |t| {
            measure::amount(t, &["min"], "Enter minutes, as 15")
        }),
    }
}

pub(super) fn said(more: &More) -> Vec<Said> {
    let amps = |v: &Vec<Amps>| measure::joined(v.iter().map(|v| v.0));
    vec![
        say("input_power", &more.input_power, |w| w.0.to_string()),
        say("tap_powers", &more.tap_powers, |v| {
            measure::joined(v.iter().map(|w| w.0))
        }),
        say("tap_amps", &more.tap_amps, amps),
        say("speeds_by_frequency", &more.speeds_by_frequency, |v| {
            measure::joined(v.iter().map(|n| n.0))
        }),
        say("speed_count", &more.speed_count, u8::to_string),
        say("poles_marked", &more.poles, u8::to_string),
        say("service_factor_amps", &more.service_factor_amps, amps),
        say("locked_rotor_amps", &more.locked_rotor_amps, amps),
        say("design_letter", &more.design_letter, char::to_string),
        say("connection", &more.connection, String::clone),
        say("reversible_marked", &more.reversible, |yes| {
            yes_no_word(*yes)
        }),
        say("enclosure_mark", &more.enclosure_mark, String::clone),
        say("ip_code", &more.ip_code, String::clone),
        say("cooling_code", &more.cooling_code, String::clone),
        say("mounting_code", &more.mounting_code, String::clone),
        say("efficiency_class", &more.efficiency_class, String::clone),
        say("duty_code", &more.duty_code, String::clone),
        say("duty_minutes", &more.duty_minutes, f64::to_string),
    ]
}
