//! Reference tables: electrical tables of conductors, devices and loads, and the electrical worked examples.

mod factors;
mod iec;
mod motors;
mod rules;
mod wires;

use super::table::{Check, Held, Outcome, Row, ask, ask_holds};
use serde_json::Value;

tables! {
    worked_examples: "electrical/worked-examples.csv",
        "published worked examples, re-done from the tables; per row", Check::Rows(example);
    full_load_single_phase: "electrical/motor_flc_single_phase_430_248.csv",
        "NEC 430.248, grade A", Check::Rows(motors::full_load_one);
    full_load_three_phase: "electrical/motor_flc_three_phase_430_250.csv",
        "NEC 430.250, grade A", Check::Rows(motors::full_load_three);
    full_load_direct: "electrical/motor_flc_dc_430_247.csv",
        "NEC 430.247, grade A", Check::Rows(motors::full_load_direct);
    device_percent: "electrical/motor_ocpd_percent_430_52.csv",
        "NEC 430.52, grade A", Check::Rows(motors::device_percent);
    device_ceiling: "electrical/motor_ocpd_ceiling_430_52.csv",
        "NEC 430.52(C)(1) and (3), grade A", Check::Rows(motors::device_ceiling);
    duty_cycle: "electrical/duty_cycle_430_22_e.csv",
        "NEC 430.22(E), grade C", Check::Rows(motors::duty_cycle);
    code_letters: "electrical/locked_rotor_code_letters_430_7_b.csv",
        "NEC 430.7(B), grade A", Check::Rows(motors::code_letter);
    locked_single_phase: "electrical/locked_rotor_single_phase_430_251_a.csv",
        "NEC 430.251(A), grade A, one cell disputed", Check::Rows(motors::locked_one);
    locked_three_phase: "electrical/locked_rotor_three_phase_430_251_b.csv",
        "NEC 430.251(B), grade A", Check::Rows(motors::locked_three);
    overload_limits: "electrical/overload_limits_430_32.csv",
        "NEC 430.32, grade A", Check::Rows(rules::overload_limit);
    rule_factors: "electrical/rule_factors.csv",
        "NEC, sections named in the rows", Check::Rows(factors::factor);
    standard_ratings: "electrical/ocpd_standard_ratings_240_6.csv",
        "NEC 240.6(A), grade A", Check::Rows(rules::standard_rating);
    ampacity: "electrical/ampacity_310_16.csv",
        "NEC 310.16, grade A", Check::Rows(wires::ampacity);
    small_conductors: "electrical/small_conductor_limit_240_4_d.csv",
        "NEC 240.4(D), grade A", Check::Rows(wires::small_conductor);
    ambient: "electrical/ambient_correction_310_15_b1.csv",
        "NEC 310.15(B)(1), grade A", Check::Rows(wires::ambient);
    conductor_count: "electrical/conductor_count_adjustment_310_15_c1.csv",
        "NEC 310.15(C)(1), grade A", Check::Rows(wires::count);
    grounding: "electrical/egc_250_122.csv",
        "NEC 250.122, grade A; aluminium above 4000 A differs by edition", Check::Rows(wires::grounding);
    resistance: "electrical/conductor_dc_resistance_ch9_t8.csv",
        "NEC chapter 9 table 8, grade A; 8 AWG solid B", Check::Rows(wires::resistance);
    impedance: "electrical/conductor_ac_impedance_ch9_t9.csv",
        "NEC chapter 9 table 9, grade A", Check::Rows(wires::impedance);
    iec_capacity: "electrical/iec/ampacity_b52_cu_30c.csv",
        "IEC 60364-5-52 annex B, grade A to M per row", Check::Rows(iec::capacity);
    iec_ambient: "electrical/iec/ambient_b52_14.csv",
        "IEC 60364-5-52 B.52.14, grade C", Check::Rows(iec::ambient);
    iec_grouping: "electrical/iec/grouping_b52_17_bunched.csv",
        "IEC 60364-5-52 B.52.17, grade C", Check::Rows(iec::grouping);
    iec_ratings: "electrical/iec/mcb_ratings.csv",
        "usual breaker ratings, from memory", Check::Rows(iec::rating);
    iec_curves: "electrical/iec/mcb_types_60898.csv",
        "IEC 60898-1, grade A; conventional currents C", Check::Rows(iec::curve);
    iec_drop_constants: "electrical/iec/voltage_drop_constants.csv",
        "IEC 60364-5-52 annex G, grade A; reactance from memory", Check::Rows(iec::constant);
    iec_drop_advice: "electrical/iec/voltage_drop_g52_1.csv",
        "IEC 60364-5-52 G.52.1, grade A", Check::Rows(iec::advice);
    full_load_again: "mechanical/nec_full_load_current.csv",
        "NEC 430.248 and 430.250, second copy", Check::Rows(motors::full_load_again);
    full_load_misprints: "mechanical/nec_full_load_current_known_bad_copies.csv",
        "misprints seen in copies of NEC 430.250", Check::Rows(motors::misprint);
    code_letters_half_open: "mechanical/locked_rotor_code_letters.csv",
        "NEC 430.7(B) as half-open ranges", Check::Rows(motors::letter_range);
    locked_rotor_golden: "mechanical/locked_rotor_current_golden.csv",
        "computed from the half-open ranges", Check::Rows(motors::locked_golden);
}

/// Verdicts of rows whose printed answer is not ours.
const OTHERWISE: [&str; 7] = [
    "published_wrong",
    "published_inconsistent",
    "published_incomplete",
    "edition_dependent",
    "convention_dependent",
    "termination_dependent",
    "from_memory",
];

fn example(row: &Row) -> Outcome {
    let want = row.json("expected_json");
    let within = row
        .text("tolerance")
        .split_whitespace()
        .next()
        .and_then(|text| text.parse().ok())
        .unwrap_or(0.0);
    ask_holds(row.text("topic"), &row.json("input_json"), &want, within)
        .map_err(|why| format!("{}: {why}", row.text("id")))?;
    let verdict = row.text("verdict");
    if !OTHERWISE.contains(&verdict) {
        if !["ok", "derived"].contains(&verdict) {
            return Err(format!(
                "{}: verdict {verdict} is not known",
                row.text("id")
            ));
        }
        return Ok(Held::Agrees);
    }
    Ok(Held::Differs(format!(
        "{}: published {}; {}",
        row.text("id"),
        row.text("published_answer"),
        row.text("note")
    )))
}

/// One answer of a topic as a number; `Ok(None)` where it gives none.
fn figure(topic: &str, input: &Value, name: &str) -> Result<Option<f64>, String> {
    Ok(ask(topic, input)?[name].as_f64())
}

/// An answer must be the printed figure exactly, and must be wanting where the cell is empty.
fn cell(printed: &str, got: Result<Option<f64>, String>, what: &str) -> Result<(), String> {
    match (printed.is_empty(), got) {
        (true, Ok(None) | Err(_)) => Ok(()),
        (true, Ok(Some(got))) => Err(format!("{what}: nothing is printed, got {got}")),
        (false, Ok(Some(got))) => {
            let want: f64 = printed.parse().map_err(|_| format!("{what}: {printed}"))?;
            if (got - want).abs() <= want.abs() * 1e-9 {
                Ok(())
            } else {
                Err(format!("{what}: want {want}, got {got}"))
            }
        }
        (false, Ok(None)) => Err(format!("{what}: want {printed}, no answer")),
        (false, Err(why)) => Err(format!("{what}: want {printed}, {why}")),
    }
}

fn same(want: f64, got: Option<f64>, what: &str) -> Result<(), String> {
    cell(&want.to_string(), Ok(got), what)
}
