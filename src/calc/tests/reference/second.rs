//! Answers computed a second time by general-purpose libraries; `second/compute.py` makes them again.

use super::table::{Check, Outcome, Row, ask_holds_within};

tables! {
    computed: "second/computed.csv",
        "computed by `second/compute.py`; each row names the library, its version and the call",
        Check::Rows(computed_row);
}

fn computed_row(row: &Row) -> Outcome {
    ask_holds_within(
        row.text("topic"),
        &row.json("input_json"),
        &row.json("expected_json"),
        row.need("tol_rel"),
        row.need("tol_abs"),
    )
    .map_err(|why| format!("{} by {}: {why}", row.text("id"), row.text("library")))
}
