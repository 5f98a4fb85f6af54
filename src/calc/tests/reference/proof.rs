//! Reference tables: vibration, balance and energy.

use super::table::Table;

pub static TABLES: &[Table] = &[];
