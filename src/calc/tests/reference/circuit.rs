//! Reference tables: electrical tables of conductors, devices and loads, and the electrical worked examples.

use super::table::Table;

pub static TABLES: &[Table] = &[];
