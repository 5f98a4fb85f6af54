//! Reference tables: belts, bearings, fasteners.

#[path = "drive/bearings.rs"]
mod bearings;

use super::table::{Check, Held, Outcome, Row, ask, near};
use serde_json::{Value, json};

tables! {
    sheave_speeds: "mechanical/sheave_speed_golden.csv", "computed, plain arithmetic", Check::Rows(sheave_speed);
    belt_geometries: "mechanical/belt_geometry_golden.csv", "computed, plain arithmetic", Check::Rows(belt_geometry);
    belt_sections: "mechanical/vbelt_sections.csv", "belt practice (RMA), confirmed", Check::Rows(belt_section);
    belt_forces: "mechanical/vbelt_deflection_force.csv", "belt maintenance guide, one place", Check::Rows(belt_force);
    bearing_lives: "mechanical/bearing_L10_golden.csv", "ISO 281, computed", Check::Rows(bearings::bearing_life);
    reliability: "mechanical/bearing_reliability_factor_a1_iso281_2007.csv", "ISO 281:2007, from memory", Check::Rows(bearings::reliability_factor);
    grease: "mechanical/bearing_grease_golden.csv", "computed; the interval's form from memory", Check::Rows(bearings::grease_row);
    regrease_factors: "mechanical/regrease_correction_factors.csv", "from memory", Check::Rows(bearings::regrease_factor);
    bearing_places: "mechanical/bearing_position_suitability.csv", "common practice", Check::Rows(bearings::bearing_place);
    set_screws: "mechanical/set_screw_torque.csv", "several charts; #8 and #10 disagree", Check::Rows(set_screw);
    metric_set_screws: "mechanical/set_screw_torque_metric.csv", "one chart", Check::Rows(metric_set_screw);
    bolts: "mechanical/bolt_nut_torque.csv", "one chart, tolerance 20 %", Check::Rows(bolt);
    bushings: "mechanical/qd_bushing_torque.csv", "one catalogue page; set screw of SK from memory", Check::Rows(bushing);
}

fn figure(got: &Value, name: &str) -> Result<f64, String> {
    got[name]
        .as_f64()
        .ok_or_else(|| format!("{name}: no number in {got}"))
}

fn agrees(row: &Row, column: &str, got: &Value, name: &str) -> Outcome {
    row.agrees(column, figure(got, name)?)
}

fn same(what: &str, want: impl Into<Value>, got: &Value) -> Outcome {
    let want = want.into();
    if want == *got {
        Ok(Held::Agrees)
    } else {
        Err(format!("{what}: want {want}, got {got}"))
    }
}

fn sheave_speed(row: &Row) -> Outcome {
    let motor = row.need("motor_speed_rpm");
    let (d1, d2) = (
        row.need("motor_pitch_diameter_in"),
        row.need("fan_pitch_diameter_in"),
    );
    let input = json!({
        "motor_speed_rpm": motor, "motor_sheave_pitch_in": d1, "driven_sheave_pitch_in": d2,
        "wanted_speed_rpm": row.need("fan_speed_rpm"),
    });
    let got = ask("belt", &input)?;
    agrees(row, "fan_speed_rpm", &got, "driven_speed_rpm")?;
    agrees(row, "belt_speed_fpm", &got, "belt_speed_fpm")?;
    near(
        d2 / d1,
        figure(&got, "sheave_ratio_for_wanted")?,
        1e-5 * d2 / d1,
    )?;
    near(d2, figure(&got, "driven_sheave_for_wanted_in")?, 1e-5 * d2)?;
    near(d1, figure(&got, "motor_sheave_for_wanted_in")?, 1e-5 * d1)?;
    // The driven rim goes with the belt.
    let driven = json!({
        "speed_rpm": figure(&got, "driven_speed_rpm")?, "diameter_in": d2
    });
    agrees(
        row,
        "driven_rim_speed_fpm",
        &ask("fan_speed", &driven)?,
        "tip_speed_fpm",
    )?;
    let want = match row.text("rim_check_6500_fpm") {
        "ok" => "within",
        _ => "beyond",
    };
    same("rim", want, &got["working"]["verdict"])
}

fn belt_geometry(row: &Row) -> Outcome {
    let (large, small) = (
        row.need("large_pitch_diameter_in"),
        row.need("small_pitch_diameter_in"),
    );
    let sheaves = |name: &str, value: f64| {
        let mut input = json!({"motor_sheave_pitch_in": small, "driven_sheave_pitch_in": large});
        input[name] = value.into();
        ask("belt", &input)
    };
    let got = sheaves("centres_in", row.need("centre_distance_in"))?;
    agrees(row, "belt_length_series_in", &got, "belt_length_in")?;
    agrees(row, "belt_length_exact_in", &got, "belt_length_exact_in")?;
    agrees(row, "wrap_small_sheave_deg_exact", &got, "wrap_deg")?;
    agrees(
        row,
        "wrap_approx_180_minus_60_D_minus_d_over_C_deg",
        &got,
        "wrap_rule_deg",
    )?;
    agrees(row, "free_span_in", &got, "span_in")?;
    agrees(row, "deflection_at_1_64_per_in_in", &got, "deflection_in")?;
    let length = figure(&got, "belt_length_in")?;
    let back = sheaves("belt_length_in", length)?;
    agrees(row, "centre_back_from_length_in", &back, "centres_in")?;
    // What books print with 1.57 for half of pi is shorter by this much.
    let short = (std::f64::consts::FRAC_PI_2 - 1.57) * (large + small);
    row.agrees("belt_length_1.57_form_in", length - short)
}

fn belt_section(row: &Row) -> Outcome {
    let mut names = row.text("section").split(" / ");
    let plain = names.next().ok_or("no name")?;
    let got = ask("belt", &json!({"belt": format!("{plain}50")}))?;
    same("section", plain, &got["belt_section"])?;
    same("cogged", false, &got["belt_cogged"])?;
    if let Some(cogged) = names.next() {
        let got = ask("belt", &json!({"belt": format!("{cogged}50")}))?;
        same("cogged", true, &got["belt_cogged"])?;
    }
    agrees(row, "top_width_in", &got, "belt_top_width_in")?;
    agrees(row, "thickness_in", &got, "belt_thickness_in")?;
    let means = row.text("number_in_the_belt_name_means");
    same("number", means, &got["belt_number_means"])?;
    let outside = figure(&got, "belt_outside_in")?;
    match row.number("outside_minus_inside_length_in") {
        Some(more) => near(more, outside - figure(&got, "belt_inside_in")?, 1e-9),
        None => near(5.0, outside, 1e-9),
    }
}

fn ends(cell: &str) -> Result<(f64, f64), String> {
    let (from, to) = cell.split_once('-').ok_or("no range")?;
    let number = |text: &str| text.parse().map_err(|_| format!("{text} is no number"));
    Ok((number(from)?, number(to)?))
}

fn belt_force(row: &Row) -> Outcome {
    let sheaves = ends(row.text("smallest_sheave_diameter_in"))?;
    let speeds = ends(row.text("speed_rpm"))?;
    let (plain, cogged) = row.text("section").split_once('/').ok_or("no pair")?;
    for (sheave, speed) in [(sheaves.0, speeds.0), (sheaves.1, speeds.1)] {
        for (section, kind) in [(plain, "uncogged"), (cogged, "cogged")] {
            let input = json!({
                "section": section, "motor_speed_rpm": speed, "motor_sheave_pitch_in": sheave,
                "driven_sheave_pitch_in": sheave + 3.0,
            });
            let got = ask("belt", &input)?;
            let (new, used) = (
                format!("{kind}_new_belt_force_lb"),
                format!("{kind}_used_belt_force_lb"),
            );
            if row.text(&new).is_empty() {
                same("no force is listed", Value::Null, &got["force_new_lb"])?;
                continue;
            }
            agrees(row, &new, &got, "force_new_lb")?;
            agrees(row, &used, &got, "force_used_lb")?;
            verdicts(&input, row.need(&used), row.need(&new))?;
        }
    }
    Ok(Held::Agrees)
}

/// Used and new force belong to the range; a tenth of a pound outside does not.
fn verdicts(input: &Value, used: f64, new: f64) -> Outcome {
    for (force, want) in [
        (used, "within"),
        (new, "within"),
        (used - 0.1, "beyond"),
        (new + 0.1, "beyond"),
    ] {
        let mut input = input.clone();
        input["force_lb"] = force.into();
        let got = ask("belt", &input)?;
        let lines = got["working"]["lines"].as_array().ok_or("no lines")?;
        let tension = lines.iter().find(|line| line["key"] == "tension");
        same("tension", want, &tension.ok_or("no tension")?["verdict"])?;
    }
    Ok(Held::Agrees)
}

/// The figures that charts print, such as `36 / 25`.
fn seen(cell: &str) -> Vec<f64> {
    cell.split('/')
        .filter_map(|figure| figure.trim().parse().ok())
        .collect()
}

fn set_screw(row: &Row) -> Outcome {
    let seen = seen(row.text("values_seen_in_sources_in_lb"));
    let lowest = seen.iter().copied().fold(f64::MAX, f64::min);
    let highest = seen.iter().copied().fold(0.0, f64::max);
    for size in row.text("size").split(" / ") {
        let got = ask(
            "tightening",
            &json!({"fastener": "set_screw", "size": size}),
        )?;
        agrees(
            row,
            "seating_torque_in_lb_alloy_cup_point",
            &got,
            "torque_in_lb",
        )?;
        agrees(row, "seating_torque_N_m", &got, "torque_n_m")?;
        let disagree = row.text("confidence").starts_with("sources disagree");
        same("disagree", disagree, &got["charts_disagree"])?;
        if disagree {
            near(lowest, figure(&got, "lowest_in_lb")?, 1e-9)?;
            near(highest, figure(&got, "highest_in_lb")?, 1e-9)?;
        }
    }
    Ok(Held::Agrees)
}

fn metric_set_screw(row: &Row) -> Outcome {
    for (steel, column) in [
        ("alloy", "seating_torque_N_m_alloy"),
        ("stainless", "seating_torque_N_m_stainless"),
    ] {
        let input =
            json!({"fastener": "metric_set_screw", "size": row.text("size"), "steel": steel});
        agrees(row, column, &ask("tightening", &input)?, "torque_n_m")?;
    }
    Ok(Held::Agrees)
}

fn bolt(row: &Row) -> Outcome {
    let input = json!({
        "fastener": "bolt", "size": row.text("size"), "sae_grade": row.need("sae_grade"),
    });
    let got = ask("tightening", &input)?;
    agrees(row, "torque_in_lb", &got, "torque_in_lb")?;
    agrees(row, "torque_N_m", &got, "torque_n_m")?;
    near(
        0.8 * row.need("torque_in_lb"),
        figure(&got, "lowest_in_lb")?,
        1e-6,
    )
}

fn bushing(row: &Row) -> Outcome {
    let got = ask(
        "tightening",
        &json!({"fastener": "bushing", "size": row.text("bushing")}),
    )?;
    agrees(
        row,
        "cap_screw_torque_in_lb",
        &got,
        "cap_screw_torque_in_lb",
    )?;
    match row.text("key_set_screw_size_in") {
        "" => same("no set screw", Value::Null, &got["key_screw_size_in"]),
        size => {
            same("set screw", size, &got["key_screw_size_in"])?;
            agrees(
                row,
                "set_screw_torque_in_lb",
                &got,
                "key_screw_torque_in_lb",
            )
        }
    }
}
