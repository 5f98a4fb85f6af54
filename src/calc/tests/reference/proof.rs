//! Reference tables: vibration and balance.

use super::table::{Check, Held, Outcome, Row, ask, near, printed};
use serde_json::{Value, json};

tables! {
    fan_limits: "mechanical/fan_vibration_limits_iso14694.csv",
        "ISO 14694; BV-3 and BV-4 on secondary pages, others from memory", Check::Rows(fan_limits_row);
    fan_categories: "mechanical/fan_application_categories_amca204.csv",
        "AMCA 204 / ISO 14694, secondary page", Check::Rows(fan_categories_row);
    machine_zones: "mechanical/machine_vibration_zones_iso10816.csv",
        "ISO 10816-1 confirmed; ISO 10816-3:2009 from memory", Check::Rows(machine_zones_row);
    bare_motors: "mechanical/bare_motor_vibration_limits.csv",
        "IEC 60034-14, NEMA MG 1 Part 7; secondary pages", Check::Rows(bare_motors_row);
    grades: "mechanical/balance_grades_iso21940.csv",
        "ISO 21940-11, secondary page", Check::Rows(grades_row);
    residual: "mechanical/residual_unbalance_golden.csv",
        "computed, ISO 21940-11 formula", Check::Rows(residual_row);
    force: "mechanical/unbalance_force_golden.csv",
        "computed; four published examples", Check::Rows(force_row);
}

/// The named columns against the answers of the same names.
pub(super) fn columns(row: &Row, got: &Value, columns: &[&str]) -> Outcome {
    for column in columns {
        let found = number(got, column)?;
        row.agrees(column, found)?;
    }
    Ok(Held::Agrees)
}

pub(super) fn number(got: &Value, name: &str) -> Result<f64, String> {
    got[name]
        .as_f64()
        .ok_or_else(|| format!("{name}: no answer in {got}"))
}

pub(super) fn same(what: &str, want: &str, got: &Value) -> Outcome {
    if got.as_str() == Some(want) {
        Ok(Held::Agrees)
    } else {
        Err(format!("{what}: want {want}, got {got}"))
    }
}

fn stage(words: &str) -> Result<&'static str, String> {
    match words {
        "manufacturer works test" => Ok("works_test"),
        "in-situ start-up (satisfactory on commissioning)" => Ok("start_up"),
        "in-situ alarm" => Ok("alarm"),
        "in-situ shutdown" => Ok("shutdown"),
        other => Err(format!("a stage {other}")),
    }
}

/// No figure, no verdict, and a word on where the limit comes from.
fn from_history(got: &Value) -> Outcome {
    same("verdict", "not known yet", &got["verdict"])?;
    match (&got["shutdown_from_history"], &got["limit_rms_mm_s"]) {
        (Value::Bool(true), Value::Null) => Ok(Held::Agrees),
        _ => Err(format!("a figure where there is none: {got}")),
    }
}

/// The limits themselves; a reading on the limit is inside it and one step above it is not, in r.m.s. and
/// in peak, in millimetres and in inches.
fn fan_limits_row(row: &Row) -> Outcome {
    let stage = stage(row.text("stage"))?;
    let question = |velocity: f64, unit: &str, measure: &str| {
        json!({
            "stage": stage, "category": row.text("category"), "support": row.text("support"),
            "velocity": velocity, "unit": unit, "measure": measure,
        })
    };
    let verdict = |velocity, unit, measure| {
        ask("vibration", &question(velocity, unit, measure)).map(|got| got["verdict"].clone())
    };
    if row.text("limit_rms_mm_s") == "set from history" {
        return from_history(&ask("vibration", &question(3.0, "mm_s", "rms"))?);
    }
    let got = ask("vibration", &question(0.1, "mm_s", "rms"))?;
    columns(
        row,
        &got,
        &["limit_rms_mm_s", "limit_peak_mm_s", "limit_peak_in_s"],
    )?;
    let limits = [
        ("limit_rms_mm_s", "mm_s", "rms"),
        ("limit_peak_mm_s", "mm_s", "peak"),
        ("limit_peak_in_s", "in_s", "peak"),
    ];
    for (column, unit, measure) in limits {
        let limit = row.need(column);
        if verdict(limit, unit, measure)? == "beyond" {
            return Err(format!("{column}: beyond on the limit"));
        }
        same(column, "beyond", &verdict(limit + 0.001, unit, measure)?)?;
    }
    printed(
        row.text("peak_over_rms"),
        row.need("limit_peak_mm_s") / row.need("limit_rms_mm_s"),
    )
}

fn application(words: &str) -> Result<&'static str, String> {
    [
        ("residential", "residential"),
        ("HVAC", "building"),
        ("industrial", "industrial"),
        ("transport", "transport"),
        ("transit", "tunnel"),
        ("petrochemical", "petrochemical"),
        ("clean room", "clean_room"),
    ]
    .into_iter()
    .find(|(start, _)| words.starts_with(start))
    .map(|(_, word)| word)
    .ok_or_else(|| format!("an application {words}"))
}

/// At the bound in kilowatts and in horsepower the smaller category, a little above it the larger.
fn fan_categories_row(row: &Row) -> Outcome {
    let application = application(row.text("application"))?;
    let bound = row.text("driver_power");
    let mut questions = Vec::new();
    if bound == "any" {
        questions.push(json!({"application": application}));
        questions.push(json!({"application": application, "power_kW": 500}));
    } else {
        let figures: Vec<f64> = bound
            .split([' ', '('])
            .filter_map(|part| part.parse().ok())
            .collect();
        let [kw, hp] = figures[..] else {
            return Err(format!("a bound {bound}"));
        };
        let times = if bound.starts_with('>') { 1.02 } else { 1.0 };
        questions.push(json!({"application": application, "power_kW": kw * times}));
        questions.push(json!({"application": application, "power_hp": hp * times}));
    }
    if bound.contains("jet fan") {
        questions.push(json!({"application": "jet_fan"}));
        questions.push(json!({"application": "jet_fan", "power_kW": 5}));
    }
    for question in questions {
        let got = ask("vibration", &question)?;
        same("category", row.text("category"), &got["category"])?;
        let grade = got["balance_grade"].as_str().unwrap_or_default();
        // G1 is printed as G1.0 in this table and as G1 in the table of grades.
        let figure = |grade: &str| grade.trim_start_matches('G').parse::<f64>().ok();
        if figure(grade) != figure(row.text("impeller_balance_grade")) {
            return Err(format!("balance grade: {grade}"));
        }
    }
    Ok(Held::Agrees)
}

/// A power and a support that lead to the class.
fn class_of(name: &str) -> (&'static str, f64, Option<&'static str>) {
    match name {
        n if n.contains("class III") => ("machine", 200.0, Some("rigid")),
        n if n.contains("class IV") => ("machine", 200.0, Some("flexible")),
        n if n.contains("class II ") => ("machine", 75.0, None),
        n if n.contains("class I ") => ("machine", 15.0, None),
        n if n.contains("group 2") && n.contains("rigid") => {
            ("industrial_machine", 300.0, Some("rigid"))
        }
        n if n.contains("group 2") => ("industrial_machine", 15.1, Some("flexible")),
        n if n.contains("rigid") => ("industrial_machine", 301.0, Some("rigid")),
        _ => ("industrial_machine", 1000.0, Some("flexible")),
    }
}

/// The class found by power and support, its boundaries, and the zones on and above each of them.
fn machine_zones_row(row: &Row) -> Outcome {
    let name = row.text("machine_class");
    let (judged_as, power, support) = class_of(name);
    let zone = |velocity: f64| {
        ask(
            "vibration",
            &json!({
                "judged_as": judged_as, "power_kW": power, "support": support,
                "velocity": velocity, "unit": "mm_s", "measure": "rms",
            }),
        )
    };
    let got = zone(0.1)?;
    same("class", name, &got["machine_class"])?;
    same(
        "scope",
        "outside the scope of ISO 10816-3, which begins above 15 kW",
        &small()?["scope"],
    )?;
    let bounds = [
        ("zone_A_B_boundary_rms_mm_s", "zone_a_b_mm_s", "A", "B"),
        ("zone_B_C_boundary_rms_mm_s", "zone_b_c_mm_s", "B", "C"),
        ("zone_C_D_boundary_rms_mm_s", "zone_c_d_mm_s", "C", "D"),
    ];
    for (column, answer, below, above) in bounds {
        row.agrees(column, number(&got, answer)?)?;
        let bound = row.need(column);
        same(column, below, &zone(bound)?["zone"])?;
        same(column, above, &zone(bound + 0.01)?["zone"])?;
    }
    Ok(Held::Agrees)
}

/// Most shop motors are too small for part 3.
fn small() -> Result<Value, String> {
    ask(
        "vibration",
        &json!({"judged_as": "industrial_machine", "power_kW": 15, "support": "rigid"}),
    )
}

fn bare_motors_row(row: &Row) -> Outcome {
    let basis = match row.text("basis") {
        b if b.contains("NEMA") => return nema_row(row),
        b if b.contains("grade B") => "iec_b_free",
        b if b.contains("rigid") => "iec_a_rigid",
        _ => "iec_a_free",
    };
    let limit = row.need("limit_rms_mm_s");
    for height in [56, 90, 132] {
        let got = bare(basis, height, "rms", limit)?;
        row.agrees("limit_rms_mm_s", number(&got, "limit_rms_mm_s")?)?;
        same("on the limit", "within", &got["verdict"])?;
        let above = bare(basis, height, "rms", limit + 0.01)?;
        same("above the limit", "beyond", &above["verdict"])?;
    }
    Ok(Held::Agrees)
}

fn bare(basis: &str, height: u32, measure: &str, velocity: f64) -> Result<Value, String> {
    ask(
        "vibration",
        &json!({
            "judged_as": "bare_motor", "motor_basis": basis, "shaft_height_mm": height,
            "speed_rpm": 1725, "velocity": velocity, "unit": "mm_s", "measure": measure,
        }),
    )
}

/// The table of MG 1 is in peak; the r.m.s. column here is that peak over 1.414.
fn nema_row(row: &Row) -> Outcome {
    let got = bare("nema_resilient", 90, "rms", row.need("limit_rms_mm_s"))?;
    same("an r.m.s. reading", "not known yet", &got["verdict"])?;
    near(0.15, number(&got, "limit_peak_in_s")?, 1e-9)?;
    row.agrees(
        "limit_rms_mm_s",
        number(&got, "limit_peak_mm_s")? / 2f64.sqrt(),
    )?;
    same(
        "on the peak",
        "within",
        &bare("nema_resilient", 90, "peak", 3.81)?["verdict"],
    )?;
    same(
        "above it",
        "beyond",
        &bare("nema_resilient", 90, "peak", 3.82)?["verdict"],
    )?;
    Ok(Held::Differs(
        "NEMA MG 1 Table 7-1 is in peak (0.15 in/s, 3.81 mm/s); 2.7 mm/s r.m.s. is that over 1.414, \
         and an r.m.s. reading is not judged by it"
            .to_owned(),
    ))
}

fn grades_row(row: &Row) -> Outcome {
    let grade = row.text("grade");
    let got = ask(
        "unbalance",
        &json!({"grade": grade, "rotor_mass_kg": 2, "speed_rpm": 3000}),
    )?;
    row.agrees("e_per_times_omega_mm_s", number(&got, "grade_mm_s")?)?;
    // e_per times omega is the grade again.
    let omega = 3000.0 / 60.0 * std::f64::consts::TAU;
    near(
        row.need("e_per_times_omega_mm_s"),
        number(&got, "e_per_um")? * omega / 1000.0,
        1e-9,
    )?;
    let impellers = row.text("typical_rotors");
    for category in ["BV-1", "BV-2", "BV-3", "BV-4", "BV-5"] {
        if impellers.contains(category) {
            let by_fan = ask(
                "unbalance",
                &json!({"category": category, "rotor_mass_kg": 2, "speed_rpm": 3000}),
            )?;
            row.agrees("e_per_times_omega_mm_s", number(&by_fan, "grade_mm_s")?)?;
        }
    }
    Ok(Held::Agrees)
}

fn residual_row(row: &Row) -> Outcome {
    let got = ask(
        "unbalance",
        &json!({
            "rotor_mass_kg": row.need("rotor_mass_kg"),
            "speed_rpm": row.need("speed_rpm"),
            "grade_mm_s": row.need("grade_mm_s"),
        }),
    )?;
    columns(
        row,
        &got,
        &[
            "e_per_um",
            "U_per_g_mm_exact",
            "U_per_g_mm_9549_form",
            "U_per_each_plane_symmetric_g_mm",
            "U_per_oz_in",
        ],
    )
}

fn force_row(row: &Row) -> Outcome {
    let question = json!({
        "mass_g": row.need("mass_g"),
        "radius_mm": row.need("radius_mm"),
        "speed_rpm": row.need("speed_rpm"),
    });
    let got = ask("debris", &question)?;
    columns(
        row,
        &got,
        &["unbalance_g_mm", "force_N", "force_lbf", "force_kgf"],
    )?;
    // About 900 N is printed where 888 N is meant: a rounded figure, not another one.
    match row.text("note") {
        "published as about 900 N" => near(900.0, number(&got, "force_N")?, 15.0),
        _ => Ok(Held::Agrees),
    }
}
