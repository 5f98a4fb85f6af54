//! The stores in the database.

#[macro_use]
mod parts;
mod alternates;
mod buying;
mod lists;
mod moves;
mod warranty;

pub use alternates::*;
pub use buying::*;
pub use lists::*;
pub use moves::*;
pub use parts::*;
pub use warranty::*;
