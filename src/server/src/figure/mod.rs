//! Calculations for programs: `brasstag figure` and the JSON addresses, both onto calc's topics.

pub mod api;
pub mod command;
pub mod contract;
