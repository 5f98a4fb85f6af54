//! Reference tables: belts, bearings, fasteners.

use super::table::Table;

pub static TABLES: &[Table] = &[];
