//! Rows about conductors: ampacity, factors, grounding, resistance, impedance.

use super::super::table::{Held, Outcome, Row, ask};
use super::{cell, figure, same};
use calc::circuit::wire::{self, find_size};
use serde_json::json;

const METALS: [(&str, &str); 2] = [("cu", "copper"), ("al", "aluminium")];

pub fn ampacity(row: &Row) -> Outcome {
    let name = row.text("size");
    for (short, metal) in METALS {
        for celsius in [60, 75, 90] {
            let input = json!({"size": name, "metal": metal, "insulation_c": celsius});
            let column = format!("{short}_{celsius}c_a");
            cell(
                row.text(&column),
                figure("ampacity", &input, "ampacity_a"),
                &column,
            )?;
        }
    }
    let size = find_size(name).ok_or("not found")?;
    same(row.need("area_cmil"), Some(f64::from(size.cmil)), "area")?;
    Ok(Held::Agrees)
}

fn small_conductor_row(row: &Row) -> Result<f64, String> {
    let found =
        wire::small_conductor(row.text("size_awg"), row.text("material")).ok_or("not found")?;
    if found.condition != row.text("condition") || found.editions != row.text("editions") {
        return Err(format!("{found:?}"));
    }
    found
        .amps
        .to_string()
        .parse()
        .map_err(|_| "no figure".into())
}

/// The limit itself, and the device that a whole circuit of 75 °C terminals is answered.
pub fn small_conductor(row: &Row) -> Outcome {
    same(
        row.need("max_ocpd_a"),
        Some(small_conductor_row(row)?),
        "limit",
    )?;
    let metal = match row.text("material") {
        "cu" if row.text("condition").is_empty() => "copper",
        "al_or_copper_clad_al" => "aluminium",
        _ => return Ok(Held::Agrees),
    };
    let input = json!({
        "size": row.text("size_awg"), "metal": metal, "insulation_c": 90, "terminal_c": 75,
        "ambient_c": 30, "ccc": 3,
    });
    cell(
        row.text("max_ocpd_a"),
        figure("ampacity", &input, "ocpd_max_a"),
        "device",
    )?;
    Ok(Held::Agrees)
}

/// Both edges of the band in both units, and a figure between two bands.
pub fn ambient(row: &Row) -> Outcome {
    let mut airs = Vec::new();
    for (unit, edges) in [
        ("ambient_c", ["ambient_min_c", "ambient_max_c"]),
        ("ambient_f", ["ambient_min_f", "ambient_max_f"]),
    ] {
        airs.extend(
            edges
                .iter()
                .filter_map(|edge| Some((unit, row.number(edge)?))),
        );
    }
    if let Some(least) = row.number("ambient_min_c") {
        airs.push(("ambient_c", least - 0.5));
    }
    for (unit, air) in airs {
        for celsius in [60, 75, 90] {
            let input = json!({"size": "4", "metal": "copper", "insulation_c": celsius, unit: air});
            let column = format!("factor_{celsius}c");
            let got = figure("ampacity", &input, "ambient_factor");
            cell(row.text(&column), got, &format!("{column} at {air}"))?;
        }
    }
    Ok(Held::Agrees)
}

pub fn count(row: &Row) -> Outcome {
    let first = row.need("ccc_min");
    for count in [first, row.number("ccc_max").unwrap_or(first + 1000.0)] {
        let input = json!({"size": "12", "metal": "copper", "insulation_c": 90, "ccc": count});
        let got = figure("ampacity", &input, "ccc_percent");
        cell(row.text("percent"), got, &format!("{count} conductors"))?;
    }
    Ok(Held::Agrees)
}

pub fn grounding(row: &Row) -> Outcome {
    let got = ask("egc", &json!({"ocpd_a": row.need("ocpd_max_a")}))?;
    for (column, answer) in [("cu_size", "cu"), ("al_size", "al")] {
        if got[answer] != row.text(column) {
            return Err(format!(
                "{answer}: want {}, got {}",
                row.text(column),
                got[answer]
            ));
        }
    }
    if !row.text("note").is_empty() {
        let cautions = got["working"]["cautions"].to_string();
        if !cautions.contains("differs between editions") {
            return Err(format!("it does not say that editions differ: {cautions}"));
        }
    }
    Ok(Held::Agrees)
}

/// 10 A over 500 ft and back lose ten times the ohms per thousand feet.
fn tenfold(more: serde_json::Value) -> Result<Option<f64>, String> {
    let mut input = json!({"phases": 1, "amps": 10, "one_way_ft": 500});
    if let (Some(input), Some(more)) = (input.as_object_mut(), more.as_object()) {
        input.extend(more.clone());
    }
    Ok(figure("voltage_drop", &input, "drop_v")?.map(|volts| volts / 10.0))
}

pub fn resistance(row: &Row) -> Outcome {
    let name = format!("{} {}", row.text("size"), row.text("stranding"));
    for (column, metal) in [
        ("cu_uncoated_ohm_per_kft_75c", "copper"),
        ("al_ohm_per_kft_75c", "aluminium"),
    ] {
        let got = tenfold(json!({"method": "R", "size": name, "metal": metal}));
        cell(row.text(column), got, column)?;
    }
    let size = find_size(row.text("size")).ok_or("not found")?;
    same(row.need("area_cmil"), Some(f64::from(size.cmil)), "area")?;
    Ok(Held::Agrees)
}

/// The power factor picks resistance at 1 and reactance at next to nothing.
pub fn impedance(row: &Row) -> Outcome {
    for (short, metal) in METALS {
        for (conduit, column, reactance) in [
            ("pvc", "pvc", "xl_pvc_or_al_conduit_ohm_per_kft"),
            (
                "aluminium",
                "al_conduit",
                "xl_pvc_or_al_conduit_ohm_per_kft",
            ),
            ("steel", "steel", "xl_steel_conduit_ohm_per_kft"),
        ] {
            let of = |power_factor: Option<f64>| {
                tenfold(json!({
                    "method": "Z", "size": row.text("size"), "metal": metal, "conduit": conduit,
                    "power_factor": power_factor,
                }))
            };
            let r = format!("r_{short}_{column}_ohm_per_kft");
            cell(row.text(&r), of(Some(1.0)), &r)?;
            let z = format!("ze_pf085_{short}_{column}_ohm_per_kft");
            cell(row.text(&z), of(None), &z)?;
            if !row.text(&r).is_empty() {
                cell(row.text(reactance), of(Some(1e-12)), reactance)?;
            }
        }
    }
    Ok(Held::Agrees)
}
