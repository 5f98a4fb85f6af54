//! Motors: switches, feeders, locked rotors, grounding.

use super::{ask, near, refused, run, says, verdict};
use serde_json::{Value, json};

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

#[test]
fn a_feeder_counts_instantaneous_breakers_by_its_own_kind() {
    let feeder = |kind: Value| {
        let input = json!({
            "motors": [
                {"hp": 25, "phases": 3, "volts": 460, "ocpd": "instantaneous_trip_breaker"},
                {"hp": 10, "phases": 3, "volts": 460, "device": "inverse_time_breaker"},
            ],
            "feeder_device": kind,
        });
        ask("feeder", input)
    };
    let breaker = feeder(json!("inverse_time_breaker"));
    near(&breaker["feeder_device_calc_a"], 34.0 * 2.5 + 14.0);
    near(&breaker["feeder_device_a"], 90.0);
    says(&breaker, "no other load was given");
    let open = feeder(Value::Null);
    assert!(open["feeder_device_a"].is_null());
    says(&open, "kind of the feeder's device");
}

#[test]
fn continuous_load_enters_the_feeder_device_at_its_rating() {
    let input = json!({
        "motors": [{"hp": 10, "phases": 3, "volts": 460, "device": "inverse_time_breaker"}],
        "other_continuous_a": 40,
    });
    let got = ask("feeder", input);
    near(&got["feeder_device_calc_a"], 35.0 + 40.0);
    near(&got["min_ampacity_a"], 14.0 * 1.25 + 50.0);
    says(&got, "continuous load takes 125 % for the conductors only");
}

#[test]
fn one_feeder_is_of_one_system() {
    let of = |volts: [u32; 2], kinds: [&str; 2]| {
        let motor = |at: usize| {
            json!({
                "hp": 1, "phases": if kinds[at] == "single_phase" { 1 } else { 3 }, "volts": volts[at],
                "type": kinds[at], "device": "inverse_time_breaker",
            })
        };
        run("feeder", &json!({"motors": [motor(0), motor(1)]}))
    };
    for (volts, kinds) in [
        ([230, 460], ["polyphase", "polyphase"]),
        ([230, 240], ["polyphase", "dc"]),
        ([208, 460], ["polyphase", "polyphase"]),
    ] {
        let trouble = of(volts, kinds).expect_err("two systems");
        assert_eq!(trouble.field.as_deref(), Some("motors"));
    }
    let part = of([115, 208], ["single_phase", "polyphase"]).expect("an answer");
    assert_eq!(verdict(&part), "not known yet");
    assert!(of([230, 240], ["polyphase", "polyphase"]).is_ok());
}

#[test]
fn above_a_thousand_volts_only_the_current_is_given() {
    let got = ask(
        "motor_branch",
        json!({"hp": 100, "phases": 3, "volts": 2300, "terminal_c": 75}),
    );
    near(
        &got["min_conductor_ampacity_a"],
        got["flc_a"].as_f64().unwrap() * 1.25,
    );
    for name in [
        "cu_size_75c",
        "cu_size",
        "inverse_time_breaker_max_a",
        "egc_cu",
        "disconnect_min_a",
    ] {
        assert!(got[name].is_null(), "{name}");
    }
    says(&got, "part XI");
    let group = ask(
        "feeder",
        json!({"motors": [{"hp": 100, "phases": 3, "volts": 2300}]}),
    );
    assert!(group["cu_size_75c"].is_null() && !group["min_ampacity_a"].is_null());
    says(&group, "part XI");
}

#[test]
fn the_grounding_conductor_of_a_motor_shows_the_row_of_its_device() {
    let input = json!({
        "hp": 5, "phases": 1, "volts": 230, "device": "inverse_time_breaker", "terminal_c": 75,
    });
    let got = ask("motor_branch", input);
    assert_eq!(got["egc_cu"], "10");
    says(&got, "70 A device");
    says(&got, "8 copper, 6 aluminium");
    says(&got, "never needs to exceed them");
    says(&got, "430.52(C)(3), from memory");
}

#[test]
fn locked_rotor_current_outside_the_table_is_six_times_full_load() {
    let got = ask(
        "locked_rotor",
        json!({"hp": "1/3", "phases": 1, "volts": 115}),
    );
    near(&got["lrc_a"], 6.0 * 7.2);
    assert!(got["table_lrc_a"].is_null());
    let got = ask(
        "locked_rotor",
        json!({"hp": "1/4", "phases": 3, "volts": 460, "nameplate_a": 0.6}),
    );
    near(&got["lrc_a"], 3.6);
    let open = ask(
        "locked_rotor",
        json!({"hp": "1/4", "phases": 3, "volts": 460}),
    );
    assert_eq!(verdict(&open), "not known yet");
    let cell = ask("locked_rotor", json!({"hp": 10, "phases": 1, "volts": 115}));
    near(&cell["table_lrc_a"], 600.0);
    says(&cell, "disagree");
}

#[test]
fn a_letter_alone_gives_its_range() {
    let got = ask("locked_rotor", json!({"letter": "G"}));
    near(&got["kva_per_hp_min"], 5.6);
    near(&got["kva_per_hp_max"], 6.29);
    let got = ask("locked_rotor", json!({"letter": "G", "hp": 1}));
    near(&got["kva_min"], 5.6);
    near(&got["kva_max"], 6.29);
    let first = ask(
        "locked_rotor",
        json!({"letter": "A", "hp": 10, "phases": 3, "volts": 460}),
    );
    assert!(first["lrc_min_a"].is_null() && first["lrc_mid_a"].is_null());
    says(&first, "no lower end");
    says(&first, "permission");
    near(&first["lrc_max_a"], 31_400.0 / (460.0 * 3f64.sqrt()));
}
