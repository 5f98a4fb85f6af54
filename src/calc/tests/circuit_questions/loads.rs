//! Conductors, boxes, loads, the supply and the whole check.

use super::{ask, near, refused, says, verdict};
use serde_json::json;

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
