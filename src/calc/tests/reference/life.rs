//! Reference tables: reliability and stock.

use super::table::Table;

pub static TABLES: &[Table] = &[];
