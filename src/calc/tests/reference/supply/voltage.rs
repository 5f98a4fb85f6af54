//! Rows of voltages: nominal, tolerance, unbalance.

use crate::table::{Held, Outcome, Row, ask, ask_holds, holds, near};
use serde_json::{Value, json};

pub fn voltage_limits_row(row: &Row) -> Outcome {
    let nominal = row.need("system_nominal_v");
    let got = ask("nominal_voltage", &json!({"nominal_v": nominal}))?;
    for range in ["range_a", "range_b"] {
        for limit in [
            "service_min",
            "service_max",
            "utilization_min_lighting",
            "utilization_min_no_lighting",
            "utilization_max",
        ] {
            let name = format!("{range}_{limit}_v");
            holds(&row.json(&name), &got[name.as_str()], 0.0)
                .map_err(|e| format!("{name}: {e}"))?;
        }
    }
    let verdict = |at: &str, volts: f64, want: &str| {
        let input = json!({"nominal_v": nominal, "measured_at": at, "measured_v": volts});
        ask_holds("nominal_voltage", &input, &json!({"verdict": want}), 0.0)
    };
    verdict("service", row.need("range_a_service_min_v"), "within")?;
    verdict("service", row.need("range_b_service_min_v") - 1.0, "beyond")?;
    verdict(
        "load",
        row.need("range_b_utilization_min_no_lighting_v"),
        "within, note",
    )
}

pub fn nominal_row(row: &Row) -> Outcome {
    let input = json!({"phases": row.json("phases"), "nominal_v": row.json("system_nominal_v")});
    let want = json!({
        "nameplate_v": row.json("motor_nameplate_v"),
        "ratio_nameplate_to_nominal": row.json("ratio_nameplate_to_nominal"),
    });
    ask_holds("nominal_voltage", &input, &want, 0.0)
}

/// Three voltages about 460 V with this unbalance.
fn unbalanced(percent: f64) -> Value {
    json!([
        460.0 * (1.0 - percent / 100.0),
        460.0,
        460.0 * (1.0 + percent / 100.0)
    ])
}

fn factor_at(percent: f64) -> Result<f64, String> {
    let got = ask("voltage_unbalance", &json!({"v": unbalanced(percent)}))?;
    got["derating_factor"]
        .as_f64()
        .ok_or_else(|| "no derating factor".to_owned())
}

pub fn derating_row(row: &Row) -> Outcome {
    let percent = row.need("unbalance_pct");
    let factor = factor_at(percent)?;
    row.agrees("derating_factor_series_1", factor)?;
    if percent >= 5.0 {
        let beyond = ask("voltage_unbalance", &json!({"v": unbalanced(5.01)}))?;
        holds(&json!({"may_run": false}), &beyond, 0.0)?;
    }
    // Other readings of the curve lie within 0.02.
    for reading in row.text("derating_factor_other_readings").split('-') {
        if let Ok(reading) = reading.parse() {
            near(reading, factor, 0.02)?;
        }
    }
    Ok(Held::Agrees)
}

pub fn curve_row(row: &Row) -> Outcome {
    let factor = factor_at(row.need("unbalance_percent"))?;
    near(row.need("derating_factor"), factor, 0.02)
}

pub fn iec_row(row: &Row) -> Outcome {
    let zone = |volts: f64, hertz: f64, want: &str| {
        let input = json!({"voltage_dev_pct": volts, "frequency_dev_pct": hertz});
        let got = ask("voltage_tolerance", &input)?;
        holds(&json!({"iec_zone": want}), &got, 0.0).map_err(|e| format!("{volts}, {hertz}: {e}"))
    };
    let nominal = |volts: f64| ask("nominal_voltage", &json!({"nominal_v": volts}));
    match (row.text("item"), row.text("value")) {
        ("iec_60038_nominal_line_to_neutral" | "iec_60038_nominal_line_to_line", value) => {
            let volts: f64 = value.parse().map_err(|_| "no number")?;
            let want = json!({"iec_min_v": volts * 0.9, "iec_max_v": volts * 1.1});
            holds(&want, &nominal(volts)?, 1e-9)
        }
        ("iec_60038_supply_tolerance", "+/-10") => {
            holds(&json!({"iec_tolerance_pct": 10.0}), &nominal(230.0)?, 0.0)
        }
        ("iec_60034_1_zone_a_voltage", "+/-5") => {
            zone(5.0, 0.0, "A")?;
            zone(-5.0, 0.0, "A")?;
            zone(5.1, 0.0, "B")
        }
        ("iec_60034_1_zone_a_frequency", "+/-2") => {
            zone(0.0, 2.0, "A")?;
            zone(0.0, -2.0, "A")?;
            zone(0.0, 2.1, "B")
        }
        ("iec_60034_1_zone_b_voltage", "+/-10") => {
            zone(10.0, 0.0, "B")?;
            zone(-10.1, 0.0, "outside")
        }
        ("iec_60034_1_zone_b_frequency", "+3/-5") => {
            zone(0.0, 3.0, "B")?;
            zone(0.0, -5.0, "B")?;
            zone(0.0, 3.1, "outside")?;
            zone(0.0, -5.1, "outside")
        }
        other => Err(format!("item {other:?}")),
    }
}

pub fn tolerance_row(row: &Row) -> Outcome {
    let input = json!({
        "nameplate_v": row.json("nameplate_V"),
        "measured_v": row.json("measured_supply_V"),
    });
    let want = json!({
        "voltage_dev_pct": row.json("deviation_percent"),
        "min_v": row.json("lower_limit_V"),
        "max_v": row.json("upper_limit_V"),
        "inside": row.text("verdict_MG1_12_44") != "OUTSIDE",
    });
    ask_holds("voltage_tolerance", &input, &want, 0.0)?;
    // The same through the plate: a supply on all three phases.
    let volts = row.need("measured_supply_V");
    let supply = json!({
        "plate_v": [row.json("nameplate_V")], "plate_hz": [60], "hz": 60, "phases": 3,
        "v": [volts, volts, volts],
    });
    let verdict = if want["inside"] == true {
        "within"
    } else {
        "beyond"
    };
    ask_holds("supply", &supply, &json!({"verdict": verdict}), 0.0)
}

pub fn unbalance_row(row: &Row) -> Outcome {
    let input = json!({"v": [row.json("V12"), row.json("V23"), row.json("V31")]});
    let want = json!({
        "average_v": row.json("average_V"),
        "unbalance_pct": row.json("unbalance_percent"),
    });
    ask_holds("voltage_unbalance", &input, &want, 0.0)
}
