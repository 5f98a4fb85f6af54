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
    near(&first["lrc_max_a"], 3.14 * 10_000.0 / (460.0 * 3f64.sqrt()));
}

#[test]
fn other_names_of_the_metal_are_read() {
    let of = |name: &str| {
        let input = json!({"size": "4", name: "al", "insulation_c": 75, "ambient_c": 30, "ccc": 3});
        ask("ampacity", input)["ampacity_a"].clone()
    };
    assert_eq!(of("metal"), of("material"));
    near(&of("material"), 65.0);
    let cable = json!({
        "insulation": "PVC", "method": "B1", "loaded": 3, "ambient_f": 104, "grouped": 3,
    });
    let got = ask("iec_ampacity", cable.clone());
    near(&got["ambient_factor"], 0.87);
    near(&got["grouping_factor"], 0.7);
    let mut aluminium = cable;
    aluminium["metal"] = json!("aluminium");
    assert_eq!(
        refused("iec_ampacity", aluminium).field.as_deref(),
        Some("metal")
    );
}

#[test]
fn a_box_of_gangs_counts_one_where_their_number_is_not_given() {
    let got = ask(
        "box_fill",
        json!({"box": "FD - multiple", "conductors": {"12": 4}}),
    );
    near(&got["box_in3"], 24.0);
    says(&got, "one gang was taken");
    let got = ask(
        "box_fill",
        json!({"box": "4 x 4 x 1-1/2", "conductors": {"12": 4}}),
    );
    near(&got["box_in3"], 21.0);
}

#[test]
fn an_overload_question_gets_the_answers_of_its_kind() {
    let of = |kind: &str| {
        let input = json!({"flc_a": 12, "hp": 3, "nameplate_a": 11, "protection": kind});
        ask("overload", input)
    };
    let inside = of("integral_thermal");
    near(&inside["ultimate_trip_max_a"], 12.0 * 1.56);
    assert!(inside["overload_max_a"].is_null());
    let separate = of("separate");
    assert!(separate["ultimate_trip_max_a"].is_null());
    near(&separate["overload_max_a"], 11.0 * 1.15);
    near(
        &ask("overload", json!({"flc_a": 28}))["ultimate_trip_max_a"],
        28.0 * 1.4,
    );
}

#[test]
fn continuous_load_is_answered_both_ways() {
    for name in ["circuit_a", "rating_a", "ocpd_a"] {
        near(
            &ask("continuous_load", json!({name: 20}))["max_continuous_a"],
            16.0,
        );
    }
    let both = ask(
        "continuous_load",
        json!({"rating_a": 20, "noncontinuous_a": 5}),
    );
    near(&both["max_continuous_a"], 12.0);
    near(
        &ask("continuous_load", json!({"noncontinuous_a": 18}))["standard_rating_a"],
        20.0,
    );
    let over = ask(
        "continuous_load",
        json!({"rating_a": 20, "continuous_a": 17}),
    );
    assert_eq!(over["ok"], false);
    assert_eq!(verdict(&over), "beyond");
}

#[test]
fn a_group_takes_the_voltage_of_its_motors() {
    let motor = |hp: &str, volts: u32| json!({"hp": hp, "phases": 1, "volts": volts});
    let input = json!({"motors": [motor("1/2", 115), motor("1/3", 115)], "ocpd_a": 20});
    near(&ask("group", input)["small_limit_a"], 20.0);
    let input = json!({"motors": [motor("1/2", 115), motor("1/3", 230)], "ocpd_a": 20});
    assert_eq!(refused("group", input).field.as_deref(), Some("volts"));
    let input = json!({"motor_flc_a": [2.5, 4.4], "volts": 120, "ocpd_a": 15});
    assert_eq!(ask("group", input)["ok"], true);
}

#[test]
fn a_fixed_load_that_holds_both_ways_needs_no_asking() {
    let of = |amps: f64| {
        ask(
            "permissible_load",
            json!({"circuit_a": 20, "fixed_motor_a": amps}),
        )
    };
    assert_eq!(of(9.8)["ok"], true);
    near(&of(9.8)["limit_a"], 10.0);
    assert_eq!(verdict(&of(9.8)), "within");
    assert!(of(13.8)["ok"].is_null());
    assert_eq!(verdict(&of(13.8)), "not known yet");
    assert_eq!(of(21.0)["ok"], false);
    let input = json!({"circuit_a": 20, "fixed_motor_a": 14, "shared_with_receptacles": false});
    let alone = ask("permissible_load", input);
    says(&alone, "NEC 210.20(A)");
    says(&alone, "125 %");
}

#[test]
fn figures_of_the_supply_bear_their_cautions_and_round_to_the_careful_side() {
    let got = ask("voltage_unbalance", json!({"v": [465, 455, 452]}));
    let factor = got["derating_factor"].as_f64().expect("a factor");
    let shown = (factor * 100.0).floor() / 100.0;
    says(&got, &format!("no more than {shown} of"));
    says(&got, "measured live");
    says(
        &ask("voltage_tolerance", json!({"nameplate_v": 230})),
        "measured live",
    );
}

#[test]
fn an_insulation_reading_takes_fahrenheit() {
    let of = |name: &str, value: f64| {
        let input = json!({"megohm": 100, name: value, "electronics_connected": false});
        ask("insulation_resistance", input)["corrected_40c_megohm"].clone()
    };
    near(&of("temp_f", 68.0), 25.0);
    near(&of("temp_c", 20.0), 25.0);
}

#[test]
fn the_whole_check_reads_a_plate_from_its_text() {
    let input = json!({"plate": "1/2 HP 115V 1PH 1725RPM 9.8A QWERTZ"});
    says(&ask("circuit", input), "meaning of `QWERTZ` on the plate");
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
