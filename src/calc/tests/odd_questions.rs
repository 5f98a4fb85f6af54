//! Questions that were answered wrongly or not at all once, each with the answer that it must have.

use calc::figure;
use serde_json::{Value, json};

fn ask(name: &str, input: &Value) -> Value {
    let topic = figure::find(name).expect("it is listed");
    figure::run(topic, input).unwrap_or_else(|trouble| panic!("{name}: {trouble}"))
}

#[track_caller]
fn refused(name: &str, field: &str, input: &Value) -> String {
    let topic = figure::find(name).expect("it is listed");
    let trouble = figure::run(topic, input).expect_err("it is refused");
    assert_eq!(trouble.field.as_deref(), Some(field), "{}", trouble.message);
    trouble.message
}

#[track_caller]
fn verdict(name: &str, line: &str, input: &Value) -> Option<String> {
    let out = ask(name, input);
    let lines = out["working"]["lines"].as_array().expect("lines").clone();
    let found = lines.iter().find(|shown| shown["key"] == line)?;
    Some(found["verdict"].as_str().unwrap_or("").to_owned())
}

#[test]
fn a_plan_asks_for_no_first_date_that_it_does_not_need() {
    let done = json!({"kind": "after_done", "every": {"months": 3}, "last_done": "2026-01-31", "count": 2});
    assert_eq!(
        ask("due", &done)["days"],
        json!(["2026-04-30", "2026-07-30"])
    );
    let meter = json!({
        "kind": "meter", "meter_every": 500, "last_service_meter": 100, "count": 1,
        "readings": [["2026-01-01", 100], ["2026-01-11", 200]],
    });
    assert_eq!(ask("due", &meter)["days"], json!(["2026-02-20"]));
    let grid = json!({"kind": "calendar", "every": {"months": 3}, "last_done": "2026-01-31"});
    refused("due", "anchor", &grid);
}

#[test]
fn a_plan_is_told_by_plain_fields_or_by_a_rule() {
    let both = [
        (
            json!({"kind": "nth_weekday", "nth": 2, "weekday": "tue", "every_months": 3, "anchor": "2026-01-01"}),
            json!({"rule": {"kind": "nth_weekday", "nth": 2, "weekday": 2, "every_months": 3}, "anchor": "2026-01-01"}),
        ),
        (
            json!({"kind": "in_season", "every": {"days": 30}, "season": ["05-01", "09-30"], "anchor": "2026-04-01"}),
            json!({"rule": {"kind": "in_season", "every": {"days": 30}, "season": {
                "start": {"month": 5, "day": 1}, "end": {"month": 9, "day": 30}}}, "anchor": "2026-04-01"}),
        ),
        (
            json!({"kind": "months", "months": [1, 7], "day": 31, "after": "2026-01-01"}),
            json!({"rule": {"kind": "months", "months": [1, 7], "day": 31}, "anchor": "2026-01-02"}),
        ),
        (
            json!({"kind": "before_season", "season": ["10-01", "04-30"], "lead_days": 14, "after": "2026-01-01"}),
            json!({"rule": {"kind": "before_season", "start": "10-01", "lead_days": 14}, "after": "2026-01-01"}),
        ),
        (
            json!({"kind": "recurrence", "rrule": "FREQ=MONTHLY;BYDAY=1MO", "anchor": "2026-01-01"}),
            json!({"rule": {"kind": "recurrence", "rule": "FREQ=MONTHLY;BYDAY=1MO"}, "anchor": "2026-01-01"}),
        ),
    ];
    for (plain, rule) in both {
        let days = ask("due", &plain)["days"].clone();
        assert_eq!(days.as_array().map(Vec::len), Some(10), "{plain}");
        assert_eq!(days, ask("due", &rule)["days"], "{plain}");
    }
    let first = json!({
        "kind": "first_of", "every": {"months": 12}, "meter_every": 500, "last_done": "2026-01-01",
        "last_service_meter": 100, "readings": [["2026-01-01", 100], ["2026-01-11", 200]], "count": 1,
    });
    assert_eq!(ask("due", &first)["days"], json!(["2026-02-20"]));
}

#[test]
fn what_is_wrong_with_a_rule_is_said_in_plain_words() {
    let rule = |rule: Value| json!({"rule": rule, "anchor": "2026-01-01"});
    refused("due", "rule", &rule(json!("monthly")));
    refused("due", "rule.kind", &rule(json!({"kind": "monthly"})));
    refused("due", "rule.every", &rule(json!({"kind": "calendar"})));
    refused(
        "due",
        "rule.every.months",
        &rule(json!({"kind": "calendar", "every": {"months": 0}})),
    );
    refused(
        "due",
        "rule.every.years",
        &rule(json!({"kind": "calendar", "every": {"years": 1001}})),
    );
    refused(
        "due",
        "rule.month",
        &rule(json!({"kind": "months", "month": 1})),
    );
    let several = json!({"kind": "first_of", "rules": [{"kind": "meter", "every": -1}]});
    refused("due", "rule.rules.0.every", &rule(several));
    refused(
        "due",
        "rrule",
        &json!({"kind": "recurrence", "rrule": "FREQ=OFTEN", "anchor": "2026-01-01"}),
    );
    refused(
        "due",
        "meter_every",
        &json!({"kind": "meter", "meter_every": 0}),
    );
    refused("due", "kind", &json!({"anchor": "2026-01-01"}));
}

#[test]
fn a_meter_is_held_against_its_own_range() {
    let at = |name: &str, full: f64, last: f64| {
        json!({"readings": [["2024-01-01", 99_950], ["2024-01-11", last]], name: full,
            "last_service_meter": 99_900, "every": 500})
    };
    for name in ["rolls_over_at", "rollover", "rollover_at", "modulus"] {
        let out = ask("meter_predict", &at(name, 1e5, 150.0));
        assert_eq!(out["due_at"], json!(100_400.0), "{name}");
        refused("meter_predict", "readings", &at(name, 90_000.0, 150.0));
    }
    assert_eq!(
        ask("meter_predict", &at("max_reading", 99_999.0, 150.0))["due_at"],
        json!(100_400.0)
    );
    let doubt = verdict(
        "meter_predict",
        "return_to_zero",
        &at("modulus", 1e5, 60_000.0),
    );
    assert_eq!(doubt.as_deref(), Some("not_known_yet"));
    let ahead = ask(
        "meter_predict",
        &json!({"readings": [["2024-01-01", 100], ["2024-01-11", 150]], "last_service_meter": 200, "every": 500}),
    );
    assert_eq!(
        (&ahead["due_at"], &ahead["predicted"]),
        (&Value::Null, &Value::Null)
    );
    assert_eq!(
        ahead["working"]["missing"].as_array().map(Vec::len),
        Some(1)
    );
    let slow = ask(
        "meter_predict",
        &json!({"readings": [["2024-01-01", 100], ["2024-01-11", 100.000001]], "last_service_meter": 100, "every": 1e9}),
    );
    assert_eq!(
        (&slow["due_at"], &slow["predicted"]),
        (&json!(1_000_000_100.0), &Value::Null)
    );
    let neither = ask("dual_trigger", &json!({}));
    assert_eq!(
        (&neither["due"], &neither["trigger"]),
        (&Value::Null, &Value::Null)
    );
}

#[test]
fn belts_that_cannot_be_are_refused_in_words() {
    let drive = |centres: f64| json!({"motor_sheave_pitch_in": 5, "driven_sheave_pitch_in": 10, "centres_in": centres, "belt": "A60"});
    let words = refused("belt", "centres_in", &drive(7.0));
    assert!(words.contains("touch"), "{words}");
    assert_eq!(
        verdict("belt", "belt_fits", &drive(18.5)).as_deref(),
        Some("within")
    );
    assert_eq!(
        verdict("belt", "belt_fits", &drive(40.0)).as_deref(),
        Some("beyond")
    );
}

#[test]
fn shares_in_place_of_percents_and_overloads_are_seen() {
    let energy = |percent: f64, kw: f64| json!({"measured_kW": kw, "power_hp": 1, "full_load_efficiency_percent": percent, "hours_per_year": 10});
    let words = refused(
        "energy",
        "full_load_efficiency_percent",
        &energy(0.865, 0.5),
    );
    assert!(words.contains("such as 86.5"), "{words}");
    assert_eq!(
        verdict("energy", "load", &energy(86.5, 0.9)).as_deref(),
        Some("within_note")
    );
    assert_eq!(
        verdict("energy", "load", &energy(86.5, 1.2)).as_deref(),
        Some("beyond")
    );
    refused(
        "part_load",
        "full_load_efficiency_percent",
        &json!({
        "power_hp": 5, "load_fraction": 0.5, "full_load_efficiency_percent": 0.9}),
    );
    let outside = ask("part_load", &json!({"power_hp": 500, "load_fraction": 0.5}));
    assert_eq!(
        outside["working"]["missing"].as_array().map(Vec::len),
        Some(2)
    );
    assert_eq!(
        ask("efficiency", &json!({"kind": "shaded_pole"}))["covered"],
        json!(false)
    );
}

#[test]
fn the_stricter_of_two_balance_grades_counts() {
    let out = |grade: &str| json!({"grade": grade, "category": "BV-3", "rotor_mass_kg": 40, "speed_rpm": 1000});
    assert_eq!(ask("unbalance", &out("G16"))["grade_mm_s"], json!(6.3));
    assert_eq!(
        verdict("unbalance", "grade_told", &out("G16")).as_deref(),
        Some("within_note")
    );
    assert_eq!(ask("unbalance", &out("G2.5"))["grade_mm_s"], json!(2.5));
    assert_eq!(verdict("unbalance", "grade_told", &out("G6.3")), None);
}

#[test]
fn other_names_and_forms_are_taken() {
    let units = ask(
        "availability_steady_states",
        &json!({"a": 0.9, "n": 3, "k": 2}),
    );
    assert!((units["k_of_n"].as_f64().expect("a share") - 0.972).abs() < 1e-12);
    let grace =
        json!({"due": "2026-06-15", "minus_days": 3, "plus_days": 10, "done": "2026-06-25"});
    assert_eq!(ask("grace_status", &grace)["result"], json!("in_window"));
    let limit = json!({"last_done": "2026-01-01", "every": {"months": 12}, "done": "2027-01-02"});
    assert_eq!(
        verdict("hard_limit", "limit", &limit).as_deref(),
        Some("beyond")
    );
    let hours =
        json!({"start": "2026-03-07T12:00", "end": "2026-03-08T12:00", "tz": "America/New_York"});
    assert_eq!(ask("elapsed_hours", &hours)["elapsed_hours"], json!(23.0));
    let overhaul = json!({"beta": 2, "eta": 1000, "cost_preventive": 100, "cost_failure": 100});
    assert_eq!(
        ask("overhaul_interval", &overhaul)["interval"],
        json!(1000.0)
    );
}

#[test]
fn limits_of_lives_and_lists() {
    let none = json!({"total_time": 1000, "failures": 0, "confidence": 0.9, "sides": "upper"});
    let out = ask("exp_mtbf", &none);
    assert!(out["upper"].is_null() && out.get("upper").is_some() && out.get("lower").is_none());
    let far = json!({"beta": 1.3, "eta": 1000, "cost_preventive": 10, "cost_failure": 11});
    let out = ask("age_replacement", &far);
    assert!(out["optimal_age"].as_f64() > Some(1000.0) && out["beyond_any_life"] == json!(true));
    let few = json!({"events": [100, 450, 600, 800], "end": 1000});
    assert_eq!(ask("trend_tests", &few)["finding"], json!("too_few"));
    let ended = json!({"rrule": "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;UNTIL=20270101", "dtstart": "2026-01-01"});
    assert_eq!(ask("rrule_date", &ended)["result"], json!([]));
    let many = json!({"anchor": "2000-01-01", "every": {"days": 1}, "served_index": 0, "completed": "2006-01-01"});
    let out = ask("fixed_next", &many);
    assert_eq!(out["missed"].as_array().map(Vec::len), Some(1000));
    assert_eq!(out["missed_count"], json!(2192));
    let readings: Vec<Value> = (0..5001).map(|n| json!(["2024-01-01", n])).collect();
    refused("meter_reject", "readings", &json!({"readings": readings}));
}

#[test]
fn a_service_factor_is_one_that_plates_carry() {
    let fan = |sf: f64, power: f64| json!({"speed_rpm": 1000, "new_speed_rpm": 800, "power_w": power, "motor_power_w": 1000, "service_factor": sf});
    refused("fan_speed", "service_factor", &fan(0.85, 900.0));
    assert_eq!(
        verdict("fan_speed", "motor_power_now", &fan(1.15, 1300.0)).as_deref(),
        Some("beyond")
    );
    assert_eq!(verdict("fan_speed", "wheel_speed", &fan(1.15, 900.0)), None);
}

#[test]
fn units_watched_for_different_times_are_told_both_ways() {
    let fleet = json!({
        "systems": [[49.38, 76.19, 131.02, 221.31], [10.25, 108.95, 127.96, 133.96, 153.69, 187.95],
            [], [44.68, 264.69, 351.51, 527.22, 638.61, 798.44]],
        "ends": [398.4, 236.4, 833.0, 840.3],
    });
    let out = ask("power_law_mle", &fleet);
    let near = |name: &str, wanted: f64, room: f64| {
        let got = out[name].as_f64().expect(name);
        assert!((got - wanted).abs() < room, "{name}: {got}");
    };
    near("beta_full_ml", 0.714, 5e-4);
    near("mtbf_at_end_full_ml", 219.5, 0.05);
    let cautions = out["working"]["cautions"].as_array().expect("cautions");
    assert!(
        cautions
            .iter()
            .any(|words| words.to_string().contains("different times"))
    );
}

#[test]
fn a_small_thrust_takes_nothing_off_a_radial_load() {
    let bearing = json!({"rolling": "ball", "rating_kn": 30, "radial_kn": 5, "axial_kn": 0.5, "x": 0.56, "y": 1.5});
    assert_eq!(ask("bearing", &bearing)["equivalent_load_kn"], json!(5.0));
    assert_eq!(
        verdict("bearing", "load", &bearing).as_deref(),
        Some("within")
    );
}

#[test]
fn a_screen_outside_its_correlation_names_the_field() {
    let screen = json!({"open_area_fraction": 0.123_456_789, "correlation": "round_bar_mesh"});
    let words = refused("screen", "open_area_fraction", &screen);
    assert!(words.contains("0.1235"), "{words}");
}
