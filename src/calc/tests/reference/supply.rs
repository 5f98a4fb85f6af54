//! Reference tables: supply, insulation, windings and capacitors.

use super::table::Table;

pub static TABLES: &[Table] = &[];
