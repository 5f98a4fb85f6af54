//! Rows of insulation, windings and capacitors.

use crate::table::{Held, Outcome, Row, ask, ask_holds, holds, near, printed};
use serde_json::{Value, json};

fn least(input: Value, want: f64) -> Outcome {
    ask_holds(
        "insulation_resistance",
        &input,
        &json!({"min_megohm": want}),
        1e-9,
    )
}

pub fn insulation_row(row: &Row) -> Outcome {
    match row.text("ir_min_1min_megohm_at_40c") {
        "kV+1" => {
            least(json!({"winding": "old_or_field", "rated_kv": 4.16}), 5.16)?;
            least(json!({"winding": "old_or_field", "rated_v": 480}), 1.48)
        }
        "100" => {
            least(json!({"winding": "form_wound", "rated_kv": 1.0}), 100.0)?;
            least(json!({"winding": "form_wound", "rated_kv": 4.16}), 100.0)
        }
        "5" => {
            least(json!({"winding": "random_wound", "rated_v": 480}), 5.0)?;
            least(json!({"winding": "form_wound", "rated_v": 999}), 5.0)
        }
        other => Err(format!("least value {other}")),
    }
}

pub fn test_voltage_row(row: &Row) -> Outcome {
    let want = json!({
        "test_dc_v_min": row.json("test_dc_v_min"),
        "test_dc_v_max": row.json("test_dc_v_max"),
    });
    let ends = [
        row.number("winding_rated_v_min"),
        row.number("winding_rated_v_max"),
    ];
    for volts in ends.into_iter().flatten() {
        let apart = json!({"rated_v": volts, "electronics_connected": false});
        ask_holds("insulation_resistance", &apart, &want, 0.0)?;
        // Until the electronics are off, no test voltage is told.
        let open = ask("insulation_resistance", &json!({"rated_v": volts}))?;
        if open.get("test_dc_v_min").is_some() {
            return Err("a test voltage before electronics were asked about".into());
        }
        let through = json!({"rated_v": volts, "electronics_connected": true});
        if ask("insulation_resistance", &through).is_ok() {
            return Err("a test through electronics".into());
        }
    }
    Ok(Held::Agrees)
}

pub fn insulation_limit_row(row: &Row) -> Outcome {
    let index = |class: &str, want: f64| {
        let input = json!({"insulation_class": class, "megohm": 100, "megohm_10min": 250});
        let want = json!({"min_polarization_index": want, "polarization_index": 2.5});
        ask_holds("insulation_resistance", &input, &want, 0.0)
    };
    match row.text("winding") {
        "random-wound stator and any winding below 1 kV" => {
            least(json!({"winding": "random_wound", "rated_v": 230}), 5.0)?;
            least(json!({"winding": "form_wound", "rated_v": 690}), 5.0)
        }
        "form-wound made after about 1970, AC windings" => {
            least(json!({"winding": "form_wound", "rated_kv": 2.3}), 100.0)
        }
        "windings made before about 1970, field windings" => {
            least(json!({"winding": "old_or_field", "rated_kv": 2.3}), 3.3)
        }
        text if text.starts_with("fractional-horsepower") => {
            least(json!({"winding": "random_wound", "rated_v": 115}), 5.0)
        }
        "polarization index minimum class B and up" => {
            let above = json!({"megohm": 5001, "megohm_10min": 20000});
            let got = ask("insulation_resistance", &above)?;
            if got.get("polarization_index").is_some() {
                return Err("an index above 5000 megohm".into());
            }
            ["B", "F", "H"]
                .iter()
                .try_for_each(|class| index(class, 2.0).map(drop))?;
            Ok(Held::Agrees)
        }
        "polarization index class A" => index("A", 1.5),
        other => Err(format!("winding {other}")),
    }
}

pub fn correction_row(row: &Row) -> Outcome {
    let input = json!({
        "megohm": row.json("R_measured_Mohm"),
        "temp_c": row.json("winding_temperature_C"),
    });
    let want = json!({
        "factor": row.json("Kt_halving_per_10C"),
        "corrected_40c_megohm": row.json("R_at_40C_Mohm"),
    });
    ask_holds("insulation_resistance", &input, &want, 0.0)
}

pub fn class_row(row: &Row) -> Outcome {
    let got = ask(
        "insulation_class",
        &json!({"insulation_class": row.text("class")}),
    )?;
    let figure = |column: &str| {
        row.text(column)
            .split_whitespace()
            .next()
            .map(str::to_owned)
    };
    let mut open = None;
    for (column, field) in [
        ("class_temperature_C", "class_temperature_c"),
        ("rise_by_resistance_SF_1.0_K", "rise_k"),
        (
            "rise_by_resistance_at_SF_load_SF_over_1.0_K",
            "rise_service_factor_k",
        ),
        ("rise_TENV_K", "rise_not_ventilated_k"),
        ("rise_small_frame_K", "rise_small_frame_k"),
        ("reference_ambient_C", "reference_ambient_c"),
    ] {
        match figure(column) {
            // A range from memory is no figure to judge by.
            Some(text) if text.contains('-') => open = Some(column),
            Some(text) => {
                let got = got[field]
                    .as_f64()
                    .ok_or_else(|| format!("{field}: no answer"))?;
                printed(&text, got).map_err(|why| format!("{field}: {why}"))?;
                continue;
            }
            None => {}
        }
        if got.get(field).is_some() {
            return Err(format!("{field}: an answer where nothing is listed"));
        }
    }
    Ok(match open {
        Some(_) => Held::Differs(format!(
            "class {}: rises given as a range from memory are not answered",
            row.text("class")
        )),
        None => Held::Agrees,
    })
}

pub fn life_row(row: &Row) -> Outcome {
    let input = json!({
        "reference_temperature_c": row.json("reference_temperature_C"),
        "life_at_reference_h": row.json("life_at_reference_h"),
        "temperature_c": row.json("actual_temperature_C"),
    });
    ask_holds(
        "insulation_life",
        &input,
        &json!({"life_h": row.json("life_h")}),
        0.0,
    )
}

pub fn temperature_row(row: &Row) -> Outcome {
    let mut input = json!({
        "cold_ohm": row.json("R_cold_ohm"),
        "cold_c": row.json("t_cold_C"),
        "hot_ohm": row.json("R_hot_ohm"),
        "ambient_end_c": row.json("ambient_hot_C"),
    });
    if ask("winding_temperature", &input).is_ok() {
        return Err("an answer without the metal".into());
    }
    match row.text("k") {
        "234.5" => input["standard"] = "NEMA MG 1".into(),
        "235.0" => input["standard"] = "IEC 60034-1".into(),
        "225.0" => {}
        other => return Err(format!("k {other}")),
    }
    input["metal"] = if row.need("k") < 230.0 {
        "aluminium"
    } else {
        "copper"
    }
    .into();
    let want = json!({
        "k": row.json("k"),
        "hot_c": row.json("t_hot_C"),
        "rise_k": row.json("rise_K"),
    });
    ask_holds("winding_temperature", &input, &want, 0.0)
}

pub fn resistance_row(row: &Row) -> Outcome {
    let input = json!({
        "metal": "copper",
        "standard": "NEMA MG 1",
        "resistance_ohm": row.json("R_measured_ohm"),
        "measured_c": row.json("t_measured_C"),
        "wanted_c": row.json("t_target_C"),
    });
    let got = ask("winding_resistance", &input)?;
    holds(
        &row.json("R_corrected_234.5_ohm"),
        &got["resistance_ohm"],
        0.0,
    )?;
    // The flat 0.00393 belongs to a base of 20 °C; from any other base it is another figure.
    let misused = row.need("R_with_flat_0.00393_misused_ohm");
    let ours = got["resistance_ohm"].as_f64().unwrap_or_default();
    let off = (ours / misused - 1.0).abs();
    match row.need("t_measured_C") == 20.0 {
        true if off > 1e-5 => Err(format!("from 20 °C the flat factor is right: {ours}")),
        false if off < 1e-4 => Err(format!("the flat factor was used: {ours}")),
        _ => Ok(Held::Agrees),
    }
}

pub fn balance_row(row: &Row) -> Outcome {
    let readings = json!([
        row.json("R12_ohm"),
        row.json("R23_ohm"),
        row.json("R31_ohm")
    ]);
    let want = json!({
        "average_ohm": row.json("average_ohm"),
        "max_deviation_from_average_percent": row.json("max_deviation_from_average_percent"),
        "spread_percent": row.json("spread_percent"),
    });
    ask_holds(
        "phase_balance",
        &json!({"resistance_ohm": readings}),
        &want,
        0.0,
    )
}

pub fn capacitor_row(row: &Row) -> Outcome {
    let input = json!({
        "current_a": row.json("current_A"),
        "voltage_v": row.json("voltage_V"),
        "frequency_hz": row.json("frequency_Hz"),
    });
    let got = ask("capacitor", &input)?;
    holds(
        &row.json("capacitance_uF_exact"),
        &got["capacitance_uf"],
        0.0,
    )?;
    // The rounded constants (2652, 3183) are within a quarter of a thousandth.
    let exact = got["capacitance_uf"].as_f64().unwrap_or_default();
    near(
        row.need("capacitance_uF_rounded_constant"),
        exact,
        0.00025 * exact,
    )
}

pub fn capacitor_tolerance_row(row: &Row) -> Outcome {
    let mut input = json!({
        "rated_uf": row.json("rated_uF"),
        "measured_uf": row.json("measured_uF"),
    });
    if ask("capacitor", &input)?.get("judgement").is_some() {
        return Err("a judgement without the tolerance".into());
    }
    input["tolerance_percent"] = row.json("tolerance_percent");
    let judgement = row.text("verdict").split(':').next().unwrap_or_default();
    let want = json!({
        "low_limit_uf": row.json("low_limit_uF"),
        "high_limit_uf": row.json("high_limit_uF"),
        "judgement": judgement,
        "working": {"verdict": if judgement == "pass" { "within" } else { "beyond" }},
    });
    ask_holds("capacitor", &input, &want, 0.0)
}

pub fn ambient_row(row: &Row) -> Outcome {
    let run = |input: Value, want: Value| ask_holds("ambient_altitude", &input, &want, 1e-9);
    match row.text("condition") {
        "40 C rated motor in 50 C ambient" => run(
            json!({"ambient_c": 50, "altitude_m": 0, "insulation_class": "F"}),
            json!({"rise_limit_k": 95.0, "full_rating": false}),
        ),
        "above 3300 ft (1000 m)" => {
            let at = |m: u32| json!({"ambient_c": 40, "altitude_m": m, "rise_limit_k": 100});
            run(at(1000), json!({"rise_limit_k": 100.0}))?;
            run(at(1100), json!({"rise_limit_k": 99.0}))?;
            run(at(2000), json!({"rise_limit_k": 90.0}))
        }
        "altitude with cooler air" => {
            let full = |c: u32, ft: u32, full: bool| {
                let input = json!({"ambient_c": c, "altitude_ft": ft});
                run(input, json!({"full_rating": full}))
            };
            full(40, 3300, true)?;
            full(40, 3400, false)?;
            full(30, 6600, true)?;
            full(31, 6600, false)?;
            full(20, 9900, true)?;
            full(21, 9900, false)
        }
        "altitude with SF 1.15+" => {
            let factor = |sf: f64, ft: u32| {
                ask(
                    "ambient_altitude",
                    &json!({"ambient_c": 40, "altitude_ft": ft, "service_factor": sf}),
                )
            };
            holds(
                &json!({"usable_service_factor": 1.0}),
                &factor(1.15, 9000)?,
                0.0,
            )?;
            let refused = [factor(1.0, 9000)?, factor(1.15, 9100)?];
            match refused
                .iter()
                .all(|got| got.get("usable_service_factor").is_none())
            {
                true => Ok(Held::Agrees),
                false => Err("a service factor where none may be used".into()),
            }
        }
        "continuous use above rated hp" => {
            let at = |load: u32| json!({"load_percent": load, "service_factor": 1.15});
            run(
                at(115),
                json!({"life_shortened": true, "load_allowed": true}),
            )?;
            run(
                at(116),
                json!({"life_shortened": true, "load_allowed": false}),
            )?;
            run(at(100), json!({"life_shortened": false}))
        }
        other => Err(format!("condition {other}")),
    }
}
