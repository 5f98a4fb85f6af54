//! The shelf.

pub mod words;
