//! Reference tables: due dates.

use super::table::Table;

pub static TABLES: &[Table] = &[];
