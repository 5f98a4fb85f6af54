//! Reference tables: motor ratings, frames, speeds and efficiencies.

use super::table::Table;

pub static TABLES: &[Table] = &[];
