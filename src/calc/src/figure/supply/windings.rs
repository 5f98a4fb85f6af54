//! Topics `winding_resistance`, `winding_temperature` and `phase_balance`.

use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::{CLASS, METAL, STANDARD, answer, constant_of, three};
use crate::shown::{Fill, ask, line};
use crate::units::{Celsius, Kelvins, Ohms};
use crate::winding;
use crate::winding::thermal::{Build, rise_limit};

const METAL_WANT: Want = want("metal", "Metal of the winding", METAL)
    .note("asked for: some small motors are wound with aluminium");
const STANDARD_WANT: Want =
    want("standard", "Standard for copper", STANDARD).note("not needed for aluminium, 225 in both");

pub(super) const WINDING_RESISTANCE: Topic = Topic {
    name: "winding_resistance",
    title: "Winding resistance at another temperature",
    what: "Brings a measured winding resistance to another temperature.",
    subject: Subject::Supply,
    wants: &[
        METAL_WANT,
        STANDARD_WANT,
        want("resistance_ohm", "Measured resistance", Takes::Number).unit("ohm"),
        want("measured_c", "Temperature when measured", Takes::Number).unit("°C"),
        want("wanted_c", "Temperature wanted", Takes::Number)
            .unit("°C")
            .note("such as 25"),
    ],
    answers: &[
        answer("k", "", "constant of the metal"),
        answer("resistance_ohm", "ohm", "at the temperature wanted"),
    ],
    run: winding_resistance,
};

fn winding_resistance(given: &Given) -> Result<Figure, Trouble> {
    let k = constant_of(given)?;
    let reading = Ohms(given.need_positive("resistance_ohm")?);
    let at = Celsius(given.need_number("measured_c")?);
    let wanted = Celsius(given.need_number("wanted_c")?);
    let range = || Trouble::of("measured_c", "Give temperatures from -60 to 400 °C");
    let found = winding::resistance_at(reading, at, wanted, k).ok_or_else(range)?;
    let working = winding::check_resistance(reading, at, wanted, k).ok_or_else(range)?;
    Ok(Figure::new(working)
        .with("k", k)
        .with("resistance_ohm", found.0))
}

pub(super) const WINDING_TEMPERATURE: Topic = Topic {
    name: "winding_temperature",
    title: "Winding temperature by resistance",
    what: "Tells temperature and rise of a winding from its cold and hot resistance.",
    subject: Subject::Supply,
    wants: &[
        METAL_WANT,
        STANDARD_WANT,
        want("cold_ohm", "Cold resistance", Takes::Number).unit("ohm"),
        want("cold_c", "Temperature when cold", Takes::Number)
            .unit("°C")
            .note("after standing long enough to have the air's"),
        want("hot_ohm", "Hot resistance", Takes::Number)
            .unit("ohm")
            .note("at once after stopping, same leads"),
        want("ambient_end_c", "Air at the end of the run", Takes::Number)
            .unit("°C")
            .note("not at its beginning"),
        want("rise_limit_k", "Allowed rise", Takes::Number)
            .unit("K")
            .note("or the class below"),
        want("insulation_class", "Insulation class", CLASS).note("for the allowed rise"),
        want("service_factor", "Marked service factor", Takes::Number)
            .note("with the class: above 1.0 the rise at that load counts"),
    ],
    answers: &[
        answer("k", "", "constant of the metal"),
        answer("hot_c", "°C", "temperature of the winding, its mean"),
        answer("rise_k", "K", "over the air at the end"),
        answer("rise_limit_k", "K", "allowed rise"),
        answer("passes", "", "rise against the allowed one"),
    ],
    run: winding_temperature,
};

fn winding_temperature(given: &Given) -> Result<Figure, Trouble> {
    let k = constant_of(given)?;
    let cold = Ohms(given.need_positive("cold_ohm")?);
    let at = Celsius(given.need_number("cold_c")?);
    let hot = Ohms(given.need_positive("hot_ohm")?);
    let ambient = given.number("ambient_end_c")?.map(Celsius);
    let limit = match given.positive("rise_limit_k")? {
        Some(limit) => Some(Kelvins(limit)),
        None => limit_of(given)?,
    };
    let range = || {
        Trouble::of(
            "hot_ohm",
            "These figures give no temperature from -60 to 400 °C",
        )
    };
    let found = winding::hot_temperature(cold, at, hot, k).ok_or_else(range)?;
    let mut working = winding::check_rise(cold, at, hot, k, ambient, limit).ok_or_else(range)?;
    if limit.is_none() && given.has("insulation_class") {
        ask(
            &mut working,
            line("limit", "Allowed rise").rule("by class and service factor", "NEMA MG 1 12.43"),
            "service factor with the class, or the allowed rise itself",
            "above 1.0 a class allows 10 K more, and not every class has a rise",
            "read the plate",
        );
    }
    let rise = ambient.and_then(|ambient| winding::rise(found, ambient));
    if ambient.is_some() && rise.is_none() {
        let trouble = "Give a temperature from -60 to 400 °C";
        return Err(Trouble::of("ambient_end_c", trouble));
    }
    let passes = rise
        .zip(limit)
        .map(|(rise, limit)| rise.0 <= limit.0 + 1e-9);
    Ok(Figure::new(working)
        .with("k", k)
        .with("hot_c", found.0)
        .with_some("rise_k", rise.map(|rise| rise.0))
        .with_some("rise_limit_k", limit.map(|limit| limit.0))
        .with_some("passes", passes))
}

/// The class alone does not tell the rise: the service factor decides between two.
fn limit_of(given: &Given) -> Result<Option<Kelvins>, Trouble> {
    let Some(class) = given.choice("insulation_class")? else {
        return Ok(None);
    };
    let Some(factor) = given.positive("service_factor")? else {
        return Ok(None);
    };
    let build = if factor > 1.0 + 1e-9 {
        Build::ServiceFactor
    } else {
        Build::Plain
    };
    Ok(rise_limit(class, build))
}

pub(super) const PHASE_BALANCE: Topic = Topic {
    name: "phase_balance",
    title: "Balance of phase resistances",
    what: "Tells how far three phase resistances are apart.",
    subject: Subject::Supply,
    wants: &[
        want(
            "resistance_ohm",
            "Three resistances between the leads",
            Takes::Numbers,
        )
        .unit("ohm")
        .note("all at one temperature"),
        want(
            "limit_percent",
            "Allowed distance from the mean",
            Takes::Number,
        )
        .unit("%")
        .note("the maker's or the shop's own; blank: nothing is judged"),
    ],
    answers: &[
        answer("average_ohm", "ohm", "mean of the three"),
        answer(
            "max_deviation_from_average_percent",
            "%",
            "largest distance from the mean",
        ),
        answer(
            "spread_percent",
            "%",
            "largest less smallest, over the mean",
        ),
        answer("passes", "", "distance against the limit"),
    ],
    run: phase_balance,
};

fn phase_balance(given: &Given) -> Result<Figure, Trouble> {
    let readings = three(given, "resistance_ohm")?.map(Ohms);
    let limit = given.positive("limit_percent")?;
    let range = || {
        Trouble::of(
            "resistance_ohm",
            "Give three resistances below 1 000 000 000 ohm",
        )
    };
    let found = winding::balance(readings).ok_or_else(range)?;
    let working = winding::check_balance(readings, limit).ok_or_else(range)?;
    Ok(Figure::new(working)
        .with("average_ohm", found.mean.0)
        .with("max_deviation_from_average_percent", found.deviation)
        .with("spread_percent", found.spread)
        .with_some("passes", limit.map(|limit| found.deviation <= limit + 1e-9)))
}
