//! Reference tables: boxes, contacts, and what kinds of motor can do.

use super::table::{Check, Held, Outcome, Row, ask, ask_holds, holds};
use calc::boxes::{Contents, Wires, conductor_volume, find_box, more};
use calc::circuit::RuleSet;
use calc::fit::{Need, explain};
use calc::installation::{Control, Installation, Site};
use calc::plate::{Field, MotorType, Plate};
use calc::working::Verdict;
use serde_json::{Value, json};

tables! {
    box_conductor_volume: "electrical/box_conductor_volume_314_16_b.csv",
        "NEC 314.16(B)(1), grade A", Check::Rows(conductor_row);
    box_volumes: "electrical/box_volumes_314_16_a.csv",
        "NEC 314.16(A), volumes grade A, counts grade B", Check::Rows(box_row);
    contact_ratings: "electrical/contact_ratings_nema_ics5_ac.csv",
        "NEMA ICS 5, codes A and B grade A, others C", Check::Rows(contact_row);
    speed_control: "mechanical/speed_control_compatibility.csv",
        "common practice; shaded pole, split capacitor and start switches confirmed",
        Check::Rows(speed_control_row);
    starting_torque: "mechanical/starting_torque_by_type.csv",
        "common practice; torque ranges from memory", Check::Rows(torque_row);
    thermal_protection: "mechanical/thermal_protection.csv",
        "NEC 430.32 (2008 text) confirmed, 430.43 from memory", Check::Rows(protection_row);
    service_factors: "mechanical/service_factors_open_general_purpose.csv",
        "NEMA MG 1 12.51; 1/20 to 1/8 hp from memory", Check::Rows(service_factor_row);
}

/// A cubic inch in cubic centimetres.
const CM3: f64 = 16.387_064;

fn conductor_row(row: &Row) -> Outcome {
    let size = row.text("size_awg");
    let in3 = row.need("volume_in3");
    let volume = conductor_volume(size).map_err(|e| e.to_string())?;
    row.agrees("volume_in3", volume.to_string().parse().expect("a figure"))?;
    row.agrees("volume_cm3", in3 * CM3)?;
    let input = json!({"conductors": {size: 3}});
    ask_holds("box_fill", &input, &json!({"fill_in3": 3.0 * in3}), 0.0)
}

/// The box as a person would name it.
fn name(row: &Row) -> String {
    let (name, kind) = (row.text("box_in"), row.text("type"));
    if kind == "FS/FD" {
        name.to_owned()
    } else {
        format!("{name} {kind}")
    }
}

fn box_row(row: &Row) -> Outcome {
    let found = find_box(&name(row));
    let [one] = found.as_slice() else {
        return Err(format!("{} boxes found", found.len()));
    };
    let mut input = json!({"box": name(row)});
    if one.by_gang {
        input["box_gangs"] = 1.into();
    }
    let got = ask("box_fill", &input)?;
    holds(&row.json("volume_in3"), &got["box_in3"], 0.0)?;
    for size in calc::boxes::sizes() {
        let want = row.json(&format!("max_{size}awg"));
        holds(&want, &got[format!("more_{size}awg").as_str()], 0.0)
            .map_err(|why| format!("{size}: {why}"))?;
        let full = Contents {
            conductors: vec![Wires {
                size: size.to_owned(),
                count: want.as_u64().expect("a count") as u32,
            }],
            ..Contents::default()
        };
        let left = more(RuleSet::Nec2023, &full, size, one.volume).map_err(|e| e.to_string())?;
        if left != Some(0) {
            return Err(format!("{size}: {left:?} more beside the printed count"));
        }
    }
    let cm3 = row.need("volume_in3") * CM3;
    match row.agrees("volume_cm3", cm3) {
        Ok(held) => Ok(held),
        Err(_) if (cm3 - row.need("volume_cm3")).abs() < 2.5 => Ok(Held::Differs(format!(
            "{}: {} cm3 are printed, {cm3:.1} cm3 is the same volume; the cubic inches count",
            name(row),
            row.text("volume_cm3")
        ))),
        Err(why) => Err(why),
    }
}

fn contact_row(row: &Row) -> Outcome {
    let code = row.text("designation");
    let want = json!({
        "thermal_a": row.json("thermal_continuous_a"),
        "max_v": row.json("max_v"),
        "make_va": row.json("make_va"),
        "break_va": row.json("break_va"),
        "make_a": row.json("make_a_120v"),
        "break_a": row.json("break_a_120v"),
    });
    ask_holds(
        "contact",
        &json!({"pilot_code": code, "volts": 120}),
        &want,
        0.0,
    )?;
    let at_240 = ask("contact", &json!({"pilot_code": code, "volts": 240}))?;
    for (column, field) in [("make_a_240v", "make_a"), ("break_a_240v", "break_a")] {
        match row.text(column) {
            "" if at_240.get(field).is_some() => return Err(format!("{field} above its voltage")),
            "" => {}
            _ => {
                holds(&row.json(column), &at_240[field], 0.0)?;
            }
        }
    }
    // The code is for coils only: it never lets a motor through.
    let motor = json!({"pilot_code": code, "volts": 120, "run_a": 0.1, "start_a": 0.6});
    ask_holds("contact", &motor, &json!({"fits": false}), 0.0)
}

fn kind(printed: &str) -> Result<&'static str, String> {
    Ok(match printed {
        "shaded pole" => "shaded_pole",
        "PSC" => "permanent_split_capacitor",
        "split phase" => "split_phase",
        "capacitor start induction run" => "capacitor_start",
        "capacitor start capacitor run" => "capacitor_start_capacitor_run",
        "three-phase NEMA B" => "three_phase_design_b",
        "three-phase NEMA C" => "three_phase_design_c",
        "three-phase NEMA D" => "three_phase_design_d",
        "ECM" | "ECM / EC" => "electronically_commutated",
        "three-phase induction" => "three_phase_design_b",
        "universal (brush)" => "universal",
        other => return Err(format!("kind {other}")),
    })
}

/// `yes`, `no` or `conditional` of a printed cell.
fn allowed(cell: &str) -> &'static str {
    let lower = cell.to_lowercase();
    if lower.starts_with("only") || lower.contains("possible") || lower.contains("only") {
        "conditional"
    } else if lower.starts_with("yes") || lower == "built in" {
        "yes"
    } else {
        "no"
    }
}

fn speed_control_row(row: &Row) -> Outcome {
    let printed = row.text("motor_type");
    let kinds = match printed {
        "capacitor start / cap-start cap-run" => {
            vec!["capacitor_start", "capacitor_start_capacitor_run"]
        }
        other => vec![kind(other)?],
    };
    for kind in kinds {
        let got = ask("motor_kind", &json!({"motor_type": kind}))?;
        for (column, field) in [
            ("multi_speed_taps", "taps"),
            ("solid_state_voltage_control", "voltage_control"),
            ("series_capacitor_control", "series_capacitor"),
            ("variable_frequency_drive", "frequency_drive"),
        ] {
            let want = allowed(row.text(column));
            let got = got[field].as_str().unwrap_or_default();
            if !got.starts_with(want) {
                return Err(format!("{kind}, {field}: want {want}, got {got}"));
            }
        }
        fits_alike(row, kind)?;
    }
    Ok(Held::Agrees)
}

/// What the table refuses, the fit refuses too; what it allows outright, the fit does not refuse.
fn fits_alike(row: &Row, kind: &str) -> Outcome {
    let motor_type: MotorType = match kind {
        "three_phase_design_b" => MotorType::ThreePhaseInduction,
        // The plate knows no brush motors.
        "universal" => return Ok(Held::Agrees),
        kind => serde_json::from_value(Value::from(kind)).map_err(|e| e.to_string())?,
    };
    let plate = Plate {
        motor_type: Field::read(motor_type),
        ..Plate::default()
    };
    for (column, control) in [
        (
            "solid_state_voltage_control",
            Control::SolidStateSpeedController,
        ),
        ("variable_frequency_drive", Control::FrequencyDrive),
    ] {
        let machine = Installation {
            site: Site {
                control: Some(control),
                ..Site::default()
            },
            ..Installation::default()
        };
        let need = Need {
            installation: &machine,
            old: &Plate::default(),
        };
        let working = explain(&need, &plate);
        let verdict = working.line("control").and_then(|line| line.verdict);
        let right = match allowed(row.text(column)) {
            "no" => verdict == Some(Verdict::DoNotFit),
            "yes" => verdict.is_some() && verdict != Some(Verdict::DoNotFit),
            _ => true,
        };
        if !right {
            return Err(format!("{kind} on {control:?}: the fit says {verdict:?}"));
        }
    }
    Ok(Held::Agrees)
}

fn torque_row(row: &Row) -> Outcome {
    let got = ask(
        "motor_kind",
        &json!({"motor_type": kind(row.text("motor_type"))?}),
    )?;
    let want = json!({
        "torque_min_percent": row.json("locked_rotor_torque_min_percent_FLT"),
        "torque_max_percent": row.json("locked_rotor_torque_max_percent_FLT"),
    });
    holds(&want, &got, 0.0)?;
    let word = |text: &str| {
        let first = text.split_whitespace().next().unwrap_or_default();
        first.trim_end_matches([':', '(']).to_owned()
    };
    let printed = match row.text("starting_current") {
        "controlled ramp" => "soft".to_owned(),
        text => word(text),
    };
    let ours = word(got["starting_current"].as_str().unwrap_or_default());
    if ours == printed {
        Ok(Held::Agrees)
    } else {
        Err(format!("starting current: want {printed}, got {ours}"))
    }
}

fn protection_row(row: &Row) -> Outcome {
    let run = |input: Value, want: Value| ask_holds("thermal_protector", &input, &want, 0.0);
    let restart = |restarts: bool, verdict: &str| json!({"restarts_by_itself": restarts, "working": {"verdict": verdict}});
    let hurts = |protector: &str| json!({"protector": protector, "restart_can_hurt": true});
    let trip = |amps: f64, percent: u32| {
        let input = json!({"protector": "automatic", "table_a": amps});
        run(input, json!({"protector_max_percent": percent}))
    };
    let strong = json!({"protector": "none", "plate_a": 10, "service_factor": 1.15});
    let cool = json!({"protector": "none", "plate_a": 10, "rise_c": 40});
    let plain = json!({"protector": "none", "plate_a": 10, "service_factor": 1.0});
    match row.text("kind") {
        "none" => {
            let needs =
                |percent| json!({"needs_overload_device": true, "overload_percent": percent});
            run(strong, needs(125))?;
            run(cool, needs(125))?;
            run(plain, needs(115))
        }
        "automatic reset" => run(hurts("automatic"), restart(true, "beyond")),
        "manual reset" => run(hurts("manual"), restart(false, "within")),
        "impedance protected" => run(hurts("impedance"), json!({"needs_overload_device": false})),
        kind if kind.ends_with("<= 9 A") => trip(9.0, 170),
        kind if kind.ends_with("9.1-20 A") => {
            trip(9.1, 156)?;
            trip(20.0, 156)
        }
        kind if kind.ends_with("> 20 A") => trip(20.1, 140),
        "overload device step-up" => {
            let stepped = |percent| json!({"overload_stepped_up_percent": percent});
            run(strong, stepped(140))?;
            run(plain, stepped(130))
        }
        "thermostat (pilot bimetal disc)" => {
            run(hurts("thermostat"), json!({"needs_contactor": true}))
        }
        "PTC thermistor" => run(hurts("thermistor"), json!({"needs_contactor": true})),
        "thermal cut-off (one-shot)" => run(hurts("cut_off"), json!({"opens_once": true})),
        other => Err(format!("kind {other}")),
    }
}

fn service_factor_row(row: &Row) -> Outcome {
    let want = json!({"service_factor": row.json("service_factor")});
    let ask = |hp: Value| {
        let input = json!({
            "power_hp": hp,
            "synchronous_rpm": row.need("synchronous_speed_60Hz_rpm"),
            "totally_enclosed": false,
        });
        ask_holds("service_factor", &input, &want, 0.0)
    };
    match row.text("power_hp") {
        "any totally enclosed" => {
            let input = json!({"power_hp": 5, "totally_enclosed": true});
            ask_holds("service_factor", &input, &want, 0.0)
        }
        text if text.starts_with("1 1/2") => {
            let top = if row.need("synchronous_speed_60Hz_rpm") > 3000.0 {
                125
            } else {
                200
            };
            ask("1 1/2".into())?;
            ask(top.into())
        }
        text => ask(text.into()),
    }
}
