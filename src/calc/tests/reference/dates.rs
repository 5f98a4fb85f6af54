//! Reference tables: due dates.

use super::table::{Check, Outcome, Row, ask_holds};

tables! {
    schedule_cases: "maintenance/schedule-cases.csv",
        "RFC 5545 examples and dates worked out with python-dateutil, grade A; windows and meters by common practice",
        Check::Rows(case);
}

/// The topic has the name of the row's kind; dates and words agree exactly, figures as printed.
fn case(row: &Row) -> Outcome {
    let input = row.json("input_json");
    let want = row.json("expected_json");
    ask_holds(row.text("kind"), &input, &want, 0.0)
        .map_err(|why| format!("{}: {why}", row.text("id")))
}
