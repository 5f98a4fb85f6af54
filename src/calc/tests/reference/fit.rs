//! Reference tables: the motor match scenarios.

use super::table::Table;

pub static TABLES: &[Table] = &[];
