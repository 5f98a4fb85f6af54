//! Rows of the IEC rule set.

use super::super::table::{Held, Outcome, Row, ask};
use super::{cell, figure, same};
use serde_json::json;

pub fn capacity(row: &Row) -> Outcome {
    let input = json!({
        "insulation": row.text("insulation"), "loaded": row.need("loaded_conductors") as u64,
        "method": row.text("reference_method"), "ambient_c": 30, "circuits": 1,
    });
    let got = figure("iec_ampacity", &input, row.text("area_mm2"));
    cell(row.text("ampacity_a"), got, row.text("area_mm2"))?;
    Ok(Held::Agrees)
}

pub fn ambient(row: &Row) -> Outcome {
    for insulation in ["pvc_70c", "xlpe_90c"] {
        let input = json!({
            "insulation": insulation, "loaded": 2, "method": "B1", "ambient_c": row.need("ambient_c"),
        });
        let got = figure("iec_ampacity", &input, "ambient_factor");
        cell(row.text(&format!("factor_{insulation}")), got, insulation)?;
    }
    Ok(Held::Agrees)
}

pub fn grouping(row: &Row) -> Outcome {
    let input = json!({
        "insulation": "pvc_70c", "loaded": 2, "method": "B1",
        "circuits": row.need("circuits_or_cables") as u64,
    });
    let got = figure("iec_ampacity", &input, "grouping_factor");
    cell(row.text("factor"), got, "factor")?;
    Ok(Held::Agrees)
}

pub fn rating(row: &Row) -> Outcome {
    let rating = row.need("rating_a");
    for design in [rating, rating - 0.5] {
        let got = figure("iec_circuit", &json!({"design_a": design}), "next_rating_a");
        cell(row.text("rating_a"), got, "rating")?;
    }
    Ok(Held::Agrees)
}

pub fn curve(row: &Row) -> Outcome {
    let input = json!({"design_a": 10, "device": row.text("type"), "device_a": 100});
    let got = ask("iec_circuit", &input)?;
    for (column, answer) in [
        ("magnetic_no_trip_multiple_of_in", "magnetic_holds_a"),
        ("magnetic_trip_multiple_of_in", "magnetic_acts_a"),
        ("conventional_non_trip_multiple", "no_trip_a"),
        ("conventional_trip_multiple", "trip_a"),
        ("conventional_trip_multiple", "i2_a"),
    ] {
        same(row.need(column) * 100.0, got[answer].as_f64(), answer)?;
    }
    Ok(Held::Agrees)
}

pub fn constant(row: &Row) -> Outcome {
    let of = |phases: u8, metal: &str, answer: &str| {
        let input = json!({
            "phases": phases, "metal": metal, "amps": 10, "size": "2.5", "one_way_m": 30,
        });
        figure("iec_drop", &input, answer)
    };
    let got = match row.text("quantity") {
        "rho1_copper" => of(3, "copper", "rho"),
        "rho1_aluminium" => of(3, "aluminium", "rho"),
        "b_three_phase" => of(3, "copper", "b"),
        "b_single_phase" => of(1, "copper", "b"),
        "cos_phi_default" => of(1, "copper", "cos_phi"),
        "lambda_default" => of(1, "copper", "lambda_ohm_per_m"),
        other => return Err(format!("{other} is not known")),
    };
    cell(row.text("value"), got, "value")?;
    Ok(Held::Agrees)
}

pub fn advice(row: &Row) -> Outcome {
    let supply = match row.text("supply") {
        "public_lv_network" => "public",
        "private_lv_supply" => "private",
        other => return Err(format!("{other} is not known")),
    };
    for (column, which) in [("lighting_pct", "lighting"), ("other_uses_pct", "other")] {
        let input = json!({
            "phases": 1, "amps": 10, "size": "2.5", "one_way_m": 30, "volts": 230,
            "supply": supply, "use": which,
        });
        cell(
            row.text(column),
            figure("iec_drop", &input, "limit_pct"),
            column,
        )?;
    }
    Ok(Held::Agrees)
}
