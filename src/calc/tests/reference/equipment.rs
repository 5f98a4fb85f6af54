//! Reference tables: boxes, switches and contacts.

use super::table::Table;

pub static TABLES: &[Table] = &[];
