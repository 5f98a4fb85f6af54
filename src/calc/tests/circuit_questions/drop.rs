//! Voltage drop, and numbers that are none.

use super::{ask, near, refused, run, says, verdict};
use serde_json::{Value, json};

#[test]
fn a_drop_without_metal_takes_copper_and_says_so() {
    let ask_by = |method: Value| {
        let input = json!({
            "method": method, "phases": 1, "amps": 20, "volts": 120, "size": "12", "one_way_ft": 100,
        });
        ask("voltage_drop", input)
    };
    let by_r = ask_by(json!("R"));
    near(&by_r["drop_v"], 8.0);
    near(&by_r["drop_v_aluminium"], 12.8);
    for got in [
        by_r,
        ask_by(json!("Z")),
        ask_by(json!("K")),
        ask_by(Value::Null),
    ] {
        assert!(
            got["drop_v_aluminium"].as_f64() > got["drop_v"].as_f64(),
            "{got}"
        );
        says(&got, "aluminium drops about 1.6 times as much");
        assert_eq!(verdict(&got), "within, note");
        assert!(got["working"]["missing"].to_string().contains("metal"));
        says(&got, "permission");
    }
    let by_k = ask_by(json!("K"));
    near(&by_k["drop_v"], 2.0 * 12.9 * 20.0 * 100.0 / 6530.0);
    says(&by_k, "K = 12.9 copper, 21.2 aluminium");
    let sized = json!({
        "method": "K_size", "phases": 1, "amps": 28, "source_v": 240, "limit_pct": 3, "one_way_ft": 100,
    });
    let sized = ask("voltage_drop", sized);
    assert_eq!(sized["size_for_drop"], "10");
    says(&sized, "copper taken");
    let bare = ask("voltage_drop", json!({"phases": 1, "amps": 5}));
    assert_eq!(verdict(&bare), "none");
    assert!(
        !bare["working"].to_string().contains("copper taken"),
        "{bare}"
    );
}

#[test]
fn resistance_is_of_table_9_on_alternating_current_and_of_table_8_else() {
    let volts = |more: Value| {
        let mut input = json!({
            "method": "R", "phases": 1, "amps": 10, "one_way_ft": 500, "metal": "copper",
        });
        let more = more.as_object().expect("fields").clone();
        input.as_object_mut().expect("fields").extend(more);
        ask("voltage_drop", input)["drop_v"]
            .as_f64()
            .expect("a drop")
            / 10.0
    };
    let is = |more: Value, want: f64| assert!((volts(more) - want).abs() < 1e-6);
    is(json!({"size": "12"}), 2.0);
    is(json!({"size": "12 stranded"}), 1.98);
    is(json!({"size": "12 solid"}), 1.93);
    is(json!({"size": "12", "phases": "dc"}), 1.98);
    is(json!({"size": "250", "conduit": "pvc"}), 0.052);
    is(json!({"size": "250", "conduit": "steel"}), 0.054);
    is(json!({"size": "250"}), 0.057);
}

#[test]
fn a_run_that_loses_too_much_is_beyond() {
    let at = |feet: f64| {
        let input = json!({
            "phases": 1, "amps": 20, "volts": 120, "size": "14", "metal": "copper", "one_way_ft": feet,
        });
        ask("voltage_drop", input)
    };
    let all = at(2000.0);
    assert_eq!(verdict(&all), "beyond");
    assert!(all["volts_left"].is_null());
    assert_eq!(verdict(&at(100.0)), "beyond");
    let some = at(70.0);
    assert_eq!(verdict(&some), "within, note");
    says(&some, "may not start");
    assert_eq!(verdict(&at(20.0)), "within");
}

#[test]
fn volts_and_percent_need_no_phases() {
    near(
        &ask("voltage_drop", json!({"drop_v": 5, "source_v": 240}))["drop_pct"],
        2.0833,
    );
    near(
        &ask("voltage_drop", json!({"source_v": 240, "limit_pct": 3}))["max_drop_v"],
        7.2,
    );
    assert_eq!(
        refused("voltage_drop", json!({"amps": 5})).field.as_deref(),
        Some("phases")
    );
}

#[test]
fn no_answer_is_endless() {
    for input in [
        json!({"phases": 1, "amps": 1e-20, "size": "12", "metal": "copper", "limit_v": 1e-30}),
        json!({"phases": 1, "amps": 10, "volts": 1e-300, "size": "12", "metal": "copper", "one_way_ft": 9}),
    ] {
        assert!(run("voltage_drop", &input).is_err(), "{input}");
    }
}

#[test]
fn a_run_under_iec_that_loses_too_much_is_beyond_too() {
    let at = |metres: u32| {
        let input = json!({
            "phases": 1, "amps": 16, "size": "1.5", "metal": "copper", "one_way_m": metres, "volts": 230,
        });
        ask("iec_drop", input)
    };
    assert_eq!(verdict(&at(10)), "within");
    assert_eq!(verdict(&at(200)), "beyond");
}
