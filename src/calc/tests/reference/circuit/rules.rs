//! Rows of overload limits and standard ratings.

use super::super::table::{Held, Outcome, Row, ask, near};
use super::{cell, figure, same};
use serde_json::json;

pub fn overload_limit(row: &Row) -> Outcome {
    let strong = match row.text("condition") {
        "marked service factor >= 1.15" => {
            Some(json!({"service_factor": 1.15, "nameplate_a": 100}))
        }
        "marked temperature rise <= 40 C" => Some(json!({"temp_rise_c": 40, "nameplate_a": 100})),
        "all other motors" => {
            Some(json!({"service_factor": 1.14, "temp_rise_c": 41, "nameplate_a": 100}))
        }
        _ => None,
    };
    if let Some(input) = strong {
        let stepped = row.text("protection").ends_with("stepped_up");
        let answer = if stepped {
            "overload_step_up_max_a"
        } else {
            "overload_max_a"
        };
        cell(
            row.text("limit_pct"),
            figure("overload", &input, answer),
            answer,
        )?;
        return Ok(Held::Agrees);
    }
    let by_table = |hp: f64, band: bool| {
        let input = json!({"hp": hp, "phases": 3, "volts": 460, "protection": "integral_thermal"});
        let got = ask("overload", &input)?;
        cell(
            row.text("limit_pct"),
            Ok(got["ultimate_trip_pct"].as_f64()),
            "trip",
        )?;
        let flc = got["flc_a"].as_f64().ok_or("no current")?;
        let most = got["ultimate_trip_max_a"].as_f64().ok_or("no trip")?;
        near(flc * row.need("limit_pct") / 100.0, most, 1e-9)?;
        if band {
            Ok(Held::Agrees)
        } else {
            Err(format!("{flc} A is not in the band"))
        }
    };
    match row.text("condition") {
        "table flc <= 9.0 A" => by_table(5.0, true),
        "table flc 9.1 A to 20 A" => by_table(10.0, true),
        "table flc > 20 A" => by_table(15.0, true),
        _ => small_motor(row),
    }
}

/// 1 hp or less: a separate device as for larger motors, or a protector without a percentage.
fn small_motor(row: &Row) -> Outcome {
    let half = json!({
        "hp": "1/2", "phases": 1, "volts": 115, "nameplate_a": 100, "protection": "integral_thermal",
    });
    let got = ask("overload", &half)?;
    let words = got["working"]["lines"].to_string();
    if !got["ultimate_trip_pct"].is_null() || !words.contains("no percentage") {
        return Err(format!("a percentage for a small protector: {got}"));
    }
    let separate = |factor: f64| {
        let input = json!({"hp": "1/2", "nameplate_a": 100, "service_factor": factor, "protection": "separate"});
        figure("overload", &input, "overload_max_a")
    };
    for (factor, percent) in [(1.15, 125.0), (1.0, 115.0)] {
        same(percent, separate(factor)?, "separate")?;
    }
    match (row.text("motor_size"), row.text("limit_pct")) {
        ("1_hp_or_less_automatic", "125/115" | "")
        | ("1_hp_or_less_nonautomatic_permanent", "") => Ok(Held::Agrees),
        other => Err(format!("{other:?} is not known")),
    }
}

/// Fuses list every rating; breakers leave out the fuse ratings, and 10 A before 2023.
pub fn standard_rating(row: &Row) -> Outcome {
    let rating = row.need("rating_a");
    for edition in ["2017", "2020", "2023"] {
        if row.text(&format!("nec_{edition}")) != "1" {
            return Err(format!("{edition} does not list it"));
        }
        for (device, listed) in [
            ("dual_element_fuse", true),
            ("nontime_delay_fuse", true),
            (
                "inverse_time_breaker",
                match row.text("applies_to") {
                    "fuse_and_inverse_time_breaker" => true,
                    "see_note" => edition == "2023",
                    _ => false,
                },
            ),
        ] {
            let rule_set = format!("NEC {edition}");
            let input = json!({"amps": rating, "device": device, "rule_set": rule_set});
            let got = ask("standard_rating", &input)?;
            for answer in ["up_a", "down_a"] {
                if (got[answer].as_f64() == Some(rating)) != listed {
                    return Err(format!("{device} {edition} {answer}: {}", got[answer]));
                }
            }
        }
    }
    Ok(Held::Agrees)
}
