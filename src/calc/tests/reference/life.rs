//! Reference tables: reliability and stock.

use super::table::{Check, Held, Outcome, Row, ask, printed};
use serde_json::{Value, json};

tables! {
    reliability: "maintenance/reliability-cases.csv",
        "NIST/SEMATECH e-Handbook, MIL-HDBK-189, IEC 60050-192 and textbook; each row says how far it was checked",
        Check::Rows(case);
    mtbf_factors: "maintenance/mtbf_factors.csv",
        "formula of NIST/SEMATECH e-Handbook 8.4.5.1, time-ended, by scipy",
        Check::Rows(factor);
}

/// One output of one question, by the command line's own door.
fn case(row: &Row) -> Outcome {
    let (id, output) = (row.text("id"), row.text("output"));
    let got = ask(row.text("method"), &row.json("input_json"))?;
    let found = got
        .get(output)
        .ok_or_else(|| format!("{id}: no answer {output}"))?;
    let (rel, abs) = (row.need("tol_rel"), row.need("tol_abs"));
    // The table asks for the cost tightly and the age loosely, in its note.
    let rel = if output.ends_with("cost_rate") {
        1e-6
    } else {
        rel
    };
    same(&row.json("expected"), found, rel, abs).map_err(|why| format!("{id} {output}: {why}"))
}

/// Numbers within one of the two tolerances, lists item by item, everything else alike.
fn same(want: &Value, got: &Value, rel: f64, abs: f64) -> Outcome {
    match (want, got) {
        (Value::Array(want), Value::Array(got)) if want.len() == got.len() => {
            for (want, got) in want.iter().zip(got) {
                same(want, got, rel, abs)?;
            }
            Ok(Held::Agrees)
        }
        _ => match (want.as_f64(), got.as_f64()) {
            (Some(w), Some(g)) if (w - g).abs() <= abs.max(rel * w.abs()) => Ok(Held::Agrees),
            (None, None) if want == got => Ok(Held::Agrees),
            _ => Err(format!("want {want}, got {got}")),
        },
    }
}

/// Limits over the point value: with as many hours as failures the mean is 1.
fn factor(row: &Row) -> Outcome {
    let input = json!({
        "total_time": row.need("failures"),
        "failures": row.need("failures"),
        "confidence": row.need("confidence_two_sided"),
        "sides": "two",
        "termination": "time",
    });
    let got = ask("exp_mtbf", &input)?;
    for (column, answer) in [("lower_factor", "lower"), ("upper_factor", "upper")] {
        let limit = got[answer].as_f64().ok_or("no limit")?;
        printed(row.text(column), limit).map_err(|why| format!("{column}: {why}"))?;
    }
    Ok(Held::Agrees)
}

#[test]
fn a_unit_that_changes_is_given_its_current_rate() {
    let input = json!({
        "events": [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478],
        "end": 1500, "confidence": 0.8,
    });
    let got = ask("failure_rate", &input).expect("an answer");
    assert_eq!(
        (&got["finding"], &got["basis"]),
        (&json!("better"), &json!("current"))
    );
    // Published: 310.234 h, 157.7138 to 548.5566 h (NIST/SEMATECH e-Handbook 8.4.5.2).
    for (answer, want) in [
        ("mtbf_now", "310.234"),
        ("lower", "157.7138"),
        ("upper", "548.5566"),
    ] {
        printed(want, got[answer].as_f64().expect("a figure")).expect(answer);
    }
    assert!(got.get("mtbf").is_none());
}

#[test]
fn what_was_never_seen_is_not_printed() {
    let none = ask(
        "failure_rate",
        &json!({"events": [], "end": 2000, "confidence": 0.9}),
    );
    let none = none.expect("an answer");
    assert_eq!(
        (&none["mtbf"], &none["upper"]),
        (&Value::Null, &Value::Null)
    );
    assert!((none["lower"].as_f64().expect("a limit") - 868.588_963_8).abs() < 1e-6);
    let one = ask(
        "weibull_mle_right_censored",
        &json!({"failures": [700, 700], "censored": [900]}),
    );
    let one = one.expect("an answer");
    assert_eq!((&one["beta"], &one["eta"]), (&Value::Null, &Value::Null));
    assert_eq!(one["reason"], "fewer_than_two_distinct_failure_ages");
}

#[test]
fn down_time_by_the_clock_and_by_numbers_is_the_same() {
    let numbers =
        json!({"window_start": 0, "window_end": 720, "down": [[-5, 10], [8, 12], [700, 800]]});
    let clock = json!({
        "from": "2026-11-01", "to": "2026-12-01T00:00",
        "stops": [
            {"from": "2026-10-31T19:00", "to": "2026-11-01T10:00"},
            {"from": "2026-11-01T08:00", "to": "2026-11-01T12:00"},
            {"from": "2026-11-30T04:00"},
        ],
    });
    for input in [numbers, clock] {
        let got = ask("availability", &input).expect("an answer");
        assert_eq!(
            (got["down_time"].as_f64(), got["down_events"].as_u64()),
            (Some(32.0), Some(2))
        );
        assert_eq!(got["availability"].as_f64(), Some(688.0 / 720.0));
    }
}

#[test]
fn stretches_of_several_people_are_split() {
    let input = json!({
        "failed": "2026-11-02T06:00", "restored": "2026-11-02T14:00",
        "spells": [
            {"kind": "fault_detection", "from": "2026-11-02T06:00", "to": "2026-11-02T07:00"},
            {"kind": "logistic_delay", "from": "2026-11-02T07:00", "to": "2026-11-02T10:00"},
            {"kind": "correction", "from": "2026-11-02T10:00", "to": "2026-11-02T13:00", "person": "A"},
            {"kind": "correction", "from": "2026-11-02T11:00", "to": "2026-11-02T13:30", "person": "B"},
            {"kind": "checkout", "from": "2026-11-02T13:30", "to": "2026-11-02T14:00", "person": "A"},
            {"kind": "checkout", "from": "2026-11-02T14:00", "to": "2026-11-02T13:00", "person": "A"},
        ],
    });
    let got = ask("repair_time_split", &input).expect("an answer");
    assert_eq!(got["time_to_restoration"], json!(8.0));
    assert_eq!(got["maintenance_time"], json!(7.0));
    assert_eq!(got["repair_time"], json!(4.0));
    assert_eq!(
        got["odd"],
        json!([{"row": 5, "what": "ends_before_it_starts"}])
    );
}

/// MIL-HDBK-189 (1981), appendix C: published 0.7163, 0.4538, 0.6898, 15.511 and 0.0911.
#[test]
fn the_military_handbook_case_is_reproduced() {
    let input = json!({
        "systems": [[
            2.6, 16.5, 16.5, 17.0, 21.4, 29.1, 33.3, 56.5, 63.1, 70.6, 73.0, 77.7, 93.9, 95.5, 98.1,
            101.1, 132.0, 142.2, 147.7, 149.0, 167.2, 190.7, 193.0, 198.7, 251.9, 282.5, 286.1
        ]],
        "ends": [300],
    });
    let got = ask("power_law_mle", &input).expect("an answer");
    for (answer, want) in [
        ("beta", "0.7163"),
        ("lam", "0.4538"),
        ("beta_unbiased", "0.6898"),
        ("mtbf_at_end", "15.511"),
        ("mtbf_at_300", "15.511"),
        ("w2", "0.0911"),
    ] {
        printed(want, got[answer].as_f64().expect("a figure")).expect(answer);
    }
}
