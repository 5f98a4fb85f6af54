//! Topics. Vibration, balance and the run test.

use super::{Answer, Topic};

mod balance;
mod run_test;
mod vibration;

pub(super) static TOPICS: &[Topic] = &[
    run_test::PROOF,
    vibration::VIBRATION,
    balance::UNBALANCE,
    balance::DEBRIS,
];

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}
