//! The trade's calculations: pure functions of what they are given. No I/O, no clock, no async.

pub mod fan;
pub mod fit;
pub mod installation;
pub mod motor;
pub mod plate;
pub mod units;
pub mod working;
