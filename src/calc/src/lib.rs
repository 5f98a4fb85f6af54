//! The trade's calculations: pure functions of what they are given. No I/O, no clock, no async.
#![warn(missing_docs)]

pub mod balance;
pub mod bearing;
pub mod belt;
pub mod boxes;
pub mod capacitor;
pub mod circuit;
pub mod deadtest;
pub mod due;
pub mod efficiency;
pub mod energy;
pub mod fan;
pub mod fastening;
pub mod figure;
pub mod fit;
pub mod installation;
pub mod insulation;
pub mod kinds;
pub mod level;
pub mod life;
pub mod motor;
pub mod part_load;
pub mod plate;
pub mod proof;
pub mod ratings;
mod shown;
pub mod stock;
pub mod supply;
mod tables;
pub mod units;
pub mod us;
pub mod vibration;
pub mod winding;
pub mod working;
