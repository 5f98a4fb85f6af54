//! Topics `insulation_class`, `insulation_life` and `ambient_altitude`.

use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, want};
use super::{CLASS, answer};
use crate::shown::{Fill, figure as shown, line};
use crate::units::{Celsius, Kelvins, Metres};
use crate::winding::thermal::{self, Build, Site};
use crate::working::Working;

pub(super) const INSULATION_CLASS: Topic = Topic {
    name: "insulation_class",
    title: "Insulation class",
    what: "Tells the temperature of an insulation class and the rises it allows.",
    subject: Subject::Supply,
    wants: &[want("insulation_class", "Insulation class", CLASS)],
    answers: &[
        answer("class_temperature_c", "°C", "temperature of the class"),
        answer(
            "rise_k",
            "K",
            "highest rise by resistance, service factor 1.0",
        ),
        answer(
            "rise_service_factor_k",
            "K",
            "at the service-factor load, above 1.0",
        ),
        answer(
            "rise_not_ventilated_k",
            "K",
            "totally enclosed, not ventilated; from memory",
        ),
        answer(
            "rise_small_frame_k",
            "K",
            "frame smaller than 42; from memory",
        ),
        answer("reference_ambient_c", "°C", "air the rises belong to"),
    ],
    run: insulation_class,
};

const RISES: [(&str, &str, Build); 4] = [
    ("rise_k", "Rise, service factor 1.0", Build::Plain),
    (
        "rise_service_factor_k",
        "Rise at the service-factor load",
        Build::ServiceFactor,
    ),
    (
        "rise_not_ventilated_k",
        "Rise, not ventilated",
        Build::NotVentilated,
    ),
    ("rise_small_frame_k", "Rise, small frame", Build::SmallFrame),
];

fn insulation_class(given: &Given) -> Result<Figure, Trouble> {
    let letter = given.need_choice("insulation_class")?;
    let mut working = Working::new("Insulation class");
    let temperature = thermal::class_temperature(letter);
    if let Some(temperature) = temperature {
        working.lines.push(
            line("class", "Temperature of the class")
                .value(shown(temperature.0, 0), "°C")
                .rule("by letter", "NEMA MG 1; IEC 60085"),
        );
    }
    let mut figure = Figure::new(working)
        .with_some("class_temperature_c", temperature.map(|t| t.0))
        .with("reference_ambient_c", thermal::REFERENCE_AMBIENT.0);
    for (name, label, build) in RISES {
        let Some(rise) = thermal::rise_limit(letter, build) else {
            continue;
        };
        let source = match build {
            Build::Plain | Build::ServiceFactor => "NEMA MG 1 12.42, 12.43",
            Build::NotVentilated | Build::SmallFrame => "NEMA MG 1 12.42, 12.43; from memory",
        };
        figure.working.lines.push(
            line(name, label)
                .value(shown(rise.0, 0), "K")
                .rule("by resistance, in air of 40 °C", source),
        );
        figure = figure.with(name, rise.0);
    }
    Ok(figure)
}

pub(super) const INSULATION_LIFE: Topic = Topic {
    name: "insulation_life",
    title: "Life of insulation",
    what: "Compares the life of insulation at two temperatures by the halving rule.",
    subject: Subject::Supply,
    wants: &[
        want(
            "reference_temperature_c",
            "Temperature of the known life",
            Takes::Number,
        )
        .unit("°C")
        .note("0 to 400"),
        want("life_at_reference_h", "Life at it", Takes::Number)
            .unit("h")
            .note("such as 20000"),
        want("temperature_c", "Temperature of the winding", Takes::Number)
            .unit("°C")
            .note("0 to 400"),
    ],
    answers: &[
        answer("life_h", "h", "life at that temperature"),
        answer("life_ratio", "", "over the known life"),
    ],
    run: insulation_life,
};

fn insulation_life(given: &Given) -> Result<Figure, Trouble> {
    let reference = Celsius(given.need_number("reference_temperature_c")?);
    let hours = given.need_positive("life_at_reference_h")?;
    let at = Celsius(given.need_number("temperature_c")?);
    let life = thermal::life(reference, hours, at)
        .ok_or_else(|| Trouble::of("temperature_c", "Give temperatures from 0 to 400 °C"))?;
    let mut working = Working::new("Life of insulation");
    working.cautions.push(
        "A rule of thumb for comparing, not a warranty: moisture, dirt and starts end windings too."
            .into(),
    );
    working.lines.push(
        line("life", "Life")
            .value(shown(life, 0), "h")
            .rule("halves for each 10 K", "common practice")
            .note(format!(
                "{} h x 2^(({} - {})/10)",
                shown(hours, 0),
                shown(reference.0, 1),
                shown(at.0, 1)
            )),
    );
    Ok(Figure::new(working)
        .with("life_h", life)
        .with("life_ratio", life / hours))
}

pub(super) const AMBIENT_ALTITUDE: Topic = Topic {
    name: "ambient_altitude",
    title: "Hot surroundings and height",
    what: "Tells what hot air and height over the sea leave of a motor's rise and rating.",
    subject: Subject::Supply,
    wants: &[
        want("ambient_c", "Hottest air around the motor", Takes::Number)
            .unit("°C")
            .note("-40 to 100"),
        want("altitude_m", "Height over the sea", Takes::Number)
            .unit("m")
            .note("to 3017; or in feet"),
        want("altitude_ft", "Height over the sea", Takes::Number)
            .unit("ft")
            .note("to 9900"),
        want("rise_limit_k", "Rise allowed at 40 °C", Takes::Number)
            .unit("K")
            .note("or the class below"),
        want("insulation_class", "Insulation class", CLASS).note("its rise at service factor 1.0"),
        want("service_factor", "Marked service factor", Takes::Number).note("1.0 or above"),
        want("load_percent", "Power taken", Takes::Number)
            .unit("%")
            .note("of the plate"),
    ],
    answers: &[
        answer("rise_limit_k", "K", "rise that is left here"),
        answer("full_rating", "", "whether the full rating is kept"),
        answer(
            "usable_service_factor",
            "",
            "none where the motor must be derated",
        ),
        answer(
            "load_allowed",
            "",
            "power taken not above plate and service factor",
        ),
        answer("life_shortened", "", "power taken above the plate"),
    ],
    run: ambient_altitude,
};

fn height(given: &Given) -> Result<Option<Metres>, Trouble> {
    match (given.number("altitude_m")?, given.number("altitude_ft")?) {
        (Some(_), Some(_)) => {
            let once = "Give the height once, in metres or feet";
            Err(Trouble::of("altitude_ft", once))
        }
        (metres, feet) => Ok(metres.or(feet.map(|feet| feet * 0.3048)).map(Metres)),
    }
}

fn ambient_altitude(given: &Given) -> Result<Figure, Trouble> {
    let limit = match given.positive("rise_limit_k")? {
        Some(limit) => Some(Kelvins(limit)),
        None => given
            .choice("insulation_class")?
            .and_then(|class| thermal::rise_limit(class, Build::Plain)),
    };
    let site = Site {
        ambient: given.number("ambient_c")?.map(Celsius),
        height: height(given)?,
        limit,
        service_factor: given.positive("service_factor")?,
        load_percent: given.not_negative("load_percent")?,
    };
    if site.ambient.is_none() && site.load_percent.is_none() {
        let label = "Not given: Hottest air around the motor";
        return Err(Trouble::of("ambient_c", label));
    }
    let place = site.ambient.zip(site.height);
    let left = place
        .zip(limit)
        .and_then(|((t, h), limit)| thermal::rise_left(limit, t, h));
    let factor = place
        .zip(site.service_factor)
        .and_then(|((t, h), factor)| thermal::usable_service_factor(factor, t, h));
    let working = thermal::check(&site);
    let load = working.line("load").and_then(|line| line.verdict);
    Ok(Figure::new(working)
        .with_some("rise_limit_k", left.map(|left| left.0))
        .with_some(
            "full_rating",
            place.and_then(|(t, h)| thermal::full_rating(t, h)),
        )
        .with_some("usable_service_factor", factor)
        .with_some("load_allowed", load.map(|verdict| verdict.severity() < 4))
        .with_some(
            "life_shortened",
            site.load_percent.map(|load| load > 100.0 + 1e-9),
        ))
}
