//! Fan laws: flow, pressure and shaft power at another speed, wheel or air density.

use super::{Calculation, Part, line, missing};
use crate::form::FieldErrors;
use crate::measure::{self, figure, power_words};
use crate::rows::{Ask, Reader, Takes, Typed, ask, hinted};
use crate::shop::{Shop, Units};
use calc::fan::{FanPoint, fan_laws, tip_speed};
use calc::units::{Millimetres, Rpm, Watts};
use calc::working::Working;

pub static CALC: Calculation = Calculation {
    name: "fan-laws",
    title: "Fan laws",
    what: "Flow, pressure and shaft power of the same fan at another speed, wheel or air density.",
    parts,
    work,
};

const NOW: &[Ask] = &[
    ask("speed", "Fan speed now", Takes::Number("rpm")),
    hinted(
        "flow",
        "Flow now",
        Takes::Number(""),
        "In any unit, as 1200 or 0.6; the answer is in the same",
    ),
    hinted(
        "pressure",
        "Pressure now",
        Takes::Number(""),
        "In any unit; the answer is in the same",
    ),
    ask("power", "Shaft power now", Takes::Power),
    hinted(
        "diameter",
        "Wheel diameter now",
        Takes::Length,
        "Blank where the wheel stays",
    ),
    hinted(
        "density",
        "Air density now",
        Takes::Number("kg/m³"),
        "Blank where it stays; 1.2 at 20 °C",
    ),
];
const THEN: &[Ask] = &[
    ask("new_speed", "New fan speed", Takes::Number("rpm")),
    hinted(
        "new_diameter",
        "New wheel diameter",
        Takes::Length,
        "A similar fan, never a cut wheel",
    ),
    ask("new_density", "New air density", Takes::Number("kg/m³")),
];

fn parts() -> Vec<Part> {
    vec![
        Part::new("As it runs now", "", true, NOW),
        Part::new("As it shall run", "", true, THEN),
    ]
}

#[derive(Clone, Copy, Default)]
struct Given {
    speeds: Option<(Rpm, Rpm)>,
    diameters: Option<(Millimetres, Millimetres)>,
    densities: Option<(f64, f64)>,
    flow: Option<f64>,
    pressure: Option<f64>,
    power: Option<Watts>,
}

fn work(typed: &Typed, shop: &Shop) -> Result<Vec<Working>, FieldErrors> {
    let mut r = Reader::new(typed);
    let number = |text: &str| {
        measure::amount(
            text,
            &["rpm", "kg/m³"],
            "Enter a number above zero, as 1075",
        )
    };
    let length = |text: &str| measure::length(text, shop.units);
    let speed = r.known("speed", number).map(Rpm);
    let new_speed = r.known("new_speed", number).map(Rpm);
    let diameter = (r.known("diameter", length), r.known("new_diameter", length));
    let density = (r.known("density", number), r.known("new_density", number));
    if diameter.0.is_some() != diameter.1.is_some() {
        r.errors
            .add("new_diameter", "Enter both wheel diameters, or neither");
    }
    if density.0.is_some() != density.1.is_some() {
        r.errors
            .add("new_density", "Enter both densities, or neither");
    }
    let given = Given {
        speeds: speed.zip(new_speed),
        diameters: diameter.0.zip(diameter.1),
        densities: density.0.zip(density.1),
        flow: r.known("flow", |text| {
            measure::amount(text, &[], "Enter a number, as 1200")
        }),
        pressure: r.known("pressure", |text| {
            measure::amount(text, &[], "Enter a number, as 0.5")
        }),
        power: r.known("power", |text| measure::power(text, shop.units)),
    };
    r.errors.or(())?;
    Ok(vec![working(given, shop.units)])
}

fn change(ratio: f64) -> String {
    format!("{:+.1} %", 100.0 * (ratio - 1.0))
}

fn working(given: Given, units: Units) -> Working {
    const SOURCE: &str = "fan laws, AMCA 201";
    let mut out = Working::new("Fan laws");
    let Some((from, to)) = given.speeds else {
        let how = "Measure with a tachometer, or work it out from motor speed and sheaves.";
        out.missing.push(missing(
            "Both speeds",
            "Every change follows from their ratio.",
            how,
        ));
        return out;
    };
    // A wheel and an air that stay have the ratio one, whatever their figures.
    let (wheel, new_wheel) = given
        .diameters
        .unwrap_or((Millimetres(1.0), Millimetres(1.0)));
    let (air, new_air) = given.densities.unwrap_or((1.0, 1.0));
    let unit = FanPoint {
        flow_m3_s: 1.0,
        pressure_pa: 1.0,
        power: Watts(1.0),
        speed: from,
        diameter: wheel,
        density_kg_m3: air,
    };
    let Ok(ratio) = fan_laws(&unit, to, new_wheel, new_air) else {
        let how = "Type speeds, diameters and densities above zero.";
        out.missing.push(missing(
            "Figures above zero",
            "No ratio can be made of them.",
            how,
        ));
        return out;
    };
    let mut speed = line(
        "Fan speed",
        figure(to.0, 0),
        "rpm",
        "ratio r = n2/n1",
        SOURCE,
    );
    speed.margin = change(to.0 / from.0).into();
    out.lines.push(speed);
    let stays = |given: bool, words: &str| {
        if given {
            words.to_owned()
        } else {
            "stays".to_owned()
        }
    };
    let wheel_words = stays(
        given.diameters.is_some(),
        &measure::length_words(new_wheel, units),
    );
    out.lines.push(line(
        "Wheel",
        wheel_words,
        "",
        "as typed; blank stays as it is",
        "",
    ));
    let air_words = stays(
        given.densities.is_some(),
        &format!("{} kg/m³", figure(new_air, 3)),
    );
    out.lines.push(line(
        "Air density",
        air_words,
        "",
        "as typed; blank stays as it is",
        "",
    ));
    let mut add = |label, value: String, rule, of: f64| {
        let mut line = line(label, value, "", rule, SOURCE);
        line.margin = change(of).into();
        out.lines.push(line);
    };
    let times = |now: Option<f64>, of: f64| now.map_or_else(String::new, |now| figure(now * of, 3));
    add(
        "Flow",
        times(given.flow, ratio.flow_m3_s),
        "r d^3",
        ratio.flow_m3_s,
    );
    let pressure = times(given.pressure, ratio.pressure_pa);
    add(
        "Pressure",
        pressure,
        "r^2 d^2 and the density",
        ratio.pressure_pa,
    );
    let power = given
        .power
        .map(|now| power_words(Watts(now.0 * ratio.power.0), units));
    let power = power.unwrap_or_default();
    add(
        "Shaft power",
        power,
        "r^3 d^5 and the density",
        ratio.power.0,
    );
    if given.diameters.is_some()
        && let Ok(tip) = tip_speed(new_wheel, to)
    {
        out.lines.push(line(
            "Tip speed",
            figure(tip.0, 1),
            "m/s",
            "pi D n",
            "geometry",
        ));
    }
    for caution in [
        "The same fan on the same fixed system. A system that holds a pressure does not follow it.",
        "Check the highest speed of the wheel before it turns faster, and the motor's amps after.",
    ] {
        out.cautions.push(caution.into());
    }
    out
}
