//! Reference tables: life, place and grease of bearings.

use super::super::table::{Held, Outcome, Row, ask, near};
use super::{agrees, figure, same};
use serde_json::{Value, json};

pub fn bearing_life(row: &Row) -> Outcome {
    let rolling = if row.need("exponent") == 3.0 {
        "ball"
    } else {
        "roller"
    };
    let input = json!({
        "rolling": rolling, "rating_kn": row.need("C_kN"), "load_kn": row.need("P_kN"),
        "speed_rpm": row.number("speed_rpm"),
    });
    let got = ask("bearing", &input)?;
    agrees(row, "L10_million_rev", &got, "life_million_turns")?;
    match row.number("L10h_h") {
        Some(hours) => {
            agrees(row, "L10h_h", &got, "life_h")?;
            let mut turned = input.clone();
            turned["wanted_hours"] = hours.into();
            turned["rating_kn"] = Value::Null;
            let needed = figure(&ask("bearing", &turned)?, "rating_needed_kn")?;
            near(row.need("C_kN"), needed, 1e-5 * needed)
        }
        None => same("hours without a speed", Value::Null, &got["life_h"]),
    }
}

pub fn reliability_factor(row: &Row) -> Outcome {
    let input = json!({
        "rolling": "ball", "rating_kn": 20, "load_kn": 2, "speed_rpm": 1000,
        "reliability_percent": row.need("reliability_percent"),
    });
    let got = ask("bearing", &input)?;
    agrees(row, "a1", &got, "reliability_factor")?;
    near(
        1000.0 * row.need("a1"),
        figure(&got, "adjusted_life_million_turns")?,
        1e-6,
    )
}

pub fn grease_row(row: &Row) -> Outcome {
    let ask_at = |speed: f64| {
        ask(
            "regrease",
            &json!({
                "bore_mm": row.need("bore_mm"), "outside_mm": row.need("outside_mm"),
                "width_mm": row.need("width_mm"), "speed_rpm": speed,
            }),
        )
    };
    let got = ask_at(1750.0)?;
    agrees(row, "grease_g_0.005DB", &got, "grease_g")?;
    agrees(row, "grease_oz_0.114DB", &got, "grease_inch_form_oz")?;
    agrees(row, "grease_oz_exact_conversion", &got, "grease_oz")?;
    agrees(row, "interval_h_1750rpm_K1", &got, "interval_k1_h")?;
    agrees(
        row,
        "interval_h_3500rpm_K1",
        &ask_at(3500.0)?,
        "interval_k1_h",
    )?;
    // The form with 0.1 in print gives 0.1/0.114 of it, 12 % too little.
    let low = figure(&got, "grease_inch_form_oz")? * 0.1 / 0.114;
    row.agrees("grease_oz_0.1DB_common_but_12pc_low", low)
}

/// The fields of a factor: what is given, and what is answered.
fn factor_fields(factor: &str) -> Result<(&'static str, &'static str), String> {
    Ok(match factor {
        "housing temperature" => ("housing_temperature_c", "temperature_factor"),
        "contamination" => ("contamination", "dirt_factor"),
        "moisture" => ("moisture", "moisture_factor"),
        "vibration peak" => ("vibration_peak_in_s", "vibration_factor"),
        "shaft position" => ("shaft_position", "position_factor"),
        "design" => ("design", "design_factor"),
        other => return Err(format!("no factor {other}")),
    })
}

/// Both ends of a band of figures, or the word of a kind.
fn band(words: &str) -> Result<Vec<Value>, String> {
    let word = |word: &str| Ok(vec![json!(word)]);
    let figures = |figures: &[f64]| Ok(figures.iter().map(|figure| json!(figure)).collect());
    match words {
        "< 65 C" => figures(&[20.0, 64.9]),
        "65-79 C" => figures(&[65.0, 79.0]),
        "80-93 C" => figures(&[80.0, 93.0]),
        "> 93 C" => figures(&[93.1, 150.0]),
        "< 0.2 in/s" => figures(&[0.0, 0.19]),
        "0.2-0.4 in/s" => figures(&[0.2, 0.4]),
        "> 0.4 in/s" => figures(&[0.41]),
        "light non-abrasive" => word("light"),
        "severe non-abrasive" => word("severe"),
        "light abrasive" => word("light_abrasive"),
        "severe abrasive" => word("severe_abrasive"),
        "< 80 % RH" => word("below_80"),
        "80-90 % RH" => word("from_80_to_90"),
        "occasional condensation" => word("condensation"),
        "occasional water" => word("water"),
        "45 deg" => word("slanted"),
        "cylindrical / needle" => word("cylindrical_or_needle"),
        "taper / spherical" => word("taper_or_spherical"),
        same @ ("horizontal" | "vertical" | "ball") => word(same),
        other => Err(format!("no band {other}")),
    }
}

pub fn regrease_factor(row: &Row) -> Outcome {
    let (field, answer) = factor_fields(row.text("factor"))?;
    for value in band(row.text("band"))? {
        let mut input = json!({
            "bore_mm": 25, "speed_rpm": 1750, "housing_temperature_c": 40, "contamination": "light",
            "moisture": "below_80", "vibration_peak_in_s": 0.1, "shaft_position": "horizontal",
            "design": "taper_or_spherical",
        });
        input[field] = value;
        let got = ask("regrease", &input)?;
        agrees(row, "value", &got, answer)?;
        // All the others are 1, and the bare interval of this bearing is 1500 h.
        near(row.need("value"), figure(&got, "factor_k")?, 1e-9)?;
        near(
            1500.0 * row.need("value"),
            figure(&got, "interval_h")?,
            1e-6,
        )?;
    }
    Ok(Held::Agrees)
}

/// The question of a row, and what the table says of it.
fn place_question(cell: (&str, &str)) -> Result<(Value, &'static str), String> {
    let sleeve = |position: &str, belt: bool| json!({"bearing_kind": "sleeve", "shaft_position": position, "belt_driven": belt});
    let by_plate = "only if plate says all-position";
    Ok(match cell {
        ("sleeve", "horizontal") => (sleeve("horizontal", false), "yes"),
        ("sleeve", "vertical shaft up") => (sleeve("shaft_up", false), by_plate),
        ("sleeve", "vertical shaft down") => (sleeve("shaft_down", false), by_plate),
        ("sleeve", "belt drive with side pull") => {
            (sleeve("horizontal", true), "no above light loads")
        }
        ("ball", "any") => (json!({"bearing_kind": "ball"}), "yes"),
        ("ball", "belt drive") => (json!({"bearing_kind": "ball", "belt_driven": true}), "yes"),
        ("ball", "vertical heavy wheel") => (
            json!({"bearing_kind": "ball", "shaft_position": "shaft_down", "heavy_wheel": true}),
            "check thrust",
        ),
        ("unit bearing", "per plate") => (json!({"bearing_kind": "unit"}), "as marked"),
        ("ball (sealed/shielded)", "wet") => (
            json!({"bearing_kind": "sealed_ball", "wet": true}),
            "yes with slinger; drain hole at lowest point",
        ),
        other => return Err(format!("no case for {other:?}")),
    })
}

pub fn bearing_place(row: &Row) -> Outcome {
    let (input, want) = place_question((row.text("bearing"), row.text("mounting")))?;
    same("suitable", want, &row.text("suitable").into())?;
    let place = |input: &Value| Ok::<_, String>(ask("bearing", input)?["place_verdict"].clone());
    let verdict = match want {
        "yes" if row.text("mounting") == "belt drive" => "within, note",
        "yes" => "within",
        "no above light loads" => "beyond",
        "only if plate says all-position" | "as marked" => {
            for (allowed, verdict) in [(true, "within"), (false, "beyond")] {
                let mut input = input.clone();
                input["plate_allows_position"] = allowed.into();
                same("plate", verdict, &place(&input)?)?;
            }
            "not known yet"
        }
        _ => "within, note",
    };
    same("place", verdict, &place(&input)?)
}
