//! Reference tables: fans, air and screens.

use super::table::Table;

pub static TABLES: &[Table] = &[];
