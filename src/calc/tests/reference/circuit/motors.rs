//! Rows about motors: full load, locked rotor, branch devices, duty.

use super::super::table::{Held, Outcome, Row, ask, near};
use super::{cell, figure};
use serde_json::{Value, json};

/// Column, plate voltage, and a system voltage that the column serves.
const ALTERNATING: [(&str, f64, f64); 6] = [
    ("115v", 115.0, 120.0),
    ("200v", 200.0, 200.0),
    ("208v", 208.0, 208.0),
    ("230v", 230.0, 240.0),
    ("460v", 460.0, 480.0),
    ("575v", 575.0, 600.0),
];

fn full_load(row: &Row, phases: u8, columns: &[(&str, f64, f64)]) -> Outcome {
    for (name, plate, system) in columns {
        for volts in [plate, system] {
            let input = json!({"hp": row.text("hp_label"), "phases": phases, "volts": volts});
            let got = figure("motor_current", &input, "flc_a");
            cell(row.text(&format!("flc_a_{name}")), got, name)?;
        }
    }
    Ok(Held::Agrees)
}

pub fn full_load_one(row: &Row) -> Outcome {
    full_load(row, 1, &ALTERNATING[..4])
}

pub fn full_load_three(row: &Row) -> Outcome {
    full_load(row, 3, &ALTERNATING)?;
    full_load(row, 3, &[("2300v", 2300.0, 2400.0)])
}

pub fn full_load_direct(row: &Row) -> Outcome {
    for volts in [90, 120, 180, 240, 500, 550] {
        let input = json!({"hp": row.text("hp_label"), "type": "dc", "volts": volts});
        let got = figure("motor_current", &input, "flc_a");
        cell(row.text(&format!("flc_a_{volts}v")), got, "direct current")?;
    }
    Ok(Held::Agrees)
}

fn kind_of_motor(row: &Row) -> &str {
    match row.text("motor_type") {
        "polyphase_other_than_wound_rotor" => "polyphase",
        "squirrel_cage_other_than_design_b_energy_efficient" => "squirrel_cage",
        "design_b_energy_efficient_or_premium" => "design_b_energy_efficient",
        "dc_constant_voltage" => "dc",
        other => other,
    }
}

/// 100 A on the plate, so that a percentage is read off as amperes.
pub fn device_percent(row: &Row) -> Outcome {
    let input = json!({"nameplate_a": 100, "type": kind_of_motor(row)});
    for (column, answer) in [
        ("nontime_delay_fuse_pct", "nontime_delay_fuse_calc_a"),
        (
            "dual_element_time_delay_fuse_pct",
            "dual_element_fuse_calc_a",
        ),
        (
            "instantaneous_trip_breaker_pct",
            "instantaneous_trip_breaker_calc_a",
        ),
        ("inverse_time_breaker_pct", "inverse_time_breaker_calc_a"),
    ] {
        cell(
            row.text(column),
            figure("motor_branch", &input, answer),
            column,
        )?;
    }
    Ok(Held::Agrees)
}

pub fn device_ceiling(row: &Row) -> Outcome {
    let (name, amps, motor) = match (row.text("device"), row.text("condition")) {
        ("nontime_delay_fuse", _) => ("nontime_delay_fuse", 100.0, "polyphase"),
        ("dual_element_time_delay_fuse", _) => ("dual_element_fuse", 100.0, "polyphase"),
        ("inverse_time_breaker", "flc <= 100 A") => ("inverse_time_breaker", 100.0, "polyphase"),
        ("inverse_time_breaker", "flc > 100 A") => ("inverse_time_breaker", 100.1, "polyphase"),
        ("fuse_601_to_6000_a", _) => ("nontime_delay_fuse", 300.0, "polyphase"),
        ("instantaneous_trip_breaker", design) if design.starts_with("Design B") => (
            "instantaneous_trip_breaker",
            100.0,
            "design_b_energy_efficient",
        ),
        ("instantaneous_trip_breaker", _) => ("instantaneous_trip_breaker", 100.0, "polyphase"),
        other => return Err(format!("{other:?} is not known")),
    };
    let got = ask("motor_branch", &json!({"nameplate_a": amps, "type": motor}))?;
    let calculated = got[format!("{name}_ceiling_calc_a")].as_f64();
    let calculated = calculated.ok_or("no ceiling")?;
    near(
        row.need("ceiling_pct_of_flc"),
        calculated / amps * 100.0,
        1e-9,
    )?;
    let rating = got[format!("{name}_ceiling_a")].as_f64();
    let first = got[format!("{name}_max_a")].as_f64();
    let adjustable = row.text("rounding_rule") == "adjustable setting";
    match rating {
        Some(rating) if rating > calculated => Err(format!("{rating} A is above {calculated} A")),
        Some(rating) if adjustable && rating != calculated => Err(format!("{rating} A is rounded")),
        None if first < Some(calculated) => Err("no rating under the ceiling".into()),
        _ => Ok(Held::Agrees),
    }
}

pub fn duty_cycle(row: &Row) -> Outcome {
    for (column, rated) in [
        ("pct_5_min_rated_motor", "5_min"),
        ("pct_15_min_rated_motor", "15_min"),
        ("pct_30_or_60_min_rated_motor", "30_or_60_min"),
        ("pct_continuous_rated_motor", "continuous"),
    ] {
        let input = json!({"service": row.text("service"), "rated_for": rated, "nameplate_a": 100});
        for answer in ["pct", "min_conductor_ampacity_a"] {
            cell(
                row.text(column),
                figure("duty_cycle", &input, answer),
                column,
            )?;
        }
    }
    Ok(Held::Agrees)
}

fn letter(letter: &str, hp: f64, volts: f64, phases: f64) -> Result<Value, String> {
    let phases = phases as u64;
    let input = json!({"letter": letter, "hp": hp, "volts": volts, "phases": phases});
    ask("locked_rotor", &input)
}

pub fn code_letter(row: &Row) -> Outcome {
    let got = letter(row.text("code_letter"), 10.0, 460.0, 3.0)?;
    for (column, answer) in [
        ("kva_per_hp_min", "kva_per_hp_min"),
        ("kva_per_hp_max", "kva_per_hp_max"),
    ] {
        cell(row.text(column), Ok(got[answer].as_f64()), column)?;
    }
    Ok(Held::Agrees)
}

fn locked(row: &Row, phases: u8, columns: &[&(&str, f64, f64)]) -> Outcome {
    for (name, plate, system) in columns {
        for volts in [plate, system] {
            let input = json!({"hp": row.text("hp_label"), "phases": phases, "volts": volts});
            let got = figure("locked_rotor", &input, "table_lrc_a");
            cell(row.text(&format!("lrc_a_{name}")), got, name)?;
        }
    }
    Ok(Held::Agrees)
}

pub fn locked_one(row: &Row) -> Outcome {
    let columns: Vec<_> = ALTERNATING[..4]
        .iter()
        .filter(|(name, ..)| *name != "200v")
        .collect();
    locked(row, 1, &columns)
}

pub fn locked_three(row: &Row) -> Outcome {
    locked(row, 3, &ALTERNATING.iter().collect::<Vec<_>>())
}

pub fn full_load_again(row: &Row) -> Outcome {
    let input = json!({
        "hp": row.text("power_hp"), "phases": row.need("phase") as u64, "volts": row.need("volts_V"),
    });
    let got = figure("motor_current", &input, "flc_a");
    cell(row.text("table_full_load_current_A"), got, "current")?;
    Ok(Held::Agrees)
}

pub fn misprint(row: &Row) -> Outcome {
    let (hp, volts) = (row.text("power_hp"), row.need("volts_V"));
    let input = json!({"hp": hp, "phases": row.need("phase") as u64, "volts": volts});
    cell(
        row.text("correct_A"),
        figure("motor_current", &input, "flc_a"),
        "current",
    )?;
    Ok(Held::Differs(format!(
        "{hp} hp, {volts} V, three phase: {} A is a misprint of copies; NEC 430.250 has {} A",
        row.text("misprint_seen_A"),
        row.text("correct_A")
    )))
}

/// The code prints the last figure inside the range, this table the first one beyond it.
pub fn letter_range(row: &Row) -> Outcome {
    let got = letter(row.text("code"), 10.0, 460.0, 3.0)?;
    cell(
        row.text("kVA_per_hp_at_least"),
        Ok(got["kva_per_hp_min"].as_f64()),
        "bottom",
    )?;
    match (
        row.number("kVA_per_hp_less_than"),
        got["kva_per_hp_max"].as_f64(),
    ) {
        (Some(beyond), Some(top)) => near(beyond - 0.01, top, 1e-9),
        (None, None) => Ok(Held::Agrees),
        other => Err(format!("{other:?}")),
    }
}

pub fn locked_golden(row: &Row) -> Outcome {
    let got = letter(
        row.text("code"),
        row.need("power_hp"),
        row.need("volts_V"),
        row.need("phase"),
    )?;
    let figure = |name: &str| got[name].as_f64().ok_or(format!("no {name}"));
    row.agrees("locked_rotor_A_low", figure("lrc_min_a")?)?;
    let top = figure("kva_per_hp_max")?;
    let high = row.need("locked_rotor_A_high");
    near(high * top / (top + 0.01), figure("lrc_max_a")?, 1e-3)?;
    Ok(Held::Differs(format!(
        "{}, {} hp, {} V: {high} A takes the first figure beyond the letter's range; the code's equation \
         takes the last one inside it, {top} kVA/hp",
        row.text("code"),
        row.text("power_hp"),
        row.text("volts_V")
    )))
}
