//! Rows of `rule_factors.csv`, each rule held by what the topics answer.

use super::super::table::{Held, Outcome, Row, ask, near};
use super::{figure, same};
use serde_json::{Value, json};

/// 28 A of the table: a 5 hp motor on one phase at 230 V.
fn motor(more: Value) -> Result<Value, String> {
    let mut input = json!({"hp": 5, "phases": 1, "volts": 230, "terminal_c": 60});
    if let (Some(input), Some(more)) = (input.as_object_mut(), more.as_object()) {
        input.extend(more.clone());
    }
    ask("motor_branch", &input)
}

fn percent_of_28(row: &Row, answer: Option<f64>) -> Result<(), String> {
    let amps = answer.ok_or("no answer")?;
    near(row.need("value"), amps / 28.0 * 100.0, 1e-9).map(|_| ())
}

fn several(more: Value) -> Result<f64, String> {
    let answer = figure("several_motors", &more, "min_ampacity_a")?;
    answer.ok_or_else(|| "no ampacity".into())
}

fn is(ok: bool, why: &str) -> Result<(), String> {
    if ok { Ok(()) } else { Err(why.into()) }
}

pub fn factor(row: &Row) -> Outcome {
    match row.text("rule_id") {
        id if id.starts_with("several") || id.starts_with("feeder") => common(row, id)?,
        id if id.starts_with("disconnect")
            || id.starts_with("ac")
            || id.starts_with("controller") =>
        {
            switches(row, id)?;
        }
        id if id.starts_with("group")
            || id.starts_with("multi")
            || id.starts_with("receptacle") =>
        {
            outlets(row, id)?;
        }
        id if id.ends_with("continuous") => continuous(row)?,
        id if id.starts_with("egc") || id.starts_with("voltage_drop") => run(row, id)?,
        id => one(row, id)?,
    }
    Ok(Held::Agrees)
}

fn one(row: &Row, id: &str) -> Result<(), String> {
    let answer = |more: Value, name: &str| Ok::<_, String>(motor(more)?[name].as_f64());
    match id {
        "branch_conductor" => percent_of_28(row, answer(json!({}), "min_conductor_ampacity_a")?),
        "branch_conductor_min_size" => {
            let small = ask(
                "motor_branch",
                &json!({"hp": "1/6", "phases": 1, "volts": 230, "terminal_c": 75}),
            )?;
            is(small["cu_size"] == row.text("value"), "a smaller size")
        }
        "wye_delta_motor_leads" => percent_of_28(
            row,
            answer(json!({"starter": "star_delta"}), "motor_leads_min_a")?,
        ),
        "part_winding_motor_leads" => percent_of_28(
            row,
            answer(json!({"starter": "part_winding"}), "motor_leads_min_a")?,
        ),
        "lrc_unlisted_small_motor" => contact(row),
        "adjustable_voltage_drive" => percent_of_28(
            row,
            answer(json!({"exception": "adjustable_voltage"}), "flc_a")?,
        ),
        "next_size_up_conductor" => next_size_up(row),
        "termination_60c_limit" => termination(row),
        "termination_75c_motor" => {
            let warm = motor(json!({"terminal_c": row.need("value")}))?;
            is(
                warm["cu_size"] == "10" && warm["cu_ampacity_a"] == 35.0,
                "75 °C is not used",
            )
        }
        "rooftop_adder" => rooftop(row),
        "adjustment_nipple" => {
            let of = |long: bool| {
                let input = json!({
                    "size": "12", "metal": "copper", "insulation_c": 90, "ccc": 9,
                    "raceway_over_24_in": long,
                });
                figure("ampacity", &input, "ccc_percent")
            };
            same(100.0, of(false)?, "short")?;
            same(70.0, of(true)?, "long")
        }
        other => Err(format!("{other} is not known")),
    }
}

/// A motor that carries no code letter starts with six times its current.
fn contact(row: &Row) -> Result<(), String> {
    let known = |value: Value| json!({"known": {"value": value, "how": "read"}});
    let scene = |locked: f64| {
        json!({
            "plate": {
                "power": known(json!(93.2)), "volts": known(json!([115.0])), "amps": known(json!([2.0])),
                "phases": known(json!(1)), "speeds": known(json!([1050.0])),
                "motor_type": known(json!("shaded_pole")),
            },
            "installation": {
                "driven": {"air_mover": true},
                "site": {"control": "thermostat", "control_amps": 2.0, "control_locked_rotor": locked},
            },
            "circuit": {"volts": 120.0, "phases": 1},
            "rule_set": "NEC 2023",
        })
    };
    let starting = 2.0 * row.need("value");
    for (locked, verdict) in [(starting, "within"), (starting - 0.1, "beyond")] {
        let got = ask("circuit", &scene(locked))?;
        is(
            got["lines"]["contact"] == verdict,
            &format!("{locked} A: {}", got["lines"]),
        )?;
    }
    Ok(())
}

fn next_size_up(row: &Row) -> Result<(), String> {
    let of = |size: &str, count: u64| {
        let input = json!({
            "size": size, "metal": "copper", "insulation_c": 90, "terminal_c": 75, "ccc": count,
        });
        figure("ampacity", &input, "ocpd_max_a")
    };
    // 3 AWG: 100 A; 4 AWG at 80 %: 76 A, next 80 A; 1000 kcmil: 545 A, next 600 A.
    same(100.0, of("3", 3)?, "3 AWG")?;
    same(80.0, of("4", 6)?, "4 AWG")?;
    same(600.0, of("1000", 3)?, "1000 kcmil")?;
    use calc::circuit::{RuleSet, carry::ordinary_device, wire::find_size};
    use calc::installation::Metal;
    let size = find_size("1000").ok_or("no size")?;
    let device = |amps: i64| ordinary_device(RuleSet::Nec2023, size, Metal::Copper, amps.into());
    let most = row.need("value") as i64;
    is(device(most - 10) == Some(most.into()), "up to it")?;
    is(
        device(most + 10) == Some(most.into()),
        "above it rounds down",
    )
}

/// Unmarked terminals: 60 °C to 100 A, 75 °C above.
fn termination(row: &Row) -> Result<(), String> {
    let size = |amps: f64| {
        let input = json!({"amps": amps, "metal": "copper", "insulation_c": 90});
        Ok::<_, String>(ask("conductor", &input)?["cu_size"].clone())
    };
    let most = row.need("value");
    is(
        size(most)? == "1",
        "60 °C column to the limit: 1 AWG, 110 A",
    )?;
    is(
        size(most + 1.0)? == "2",
        "75 °C column above it: 2 AWG, 115 A",
    )
}

fn rooftop(row: &Row) -> Result<(), String> {
    let of = |clearance: f64, edition: &str| {
        let input = json!({
            "size": "6", "metal": "copper", "insulation_c": 90, "ambient_c": 30, "on_sunlit_roof": true,
            "roof_clearance_in": clearance, "rule_set": edition,
        });
        figure("ampacity", &input, "ambient_factor")
    };
    // 30 + 33 °C falls into the band of 61 to 65 °C.
    is(row.need("value") == 33.0, "the adder")?;
    for (clearance, edition, factor) in [
        (0.5, "NEC 2020", 0.65),
        (0.5, "NEC 2023", 0.65),
        (0.8, "NEC 2017", 0.65),
        (0.8, "NEC 2020", 0.65),
        (0.8, "NEC 2023", 1.0),
        (0.875, "NEC 2020", 1.0),
    ] {
        same(factor, of(clearance, edition)?, edition)?;
    }
    Ok(())
}

fn common(row: &Row, id: &str) -> Result<(), String> {
    let value = row.need("value") / 100.0;
    let base = several(json!({"motor_flc_a": [40]}))?;
    match id {
        "several_motors_largest" => near(40.0 * value, base, 1e-9).map(|_| ()),
        "several_motors_others" => {
            let more = several(json!({"motor_flc_a": [40, 40]}))?;
            near(40.0 * value, more - base, 1e-9).map(|_| ())
        }
        "several_motors_noncontinuous_other" => {
            let more = several(json!({"motor_flc_a": [40], "other_noncontinuous_a": 10}))?;
            near(10.0 * value, more - base, 1e-9).map(|_| ())
        }
        "several_motors_continuous_other" => {
            let more = several(json!({"motor_flc_a": [40], "other_continuous_a": 10}))?;
            near(10.0 * value, more - base, 1e-9).map(|_| ())
        }
        "feeder_device" => {
            let motor = |hp: u8| json!({"hp": hp, "phases": 3, "volts": 460, "device": "inverse_time_breaker"});
            let got = ask(
                "feeder",
                &json!({"motors": [motor(10), motor(5), motor(5)]}),
            )?;
            // 14 A x 250 % = 35 A, plus twice 7.6 A = 50.2 A: down to 50 A.
            same(50.2, got["feeder_device_calc_a"].as_f64(), "sum")?;
            same(50.0, got["feeder_device_a"].as_f64(), "rounded down")
        }
        other => Err(format!("{other} is not known")),
    }
}

fn switches(row: &Row, id: &str) -> Result<(), String> {
    let of = |more: Value| {
        let mut input = json!({"phases": 1, "volts": 115, "hp": 1});
        if let (Some(input), Some(more)) = (input.as_object_mut(), more.as_object()) {
            input.extend(more.clone());
        }
        ask("switch", &input)
    };
    let value = row.number("value");
    match id {
        "disconnect_current" => percent_of_28(row, motor(json!({}))?["disconnect_min_a"].as_f64()),
        "disconnect_hp_exception" => {
            let got = of(json!({"switch": "motor_circuit", "switch_hp": 1, "switch_a": 10}))?;
            is(got["ok"] == true, "a horsepower rating is enough")
        }
        "disconnect_eighth_hp" => {
            let eighth = |hp: f64, portable: bool| {
                of(json!({
                    "hp": hp, "nameplate_a": 14, "switch": "breaker", "switch_a": 15, "portable": portable,
                }))
            };
            let most = value.ok_or("no value")?;
            is(eighth(most, false)?["ok"] == true, "1/8 hp, stationary")?;
            is(eighth(most, true)?["ok"] == false, "1/8 hp, portable")?;
            is(eighth(most + 0.02, false)?["ok"] == false, "above 1/8 hp")
        }
        "disconnect_2hp_general_use_switch" => {
            let got = of(json!({"switch": "general_use", "switch_a": 32}))?;
            same(
                16.0 * value.ok_or("no value")? / 100.0,
                got["required_a"].as_f64(),
                "twice",
            )?;
            is(got["ok"] == true, "equality is allowed")?;
            two_horsepower("general_use")
        }
        "disconnect_2hp_ac_snap_switch" => {
            let got = of(json!({"switch": "ac_general_use_snap", "switch_a": 20}))?;
            same(
                20.0 * value.ok_or("no value")? / 100.0,
                got["limit_a"].as_f64(),
                "80 %",
            )?;
            two_horsepower("ac_general_use_snap")
        }
        "acdc_snap_switch_inductive" => {
            let got = of(json!({"switch": "ac_dc_general_use_snap", "switch_a": 20}))?;
            same(
                20.0 * value.ok_or("no value")? / 100.0,
                got["limit_a"].as_f64(),
                "50 %",
            )
        }
        "controller_third_hp_plug" => {
            let plug = |hp: f64| of(json!({"hp": hp, "switch": "plug", "portable": true}));
            is(plug(value.ok_or("no value")?)?["ok"] == true, "1/3 hp")?;
            is(plug(0.5)?["ok"].is_null(), "1/2 hp needs a rating")
        }
        other => Err(format!("{other} is not known")),
    }
}

/// Above 2 hp or 300 V a large rating does not help these switches.
fn two_horsepower(kind: &str) -> Result<(), String> {
    for (hp, phases, volts, ok) in [(2, 1, 230, true), (3, 1, 230, false), (1, 3, 460, false)] {
        let input = json!({
            "hp": hp, "phases": phases, "volts": volts, "switch": kind, "switch_a": 200,
        });
        is(
            ask("switch", &input)?["ok"] == ok,
            &format!("{hp} hp at {volts} V"),
        )?;
    }
    Ok(())
}

fn outlets(row: &Row, id: &str) -> Result<(), String> {
    let value = row.need("value");
    let of = |more: Value, answer: &str| figure("permissible_load", &more, answer);
    match id {
        "multi_outlet_one_cord_load" => {
            let input = json!({"circuit_a": 20, "shared_with_receptacles": true});
            same(
                20.0 * value / 100.0,
                of(input, "cord_limit_a")?,
                "cord load",
            )
        }
        "multi_outlet_fixed_load" => {
            let input = json!({"circuit_a": 20, "shared_with_receptacles": true});
            same(20.0 * value / 100.0, of(input, "limit_a")?, "fixed load")
        }
        "multi_outlet_30a_cord_load" => same(
            30.0 * value / 100.0,
            of(json!({"circuit_a": 30}), "cord_limit_a")?,
            "cord load",
        ),
        "receptacle_cord_load_15" => {
            let input = json!({"circuit_a": 20, "receptacle_a": 15});
            same(value, of(input, "cord_limit_a")?, "15 A receptacle")
        }
        "receptacle_cord_load_20" => {
            let input = json!({"circuit_a": 20, "receptacle_a": 20});
            same(value, of(input, "cord_limit_a")?, "20 A receptacle")
        }
        "group_1hp_120v_device" => group(120.0, 5.8, value, value),
        "group_1hp_other_device" => group(240.0, 3.6, value, value),
        "group_1hp_motor_current" => {
            group(120.0, value, 20.0, 20.0)?;
            let over = json!({"phases": 1, "volts": 120, "nameplate_a": value + 0.1, "ocpd_a": 15});
            is(ask("group", &over)?["ok"] == false, "above 6 A")
        }
        other => Err(format!("{other} is not known")),
    }
}

fn group(volts: f64, amps: f64, most: f64, limit: f64) -> Result<(), String> {
    let of = |device: f64| {
        let input = json!({"phases": 1, "volts": volts, "nameplate_a": amps, "ocpd_a": device});
        ask("group", &input)
    };
    let got = of(most)?;
    same(limit, got["small_limit_a"].as_f64(), "limit")?;
    is(got["ok"] == true, "at the limit")?;
    is(of(most + 5.0)?["ok"] == false, "above the limit")
}

fn continuous(row: &Row) -> Result<(), String> {
    let input = json!({"continuous_a": 40, "noncontinuous_a": 10});
    let got = ask("continuous_load", &input)?;
    let want = 10.0 + 40.0 * row.need("value") / 100.0;
    for answer in ["min_rating_a", "min_conductor_ampacity_a"] {
        same(want, got[answer].as_f64(), answer)?;
    }
    Ok(())
}

fn run(row: &Row, id: &str) -> Result<(), String> {
    match id {
        "egc_not_larger" => {
            let got = ask("egc", &json!({"ocpd_a": 70, "circuit_size": "10"}))?;
            is(got["cu"] == "10", "larger than the circuit's own")
        }
        "egc_motor_inst_trip" => {
            // 28 A x 175 % = 49 A, next 50 A: 10 AWG, and not by the breaker's setting of 224 A.
            let got = motor(json!({"ocpd": "instantaneous_trip_breaker"}))?;
            percent_of_28(row, got["dual_element_fuse_calc_a"].as_f64())?;
            is(
                got["egc_cu"] == "10" && got["egc_al"] == "8",
                "by the dual-element fuse",
            )
        }
        "voltage_drop_branch" | "voltage_drop_total" => {
            let of = |ohms: f64| {
                let input = json!({
                    "phases": 1, "amps": 10, "volts": 100, "ohm_per_kft": ohms, "one_way_ft": 500,
                });
                Ok::<_, String>(ask("voltage_drop", &input)?["working"].clone())
            };
            let limit = row.need("value");
            let words = of(limit / 10.0)?["lines"].to_string();
            is(
                words.contains(&format!("{limit} %")),
                "the advice is not shown",
            )?;
            is(of(0.3)?["verdict"] == "within", "3 %")?;
            is(of(0.301)?["verdict"] == "within, note", "above 3 %")
        }
        other => Err(format!("{other} is not known")),
    }
}
