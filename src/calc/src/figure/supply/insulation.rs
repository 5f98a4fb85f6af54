//! Topic `insulation_resistance`.

use super::super::{Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use super::{CLASS, answer};
use crate::insulation::{self, Test, Winding};
use crate::units::{Celsius, Megohms, Volts};
use crate::working::Verdict;

const WANTS: &[Want] = &[
    want(
        "electronics_connected",
        "Electronics are connected to the winding",
        Takes::Flag,
    )
    .note("drive, speed controller, electronic motor; nothing is judged until this is answered"),
    want("megohm", "Reading after one minute", Takes::Number).unit("megohm"),
    want("megohm_10min", "Reading after ten minutes", Takes::Number)
        .unit("megohm")
        .note("only for a polarization index; small motors need none"),
    want("temp_c", "Temperature of the winding", Takes::Number)
        .unit("°C")
        .note("-20 to 120"),
    want("temp_f", "Temperature of the winding", Takes::Number)
        .unit("°F")
        .note("-4 to 248; in place of °C"),
    want("rated_kv", "Rated voltage", Takes::Number)
        .unit("kV")
        .note("between lines"),
    want("rated_v", "Rated voltage", Takes::Number)
        .unit("V")
        .note("between lines; instead of kilovolts"),
    want(
        "winding",
        "Kind of winding",
        Takes::Choice(&[
            ("random_wound", "Random-wound (nearly all below 1 kV)"),
            ("form_wound", "Form-wound, made after about 1970"),
            ("old_or_field", "Made before about 1970, or a field winding"),
        ]),
    ),
    want("insulation_class", "Insulation class", CLASS).note("for the polarization index"),
];

pub(super) const INSULATION_RESISTANCE: Topic = Topic {
    name: "insulation_resistance",
    title: "Insulation resistance",
    what: "Brings an insulation reading to 40 °C and judges it; refuses a test through electronics.",
    subject: Subject::Supply,
    wants: WANTS,
    answers: &[
        answer("factor", "", "to 40 °C, 0.5^((40 - T)/10)"),
        answer("corrected_40c_megohm", "megohm", "reading at 40 °C"),
        answer(
            "min_megohm",
            "megohm",
            "least value; kV + 1 where the kind is not known",
        ),
        answer("passes", "", "corrected reading against the least value"),
        answer("test_dc_v_min", "V", "lowest direct test voltage"),
        answer("test_dc_v_max", "V", "highest direct test voltage"),
        answer(
            "polarization_index",
            "",
            "ten minutes over one; none above 5000 megohm",
        ),
        answer("min_polarization_index", "", "least value of the class"),
    ],
    run,
};

fn run(given: &Given) -> Result<Figure, Trouble> {
    let test = test(given)?;
    let ten = given.positive("megohm_10min")?.map(Megohms);
    let class = given.choice("insulation_class")?;
    let asked = [
        test.reading.map(|r| r.0),
        test.rated_kv,
        test.temperature.map(|t| t.0),
    ];
    if asked.iter().all(Option::is_none) && test.winding.is_none() && class.is_none() {
        return Err(Trouble::of("megohm", "Not given: Reading after one minute"));
    }
    let working = insulation::check(&test)
        .map_err(|error| Trouble::of("electronics_connected", error.to_string()))?;
    if test
        .temperature
        .is_some_and(|t| insulation::factor_to_40(t).is_none())
    {
        return Err(Trouble::of(
            "temp_c",
            "Give a temperature from -20 to 120 °C",
        ));
    }
    let passes = match working.line("least").and_then(|line| line.verdict) {
        Some(Verdict::Within) => Some(true),
        Some(Verdict::Beyond) => Some(false),
        _ => None,
    };
    let figure = Figure::new(working).with_some("passes", passes);
    let index = test
        .reading
        .zip(ten)
        .and_then(|(one, ten)| insulation::polarization_index(one, ten));
    Ok(answers(figure, &test)
        .with_some("polarization_index", index)
        .with_some(
            "min_polarization_index",
            class.and_then(insulation::least_index),
        ))
}

fn answers(figure: Figure, test: &Test) -> Figure {
    // No test voltage before it is said that nothing electronic hangs on the winding.
    let apart = test.electronics == Some(false);
    let volts = test.rated_kv.map(|kv| Volts(kv * 1000.0));
    let tested = volts.and_then(insulation::test_voltage).filter(|_| apart);
    let corrected = test
        .reading
        .zip(test.temperature)
        .and_then(|(reading, t)| insulation::at_40(reading, t));
    let least = insulation::least(test.winding, test.rated_kv);
    figure
        .with_some(
            "factor",
            test.temperature.and_then(insulation::factor_to_40),
        )
        .with_some("corrected_40c_megohm", corrected.map(|r| r.0))
        .with_some("min_megohm", least.map(|least| least.megohm.0))
        .with_some("test_dc_v_min", tested.map(|(low, _)| low.0))
        .with_some("test_dc_v_max", tested.map(|(_, high)| high.0))
}

fn temperature(given: &Given) -> Result<Option<Celsius>, Trouble> {
    match (given.number("temp_c")?, given.number("temp_f")?) {
        (Some(_), Some(_)) => Err(Trouble::of("temp_f", "Give °C or °F, not both")),
        (None, Some(f)) if !(-4.0..=248.0).contains(&f) => Err(Trouble::of(
            "temp_f",
            "Give a temperature from -4 to 248 °F",
        )),
        (None, Some(f)) => Ok(Some(Celsius((f - 32.0) * 5.0 / 9.0))),
        (c, None) => Ok(c.map(Celsius)),
    }
}

fn test(given: &Given) -> Result<Test, Trouble> {
    let kv = given.positive("rated_kv")?;
    let volts = given.positive("rated_v")?;
    if kv.is_some() && volts.is_some() {
        return Err(Trouble::of(
            "rated_v",
            "Give the voltage once, in volts or kilovolts",
        ));
    }
    Ok(Test {
        reading: given.positive("megohm")?.map(Megohms),
        temperature: temperature(given)?,
        rated_kv: kv.or(volts.map(|volts| volts / 1000.0)),
        winding: given.choice("winding")?.map(|word| match word {
            "random_wound" => Winding::RandomWound,
            "form_wound" => Winding::FormWound,
            _ => Winding::OldOrField,
        }),
        electronics: given.flag("electronics_connected")?,
    })
}
