//! Questions as people put them to the topics of the circuit, with the answer a careful colleague gives.

use calc::figure;
use serde_json::{Value, json};

fn ask(topic: &str, input: Value) -> Value {
    run(topic, &input).unwrap_or_else(|why| panic!("{topic} {input}: {why}"))
}

fn run(topic: &str, input: &Value) -> Result<Value, figure::Trouble> {
    figure::run(figure::find(topic).expect("a topic"), input)
}

fn refused(topic: &str, input: Value) -> figure::Trouble {
    match run(topic, &input) {
        Ok(got) => panic!("{topic} {input} answers {got}"),
        Err(trouble) => trouble,
    }
}

fn near(got: &Value, want: f64) {
    let figure = got.as_f64().unwrap_or_else(|| panic!("no figure: {got}"));
    assert!((figure - want).abs() < 0.005, "want {want}, got {figure}");
}

fn verdict(got: &Value) -> &str {
    got["working"]["verdict"].as_str().unwrap_or("none")
}

fn says(got: &Value, words: &str) {
    let working = got["working"].to_string();
    assert!(working.contains(words), "{words:?} is not in {working}");
}

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
fn two_voltages_are_not_one_number() {
    for text in ["230/460", "208-230/460", "208-230"] {
        let trouble = refused("motor_branch", json!({"hp": 5, "phases": 3, "volts": text}));
        assert_eq!(trouble.field.as_deref(), Some("volts"));
        assert!(trouble.message.starts_with("Give one number"), "{trouble}");
    }
    let got = ask(
        "motor_branch",
        json!({"hp": "7½ hp", "phases": 3, "volts": "230 V"}),
    );
    near(&got["flc_a"], 22.0);
}

#[test]
fn a_switch_serves_only_what_it_is_made_for() {
    let ok = |input: Value| ask("switch", input)["ok"].clone();
    let dc = json!({
        "hp": "1/2", "volts": 120, "type": "dc", "switch": "ac_general_use_snap", "switch_a": 20,
    });
    assert_eq!(ok(dc), false);
    let rated = |hp: Value| {
        let input = json!({
            "hp": 10, "phases": 3, "volts": 480, "switch": "motor_circuit", "switch_a": 30, "switch_hp": hp,
        });
        ask("switch", input)
    };
    assert_eq!(rated(json!(5))["ok"], false);
    assert_eq!(rated(json!(10))["ok"], true);
    assert_eq!(verdict(&rated(json!(10))), "within");
    assert_eq!(verdict(&rated(Value::Null)), "within, note");
    let portable = |portable: bool| {
        let input = json!({
            "hp": "1/2", "phases": 1, "volts": 115, "switch": "general_use", "switch_a": 30,
            "portable": portable,
        });
        ask("switch", input)
    };
    assert!(portable(true)["ok"].is_null());
    assert_eq!(verdict(&portable(true)), "not known yet");
    assert_eq!(portable(false)["ok"], true);
    let eighth = |portable: Value| {
        let input = json!({
            "hp": "1/10", "phases": 1, "volts": 115, "switch": "breaker", "portable": portable,
        });
        ask("switch", input)
    };
    assert_eq!(eighth(json!(false))["ok"], true);
    assert!(eighth(Value::Null)["ok"].is_null());
    assert_eq!(verdict(&eighth(Value::Null)), "not known yet");
}

#[test]
fn names_that_are_not_read_are_told() {
    let input =
        json!({"motors": [{"hp": 5, "phases": 3, "volts": 460, "colour": "red"}], "odd": 1});
    let got = ask("several_motors", input);
    assert_eq!(got["not_understood"], json!(["motors.0.colour", "odd"]));
    says(&got, "Not read: motors.0.colour, odd.");
    near(&got["min_ampacity_a"], 9.5);
}

#[test]
fn direct_current_is_taken_only_where_its_table_alone_lists_the_voltage() {
    let got = ask("motor_current", json!({"hp": 1, "volts": 90}));
    near(&got["flc_a"], 12.2);
    says(&got, "only the table of direct current lists 90 V");
    let trouble = refused("motor_current", json!({"hp": 1, "volts": 240}));
    assert!(trouble.message.contains("type dc"), "{trouble}");
    let got = ask(
        "motor_current",
        json!({"hp": 1, "volts": 240, "phases": "dc"}),
    );
    near(&got["flc_a"], 4.7);
}
