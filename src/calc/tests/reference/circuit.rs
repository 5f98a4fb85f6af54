//! Reference tables: electrical tables of conductors, devices and loads, and the electrical worked examples.

use super::table::{Check, Held, Outcome, Row, ask_holds};

tables! {
    worked_examples: "electrical/worked-examples.csv",
        "published worked examples, re-done from the tables; per row", Check::Rows(example);
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
        return Ok(Held::Agrees);
    }
    Ok(Held::Differs(format!(
        "{}: published {}; {}",
        row.text("id"),
        row.text("published_answer"),
        row.text("note")
    )))
}
