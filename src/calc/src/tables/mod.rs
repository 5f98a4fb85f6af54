//! The standards' tables, compiled in as CSV and parsed once; see `SOURCES.md` beside them.

pub mod equipment;
pub mod iec;
pub mod nec;

use rust_decimal::Decimal;
use std::str::FromStr;

/// The rows under the heading of one compiled-in CSV.
pub(crate) fn rows(text: &str) -> Vec<Vec<String>> {
    text.lines()
        .skip(1)
        .filter(|line| !line.trim().is_empty())
        .map(cells)
        .collect()
}

/// One CSV line; quoted cells may hold commas.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.trim_end_matches('\r').chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            c => {
                if let Some(cell) = cells.last_mut() {
                    cell.push(c);
                }
            }
        }
    }
    cells
}

/// A cell as an exact figure; an empty cell is `None`.
pub(crate) fn decimal(cell: &str) -> Option<Decimal> {
    Decimal::from_str(cell.trim()).ok()
}

pub(crate) fn number(cell: &str) -> Option<f64> {
    cell.trim().parse().ok()
}
