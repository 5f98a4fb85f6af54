//! Reference tables: the motor match scenarios, each through the topic `fit` as people type it.

use super::table::{Check, Held, Outcome, Row, ask};
use serde_json::{Value, json};

tables! {
    motor_match_scenarios: "mechanical/motor-match-scenarios.csv",
        "invented cases for the match rules", Check::Rows(scenario);
}

/// Puts the fields of `over` in those of `into`, object by object; `null` takes a field away.
fn merge(into: &mut Value, over: &Value) {
    match (into, over) {
        (Value::Object(into), Value::Object(over)) => {
            for (name, value) in over {
                merge(into.entry(name.clone()).or_insert(Value::Null), value);
            }
        }
        (into, over) => *into = over.clone(),
    }
}

fn with(base: &Value, over: Value) -> Value {
    let mut out = base.clone();
    merge(&mut out, &over);
    out
}

/// A complete 1/4 hp fan motor, its like, and the machine it serves.
fn fan() -> Value {
    let motor = json!({
        "power_hp": "1/4", "volts_v": 230, "amps_a": 1.8, "phases": 1, "frequency_hz": 60,
        "speed_rpm": 1075, "motor_type": "PSC", "rotation": "CWSE", "frame": "48Y",
        "mount": "studs", "bolt_circle_in": 4.75, "stud_length_in": 1.5, "stud_count": 4,
        "stud_thread": "8-32", "stud_end": "lead_end", "shaft_diameter_in": "1/2",
        "shaft_length_in": 4, "shaft_form": "flat", "double_shaft": false,
        "body_diameter_in": 5.6, "body_length_in": 5, "enclosure": "TEAO", "ambient_c": 40,
        "insulation": "B", "duty": "continuous", "service_factor": 1.0,
        "protection": "automatic", "bearing": "sleeve", "position": "horizontal",
        "speed_control": false, "capacitor_uf": 5, "capacitor_v": 370,
        "capacitor_included": false, "efficiency_percent": 62,
    });
    json!({
        "old": motor, "candidate": motor,
        "machine": {
            "drive": "direct", "wheel_limit_rpm": 1400, "hub_bore_in": "1/2", "hub_length_in": 2,
            "hub_keyway": false, "stud_needed_mm": 20, "rotation": "CW", "shaft_power_w": 140,
            "shaft_power_at_rpm": 1075, "second_shaft_used": false, "reverses": false,
        },
        "site": {
            "nominal_volts_v": 230, "measured_volts_v": 234, "phases": 1, "frequency_hz": 60,
            "ambient_c": 30, "surroundings": "clean_dry", "in_air_stream": true,
            "position": "horizontal", "free_length_mm": 200, "free_diameter_mm": 160,
            "shaft_clearance_in": 1, "control": "none", "taps_used": 1,
            "restart_can_hurt": false, "hazardous": "none", "continuous": true,
        },
    })
}

/// A complete three-phase belt motor on feet, its like, and its machine.
fn belt() -> Value {
    let motor = json!({
        "power_hp": 1, "volts_v": "230/460", "amps_a": [3.2, 1.6], "phases": 3,
        "frequency_hz": 60, "speed_rpm": 1725, "motor_type": "three-phase",
        "rotation": "CWSE REV", "frame": "56", "mount": "feet", "shaft_diameter_in": "5/8",
        "shaft_length_in": 1.875, "shaft_form": "keyed", "double_shaft": false,
        "body_diameter_in": 5.6, "body_length_in": 9, "enclosure": "TEFC", "ambient_c": 40,
        "insulation": "B", "duty": "continuous", "service_factor": 1.15, "protection": "none",
        "bearing": "ball", "position": "any", "speed_control": false, "efficiency_percent": 85.5,
    });
    json!({
        "old": motor, "candidate": motor,
        "machine": {
            "drive": "belt", "hub_bore_in": "5/8", "hub_length_mm": 38, "hub_keyway": true,
            "motor_sheave_mm": 90, "driven_sheave_mm": 210, "rotation": "CW",
            "second_shaft_used": false, "reverses": false,
        },
        "site": {
            "nominal_volts_v": 230, "measured_volts_v": 234, "phases": 3, "frequency_hz": 60,
            "ambient_c": 30, "surroundings": "clean_dry", "in_air_stream": false,
            "free_length_mm": 350, "free_diameter_mm": 250, "shaft_clearance_mm": 50,
            "control": "contactor", "control_amps_a": 10, "taps_used": 1, "overload": "separate",
            "restart_can_hurt": false, "hazardous": "none", "continuous": true,
        },
    })
}

/// The case of a row, typed: the complete machine with what the row names.
fn case(id: &str) -> Option<Value> {
    Some(match id {
        "S01" => {
            let both = json!({
                "power_hp": "1/10", "volts_v": 115, "speed_rpm": 1550,
                "shaft_diameter_in": "5/16", "body_diameter_in": 3.3,
            });
            let base = with(&fan(), json!({"old": both, "candidate": both}));
            with(
                &base,
                json!({
                    "old": {"motor_type": "shaded pole", "amps_a": 3.0, "capacitor_uf": null},
                    "candidate": {"amps_a": 1.5},
                    "machine": {
                        "hub_bore_in": "5/16", "wheel_limit_rpm": 1800, "shaft_power_w": 60,
                        "shaft_power_at_rpm": 1550,
                    },
                    "site": {"nominal_volts_v": 115, "measured_volts_v": 117},
                }),
            )
        }
        "S02" => with(
            &fan(),
            json!({
                "old": {"volts_v": "208-230"},
                "candidate": {"volts_v": "208-230", "motor_type": "shaded pole", "speed_rpm": 1050},
            }),
        ),
        "S03" => with(
            &fan(),
            json!({
                "candidate": {"motor_type": "split phase", "speed_rpm": 1140},
                "machine": {"shaft_power_w": null, "shaft_power_hp": "1/4"},
            }),
        ),
        "S04" => with(
            &fan(),
            json!({
                "candidate": {
                    "power_hp": "1/3", "amps_a": 2.4, "capacitor_uf": 7.5, "capacitor_included": true,
                },
                "machine": {"shaft_power_w": null, "shaft_power_hp": "1/4"},
            }),
        ),
        "S05" => with(
            &fan(),
            json!({
                "candidate": {"volts_v": 200}, "site": {"measured_volts_v": 240},
            }),
        ),
        "S08" => with(
            &belt(),
            json!({
                "candidate": {
                    "speed_rpm": 1750, "frame": "143T", "shaft_diameter_in": "7/8",
                    "shaft_length_in": 2.25,
                },
            }),
        ),
        "S09" => with(
            &fan(),
            json!({
                "old": {"rotation": "CCWLE"}, "machine": {"rotation": null},
            }),
        ),
        "S11" => with(&fan(), json!({"candidate": {"rotation": "CCWSE REV"}})),
        "S13" => with(
            &fan(),
            json!({
                "old": {"power_hp": "1/3"},
                "candidate": {"power_hp": "1/3", "enclosure": "TENV", "body_length_in": 6},
                "site": {"free_length_mm": null, "free_length_in": 7},
            }),
        ),
        "S14" => with(
            &belt(),
            json!({
                "old": {"power_hp": "1/2"}, "candidate": {"power_hp": "1/2", "enclosure": "TEAO"},
            }),
        ),
        "S15" => with(
            &fan(),
            json!({
                "old": {"power_hp": "1/6", "speed_control": true},
                "candidate": {"power_hp": "1/6", "motor_type": "split phase"},
                "machine": {"shaft_power_w": 100},
                "site": {"control": "solid_state_speed_controller", "control_amps_a": 10},
            }),
        ),
        "S16" => with(
            &fan(),
            json!({
                "old": {"position": "shaft_up"}, "site": {"position": "shaft_up"},
            }),
        ),
        "S18" => with(&fan(), json!({"candidate": {"shaft_diameter_in": "3/8"}})),
        "S19" => with(&fan(), json!({"candidate": {"shaft_diameter_in": "5/8"}})),
        "S20" => with(
            &fan(),
            json!({
                "candidate": {"shaft_length_in": 6}, "machine": {"hub_length_in": 3.5},
            }),
        ),
        "S21" => with(
            &fan(),
            json!({
                "old": {"enclosure": "XP", "hazardous_listing": "Class I Division 1 Group D T3"},
                "candidate": {"enclosure": "TEFC"},
                "site": {"hazardous": "Class I Division 1 Group D T3"},
            }),
        ),
        "S22" => with(
            &fan(),
            json!({
                "old": {"power_hp": "1/2", "speed_rpm": 1140},
                "candidate": {"power_hp": "1/2", "speed_rpm": 1725},
                "machine": {"wheel_limit_rpm": null},
            }),
        ),
        "S23" => with(
            &belt(),
            json!({
                "old": {"protection": "manual"}, "candidate": {"protection": "automatic"},
                "site": {"restart_can_hurt": true},
            }),
        ),
        "S24" => with(
            &fan(),
            json!({
                "old": {"speed_rpm": [1075, 950, 800]}, "site": {"taps_used": 3},
            }),
        ),
        "S27" => with(
            &belt(),
            json!({
                "old": {
                    "power_hp": "1 1/2", "speed_rpm": 1745, "frame": "143T",
                    "shaft_diameter_in": "7/8", "shaft_length_in": 2.25,
                },
                "candidate": {
                    "power_hp": null, "power_w": 1100, "speed_rpm": 1730, "frame": "90S",
                    "shaft_diameter_in": null, "shaft_diameter_mm": 24, "shaft_length_in": null,
                    "shaft_length_mm": 50,
                },
                "machine": {
                    "hub_bore_in": "7/8", "shaft_power_hp": 1.2, "shaft_power_at_rpm": 1745,
                },
            }),
        ),
        "S28" => with(&fan(), json!({"candidate": {"capacitor_uf": 10}})),
        "S30" => with(
            &fan(),
            json!({
                "old": {
                    "motor_type": "shaded pole", "power_hp": "unreadable", "amps_a": 3.4,
                    "volts_v": 115, "capacitor_uf": null,
                },
                "candidate": {"volts_v": 115, "power_hp": "1/6", "amps_a": 2.4},
                "machine": {"shaft_power_w": null},
                "site": {"nominal_volts_v": 115, "measured_volts_v": null},
            }),
        ),
        "S31" => with(&fan(), json!({"site": {"ambient_c": 55}})),
        "S32" => with(
            &fan(),
            json!({
                "old": {"enclosure": "ODP", "service_factor": 1.35},
                "candidate": {"enclosure": "TENV"},
                "machine": {"shaft_power_w": null, "shaft_power_hp": 0.30},
            }),
        ),
        _ => return None,
    })
}

/// The attributes that must forbid, where the row says `no`: the right verdict for the wrong
/// reason is no pass.
fn reasons(id: &str) -> &'static [&'static str] {
    match id {
        "S02" => &["type"],
        "S03" | "S22" => &["speed"],
        "S05" => &["voltage"],
        "S14" => &["enclosure"],
        "S15" => &["control"],
        "S16" => &["bearing"],
        "S19" => &["shaft_diameter"],
        "S21" => &["hazardous"],
        "S23" => &["protection"],
        "S24" => &["taps"],
        "S31" => &["ambient"],
        "S32" => &["power", "service_factor"],
        _ => &[],
    }
}

fn scenario(row: &Row) -> Outcome {
    let id = row.text("id");
    let want = match row.text("expected_verdict") {
        "exact" => "same",
        "ok" => "suits",
        "fit-up" => "suits after work",
        "ask" => "not known yet",
        "no" => "do not fit",
        other => return Err(format!("no verdict is called {other}")),
    };
    let input = case(id).ok_or_else(|| format!("{id} has no case"))?;
    if input["machine"]["drive"] != row.text("drive") {
        return Err(format!("{id}: another drive"));
    }
    let got = ask("fit", &input)?;
    let by = got["by_attribute"].as_object().ok_or("no attributes")?;
    if by.len() != 29 {
        return Err(format!("{id}: {} attributes", by.len()));
    }
    let mut forbids: Vec<&str> = by
        .iter()
        .filter(|(_, verdict)| *verdict == "do not fit")
        .map(|(key, _)| key.as_str())
        .collect();
    let mut must = reasons(id).to_vec();
    forbids.sort_unstable();
    must.sort_unstable();
    if got["verdict"] != want || forbids != must {
        return Err(format!(
            "{id}: want {want} by {must:?}, got {} {by:?}",
            got["verdict"]
        ));
    }
    let work = got["work"].as_array().map_or(0, Vec::len);
    let missing = got["missing"].as_array().map_or(0, Vec::len);
    if (want == "suits after work" && work == 0) || (want == "not known yet" && missing == 0) {
        return Err(format!("{id}: names no work or asks nothing"));
    }
    Ok(Held::Agrees)
}

#[test]
fn candidates_are_put_in_order_whatever_the_order_they_came_in() {
    let base = fan();
    let like = |id: &str, over: Value| {
        let named = with(&base["candidate"], json!({"id": id}));
        with(&named, over)
    };
    let mut list = vec![
        like("three phases", json!({"phases": 3})),
        like("bushing", json!({"shaft_diameter_in": "3/8"})),
        like("larger", json!({"power_hp": "1/3"})),
        like("same", json!({})),
    ];
    let mut input = with(&base, json!({"candidate": null}));
    for _ in 0..list.len() {
        list.rotate_left(1);
        input["candidates"] = Value::Array(list.clone());
        let got = ask("fit", &input).expect("it is judged");
        let ranked = got["ranked"].as_array().expect("a list");
        let ids: Vec<&str> = ranked.iter().filter_map(|one| one["id"].as_str()).collect();
        assert_eq!(ids, ["same", "larger", "bushing", "three phases"]);
        assert_eq!(got["best"], "same");
        assert_eq!(got["verdict"], "same");
    }
}

#[test]
fn a_mistyped_field_is_refused_or_named() {
    let mut input = fan();
    input["candidate"]["powr_hp"] = json!(1);
    let why = ask("fit", &input).unwrap_err();
    assert!(
        why.starts_with("candidate.powr_hp: Not one of power_hp, power_w"),
        "{why}"
    );
    let mut input = fan();
    input["old"]["motor_type"] = json!("steam");
    let why = ask("fit", &input).unwrap_err();
    assert!(why.starts_with("old.motor_type: Give one of psc"), "{why}");
    let mut input = fan();
    input["site"]["volts"] = json!(230);
    let got = ask("fit", &input).expect("the rest is judged");
    assert_eq!(got["not_understood"], json!(["site.volts"]));
    assert!(ask("fit", &json!({})).unwrap_err().contains("Not given"));
}

#[test]
fn the_programs_own_form_of_a_plate_says_the_same() {
    let own = json!({
        "power": {"known": {"value": 186.4, "how": "read"}}, "phases": "unreadable",
        "frame": {"known": {"value": "56", "how": "measured"}},
    });
    let flat = json!({"power_w": 186.4, "phases": "unreadable", "frame": "56"});
    let ask_with = |plate: &Value| ask("fit", &json!({"old": plate, "candidate": plate}));
    let (own, flat) = (ask_with(&own).unwrap(), ask_with(&flat).unwrap());
    assert_eq!(own["by_attribute"], flat["by_attribute"]);
    assert_eq!(own["by_attribute"]["power"], "same");
}
