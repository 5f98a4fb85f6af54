//! The stores in the database.

mod moves;
mod parts;

pub use moves::*;
pub use parts::*;
