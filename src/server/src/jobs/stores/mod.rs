//! What a job takes from the shelf and gives back: entries, each with its movement in the same
//! transaction. None of them moves a job from one state to another.

pub mod body;
pub mod gate;
pub mod lines;
pub mod page;
pub mod rows;
pub mod warranty;

pub use body::Stores;
