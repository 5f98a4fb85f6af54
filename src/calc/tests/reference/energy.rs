//! Reference tables: energy, efficiency and power ratings.

use super::proof::{columns, number, same};
use super::table::{Check, Held, Outcome, Row, ask, near};
use calc::units::{Hertz, Volts, Watts};
use serde_json::{Value, json};

tables! {
    input_power: "mechanical/input_power_energy_golden.csv",
        "computed", Check::Rows(input_power_row);
    payback: "mechanical/payback_golden.csv",
        "computed", Check::Rows(payback_row);
    floors_431_25: "mechanical/min_efficiency_10cfr431_25_table5_subset.csv",
        "10 CFR 431.25 Table 5, confirmed; 30 hp 2 pole from memory", Check::Rows(floors_431_25_row);
    floors_431_446: "mechanical/min_efficiency_10cfr431_446_small_motors.csv",
        "10 CFR 431.446(a), confirmed", Check::Rows(floors_431_446_row);
    midpoints: "mechanical/cfr_midpoint_rating_cases.csv",
        "10 CFR 431.446(b), confirmed", Check::Rows(midpoints_row);
    fluids: "mechanical/motor_efficiency_golden_fluids.csv",
        "computed with the library fluids 1.3.1", Check::Rows(fluids_row);
    power_ratings: "mechanical/standard_power_ratings.csv",
        "NEMA MG 1 10.32; 10 CFR 431.25; stamped sizes common practice", Check::Rows(power_ratings_row);
}

fn input_power_row(row: &Row) -> Outcome {
    let mut question = json!({
        "phase": row.need("phase"),
        "volts_V": row.need("volts_V"),
        "amps_A": row.need("amps_A"),
        "power_factor": row.need("power_factor"),
        "hours_per_year": row.need("hours_per_year"),
        "price_per_kWh": row.need("price_per_kWh"),
    });
    let got = ask("energy", &question)?;
    columns(
        row,
        &got,
        &["input_power_kW", "energy_kWh_per_year", "cost_per_year"],
    )?;
    // Without the power factor there is a bound, above the power, and no power.
    question["power_factor"] = Value::Null;
    let bound = ask("energy", &question)?;
    let most = number(&bound, "input_power_at_most_kW")?;
    if most >= row.need("input_power_kW") && bound["input_power_kW"].is_null() {
        Ok(Held::Agrees)
    } else {
        Err(format!("the bound: {bound}"))
    }
}

fn payback_row(row: &Row) -> Outcome {
    let mut question = json!({
        "power_hp": row.need("power_hp"),
        "load_fraction": row.need("load_fraction"),
        "old_efficiency_percent": row.need("old_efficiency_percent"),
        "new_efficiency_percent": row.need("new_efficiency_percent"),
        "hours_per_year": row.need("hours_per_year"),
        "price_per_kWh": row.need("price_per_kWh"),
        "extra_cost": row.need("extra_cost"),
    });
    let got = ask("payback", &question)?;
    columns(
        row,
        &got,
        &[
            "saved_kW",
            "saved_kWh_per_year",
            "saved_money_per_year",
            "simple_payback_years",
        ],
    )?;
    // The two motors the other way round never pay back.
    question["old_efficiency_percent"] = json!(row.need("new_efficiency_percent"));
    question["new_efficiency_percent"] = json!(row.need("old_efficiency_percent"));
    let never = ask("payback", &question)?;
    if never["pays_back"] == json!(false) && never["simple_payback_years"].is_null() {
        Ok(Held::Agrees)
    } else {
        Err(format!("a loss that pays back: {never}"))
    }
}

/// By horsepower and by the kilowatts printed beside it.
fn floors_431_25_row(row: &Row) -> Outcome {
    for (field, column) in [("power_hp", "power_hp"), ("power_kW", "power_kW")] {
        let got = ask(
            "efficiency",
            &json!({
                "kind": "three_phase", "frame_digits": 3, field: row.need(column),
                "poles": row.need("poles"), "enclosure": row.text("enclosure"),
            }),
        )?;
        let floor = number(&got, "floor_431_25_percent")?;
        row.agrees("min_nominal_full_load_efficiency_percent", floor)?;
        row.agrees("power_hp", number(&got, "deemed_listed_rating_hp")?)?;
    }
    Ok(Held::Agrees)
}

fn floors_431_446_row(row: &Row) -> Outcome {
    let kind = if row.text("winding") == "polyphase" {
        "three_phase"
    } else {
        "capacitor_start"
    };
    for (field, column) in [("power_hp", "power_hp"), ("power_kW", "power_kW")] {
        let got = ask(
            "efficiency",
            &json!({
                "kind": kind, "frame_digits": 2, field: row.need(column),
                "poles": row.need("poles"), "enclosure": "open",
            }),
        )?;
        row.agrees("power_hp", number(&got, "deemed_listed_rating_hp")?)?;
        let column = "min_average_full_load_efficiency_percent";
        if row.text(column) == "N/A" {
            if got["covered"] != json!(false) {
                return Err(format!("a floor where there is none: {got}"));
            }
        } else {
            row.agrees(column, number(&got, "floor_percent")?)?;
        }
    }
    Ok(Held::Agrees)
}

fn midpoints_row(row: &Row) -> Outcome {
    let got = ask(
        "efficiency",
        &json!({
            "kind": "three_phase", "frame_digits": 2, "poles": 4, "enclosure": "open",
            "power_hp": row.need("actual_rating_hp"),
        }),
    )?;
    row.agrees(
        "deemed_listed_rating_hp",
        number(&got, "deemed_listed_rating_hp")?,
    )
}

/// `P_hp=1; closed=False; poles=2` as pairs.
fn inputs(row: &Row) -> impl Fn(&str) -> Result<String, String> {
    let text = row.text("inputs").to_owned();
    move |name: &str| {
        text.split(';')
            .filter_map(|part| part.trim().split_once('='))
            .find(|(found, _)| *found == name)
            .map(|(_, value)| value.to_owned())
            .ok_or_else(|| format!("no {name} in {text}"))
    }
}

fn fluids_row(row: &Row) -> Outcome {
    let given = inputs(row);
    let figure = |name: &str| {
        let text = given(name)?;
        text.parse::<f64>().map_err(|why| format!("{name}: {why}"))
    };
    let share = |topic: &str, question: Value, name: &str| {
        let percent = number(&ask(topic, &question)?, name)?;
        near(row.need("expected_value"), percent / 100.0, 1e-9)
    };
    let load =
        || Ok::<_, String>(json!({"power_hp": figure("P_hp")?, "load_fraction": figure("load")?}));
    match row.text("call") {
        call if call.contains("motor_efficiency_underloaded") => {
            let got = ask("part_load", &load()?)?;
            row.agrees("expected_value", number(&got, "motor_share_estimate")?)
        }
        call if call.contains("CSA_motor_efficiency") => {
            let closed = given("closed")? == "True";
            let question = json!({
                "kind": "three_phase", "frame_digits": 3, "power_hp": figure("P_hp")?,
                "poles": figure("poles")?, "enclosure": if closed { "enclosed" } else { "open" },
            });
            share("efficiency", question, "floor_percent")
        }
        call if call.contains("VFD_efficiency") => {
            share("part_load", load()?, "drive_efficiency_estimate_percent")
        }
        call if call.contains("belt_efficiencies") => {
            let question = json!({"belt": given("type")?.to_lowercase()});
            share("part_load", question, "belt_efficiency_estimate_percent")
        }
        call if call.contains("motor_round_size") => round_size(row, figure("P_hp")?),
        _ => motor_row(row, &figure),
    }
}

/// Speeds and currents, by the functions behind them.
fn motor_row(row: &Row, figure: &dyn Fn(&str) -> Result<f64, String>) -> Outcome {
    let found = match row.text("call") {
        call if call.contains("speed_synchronous") => {
            calc::motor::synchronous_speed(Hertz(figure("f_Hz")?), figure("poles")? as u32)
                .map(|speed| speed.0)
                .map_err(|why| why.to_string())
        }
        call if call.contains("current_ideal") => {
            let (power, volts) = (Watts(figure("P_W")?), Volts(figure("V")?));
            calc::energy::current(power, volts, figure("PF")?, figure("phase")? as u8)
                .map(|amps| amps.0)
                .map_err(|why| why.to_string())
        }
        other => Err(format!("a call {other}")),
    };
    row.agrees("expected_value", found?)
}

/// The library's list has 4, 5.5 and 175 hp, which are no steps of NEMA MG 1, and begins at 1/4 hp.
fn round_size(row: &Row, hp: f64) -> Outcome {
    let got = ask("power_rating", &json!({"power_hp": hp}))?;
    let found = number(&got, "next_up_hp")?;
    if row.need("expected_value") == 4.0 {
        near(5.0, found, 1e-9)?;
        return Ok(Held::Differs(format!(
            "{hp} hp: the library rounds up to 4 hp, which is no step of NEMA MG 1 10.32; ours is 5 hp"
        )));
    }
    row.agrees("expected_value", found)
}

fn power_ratings_row(row: &Row) -> Outcome {
    let stamp = row.text("stamped");
    let by_stamp = ask("power_rating", &json!({"stamped": stamp}))?;
    same("stamped", stamp, &by_stamp["stamped"])?;
    columns(row, &by_stamp, &["power_hp", "power_W"])?;
    let by_power = ask("power_rating", &json!({"power_W": row.need("power_W")}))?;
    row.agrees("power_hp", number(&by_power, "power_hp")?)?;
    let carries = number(&by_power, "next_up_hp")?;
    if carries < row.need("power_hp") * 0.99 {
        return Err(format!("next up is {carries} hp"));
    }
    Ok(Held::Agrees)
}
