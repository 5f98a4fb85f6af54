//! The trade's calculations: pure functions of what they are given. No I/O, no clock, no async.
#![warn(missing_docs)]

pub mod balance;
pub mod circuit;
pub mod deadtest;
pub mod due;
pub mod efficiency;
pub mod energy;
pub mod fan;
pub mod figure;
pub mod fit;
pub mod installation;
pub mod motor;
pub mod part_load;
pub mod plate;
pub mod proof;
pub mod ratings;
mod shown;
pub mod supply;
mod tables;
pub mod units;
pub mod vibration;
pub mod working;
