//! The trade's calculations: pure functions of what they are given. No I/O, no clock, no async.

pub mod circuit;
pub mod installation;
pub mod plate;
mod shown;
pub mod supply;
mod tables;
pub mod units;
pub mod working;
