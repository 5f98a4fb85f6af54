//! Reference tables: motor ratings, frames, speeds and efficiencies.

use super::table::{Check, Held, Outcome, Row, ask, near, printed};
use serde_json::{Value, json};

tables! {
    synchronous_speed: "mechanical/synchronous_speed.csv",
        "120 f / p, confirmed", Check::Rows(synchronous_row);
    full_load_speed_and_slip: "mechanical/full_load_speed_and_slip.csv",
        "usual plate speeds, partly from memory; slip computed", Check::Rows(slip_row);
    operating_speed_with_slip: "mechanical/operating_speed_with_slip_golden.csv",
        "torque balance, computed by root search", Check::Rows(running_row);
    shaft_torque: "mechanical/shaft_torque_golden.csv",
        "definition of power, computed", Check::Rows(torque_row);
    nema_frames: "mechanical/nema_frame_dimensions.csv",
        "NEMA MG 1 Part 4, public copies", Check::Rows(nema_row);
    c_faces: "mechanical/nema_c_face_dimensions.csv",
        "NEMA MG 1 Part 4, public chart", Check::Rows(face_row);
    iec_frames: "mechanical/iec_frame_dimensions.csv",
        "IEC 60072-1, partly from memory", Check::Rows(iec_row);
    mounting_types: "mechanical/mounting_types.csv",
        "common practice", Check::Prose("words on what to measure on each kind of mount, no figure");
    shaft_fit_practice: "mechanical/shaft_fit_practice.csv",
        "NEMA MG 1 4.9 from memory; common practice", Check::Rows(practice_row);
    shaft_flat_and_keyseat: "mechanical/shaft_flat_and_keyseat.csv",
        "NEMA MG 1 4.5.1, keyseat depth from memory", Check::Rows(seat_row);
}

fn number(answer: &Value, name: &str) -> Result<f64, String> {
    answer[name]
        .as_f64()
        .ok_or_else(|| format!("{name}: no answer"))
}

/// Each column against its answer, to the last digit printed.
fn all(row: &Row, answer: &Value, columns: &[(&str, &str)]) -> Outcome {
    for (column, name) in columns {
        if row.text(column).is_empty() {
            if !answer[*name].is_null() {
                return Err(format!("{name}: the table has none"));
            }
            continue;
        }
        row.agrees(column, number(answer, name)?)?;
    }
    Ok(Held::Agrees)
}

fn synchronous_row(row: &Row) -> Outcome {
    for (hertz, column) in [
        (60, "synchronous_speed_60Hz_rpm"),
        (50, "synchronous_speed_50Hz_rpm"),
    ] {
        let got = ask(
            "motor_speed",
            &json!({"frequency_hz": hertz, "poles": row.need("poles")}),
        )?;
        row.agrees(column, number(&got, "synchronous_speed_rpm")?)?;
    }
    Ok(Held::Agrees)
}

fn slip_row(row: &Row) -> Outcome {
    let kind = match row.text("motor_type") {
        "shaded pole" => "shaded_pole",
        "PSC" => "psc",
        "split phase" => "split_phase",
        name if name.starts_with("capacitor start") => "capacitor_start",
        name if name.starts_with("three-phase") => "three_phase",
        name if name.starts_with("ECM") => "ecm",
        other => return Err(format!("no type {other}")),
    };
    if kind == "ecm" {
        // Its speed is a setting: no poles may be read from one.
        let input = json!({"frequency_hz": 60, "speed_rpm": 1075, "motor_type": kind});
        return match ask("motor_speed", &input) {
            Err(why) if why.contains("does not tell its poles") => Ok(Held::Agrees),
            other => Err(format!("poles were read: {other:?}")),
        };
    }
    let speed = row.need("typical_full_load_speed_rpm");
    let got = ask(
        "motor_speed",
        &json!({
            "motor_type": kind, "frequency_hz": row.need("frequency_Hz"), "speed_rpm": speed,
        }),
    )?;
    near(
        0.2 * number(&got, "slip_rpm")?,
        number(&got, "tolerance_rpm")?,
        1e-9,
    )?;
    let (low, high) = row
        .text("usual_range_rpm")
        .split_once('-')
        .ok_or("no range")?;
    let range = |text: &str| text.parse::<f64>().map_err(|e| e.to_string());
    if !(range(low)?..=range(high)?).contains(&speed) {
        return Err("the typical speed is outside its range".into());
    }
    all(
        row,
        &got,
        &[
            ("poles", "poles"),
            ("synchronous_speed_rpm", "synchronous_speed_rpm"),
        ],
    )?;
    printed_percent(row.text("slip_percent"), number(&got, "slip_percent")?)
}

/// The table rounds 5.00 to 5.0.
fn printed_percent(text: &str, got: f64) -> Outcome {
    match text.parse() {
        Ok(want) => near(want, got, 0.0051),
        Err(_) => printed(text, got),
    }
}

fn running_row(row: &Row) -> Outcome {
    let (rated, taken) = (
        rating(row.need("candidate_rated_power_hp")),
        rating(row.need("fan_power_hp_at_old_speed")),
    );
    let got = ask(
        "running_speed",
        &json!({
            "motor_power_hp": rated,
            "motor_speed_rpm": row.need("candidate_full_load_rpm"),
            "synchronous_speed_rpm": row.need("candidate_synchronous_rpm"),
            "load_power_hp": taken,
            "load_speed_rpm": row.need("old_speed_rpm"),
        }),
    )?;
    all(
        row,
        &got,
        &[
            ("operating_speed_rpm", "running_speed_rpm"),
            ("flow_ratio", "flow_ratio"),
            ("shaft_power_hp", "shaft_power_hp"),
            ("load_fraction_of_candidate", "load_fraction"),
        ],
    )?;
    // The balance itself: both torques at the answer.
    let n = number(&got, "running_speed_rpm")?;
    let (ns, full) = (
        row.need("candidate_synchronous_rpm"),
        row.need("candidate_full_load_rpm"),
    );
    let drive = rated / full * (ns - n) / (ns - full);
    let old = row.need("old_speed_rpm");
    near(1.0, drive / (taken / old * (n / old).powi(2)), 1e-9)?;
    let valid = number(&got, "load_fraction")? <= 1.3;
    if got["valid"] != valid {
        return Err("valid only to 1.3 of the plate".into());
    }
    Ok(Held::Agrees)
}

/// The rating behind a column of six decimals: the table was computed with the fraction itself.
fn rating(hp: f64) -> f64 {
    let exact = [1.0 / 3.0, 1.0 / 6.0, 1.0 / 15.0];
    exact
        .into_iter()
        .find(|e| (e - hp).abs() < 1e-6)
        .unwrap_or(hp)
}

fn torque_row(row: &Row) -> Outcome {
    let got = ask(
        "shaft_torque",
        &json!({"power_hp": rating(row.need("power_hp")), "speed_rpm": row.need("speed_rpm")}),
    )?;
    // The table's constant is 5252.11, of six figures: it holds to one part in a million
    // and the last digit printed.
    let foot_pounds = row.need("torque_lb_ft");
    near(
        foot_pounds,
        number(&got, "torque_lb_ft")?,
        5e-7 + 1e-6 * foot_pounds,
    )?;
    all(
        row,
        &got,
        &[
            ("torque_oz_in", "torque_oz_in"),
            ("torque_N_m", "torque_n_m"),
        ],
    )
}

fn nema_row(row: &Row) -> Outcome {
    let got = ask(
        "frame",
        &json!({"frame": row.text("frame"), "standard": "nema"}),
    )?;
    all(
        row,
        &got,
        &[
            ("D_shaft_height_in", "shaft_height_in"),
            ("2E_in", "feet_across_in"),
            ("BA_in", "shoulder_to_foot_in"),
            ("H_hole_or_slot_in", "foot_hole_in"),
            ("U_shaft_diameter_in", "shaft_diameter_in"),
            ("N_W_shaft_extension_in", "shaft_length_in"),
            ("V_min_usable_in", "usable_length_in"),
            ("key_width_square_in", "key_width_in"),
            ("key_length_in", "key_length_in"),
            ("shaft_flat_depth_in", "flat_depth_in"),
        ],
    )?;
    along(row.text("2F_in"), &got["feet_along_in"], 1.0)?;
    // E and F are half of 2E and 2F.
    if let (Some(half), Some(across)) = (row.number("E_in"), got["feet_across_in"].as_f64()) {
        near(2.0 * half, across, 1e-9)?;
    }
    along(row.text("F_in"), &got["feet_along_in"], 2.0)
}

fn along(text: &str, got: &Value, times: f64) -> Outcome {
    let want: Vec<f64> = text.split(" and ").filter_map(|n| n.parse().ok()).collect();
    let got: Vec<f64> = got
        .as_array()
        .map(|list| list.iter().filter_map(Value::as_f64).collect())
        .unwrap_or_default();
    if want.len() != got.len() {
        return Err(format!("feet along: want {want:?}, got {got:?}"));
    }
    for (want, got) in want.iter().zip(&got) {
        near(want * times, *got, 1e-9)?;
    }
    Ok(Held::Agrees)
}

fn face_row(row: &Row) -> Outcome {
    let got = ask("frame", &json!({"frame": row.text("frame")}))?;
    all(
        row,
        &got,
        &[
            ("U_shaft_diameter_in", "shaft_diameter_in"),
            ("N_W_shaft_length_in", "shaft_length_in"),
            ("AK_rabbet_diameter_in", "rabbet_in"),
            ("AJ_bolt_circle_in", "bolt_circle_in"),
            ("BA_when_footed_in", "shoulder_to_foot_in"),
        ],
    )
}

fn iec_row(row: &Row) -> Outcome {
    let name = row.text("frame");
    let got = ask("frame", &json!({"frame": name, "standard": "iec"}))?;
    all(
        row,
        &got,
        &[
            ("H_shaft_height_mm", "shaft_height_mm"),
            ("A_foot_spacing_mm", "feet_across_mm"),
            ("C_shoulder_to_foot_mm", "shoulder_to_foot_mm"),
            ("K_hole_mm", "foot_hole_mm"),
            ("D_shaft_diameter_mm", "shaft_diameter_mm"),
            ("E_shaft_length_mm", "shaft_length_mm"),
            ("key_width_mm", "key_width_mm"),
            ("key_height_mm", "key_height_mm"),
        ],
    )?;
    along(row.text("B_foot_spacing_mm"), &got["feet_along_mm"], 1.0)?;
    // The table's comparison of heights, for the frames it calls near. It says "lower" of the
    // NEMA frame beside an IEC 90, and "higher" of the one beside a 112 or 132.
    let near_frames = got["near"].as_array().ok_or("no near frames")?;
    for (nema, higher) in compared(row.text("nearest_NEMA_shaft_height_comparison")) {
        let Some(found) = near_frames.iter().find(|found| found["frame"] == nema) else {
            continue;
        };
        near(higher, number(found, "shaft_higher_mm")?, 0.051)?;
    }
    Ok(Held::Agrees)
}

fn compared(text: &str) -> Vec<(&str, f64)> {
    let Some((names, rest)) = text.split_once(" (") else {
        return Vec::new();
    };
    let Some((_, by)) = rest.split_once("): ") else {
        return Vec::new();
    };
    let (Some((figure, way)), sign) = (by.split_once(" mm "), 1.0) else {
        return Vec::new();
    };
    let sign = if way == "lower" { -sign } else { sign };
    let figure: f64 = figure.parse().unwrap_or(f64::NAN);
    names
        .split('/')
        .map(|name| (name.trim(), sign * figure))
        .collect()
}

fn seat_row(row: &Row) -> Outcome {
    let got = ask(
        "shaft_seat",
        &json!({"shaft_diameter_in": row.need("shaft_diameter_in")}),
    )?;
    if got["feature"] != row.text("feature") {
        return Err(format!("feature {}", got["feature"]));
    }
    all(
        row,
        &got,
        &[
            ("key_square_in", "key_square_in"),
            ("key_length_in", "key_length_in"),
            ("R_or_flat_height_across_in", "across_in"),
        ],
    )
}

/// Practice by topic: the figure where it has one, else what a fit answers to it.
fn practice_row(row: &Row) -> Outcome {
    let fit = |old: Value, new: Value, machine: Value| {
        ask(
            "fit",
            &json!({"old": old, "candidate": new, "machine": machine}),
        )
    };
    let shaft = |inches: f64| json!({"shaft_diameter_in": inches, "power_hp": 0.25});
    let direct = json!({"drive": "direct", "hub_bore_in": 0.5});
    match row.text("topic") {
        "clearance fit shaft tolerance U up to 1 1/2 in" => {
            let got = ask("shaft_seat", &json!({"shaft_diameter_in": 1.5}))?;
            near(0.0005, number(&got, "tolerance_in")?, 1e-9)?;
            let above = ask("shaft_seat", &json!({"shaft_diameter_in": 1.625}))?;
            said(above["tolerance_in"].is_null(), &above)
        }
        "smaller shaft, bigger bore" => {
            let got = ask("shaft_seat", &json!({"shaft_diameter_in": 0.375}))?;
            near(0.5625, number(&got, "bushing_length_in")?, 1e-9)?;
            let got = fit(shaft(0.5), shaft(0.375), direct)?;
            said(
                worked(&got, "reducing bushing 9.5 × 12.7 mm (3/8 × 1/2 in)"),
                &got,
            )
        }
        "bigger shaft than bore" => {
            let got = fit(shaft(0.5), shaft(0.625), direct)?;
            said(got["by_attribute"]["shaft_diameter"] == "do not fit", &got)
        }
        "set screw seat" => {
            let got = fit(shaft(0.5), shaft(0.375), direct)?;
            said(worked(&got, "set screw through to the flat"), &got)
        }
        "flush fan hub" => {
            let length = |inches: f64| json!({"shaft_length_in": inches});
            let machine = json!({"drive": "direct", "hub_length_in": 2});
            let got = fit(length(2.5), length(1.5), machine.clone())?;
            said(got["by_attribute"]["shaft_length"] == "do not fit", &got)?;
            let got = fit(length(2.5), length(2.75), machine)?;
            said(
                worked(&got, "Cut the shaft by 6.3 mm (0.25 in)")
                    || worked(&got, "Cut the shaft by 6.4 mm (0.25 in)"),
                &got,
            )
        }
        "double shaft to single" => {
            let ends = |two: bool| json!({"double_shaft": two});
            let machine = json!({"second_shaft_used": false});
            let got = fit(ends(false), ends(true), machine)?;
            said(worked(&got, "Cut off or guard"), &got)
        }
        other => Err(format!("no practice called {other}")),
    }
}

fn worked(answer: &Value, words: &str) -> bool {
    let items = answer["work"].as_array();
    items.is_some_and(|items| {
        items
            .iter()
            .any(|item| item.as_str().is_some_and(|s| s.contains(words)))
    })
}

fn said(holds: bool, answer: &Value) -> Outcome {
    match holds {
        true => Ok(Held::Agrees),
        false => Err(format!("got {} {}", answer["by_attribute"], answer["work"])),
    }
}

proptest::proptest! {
    #[test]
    fn topics_answer_or_refuse_anything(
        text in ".{0,12}", number in proptest::num::f64::ANY, at in 0_usize..64,
    ) {
        for name in ["motor_speed", "running_speed", "shaft_torque", "rotation", "frame",
            "shaft_seat", "fit"]
        {
            let topic = calc::figure::find(name).expect("it is listed");
            let mut input = serde_json::Map::new();
            for (place, want) in topic.wants.iter().enumerate() {
                let value = match (place + at) % 4 {
                    0 => json!(text),
                    1 => json!(number),
                    2 => json!({"power_hp": number, "frame": text, "drive": "belt"}),
                    _ => Value::Null,
                };
                input.insert(want.name.to_owned(), value);
            }
            let _ = ask(name, &Value::Object(input));
        }
    }
}
